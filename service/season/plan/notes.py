"""What a plan leaves out, and what it takes for granted."""

from collections.abc import Sequence

from service.costing.wording import amount
from service.season.figures import MARKS
from service.season.plan.anchors import shut_grass
from service.season.plan.records import Task
from service.season.subject import SeasonSubject

NOT_PUBLISHED = frozenset(MARKS.values())


def notes_of(subject: SeasonSubject, tasks: Sequence[Task]) -> tuple[str, ...]:
    """Return the notes of a plan."""
    unpublished = sum(each.reason.mark in NOT_PUBLISHED for each in tasks)
    notes = [
        (
            f"Of {len(tasks)} dates, {unpublished} follow from lead times that are common "
            "practice or an assumption, and no publication's. Builder, supplier, agency and "
            "veterinarian know better."
        ),
        (
            "Amounts are means of the winters unless they say otherwise; a wet or a dry winter "
            "takes more."
        ),
        "Days are named without weekends, holidays and weather. If a day has passed, do it now.",
        "The plan names no person. Write beside each task who does it.",
    ]
    if any(each.key.startswith("finished_") for each in tasks):
        notes.append(
            "All that is built is planned to be ready for this winter. If it cannot be, feed as "
            "today for one more winter and move the dates by a year."
        )
    growing = [each for each in shut_grass(subject) if each.use.day > subject.season.first_day]
    if growing:
        late = max(each.use.day for each in growing)
        days = amount((late - subject.season.first_day).days)
        notes.append(
            f"Grass grows on for {days} days after winter feeding begins; until then the "
            "plan counts on the other steps, which the costing does not date."
        )
    return tuple(notes)
