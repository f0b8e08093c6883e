"""The catalogue of figures: every number that a costing answers with, by its path.

A path stands below the system; the few that belong to the whole costing say so. ``<group>``,
``<step>`` and the like are keys of the scenario or words of a fixed list. The figures themselves
stand in ``figures.toml``; one for each line is added.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from service.costing.lines import LINES

SYSTEM = "system"
BETTER = {"lower": True, "higher": False}


@dataclass(frozen=True, slots=True)
class CatalogFigure:
    """One figure of the answer.

    ``lower_is_better`` is None where neither is better in itself; ``of`` is ``system`` or
    ``costing``.
    """

    path: str
    unit: str
    meaning: str
    lower_is_better: bool | None = None
    of: str = SYSTEM


@cache
def figures() -> tuple[CatalogFigure, ...]:
    """Every figure of the answer: those of systems, their lines, those of the whole costing."""
    text = (files("service.costing") / "figures.toml").read_text("utf-8")
    listed = tuple(
        CatalogFigure(
            path=entry["path"],
            unit=entry["unit"],
            meaning=entry["meaning"],
            lower_is_better=BETTER.get(entry.get("better", "")),
            of=entry.get("of", SYSTEM),
        )
        for entry in tomllib.loads(text)["figure"]
    )
    of_lines = tuple(
        CatalogFigure(f"lines.{key}", "currency/year", line.meaning, lower_is_better=True)
        for key, line in LINES.items()
    )
    of_systems = tuple(figure for figure in listed if figure.of == SYSTEM)
    of_costing = tuple(figure for figure in listed if figure.of != SYSTEM)
    return (*of_systems, *of_lines, *of_costing)
