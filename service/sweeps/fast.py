"""Rows of a chunk that differ in numbers alone, costed together as draws of one run."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from service.costing.case import Case
from service.costing.draw_axis import fits_draw_axis
from service.costing.engine import Costing, worked
from service.costing.scenario import Scenario
from service.costing.units import NEGLIGIBLE, Array
from service.sweeps.figures import BY_DRAW, figures_by_draw
from service.sweeps.rows import Row

FEWEST = 2
"""A single row is costed alone."""


@dataclass(slots=True)
class Group:
    """Rows that differ only in numbers which can be varied on the draw axis.

    Of their scenarios the first is kept: all would be in the way of the collector of garbage.
    """

    scenario: Scenario
    rows: list[Row]


class Together(NamedTuple):
    """What rows costed together came to, and which must be costed alone to be refused."""

    by_system: Mapping[str, list[list[Any]]]
    """For each system the values of the figures, one list for each row."""
    unserved: list[bool]


def can_be_drawn(figures: Sequence[str]) -> bool:
    """Whether all figures can be read for each draw of a run."""
    return all(figure in BY_DRAW for figure in figures)


def worked_together(group: Group, figures: Sequence[str]) -> Together:
    """Cost rows that are alike in one run of the engine.

    Parameters
    ----------
    group : Group
        Rows of one shape, each read and checked by itself.
    figures : sequence of str
        Paths of figures that can be drawn.
    """
    rows = group.rows
    varied: dict[str, Array] = {
        path: np.array([row.set[path] for row in rows], float)[:, None]
        for path, value in rows[0].set.items()
        if _is_drawn(path, value)
    }
    costing = worked(Case(group.scenario, varied=varied))
    return Together(
        figures_by_draw(costing, figures, len(rows)), _unserved(costing, len(rows)).tolist()
    )


def shape_of(row: Row) -> str:
    """Return what rows must have in common to be costed together."""
    return json.dumps(
        {path: "" if _is_drawn(path, value) else [value] for path, value in row.set.items()},
        sort_keys=True,
    )


def _is_drawn(path: str, value: object) -> bool:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and fits_draw_axis(path)


def _unserved(costing: Costing, draws: int) -> NDArray[np.bool_]:
    """Return in which draws a system leaves days without a place to feed."""
    found = np.zeros(draws, bool)
    for system in costing.systems.values():
        found |= np.max(system.run.left.value, axis=(0, 1, -1)) > NEGLIGIBLE
    return found
