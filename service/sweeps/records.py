"""What a sweep asks for, the chunks it is cut into, and what comes of one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import prod
from typing import Any

Document = dict[str, Any]

MOST_ROWS = 200_000
"""No sweep has more costings than this, farms times settings."""

CHUNK_ROWS = 250
"""Costings of a chunk: enough for the arrays of a run to outweigh its calls, and few enough for a
chunk to end well within the time that a cancelled sweep may take to stop."""
CHUNKS_PER_WORKER = 2
"""In flight at once: one being worked and one at hand."""

DEFAULT_FIGURES = (
    "annual_equivalent_cost",
    "out_of_pocket",
    "rank",
    "quantities.bales.short_mean",
    "quantities.acres_damaged.total",
)

OK = "ok"
REFUSED = "refused"
"""The farm cannot be costed as it stands: its own inputs say why."""
FAILED = "failed"
"""The costing broke down, through no fault of the farm's inputs."""


@dataclass(frozen=True, slots=True)
class FarmRow:
    """One farm: what it is called elsewhere, and how it differs from the base scenario."""

    external_id: str | None = None
    set: Mapping[str, Any] = field(default_factory=dict[str, Any])
    """Value by path; None goes back to the default."""


@dataclass(frozen=True)
class SweepSpec:
    """A base scenario, the farms that differ from it, and the settings tried on each.

    Each farm is costed with each combination of the varied values; the last path varies fastest.
    Without farms there are no rows; the base scenario itself is one ``FarmRow()``.
    """

    document: Document
    """The base, its edition named and the winters of a weather record in their place."""
    farms: tuple[FarmRow, ...]
    vary: Mapping[str, tuple[Any, ...]] = field(default_factory=dict[str, tuple[Any, ...]])
    figures: tuple[str, ...] = DEFAULT_FIGURES
    seed: int = 0
    """Start of the streams of random numbers, of which each farm and chunk has its own."""

    @cached_property
    def paths(self) -> tuple[str, ...]:
        """Every path that is set for a farm or varied, sorted."""
        return tuple(sorted({path for farm in self.farms for path in farm.set} | set(self.vary)))

    @property
    def settings(self) -> int:
        """Combinations of the varied values; 1 where nothing is varied."""
        return prod(len(values) for values in self.vary.values())

    @property
    def costings(self) -> int:
        """Rows of the sweep, farms times settings."""
        return len(self.farms) * self.settings


@dataclass(frozen=True, slots=True)
class Chunk:
    """Consecutive rows of a sweep that are worked together; chunks and rows count from 1."""

    number: int
    first_row: int
    row_count: int


@dataclass(frozen=True, slots=True)
class ChunkResult:
    """What came of a chunk."""

    csv: bytes
    """RFC 4180 without header: one line for each farm, setting and system, or one for a farm that
    cannot be costed."""
    rows: int
    """Lines of it."""
    failed: int
    """Those of them whose status is not ``ok``."""
    problems: list[dict[str, Any]]
    """``row``, ``external_id`` and all ``faults`` of each farm that could not be costed."""
