"""What stands in for an answer of "not sure": each value with range, source and note."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from service.costing.reference.ranges import load_ranges
from service.costing.reference.table import (
    ASSUMPTION,
    COMMON_PRACTICE,
    Source,
    newest_edition,
    source_of,
)

FILE = "values.toml"

End = float | str
"""One end of a range: a number, or a date as MM-DD."""


@dataclass(frozen=True, slots=True)
class StandIn:
    """One value that is taken where nobody knows it.

    A word has no low and no high; ``said`` is the word as people say it. ``key`` is the reference
    value that it stands in for, if it is one. ``sentence`` is how it is told where that is not the
    way of the others.
    """

    name: str
    unit: str
    usual: End
    low: End | None
    high: End | None
    meaning: str
    source: Source
    where: str
    note: str
    seen: bool
    find_out: str | None
    said: str | None
    sentence: str | None
    key: str | None
    whole: bool

    @property
    def number(self) -> float:
        """The usual value, of one that is a number."""
        return float(self.usual)

    @property
    def in_words(self) -> str:
        """Where it is from, as a person would cite it; an assumption says why."""
        if self.source == ASSUMPTION:
            return f"Our assumption. {self.note}"
        return self.source.in_words

    @property
    def unverified(self) -> bool:
        """Whether it is from memory of its source, still to be checked against it."""
        return not self.seen and self.source not in {ASSUMPTION, COMMON_PRACTICE}


@cache
def stand_ins() -> dict[str, StandIn]:
    """Return all of them by name."""
    data = tomllib.loads((files("service.quick_start") / FILE).read_text("utf-8"))
    own = {key: source_of(key, entry) for key, entry in data["source"].items()}
    sources = {**load_ranges(newest_edition()).sources, **own}
    return {name: _stand_in(name, entry, sources) for name, entry in data["figure"].items()}


def stand_in(name: str) -> StandIn:
    """Return one of them."""
    return stand_ins()[name]


def _stand_in(name: str, entry: dict[str, Any], sources: dict[str, Source]) -> StandIn:
    usual = entry["usual"]
    low, usual, high = (None, usual, None) if isinstance(usual, str) else usual
    return StandIn(
        name=name,
        unit=entry["unit"],
        usual=usual,
        low=low,
        high=high,
        meaning=entry["meaning"],
        source=sources[entry.get("source", ASSUMPTION.key)],
        where=entry.get("where", ""),
        note=entry.get("note", ""),
        seen=entry.get("seen", False),
        find_out=entry.get("find_out"),
        said=entry.get("said"),
        sentence=entry.get("sentence"),
        key=entry.get("key"),
        whole=entry.get("whole", False),
    )
