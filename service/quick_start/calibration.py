"""Minutes of work: those of hay carried by hand, and those that the farm told."""

from collections.abc import Iterator
from typing import Any

from service.costing.engine import Costing, SystemCosting
from service.costing.labor import NO_MACHINE, TaskRun, task_names
from service.costing.methods import METHODS
from service.costing.reference.table import Edition, load_edition, newest_edition
from service.costing.wording import amount
from service.costing.workday import EVERY_DAY, ordinary_minutes_by_draw
from service.quick_start.answers import Answers
from service.quick_start.draft import ASSUMPTIONS, Draft
from service.quick_start.farmstead import HAY, SMALL, WORK
from service.quick_start.marks import Worked, guess
from service.quick_start.setting import TODAY

ROUND = "look_round"
PER_BALE = "bale"
MINUTES = ("person_minutes", "machine_minutes")
MOST_MINUTES = 10_000.0
A_WINTER = "over the soft days of a winter"
MINUTES_PER_HOUR = 60


def carry_by_hand(draft: Draft, answers: Answers) -> None:
    """Set the work of small bales: put out by hand, without a machine."""
    if answers.get(HAY, "bale_size") != SMALL:
        return
    edition = load_edition(newest_edition())
    methods = {
        step["method"] for system in draft.document["systems"].values() for step in system["plan"]
    }
    for method in sorted(methods):
        for name in task_names(edition).get(method, ()):
            base = f"work.{method}.{name}"
            if edition.row(f"{base}.per").usual == PER_BALE:
                draft.put(f"{ASSUMPTIONS}.{base}.person_minutes", guess("small_bale_minutes", HAY))
                draft.put(f"{ASSUMPTIONS}.{base}.machine_minutes", 0.0)
                draft.put(f"{ASSUMPTIONS}.{base}.machine", NO_MACHINE)


def calibrate(draft: Draft, answers: Answers, costing: Costing) -> None:
    """Scale the minutes of today's work to those of an ordinary day that the farm told.

    The daily round is scaled for the other ways of feeding too: it is the same round. So is the
    time of the machine, which runs while somebody drives it.

    Parameters
    ----------
    draft : Draft
        The document with its systems.
    answers : Answers
        What was answered.
    costing : Costing
        Of today's system.
    """
    told = answers.number(WORK, "minutes")
    worst = answers.number(WORK, "worst_minutes")
    system = costing.systems[TODAY]
    if told is not None:
        ordinary = float(ordinary_minutes_by_draw(costing, system)[0])
        if ordinary > 0:
            _scale(draft, system, told, ordinary)
    if worst is not None:
        _say_worst(draft, worst, told)


def _scale(draft: Draft, system: SystemCosting, told: float, ordinary: float) -> None:
    factor = told / ordinary
    how = (
        f"The reference minutes make {amount(ordinary)} on an ordinary day of today's way and you "
        f"told of {amount(told)}: this is {amount(factor)} times the reference."
    )
    edition = load_edition(newest_edition())
    labor = system.labor
    daily = {
        f"work.{item.task.owner}.{item.task.name}" for item in _daily(labor.tasks if labor else [])
    }
    daily |= {
        f"work.{method}.{ROUND}"
        for method in METHODS
        if f"work.{method}.{ROUND}.per" in edition.rows
    }
    kept: dict[str, Any] = draft.document.get(ASSUMPTIONS, {})
    for base in sorted(daily):
        for part in MINUTES:
            key = f"{base}.{part}"
            usual = _usual(edition, kept, key)
            if usual:
                scaled = min(MOST_MINUTES, usual * factor)
                draft.put(f"{ASSUMPTIONS}.{key}", Worked(scaled, how))


def _usual(edition: Edition, kept: dict[str, Any], key: str) -> float:
    if key in kept:
        return float(kept[key])
    row = edition.rows.get(key)
    return float(row.usual) if row else 0.0


def _daily(tasks: list[TaskRun]) -> Iterator[TaskRun]:
    """Yield the tasks that make up a day; bales set out beforehand are no work of it."""
    for item in tasks:
        before = item.step is not None and item.step.bales_left is not None
        if item.task.per in EVERY_DAY and not (before and item.task.per == PER_BALE):
            yield item


def _say_worst(draft: Draft, worst: float, told: float | None) -> None:
    text = f"On the worst kind of day it takes {amount(worst)} minutes."
    if told is not None:
        soft = draft.document["winter"]["ground_days"]["wet"]
        hours = (worst - told) * soft / MINUTES_PER_HOUR
        text += (
            f" The costing takes every day as an ordinary one; if soft days were the worst kind, "
            f"that would be {amount(hours)} hours more {A_WINTER}."
        )
    draft.note("prices.labor_per_hour", text)
