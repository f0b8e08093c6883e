"""How each number was made: figures by number, each with its formula and what it was worked from.

A reader follows a line from ``lines`` to its figure, and from there through ``arguments`` down to
figures that have ``sources``: paths of inputs. Reference values stand under ``assumptions.`` and
are listed with unit, range and source in ``reference_values``.
"""

from typing import Any

import numpy as np

from service.costing.engine import Costing, SystemCosting
from service.costing.figure import BY_DEFINITION, Figure
from service.costing.lines import LINES
from service.costing.reference.table import Edition
from service.costing.units import STAGES, STATES

USUAL_AXES = ("stage", "group", "state", "draw", "row")
"""Names of the axes, counted from the end, where a formula does not name its own."""

LAST_AXES = ("draw", "row")


def workings_of(costing: Costing) -> dict[str, Any]:
    """Return the workings of every line of every system, ready for JSON."""
    book = _Book()
    systems = {key: _system(book, system) for key, system in costing.systems.items()}
    return {
        "axes": {
            "row": [*costing.winters.seasons, "mean"],
            "state": list(STATES),
            "stage": list(STAGES),
            "group": costing.herd.groups,
            "line": list(LINES),
        },
        "systems": systems,
        "figures": book.entries,
        "reference_values": _references(costing.case.edition, book.paths),
    }


def _system(book: "_Book", system: SystemCosting) -> dict[str, Any]:
    account = system.account
    labor = system.labor
    return {
        "entries": [f"{entry.line}: {entry.kind}" for entry in account.entries],
        "tasks": [
            f"{item.task.owner}: {item.task.name}" for item in (labor.tasks if labor else [])
        ],
        "annual_equivalent_cost": book.number(account.annual_equivalent),
        "out_of_pocket": book.number(account.out_of_pocket),
        "net_present_cost": book.number(account.net_present_cost),
        "by_winter": book.number(account.by_winter),
        "lines": {
            key: {
                "annual_equivalent": {
                    "figure": book.number(account.lines),
                    "line": position,
                },
                "by_year": {
                    "figure": book.number(account.lines_by_year),
                    "line": position,
                },
                "entries": [
                    number for number, entry in enumerate(account.entries) if entry.line == key
                ],
            }
            for position, key in enumerate(LINES)
        },
    }


class _Book:
    """Figures as they are written down, each once."""

    def __init__(self) -> None:
        self.entries: list[dict[str, Any]] = []
        self.paths: set[str] = set()
        self._numbers: dict[int, int] = {}

    def number(self, figure: Figure) -> int:
        """Return the number of a figure, written down with all that it was worked from."""
        found = self._numbers.get(id(figure))
        if found is not None:
            return found
        entry: dict[str, Any] = {"unit": figure.unit}
        if figure.signature is not None:
            entry["formula"] = figure.signature.name
            entry["words"] = figure.signature.words
            if figure.parts:
                entry["parts"] = [self.number(part) for part in figure.parts]
            entry["arguments"] = {
                name: self.number(argument) for name, argument in figure.arguments.items()
            }
        else:
            entry["sources"] = self._sources(figure)
        axes = axes_of(figure)
        if axes:
            entry["axes"] = list(axes)
        entry["value"] = written(figure.value)
        self.entries.append(entry)
        number = len(self.entries) - 1
        self._numbers[id(figure)] = number
        return number

    def _sources(self, figure: Figure) -> Any:  # noqa: ANN401 - a path, or paths
        sources = figure.sources
        if isinstance(sources, tuple):
            self.paths.update(path for path in sources if isinstance(path, str))
            return list(sources)
        if isinstance(sources, str):
            self.paths.add(sources)
        return sources or BY_DEFINITION


def axes_of(figure: Figure) -> tuple[str, ...]:
    """Return the names of the axes of a figure's value."""
    rank = np.ndim(figure.value) if not isinstance(figure.value, str) else 0
    if rank == 0:
        return ()
    named = figure.axes or (figure.signature.axes if figure.signature else ())
    if rank == 1:
        return named[-1:] or ("row",)
    own = named + LAST_AXES if named else USUAL_AXES
    return ("part",) * (rank - len(own)) + own[-rank:]


def written(value: Any) -> Any:  # noqa: ANN401 - what a figure holds
    """Return a value for JSON; what is not known is null."""
    if isinstance(value, np.ndarray):
        numbers = np.asarray(value, float)
        unknown = np.isnan(numbers)
        if not unknown.any():
            return numbers.tolist()
        objects: Any = numbers.astype(object)
        objects[unknown] = None
        return objects.tolist()
    scalar = getattr(value, "item", None)
    return value if scalar is None else scalar()


def _references(edition: Edition, paths: set[str]) -> dict[str, Any]:
    """Return unit, range and source of the reference values that were read."""
    listed: dict[str, Any] = {}
    for path in sorted(paths):
        key = path.removeprefix("assumptions.")
        row = edition.rows.get(key)
        if key == path or row is None:
            continue
        source = edition.sources[row.source]
        listed[key] = {
            "unit": row.unit,
            "low": row.low,
            "usual": row.usual,
            "high": row.high,
            "source": row.source,
            "published": " ".join(
                part
                for part in (
                    source.author,
                    f"({source.year})" if source.year else "",
                    source.title,
                    source.published_in,
                )
                if part
            ),
            "where": row.where,
            "unverified": row.unverified,
        }
    return listed
