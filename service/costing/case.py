"""The farm being costed: every figure that comes from outside enters here, with its path.

A figure is asked for by the path of its input. Reference values stand under ``assumptions.``: one
the scenario overrides is the scenario's, the others are the edition's. What was asked for is noted,
so that a costing can say which values it used.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import Any, TypeVar

import numpy as np

from service.costing.errors import Fault, InputError, nearest
from service.costing.figure import Figure, Ledger
from service.costing.reference.keys import known_keys, template_of
from service.costing.reference.table import (
    NO_EDITION,
    Edition,
    load_edition,
    newest_edition,
)
from service.costing.scenario import Scenario
from service.costing.units import Array

T = TypeVar("T")

STAND_IN = 0.5
"""Taken for a value that is missing until all that are missing are told; safe in any formula."""

Picks = np.ndarray[tuple[int], np.dtype[np.intp]]

Cell = tuple[str, float] | None
"""Path and value of one element of an array; None where there is nothing to read."""


class Case:
    """A scenario with its reference values, ready to be worked.

    Parameters
    ----------
    scenario : Scenario
        The question.
    keeps_workings : bool
        Whether figures remember what they were worked from.
    varied : mapping of str to ndarray, optional
        Other values of some inputs by path, each of shape (draws, 1) or (rows,).
    picked : ndarray of int, optional
        Numbers of winters, one for each row, in the place of all winters once. The made-up mean
        stays that of all winters, since sizes by rule are worked on it before any winter comes;
        values varied by row have one more for it at their end.
    """

    def __init__(
        self,
        scenario: Scenario,
        *,
        keeps_workings: bool = False,
        varied: Mapping[str, Array] | None = None,
        picked: Picks | None = None,
    ) -> None:
        self.scenario = scenario
        self.edition: Edition = load_edition(scenario.reference_edition or newest_edition())
        self.ledger = Ledger(keeps_workings=keeps_workings)
        self.work = self.ledger.work
        self.varied: Mapping[str, Array] = varied or {}
        self.picked = picked
        self._varied_shape = np.broadcast_shapes(
            (1, 1), *(values.shape for values in self.varied.values())
        )
        self.used: dict[str, float | str] = {}
        self.missing: dict[str, None] = {}
        self._leaves: dict[str, Figure] = {}
        self._made: dict[Hashable, Any] = {}

    def given(self, path: str, value: Any, unit: str) -> Figure:  # noqa: ANN401 - number or word
        """Return the figure of one input of the scenario."""
        figure = self._leaves.get(path)
        if figure is None:
            figure = Figure(self.varied.get(path, value), unit, sources=path)
            self._leaves[path] = figure
        return figure

    def reference(self, key: str) -> Figure:
        """Return the figure of one numeric reference value."""
        path = f"assumptions.{key}"
        figure = self._leaves.get(path)
        if figure is None:
            value = self.value(key)
            template = template_of(key)
            unit = template.unit if template else ""
            figure = Figure(self.varied.get(path, value), unit, sources=path)
            self._leaves[path] = figure
        return figure

    def value(self, key: str) -> float:
        """Return a numeric reference value and note that it was used."""
        found = self.used.get(key)
        if found is None:
            found = self._look_up(key)
            if found is None:
                self.missing[key] = None
                return STAND_IN
            self.used[key] = found
        return float(found)

    def word(self, key: str) -> str:
        """Return a reference value that is a word."""
        found = self.used.get(key)
        if found is None:
            found = self._look_up(key)
            if found is None:
                self.missing[key] = None
                return "none"
            self.used[key] = found
        return str(found)

    def has(self, key: str) -> bool:
        """Whether the reference value is given or in the edition."""
        return self._look_up(key) is not None

    def keys(self) -> set[str]:
        """Every key that is given or in the edition."""
        return self.scenario.assumptions.keys() | self.edition.rows.keys()

    def array(self, cells: Sequence[Cell], shape: tuple[int, ...], unit: str) -> Figure:
        """Return a figure that holds many inputs of one unit.

        Parameters
        ----------
        cells : sequence of (path, value) or None
            In the order of the axes; None is 0 and stands for nothing.
        shape : tuple of int
            The leading axes; the draw and row axes are added.
        unit : str
            Unit of them all.
        """
        values: Array
        if self.varied and any(cell is not None and cell[0] in self.varied for cell in cells):
            values = np.empty((len(cells), *self._varied_shape))
            for position, cell in enumerate(cells):
                values[position] = self.varied.get(cell[0], cell[1]) if cell else 0.0
            values = values.reshape((*shape, *self._varied_shape))
        else:
            values = np.array([cell[1] if cell else 0.0 for cell in cells], float).reshape(
                (*shape, 1, 1)
            )
        sources = None
        if self.ledger.keeps_workings:
            sources = tuple(cell[0] if cell else None for cell in cells)
        return Figure(values, unit, sources=sources)

    def references(
        self,
        keys: Sequence[str | None],
        shape: tuple[int, ...],
        axes: tuple[str, ...] = (),
        unit: str = "",
    ) -> Figure:
        """Return a figure that holds many reference values of one shape of key.

        ``unit`` is needed only where every key may be None.
        """
        if not unit:
            first = next(filter(None, keys), "")
            template = template_of(first)
            unit = template.unit if template else ""
        cells: list[Cell] = [
            (f"assumptions.{key}", self.value(key)) if key else None for key in keys
        ]
        figure = self.array(cells, shape, unit)
        figure.axes = axes
        return figure

    def once(self, name: Hashable, make: Callable[[], T]) -> T:
        """Return what ``make`` makes, made once in a case for each name."""
        found = self._made.get(name)
        if found is None:
            found = self._made[name] = make()
        return found

    def refuse_missing(self) -> None:
        """Raise if a reference value was asked for that nobody gives.

        Raises
        ------
        InputError
            With one fault for each key that is missing.
        """
        if not self.missing:
            return
        faults: list[Fault] = []
        for key in self.missing:
            near = nearest(key, tuple(self.keys() or known_keys()))
            where = (
                "the document takes nothing from the tables (reference_edition none)"
                if self.edition.name == NO_EDITION
                else f"edition {self.edition.name} has none"
            )
            faults.append(
                Fault(
                    input=f"assumptions.{key}",
                    detail=f"{key} is needed and not given; {where}",
                    suggestion=near,
                )
            )
        raise InputError(faults)

    def _look_up(self, key: str) -> float | str | None:
        given = self.scenario.assumptions.get(key)
        if given is not None:
            return given
        row = self.edition.rows.get(key)
        return row.usual if row else None
