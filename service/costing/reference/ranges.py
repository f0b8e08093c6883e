"""How far a given value may be off: one row for each input that a farm knows only roughly."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from service.costing.reference.table import (
    ASSUMPTION,
    COMMON_PRACTICE,
    NO_EDITION,
    RANGES,
    Source,
    load_edition,
    source_of,
)


@dataclass(frozen=True, slots=True)
class RangeRow:
    """How far one input may be off, by the pattern of its path.

    Either shares of the value in use or, where the value itself is no guide, the ends themselves.
    """

    path: str
    unit: str
    meaning: str
    low_share: float | None
    high_share: float | None
    low: float | None
    high: float | None
    source: str
    where: str
    note: str
    seen: bool
    find_out: str | None

    @property
    def unverified(self) -> bool:
        """Whether the range is from memory of its source and still to be checked against it."""
        return not self.seen and self.source not in {COMMON_PRACTICE.key, ASSUMPTION.key}

    def around(self, value: float) -> tuple[float, float]:
        """Return the low and the high end for a value in use."""
        if self.low is not None and self.high is not None:
            return self.low, self.high
        return value * (self.low_share or 0), value * (self.high_share or 0)


@dataclass(frozen=True, slots=True)
class Ranges:
    """All ranges published with an edition, by the pattern of the path, and their sources."""

    rows: dict[str, RangeRow]
    sources: dict[str, Source]


@cache
def load_ranges(name: str) -> Ranges:
    """Read the ranges of one edition; the edition ``none`` has none."""
    edition = load_edition(name)
    if name == NO_EDITION:
        return Ranges({}, {})
    folder = files("service.costing.reference") / name.replace(".", "_")
    data = tomllib.loads((folder / RANGES).read_text("utf-8"))
    own = {key: source_of(key, entry) for key, entry in data["source"].items()}
    rows: dict[str, RangeRow] = {}
    for entry in data["range"]:
        row = _row(entry)
        if row.path in rows:
            message = f"{RANGES} gives {row.path} a second time"
            raise ValueError(message)
        rows[row.path] = row
    return Ranges(rows, {**edition.sources, **own})


def _row(entry: dict[str, Any]) -> RangeRow:
    return RangeRow(
        path=entry["path"],
        unit=entry["unit"],
        meaning=entry["meaning"],
        low_share=entry.get("low_share"),
        high_share=entry.get("high_share"),
        low=entry.get("low"),
        high=entry.get("high"),
        source=entry["source"],
        where=entry.get("where", ""),
        note=entry.get("note", ""),
        seen=entry.get("seen", False),
        find_out=entry.get("find_out"),
    )
