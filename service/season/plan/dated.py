"""Days worked from the days of a scenario, each with its rule, source and mark."""

from dataclasses import dataclass
from datetime import date

from service.season.dates import days_after, days_before
from service.season.figures import SeasonFigure, figure_of
from service.season.plan.anchors import Anchor
from service.season.plan.records import Amount, Part, Reason, Task, WeekLate, When

GIVEN = "given"


@dataclass(frozen=True, slots=True)
class Dated:
    """A day and why it is this day."""

    day: date
    reason: Reason


def ahead_of(anchor: Anchor, key: str, why: str) -> Dated:
    """Return the day that comes before another by a figure's days."""
    figure = figure_of(key)
    rule = f"{_days(figure)} before {anchor.words}"
    return Dated(days_before(anchor.day, figure.usual), _reason(why, rule, anchor, figure))


def following(anchor: Anchor, key: str, why: str) -> Dated:
    """Return the day that comes after another by a figure's days."""
    figure = figure_of(key)
    rule = f"{_days(figure)} after {anchor.words}"
    return Dated(days_after(anchor.day, figure.usual), _reason(why, rule, anchor, figure))


def at(anchor: Anchor, why: str) -> Dated:
    """Return the day itself, as the scenario has it."""
    rule = f"the day on which {anchor.words}"
    return Dated(anchor.day, Reason(why, rule, anchor.path, "", GIVEN))


def with_rule(day: date, anchor: Anchor, rule: str, why: str) -> Dated:
    """Return a day that follows from the scenario alone, by a rule in words."""
    return Dated(day, Reason(why, rule, anchor.path, "", GIVEN))


def task(  # noqa: PLR0913 - one argument for each field of the record
    key: str,
    title: str,
    dated: Dated,
    what: str,
    late: WeekLate | str,
    *,
    part: Part,
    when: When = "by",
    how_much: tuple[Amount, ...] = (),
    cautions: tuple[str, ...] = (),
    last_day: date | None = None,
) -> Task:
    """Return a task on a day that was worked; a text for ``late`` says why it is not estimated."""
    return Task(
        key=key,
        title=title,
        part=part,
        when=when,
        day=dated.day,
        what=what,
        how_much=how_much,
        reason=dated.reason,
        week_late=late if isinstance(late, WeekLate) else WeekLate(None, "not_estimated", late),
        cautions=cautions,
        last_day=last_day,
    )


def numbered(name: str, position: int) -> str:
    """Return a key: the name, with a number from the second of its kind on."""
    return f"{name}_{position + 1}" if position else name


def _days(figure: SeasonFigure) -> str:
    return "1 day" if figure.usual == 1 else f"{figure.usual:g} days"


def _reason(why: str, rule: str, anchor: Anchor, figure: SeasonFigure) -> Reason:
    return Reason(why, rule, anchor.path, figure.source, figure.mark)
