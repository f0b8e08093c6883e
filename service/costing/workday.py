"""The work as it is lived: minutes on an ordinary, a wet and the busiest day, and whose hours."""

from typing import Any

import numpy as np

from service.costing.averages import mean, mean_of, number, winters_of
from service.costing.engine import Costing, SystemCosting
from service.costing.labor import TaskRun
from service.costing.units import MINUTES_PER_HOUR, STATES, Array

EVERY_DAY = frozenset({"day", "bale", "move"})
"""Drivers of work that recurs through the days a step runs."""

NOW_AND_THEN = frozenset({"switch", "scraping", "acre", "winter"})
"""Drivers of jobs that fall on single days."""

ORDINARY = STATES.index("firm")
"""Where the ordinary day stands among the ground states."""


def workday_of(costing: Costing, system: SystemCosting) -> dict[str, Any]:
    """Return minutes a day by kind of day, mornings the tractor must start, and whose hours.

    An ordinary day is the mean of firm days; a state that never comes has the mean of the winter.
    The busiest day is the busiest ground state with the longest of the jobs that come now and
    then on top. Bales set out beforehand are no work of an ordinary day.
    """
    labor = system.labor
    if labor is None:
        nothing = {"ordinary_day": 0.0, "wet_day": 0.0, "busiest_day": 0.0}
        hours = {"own": 0.0, "hired": 0.0, "custom": 0.0}
        return {"minutes": nothing, "tractor_mornings": 0.0, "hours": hours}
    by_state = minutes_by_draw(costing, system)[:, 0]
    jobs = [
        _minutes_each(costing, system, number_)
        for number_, item in enumerate(labor.tasks)
        if item.task.per in NOW_AND_THEN
    ]
    return {
        "minutes": {
            "ordinary_day": float(by_state[ORDINARY]),
            "wet_day": float(by_state[STATES.index("wet")]),
            "busiest_day": float(by_state.max() + max(jobs, default=0.0)),
        },
        "tractor_mornings": _mornings(costing, system),
        "hours": _hours(costing, system),
    }


def minutes_by_draw(costing: Costing, system: SystemCosting) -> Array:
    """Return the minutes of recurring work on a day of each ground state, shape (states, draws)."""
    labor = system.labor
    if labor is None:
        return np.zeros((len(STATES), 1))
    days = mean_of(costing.winters, costing.winters.days)
    each = mean_of(costing.winters, labor.own_minutes)
    minutes = np.zeros((len(STATES), 1))
    for position, item in enumerate(labor.tasks):
        if _is_daily(item):
            minutes = minutes + each[position] * _spread(costing, system, item)
    counted = np.where(days > 0, days, 1.0)
    in_all = days.sum(axis=0)
    whole = minutes.sum(axis=0) / np.where(in_all > 0, in_all, 1.0)
    return np.where(days > 0, minutes / counted, whole)


def ordinary_minutes_by_draw(costing: Costing, system: SystemCosting) -> Array:
    """Return the minutes of an ordinary day, which is a firm one, shape (draws,)."""
    return minutes_by_draw(costing, system)[ORDINARY]


def _is_daily(item: TaskRun) -> bool:
    set_out_before = item.step is not None and item.step.bales_left is not None
    return item.task.per in EVERY_DAY and not (set_out_before and item.task.per == "bale")


def _spread(costing: Costing, system: SystemCosting, item: TaskRun) -> Array:
    """Return how a recurring task is spread over the ground states, shape (states, draws).

    The parts add to 1.
    """
    steps = [item.step] if item.step is not None else system.run.steps
    parts: Array = np.zeros((len(STATES), 1))
    for step in steps:
        figure = step.served
        if item.task.per == "bale" and step.offered_by_state is not None:
            figure = step.offered_by_state
        parts = parts + mean_of(costing.winters, figure).max(axis=0)
    whole = parts.sum(axis=0)
    return parts / np.where(whole > 0, whole, 1.0)


def _minutes_each(costing: Costing, system: SystemCosting, position: int) -> float:
    labor = system.labor
    if labor is None:
        return 0.0
    item = labor.tasks[position]
    times = mean(costing.winters, item.driver)
    minutes = number(mean_of(costing.winters, labor.own_minutes)[position])
    return minutes / times if times > 0 else 0.0


def _mornings(costing: Costing, system: SystemCosting) -> float:
    """Return days on which a machine must start, at most the days of the winter."""
    labor = system.labor
    days = np.zeros(len(costing.winters.seasons))
    if labor is None:
        return 0.0
    feeding = {
        id(item.step): item.step
        for item in labor.tasks
        if item.step is not None
        and item.rate is not None
        and _is_daily(item)
        and item.task.per != "move"
    }
    for step in feeding.values():
        days = days + winters_of(costing.winters, step.days_run).reshape(-1, len(days))[0]
    for item in labor.tasks:
        if item.rate is not None and item.task.per in {"switch", "scraping"}:
            days = days + winters_of(costing.winters, item.driver).reshape(-1, len(days))[0]
    total = winters_of(costing.winters, costing.winters.total_days).reshape(-1, len(days))[0]
    weight = costing.winters.weight.value[:-1]
    return float(np.average(np.minimum(days, total), weights=weight))


def _hours(costing: Costing, system: SystemCosting) -> dict[str, float]:
    """Return hours of the farm's own people, of hired people, and of custom operators."""
    labor = system.labor
    if labor is None:
        return {"own": 0.0, "hired": 0.0, "custom": 0.0}
    hours = mean(costing.winters, labor.labor_hours)
    own = costing.case.scenario.prices.own_labor_fraction
    machine = mean_of(costing.winters, labor.machine_minutes)
    custom = sum(
        number(machine[position])
        for position, item in enumerate(labor.tasks)
        if item.rate is not None and item.rate.pays_operator
    )
    return {
        "own": hours * own,
        "hired": hours * (1 - own),
        "custom": custom / MINUTES_PER_HOUR,
    }
