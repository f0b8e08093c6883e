"""How much a morning takes, as the engine has it: bales and pounds a day, acres a move."""

from collections.abc import Iterator, Mapping

import numpy as np

from service.costing.averages import mean, mean_of, number
from service.costing.figure import Figure
from service.costing.run import StepRun
from service.costing.units import STATES, Array
from service.costing.winter_rows import WinterRows
from service.season.plan.card_records import Portion
from service.season.subject import SeasonSubject

ONE_DAY = 1.0

Portions = Mapping[str, Mapping[str, tuple[Portion, ...]]]
"""By step and ground state."""


def portions_of(subject: SeasonSubject) -> Portions:
    """Return how much each step takes on each state of the ground, in the mean of the winters.

    A day is one on which the step is at work; an amount is for all the animals that are on it.
    """
    found: dict[str, dict[str, tuple[Portion, ...]]] = {}
    for step in subject.costed.run.steps:
        days = _mean_of_state(
            subject.costing.winters, _largest(step.served.value / step.share.value)
        )
        found[step.key] = {
            state: tuple(_portions(subject, step, i, day))
            for i, (state, day) in enumerate(zip(STATES, days, strict=True))
            if day > 0
        }
    return found


def _portions(subject: SeasonSubject, step: StepRun, state: int, days: float) -> Iterator[Portion]:
    winters = subject.costing.winters
    moved = step.step.setting("days_per_move")
    if step.offered_by_state is not None:
        hay = subject.scenario.hay
        offered = _mean_of_state(winters, _summed(step.offered_by_state.value))[state] / days
        as_fed = offered / hay.dry_matter_fraction
        yield Portion(as_fed / hay.bale_weight_lb, "bale", ONE_DAY)
        yield Portion(as_fed, "lb", ONE_DAY)
        if moved is not None:
            yield Portion(as_fed / hay.bale_weight_lb * moved, "bale", moved)
    if step.grass is not None and moved is not None:
        usable = mean(winters, step.grass.usable)
        eaten = _mean_of_state(winters, _summed(step.eaten.value))[state] / days
        if usable > 0:
            yield Portion(eaten * moved * step.step.setting("acres") / usable, "acre", moved)


def _largest(by_group: Array) -> Array:
    return np.maximum.reduce(by_group, axis=0)


def _summed(by_group: Array) -> Array:
    return np.add.reduce(by_group, axis=0)


def _mean_of_state(winters: WinterRows, by_state: Array) -> list[float]:
    means = mean_of(winters, Figure(by_state, "day"))
    return [number(means[i]) for i in range(len(STATES))]
