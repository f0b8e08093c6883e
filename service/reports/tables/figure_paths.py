"""The figures of a costing by their paths, as the catalogue of figures names them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from service.costing.figures_catalog import SYSTEM, CatalogFigure, figures
from service.costing.input_catalog import inputs
from service.costing.input_paths import joined
from service.costing.json_shapes import is_object

Document = Mapping[str, Any]
Values = Mapping[str, Any]
"""Value by path; a figure that does not exist for a system is None, or not there."""

LIMITS = "limits"
AS_THE_LIMIT = "as the limit"


@dataclass(frozen=True, slots=True)
class FigurePath:
    """One figure of a costing, with placeholders filled in."""

    path: str
    unit: str
    meaning: str


def system_figures(body: Document) -> tuple[list[FigurePath], list[Values]]:
    """Return the figures that any system has, and the values of each system.

    Figures stand in the order of the catalogue: what only some systems have (days of their steps)
    stands beside that of the others.
    """
    views = [_view(system) for system in body["systems"]]
    values: list[dict[str, Any]] = [{} for _ in views]
    found: dict[str, FigurePath] = {}
    for figure in figures():
        if figure.of != SYSTEM:
            continue
        for view, own in zip(views, values, strict=True):
            for path, value in _expanded(figure.path.split("."), view):
                found.setdefault(path, _named(figure, path))
                own[path] = value
    return list(found.values()), list(values)


def costing_figures(body: Document) -> tuple[list[FigurePath], Values]:
    """Return the figures of the whole costing, and their values."""
    values: dict[str, Any] = {}
    found: list[FigurePath] = []
    for figure in figures():
        if figure.of != SYSTEM:
            for path, value in _expanded(figure.path.split("."), body):
                found.append(_named(figure, path))
                values[path] = value
    return found, values


def _view(system: Document) -> Document:
    """Return a system with its lists as maps, as the paths of the catalogue have them."""
    limits = system[LIMITS]
    return {
        **system,
        "lines": {line["line"]: line["annual_equivalent"] for line in system["lines"]},
        "by_winter": {row["season"]: row for row in system["by_winter"]},
        LIMITS: {name: limits.get(name) for name in _limit_units()},
    }


def _expanded(parts: Sequence[str], node: object, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield path and value of all that a path of the catalogue stands for."""
    if not parts:
        yield path, node
        return
    members: Mapping[str, Any] = node if is_object(node) else {}
    name, *rest = parts
    names = members if name.startswith("<") else (name,)
    for member in names:
        yield from _expanded(rest, members.get(member), joined((path, member)))


def _named(figure: CatalogFigure, path: str) -> FigurePath:
    unit = figure.unit
    if unit == AS_THE_LIMIT:
        unit = _limit_units()[path.split(".")[1]]
    return FigurePath(path, unit, figure.meaning)


@cache
def _limit_units() -> Mapping[str, str]:
    """Return the unit of each limit that a scenario can state."""
    start = f"{LIMITS}."
    return {
        item.path.removeprefix(start): item.unit for item in inputs() if item.path.startswith(start)
    }
