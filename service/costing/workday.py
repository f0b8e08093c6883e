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
    days = mean_of(costing.winters, costing.winters.days)[:, 0]
    minutes = sum(
        (_daily(costing, system, item, number_) for number_, item in enumerate(labor.tasks)),
        start=np.zeros(len(STATES)),
    )
    whole = minutes.sum() / days.sum() if days.sum() else 0.0
    by_state = np.where(days > 0, minutes / np.where(days > 0, days, 1.0), whole)
    jobs = [
        _minutes_each(costing, system, number_)
        for number_, item in enumerate(labor.tasks)
        if item.task.per in NOW_AND_THEN
    ]
    return {
        "minutes": {
            "ordinary_day": float(by_state[STATES.index("firm")]),
            "wet_day": float(by_state[STATES.index("wet")]),
            "busiest_day": float(by_state.max() + max(jobs, default=0.0)),
        },
        "tractor_mornings": _mornings(costing, system),
        "hours": _hours(costing, system),
    }


def _is_daily(item: TaskRun) -> bool:
    set_out_before = item.step is not None and item.step.bales_left is not None
    return item.task.per in EVERY_DAY and not (set_out_before and item.task.per == "bale")


def _daily(costing: Costing, system: SystemCosting, item: TaskRun, position: int) -> Array:
    """Return the minutes of a recurring task in each ground state of the mean of the winters."""
    labor = system.labor
    if labor is None or not _is_daily(item):
        return np.zeros(len(STATES))
    minutes = number(mean_of(costing.winters, labor.own_minutes)[position])
    return minutes * _spread(costing, system, item)


def _spread(costing: Costing, system: SystemCosting, item: TaskRun) -> Array:
    """Return how a recurring task is spread over the ground states; the parts add to 1."""
    steps = [item.step] if item.step is not None else system.run.steps
    parts = np.zeros(len(STATES))
    for step in steps:
        figure = step.served
        if item.task.per == "bale" and step.offered_by_state is not None:
            figure = step.offered_by_state
        parts += mean_of(costing.winters, figure).max(axis=0)[:, 0]
    return parts / parts.sum() if parts.sum() else parts


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
