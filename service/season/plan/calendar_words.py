"""What stands in a calendar for each task of a plan, in words for a phone."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.costing.cautions import DISCLAIMER
from service.costing.wording import amount
from service.season.plan.records import Checkpoint, Plan, Task

TITLES = {"by": "Last day: {}", "on": "{}", "from": "From today: {}"}
"""For tasks of one day."""
HAY = "hay"


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a calendar, both days counted."""

    key: str
    day: date
    last_day: date
    title: str
    text: str
    part: str


def entries_of(plan: Plan) -> Iterator[Entry]:
    """Yield the tasks of a plan, and the counts of bales that no task speaks of."""
    for task in plan.tasks:
        yield Entry(
            key=task.key,
            day=task.day,
            last_day=task.last_day or task.day,
            title=task.title if task.last_day else TITLES[task.when].format(task.title),
            text="\n\n".join(_paragraphs(plan, task)),
            part=task.part,
        )
    counted = {task.day for task in plan.tasks if task.part == HAY and task.when == "on"}
    for checkpoint in plan.hay.checkpoints if plan.hay else ():
        if checkpoint.day not in counted:
            yield _counted(checkpoint)


def _counted(checkpoint: Checkpoint) -> Entry:
    left = amount(round(checkpoint.bales_left))
    return Entry(
        key=checkpoint.key,
        day=checkpoint.day,
        last_day=checkpoint.day,
        title=f"Count the bales: {left} should be left",
        text=f"{checkpoint.words}\n\n{DISCLAIMER}",
        part=HAY,
    )


def _paragraphs(plan: Plan, task: Task) -> Iterator[str]:
    yield task.what
    if task.how_much:
        parts = (f"{one.of}: {amount(one.value)} {one.unit}" for one in task.how_much)
        yield f"How much: {'; '.join(parts)}."
    reason = task.reason
    yield f"Why then: {reason.words} Rule: {reason.rule}."
    yield f"Source of the rule: {'; '.join(filter(None, (reason.source, reason.mark)))}."
    yield f"A week late: {task.week_late.words}"
    for caution in plan.cautions:
        if caution.caution in task.cautions:
            yield f"Caution: {caution.sentence}"
    yield DISCLAIMER
