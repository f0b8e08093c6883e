"""Figures for designers and buyers that no costing needs, each with its source."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

FILE = "planning.toml"
SEEN, MEMORY, ASSUMED = "seen", "from memory", "assumption"
SQUARE_FEET_PER_SQUARE_YARD = 9
CUBIC_FEET_PER_CUBIC_YARD = 27


@dataclass(frozen=True, slots=True)
class Planned:
    """One figure with its range, source and mark."""

    unit: str
    low: float | None
    usual: float
    high: float | None
    source: str
    where: str
    mark: str


@dataclass(frozen=True, slots=True)
class PracticeStandards:
    """The agency's open practice standards, by number."""

    names: dict[str, str]
    used_for: dict[str, list[str]]
    """Numbers by what they are used for: a kind of structure, a practice or a material."""
    source: str
    where: str
    mark: str

    @property
    def cited(self) -> str:
        """The source with its mark, and who says whether a standard applies."""
        return f"{self.source} ({self.mark}). {self.where}"

    def of(self, what: str) -> tuple[str, ...]:
        """Return the standards of a thing, as ``561 Heavy Use Area Protection``; maybe none."""
        return tuple(f"{number} {self.names[number]}" for number in self.used_for.get(what, ()))


@cache
def planning() -> dict[str, Any]:
    """Return the file as it stands."""
    text = (files("service.season") / FILE).read_text("utf-8")
    return tomllib.loads(text)


def planned(*names: str) -> Planned | None:
    """Return the figure of a name, as ``drinking_per_day``, ``ewe``; None if there is none."""
    found: Any = planning()
    for name in names:
        found = found.get(name)
        if found is None:
            return None
    return Planned(
        unit=found["unit"],
        low=found.get("low"),
        usual=found["usual"],
        high=found.get("high"),
        source=found["source"],
        where=found["note"],
        mark=mark_of(found),
    )


@cache
def practice_standards() -> PracticeStandards:
    """Return the practice standards and what each is used for."""
    found = planning()["practice_standards"]
    return PracticeStandards(
        names=found["names"],
        used_for=found["used_for"],
        source=found["source"],
        where=found["note"],
        mark=mark_of(found),
    )


def mark_of(entry: dict[str, Any]) -> str:
    """Return how far an entry was checked against its source."""
    if not entry["source"]:
        return ASSUMED
    return SEEN if entry.get("seen") else MEMORY
