"""The choice before the winter, the record after it, and the choice for the next one."""

from collections.abc import Iterator, Sequence

from service.season.dates import earliest
from service.season.plan.anchors import ONE_DAY, Anchor, by_closing, shut_grass, winter_ends
from service.season.plan.dated import Dated, ahead_of, following, task
from service.season.plan.records import Task
from service.season.subject import SeasonSubject


def choice(subject: SeasonSubject, others: Sequence[Task]) -> Task:
    """Return the choice of the system: before the first of all other tasks."""
    first = min(others, key=lambda each: each.day)
    anchor = Anchor(
        first.day, f"the first thing that cannot wait ({first.title})", first.reason.anchor
    )
    title = subject.result["title"]
    return task(
        "choose",
        f"Choose the system: {title}",
        ahead_of(anchor, "lead.choose", "After this day the first dates of the plan are missed."),
        "Talk it over with those who feed. Look at what the plan asks for, and at the money.",
        "Not estimated: every date that follows moves, and some cannot.",
        part="decide",
        cautions=("public_record",),
    )


def looking_back(subject: SeasonSubject) -> Iterator[Task]:
    """Yield the record of the winter and the choice for the next."""
    ends = winter_ends(subject)
    yield task(
        "write_down",
        "Write the winter down",
        following(ends, "after.write_down", "Bales, hours and bad weeks are soon forgotten."),
        "Bales fed, the day grass took over, hours, fuel, acres to fix, animals lost, the worst "
        "weeks, and whether you would do it again. A few of these are better than none.",
        "Not estimated: what is forgotten cannot be held against the plan.",
        part="decide",
        cautions=("public_record",),
    )
    yield task(
        "decide_again",
        "Decide for the next winter",
        _next_choice(subject, ends),
        "Hold the winter against the plan, put your own figures in, and choose again.",
        "Not estimated: the dates of the next plan follow from it.",
        part="decide",
    )


def _next_choice(subject: SeasonSubject, ends: Anchor) -> Dated:
    """Return the day of the soil test of the next closing, or about midsummer without grass."""
    for grass in by_closing(shut_grass(subject)):
        closing = grass[0].closing
        day = earliest(f"{closing.day:%m-%d}", subject.season.last_day + ONE_DAY)
        anchor = Anchor(day, "the grass would be shut again", closing.path)
        dated = ahead_of(anchor, "lead.soil_test", "The soil test for the next closing is due.")
        if dated.day > ends.day:
            return dated
    why = "Hay of the first cutting is counted, and there is time to build."
    return following(ends, "after.decide_again", why)
