"""What a review of a winter is made of."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LineReview:
    """One line: planned against actual [currency/year].

    ``actual - planned = weather + price + practice + not_split``, exactly.
    """

    line: str
    title: str
    group: str
    planned: float
    actual: float
    weather: float
    price: float
    practice: float
    not_split: float
    recorded: bool
    """Whether the quantity was recorded; else the actual is the engine's for such a winter."""


@dataclass(frozen=True, slots=True)
class QuantityReview:
    """One quantity: planned, expected in a winter like that one, and recorded."""

    quantity: str
    title: str
    unit: str
    planned: float
    expected: float
    actual: float | None
    """None where it was not recorded."""


@dataclass(frozen=True, slots=True)
class Unknown:
    """A fact that was not recorded, and what could not be told for want of it."""

    fact: str
    words: str


@dataclass(frozen=True, slots=True)
class Review:
    """A winter as it was, held against the plan of one system."""

    season: str
    system: str
    title: str
    currency: str
    lines: tuple[LineReview, ...]
    total: LineReview
    quantities: tuple[QuantityReview, ...]
    sentences: tuple[str, str, str]
    unknown: tuple[Unknown, ...]
    method: str
    """How the difference was split, in words."""
    weather_from: str
    """Where the ground days come from: ``facts``, ``scenario``, ``length`` or ``none``."""
