"""Two systems over the values of one input: what each comes to, and by how much they differ."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.analysis.draws import Drawn, drawn
from service.analysis.input_runs import scenario_with
from service.analysis.subject import Subject
from service.costing.draw_axis import fits_draw_axis
from service.costing.units import Array


@dataclass(frozen=True, slots=True)
class Compared:
    """Two systems over the values of one input."""

    subject: Subject
    path: str
    systems: tuple[str, str]

    @property
    def together(self) -> bool:
        """Whether many values can be worked in one run."""
        return fits_draw_axis(self.path)

    def at(self, values: Array) -> Drawn:
        """Return what both come to at each value.

        Raises
        ------
        InputError
            If the scenario cannot be costed with one of the values.
        """
        if self.together:
            return drawn(self.subject.scenario, {self.path: values}, self.systems)
        runs = [self._alone(value) for value in values.tolist()]
        return Drawn(
            self.systems,
            np.concatenate([run.scores for run in runs], axis=1),
            np.concatenate([run.costs for run in runs], axis=1),
            np.concatenate([run.short for run in runs], axis=1),
        )

    def _alone(self, value: float) -> Drawn:
        scenario = scenario_with(self.subject, self.path, value)
        return drawn(scenario, {}, self.systems)

    def difference(self, values: Array) -> tuple[Array, Array]:
        """Return the first system's score less the second's, and the size of what differs."""
        return difference_of(self.at(values))


def difference_of(found: Drawn) -> tuple[Array, Array]:
    """Return the first system's score less the second's, and the size of what differs."""
    sizes = np.maximum(np.abs(found.scores).max(axis=0), np.abs(found.costs).max(axis=0))
    return found.scores[0] - found.scores[1], sizes


def stretches(values: Sequence[float], marked: Sequence[bool]) -> list[tuple[float, float]]:
    """Return where a mark stands at one value or several in a row, from the first to the last."""
    found: list[tuple[float, float]] = []
    before = False
    for value, mark in zip(values, marked, strict=True):
        if mark:
            found.append((found.pop()[0], value) if before else (value, value))
        before = mark
    return found
