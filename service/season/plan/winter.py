"""The winter itself: the first day, floors scraped, the last day."""

from collections.abc import Iterator

from service.costing.averages import mean
from service.costing.floors import FloorRun
from service.costing.limits import known
from service.costing.wording import listed, named, spoken
from service.season.figures import FROM_MEMORY, SEEN
from service.season.plan.anchors import winter_begins, winter_ends
from service.season.plan.dated import Dated, at, task
from service.season.plan.priced import mark_of_table
from service.season.plan.records import Amount, Reason, Task
from service.season.plan.wording import every, times
from service.season.subject import SeasonSubject

CITED = frozenset({SEEN, FROM_MEMORY})
"""Marks of values that a publication stands behind."""
SCRAPED = frozenset({"gravel_pad", "concrete_pad", "pack_floor"})
"""A mound is only dressed, once, when it is cleaned out."""
FEEDING_CAUTIONS = (
    "net_wrap_and_twine",
    "loader_and_bales",
    "slope",
    "lone_work",
    "young_workers",
    "whole_bales_and_sheep",
    "copper_and_sheep",
    "listeria_and_botulism",
    "moldy_hay",
    "suffering_not_in_money",
    "confined_45_days",
    "setbacks_not_checked",
    "ice",
)


def winter_tasks(subject: SeasonSubject) -> Iterator[Task]:
    """Yield the first day, what comes round in winter, and the last day."""
    yield _begin(subject)
    for floor in subject.costed.floors:
        scraped = _scrape(subject, floor)
        if scraped is not None:
            yield scraped
    yield _end(subject)


def _begin(subject: SeasonSubject) -> Task:
    served = subject.result["quantities"]["served_days"]
    steps = tuple(
        Amount(sum(days.values()), "day", f"{spoken(key)}, mean of the winters")
        for key, days in served.items()
    )
    order = listed(spoken(key) for key in served)
    return task(
        "begin_feeding",
        "Begin winter feeding",
        at(winter_begins(subject), "On this day the plan counts on winter feeding to begin."),
        f"Steps in their order: {order}. Which one is used on a day is told by the ground.",
        "Not estimated: it begins when grass runs out, not by the calendar.",
        part="winter",
        when="on",
        how_much=steps,
        cautions=FEEDING_CAUTIONS,
    )


def _scrape(subject: SeasonSubject, floor: FloorRun) -> Task | None:
    if floor.kind not in SCRAPED:
        return None
    key = f"manure.days_between_scrapings.{floor.kind}"
    days = known(subject.costing.case, key)
    in_use = mean(subject.costing.winters, floor.days)
    if days is None or in_use < days:
        return None
    title = named(floor.floor.structure.title, floor.floor.key)
    often = in_use / days
    return task(
        f"scrape_{floor.floor.key}",
        f"Scrape {title} {every(days)} of use",
        _interval(subject, key, days),
        f"About {times(often)} in a mean winter. Leave the stone where it lies, and the "
        "manure where no runoff reaches water.",
        "Not estimated: mud and frozen ridges hurt feet.",
        part="manure",
        when="from",
        how_much=(
            Amount(days, "day", "of use between scrapings"),
            Amount(often, "time", "in a mean winter"),
        ),
        cautions=("winter_spreading", "manure_gas"),
        last_day=subject.season.last_day,
    )


def _interval(subject: SeasonSubject, key: str, days: float) -> Dated:
    """Return the first day of winter, with the word behind the interval that counts from it."""
    begins = winter_begins(subject)
    edition = subject.costing.case.edition
    mark = mark_of_table(subject, key)
    source = edition.sources[edition.rows[key].source].in_words if mark in CITED else ""
    return Dated(
        begins.day,
        Reason(
            "It counts from the first day on which animals stand on it.",
            f"{every(days)} of use, from the day on which {begins.words}",
            begins.path,
            source,
            mark,
        ),
    )


def _end(subject: SeasonSubject) -> Task:
    return task(
        "end_feeding",
        "End winter feeding",
        at(winter_ends(subject), "On this day the plan counts on grass to take over."),
        "Turn out when the grass bears it and the ground is firm. Write down the day and count "
        "the bales that are left.",
        "Not estimated: a week more is a week more of hay, work and prints.",
        part="winter",
        when="on",
        cautions=("grass_tetany",),
    )
