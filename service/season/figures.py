"""Figures of the season that no costing needs: lead times and the like, each with its source."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

FILE = "figures.toml"
COMMON_PRACTICE, ASSUMPTION = "common_practice", "assumption"
MARKS = {
    COMMON_PRACTICE: "common practice, no source",
    ASSUMPTION: "assumption",
}
SEEN, FROM_MEMORY = "seen", "from memory"


@dataclass(frozen=True, slots=True)
class SeasonFigure:
    """One figure with its unit, range and source."""

    key: str
    usual: float
    low: float
    high: float
    unit: str
    meaning: str
    source: str
    """A publication in words; empty for a common practice or an assumption."""
    mark: str
    """``seen``, ``from memory``, ``common practice, no source`` or ``assumption``."""
    note: str


@cache
def season_figures() -> dict[str, SeasonFigure]:
    """Return every figure by its key, as ``lead.soil_test``."""
    text = (files("service.season") / FILE).read_text("utf-8")
    return {figure.key: figure for figure in _read("", tomllib.loads(text))}


def figure_of(key: str) -> SeasonFigure:
    """Return one figure; KeyError if the file has none of that key."""
    return season_figures()[key]


def _read(prefix: str, table: dict[str, Any]) -> list[SeasonFigure]:
    if "usual" in table:
        return [_figure(prefix, table)]
    found: list[SeasonFigure] = []
    for name, member in table.items():
        found += _read(f"{prefix}.{name}" if prefix else name, member)
    return found


def _figure(key: str, row: dict[str, Any]) -> SeasonFigure:
    source = row["source"]
    known = MARKS.get(source)
    return SeasonFigure(
        key=key,
        usual=float(row["usual"]),
        low=float(row["low"]),
        high=float(row["high"]),
        unit=row["unit"],
        meaning=row["meaning"],
        source="" if known else source,
        mark=known or (SEEN if row.get("seen") else FROM_MEMORY),
        note=row.get("note", ""),
    )
