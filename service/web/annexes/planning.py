"""Figures for designers that no costing needs, each with its source; read from a file."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from service.web.annexes.annex import Item

FILE = "planning.toml"
SEEN, MEMORY, ASSUMED = "seen", "from memory", "assumption"


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

    def taken(self, line: str, title: str, times: float, unit: str, about: str = "") -> Item:
        """Return the figure so many times over, with its range."""
        return Item(
            line=line,
            title=title,
            value=self.usual * times,
            unit=unit,
            origin="worked",
            about=about,
            low=None if self.low is None else self.low * times,
            usual=self.usual * times,
            high=None if self.high is None else self.high * times,
            source=self.source,
            where=self.where,
            mark=self.mark,
        )


@cache
def planning() -> dict[str, Any]:
    """Return the file as it stands."""
    text = (files("service.web.annexes") / FILE).read_text("utf-8")
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


def mark_of(entry: dict[str, Any]) -> str:
    """Return how far an entry was checked against its source."""
    if not entry["source"]:
        return ASSUMED
    return SEEN if entry.get("seen") else MEMORY
