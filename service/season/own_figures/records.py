"""What a farm's own figures are made of."""

from dataclasses import dataclass
from typing import Any, Literal

Kind = Literal["waste", "minutes", "damage"]


@dataclass(frozen=True, slots=True)
class SeasonRatio:
    """What one winter says: recorded over what the engine has for such a winter."""

    season: str
    recorded: float
    expected: float
    unit: str
    ratio: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A winter that could not be used."""

    season: str
    why: str


@dataclass(frozen=True, slots=True)
class OwnValue:
    """One assumption: the value in use, and the farm's own with its uncertainty."""

    path: str
    """Path of the input, as ``assumptions.hay_waste.ring_open``."""
    unit: str
    reference: float
    own: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """One of waste, minutes and damage, re-estimated from recorded winters."""

    kind: Kind
    title: str
    winters: tuple[SeasonRatio, ...]
    left_out: tuple[LeftOut, ...]
    mean_ratio: float | None
    """Geometric mean of the winters' ratios; None without any."""
    weight: float
    """Of the farm's own winters against the reference, 0 to 1."""
    ratio: float
    """Shrunk toward 1, the reference."""
    low: float
    high: float
    values: tuple[OwnValue, ...]
    words: str


@dataclass(frozen=True, slots=True)
class OwnFigures:
    """All that is offered, and the patch that accepts it."""

    figures: tuple[OwnFigure, ...]
    patch: dict[str, Any]
    """A merge patch (RFC 7396) of the scenario document; nothing happens until it is sent."""
    method: str
