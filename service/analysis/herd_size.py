"""What the farm earns with more or fewer animals, and with more or fewer acres shut for winter."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from itertools import islice
from math import ceil
from typing import Any

from service.analysis.draws import MOST_CELLS, with_systems
from service.analysis.held_damage import with_damage_held
from service.analysis.herd_answer import Point, Points, Sweep, answer_of
from service.analysis.herd_axes import axes_of
from service.analysis.herd_earnings import Size, earnings_of
from service.analysis.herd_points import Fed, fed, without_step
from service.analysis.questions import HerdSize
from service.analysis.subject import Subject
from service.analysis.work import Work
from service.costing.averages import number
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.scenario import Scenario
from service.costing.winter_rows import rows_of


@dataclass(frozen=True, slots=True)
class _Asked:
    """One point of the sweep: values of the axes, that of acres where there is one."""

    head: float
    acres: float | None


def herd_size(subject: Subject, question: HerdSize) -> Work:
    """Return the work that answers what each herd size leaves.

    Raises
    ------
    InputError
        If the system, an axis or a value does not fit the scenario, or nothing says what the
        animals earn; carries every fault found.
    """
    scenario = subject.scenario
    axes, faults = axes_of(scenario, question)
    earnings = None
    if axes is not None:
        earnings, more = earnings_of(scenario, question, axes.head.group)
        faults += more
    if axes is None or earnings is None or faults:
        raise InputError(faults)
    today = cost(with_systems(scenario, [question.system]))
    return _Sweep(
        scenario=with_damage_held(today, question.system),
        sweep=Sweep(
            question=question,
            currency=scenario.currency,
            axes=axes,
            earnings=earnings,
            horizon_years=scenario.finance.horizon_years,
            damage_held=scenario.land.acres_repaired_last_spring is not None,
            other_groups=[key for key in scenario.herd if key != axes.head.group],
        ),
        capital_recovery=number(today.money.capital_recovery.value),
    )


@dataclass(frozen=True)
class _Sweep:
    """All points of a question, as many in one run of the engine as it takes well."""

    scenario: Scenario
    sweep: Sweep
    capital_recovery: float

    @cached_property
    def _grid(self) -> list[_Asked]:
        """The points asked for."""
        question = self.sweep.question
        shut = question.acres.values if question.acres else (None,)
        return [_Asked(value, acres) for value in question.head.values for acres in shut]

    @cached_property
    def _asked(self) -> list[_Asked]:
        """The grid, today, and the next fewer and more animals on today's acres."""
        axes = self.sweep.axes
        today = _Asked(axes.head.present, axes.acres.present if axes.acres else None)
        beside = [replace(today, head=value) for value in self._beside if value is not None]
        return [*self._grid, today, *beside]

    @property
    def _beside(self) -> tuple[float | None, float | None]:
        """The next fewer and the next more animals than today's that are asked for."""
        values, present = self.sweep.question.head.values, self.sweep.axes.head.present
        return (
            max((value for value in values if value < present), default=None),
            min((value for value in values if value > present), default=None),
        )

    @property
    def _at_once(self) -> int:
        """Points of one part."""
        return max(1, MOST_CELLS // (len(rows_of(self.scenario.winter)) + 1))

    @property
    def total(self) -> int:
        """Parts that it has."""
        return ceil(len(self._asked) / self._at_once)

    def part(self, number: int) -> bytes:
        """Work some of the points."""
        start = number * self._at_once
        asked = self._asked[start : start + self._at_once]
        found: dict[_Asked, Fed] = {}
        for is_shut in (True, False):
            some = [point for point in asked if (point.acres != 0) is is_shut]
            if some:
                found |= zip(some, self._fed(some), strict=True)
        return json.dumps([asdict(found[point]) for point in asked]).encode()

    def _fed(self, asked: Sequence[_Asked]) -> list[Fed]:
        """Return how herds are fed that all have some acres shut, or none."""
        head, acres = self.sweep.axes.head, self.sweep.axes.acres
        varied = {head.path: [point.head for point in asked]}
        if acres is None:
            return fed(self.scenario, varied)
        others = without_step(self.scenario, acres.step) if asked[0].acres == 0 else None
        if others is None:
            varied[acres.path] = [point.acres or 0.0 for point in asked]
            return fed(self.scenario, varied)
        return [
            replace(found, served_days={acres.step: 0.0, **found.served_days})
            for found in fed(others, varied)
        ]

    def result(self, parts: Iterable[bytes]) -> dict[str, Any]:
        """Return the answer."""
        found = [Fed(**item) for part in parts for item in json.loads(part)]
        points = iter(map(self._point, self._asked, found))
        grid = list(islice(points, len(self._grid)))
        today = next(points)
        fewer, more = (None if value is None else next(points) for value in self._beside)
        return answer_of(self.sweep, Points(grid=grid, today=today, fewer=fewer, more=more))

    def _point(self, asked: _Asked, found: Fed) -> Point:
        head = self.sweep.axes.head
        animals = head.paid(asked.head) * self.capital_recovery
        size = Size(head.kept(asked.head), found.winter_cost + animals)
        bought = asked.head if head.bought else None
        return Point(bought, asked.acres, found, size, self.sweep.earnings.margin(size))
