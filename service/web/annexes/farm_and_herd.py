"""For the engineer: who and where, and the animals."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

import numpy as np

from service.costing.averages import mean_of, winters_of
from service.costing.figure import Figure
from service.costing.places import feeding_field
from service.costing.run import StepRun
from service.costing.units import NEGLIGIBLE, POUNDS_PER_ANIMAL_UNIT
from service.costing.wording import listed, named, spoken
from service.web.annexes.annex import Block, Item, stated, unknown
from service.web.annexes.subject import AnnexSubject

LOT = "sacrifice_lot"
PLAIN_YEAR = 2001
"""A year of 365 days, to count the days of a winter by."""


def farm_block(subject: AnnexSubject) -> Block:
    """Return who asks, where it is, and how far it can be trusted."""
    return Block("farm", "Who and where", list(_farm(subject)))


def _farm(subject: AnnexSubject) -> Iterator[Item]:
    winter, body = subject.scenario.winter, subject.body
    yield subject.given("name", "farm", "Farm", subject.scenario.name)
    yield unknown("county", "County")
    yield stated("soil", "Soil", "drainage as answered; no survey, no test pit")
    yield subject.given("winter.first_day", "first_day", "First day of feeding", winter.first_day)
    yield subject.given("winter.last_day", "last_day", "Last day of feeding", winter.last_day)
    yield subject.worked("days", "Days, mean winter", body["winter"]["days"], "day")
    yield subject.worked("winters", "Winters counted", body["winter"]["winters"], "winter")
    for state, days in body["winter"]["ground_days"].items():
        yield subject.worked(f"{state}_days", f"{spoken(state).capitalize()} ground", days, "day")
    for key in _fields(subject):
        yield from _field(subject, key)


def _fields(subject: AnnexSubject) -> list[str]:
    """Return the fields that the system feeds on or builds on."""
    run = subject.system.run
    fed = [feeding_field(step.step, run.system) for step in run.steps]
    built = [structure.field for structure in run.system.structures.values()]
    return list(dict.fromkeys(key for key in (*fed, *built) if key is not None))


def _field(subject: AnnexSubject, key: str) -> Iterator[Item]:
    field, path = subject.scenario.land.fields[key], f"land.fields.{key}"
    about = named(field.title, key)
    yield subject.given(f"{path}.drainage", "drainage", "Drainage", field.drainage, about=about)
    yield subject.given(
        f"{path}.slope_percent", "slope", "Slope", field.slope_percent, "percent", about=about
    )
    yield subject.given(
        f"{path}.distance_to_water_ft",
        "distance_to_water",
        "To water or a well",
        field.distance_to_water_ft,
        "ft",
        about=about,
    )


def herd_block(subject: AnnexSubject) -> Block:
    """Return the animals, and for how long they are confined."""
    return Block("animals", "Animals", list(_animals(subject)), shape="grid", half=True)


def _animals(subject: AnnexSubject) -> Iterator[Item]:
    herd, run = subject.costing.herd, subject.system.run
    days = confined_days(subject)
    for place, key in enumerate(herd.groups):
        group, about = subject.scenario.herd[key], subject.group_title(key)
        head = float(run.head.value[place, 0, 0, 0])
        if key in run.system.herd_change:
            yield subject.worked("head", "Head", head, "head", about)
        else:
            yield subject.given(f"herd.{key}.head", "head", "Head", head, "head", about=about)
        weight = group.body_weight_lb
        yield subject.given(
            f"herd.{key}.body_weight_lb", "weight", "Live weight", weight, "lb/head", about=about
        )
        units = head * weight / POUNDS_PER_ANIMAL_UNIT
        yield subject.worked("animal_units", "Animal units", units, "AU", about)
        yield subject.worked("days_confined", "Days confined", days[key][0], "day", about)
        yield subject.worked("most_days", "most", days[key][1], "day", about)


def confined_days(subject: AnnexSubject) -> dict[str, tuple[float, float]]:
    """Return the days on a floor or a bare lot by group: of the mean winter, and the most of any.

    A step that feeds there counts whole, however many hours of the day animals stand there.
    """
    winters, groups = subject.costing.winters, subject.costing.herd.groups
    steps = [step for step in subject.system.run.steps if _confines(step)]
    found: dict[str, tuple[float, float]] = {}
    for place, group in enumerate(groups):
        days = sum(
            (np.asarray(step.served.value)[place].sum(axis=0) for step in steps), np.zeros(1)
        )
        figure = Figure(np.atleast_1d(days), "day")
        mean = float(np.reshape(mean_of(winters, figure), -1)[0])
        found[group] = (mean, float(winters_of(winters, figure).max()))
    return found


def _confines(step: StepRun) -> bool:
    first = step.places[0]
    return first.is_floor or first.word == LOT


def pens_block(subject: AnnexSubject) -> Block:
    """Return the days by month, and what of pens nobody was asked."""
    return Block("pens", "Days by month, pens", list(_pens(subject)), half=True)


def _pens(subject: AnnexSubject) -> Iterator[Item]:
    winter, costing = subject.scenario.winter, subject.costing
    whole = winters_of(costing.winters, costing.winters.total_days).min()
    days = confined_days(subject)
    always = [
        group
        for group, (mean, _) in days.items()
        if mean >= subject.body["winter"]["days"] - NEGLIGIBLE and whole > 0
    ]
    if always:
        yield subject.worked(
            "days_by_month",
            "Days confined by month",
            _by_month(winter.first_day, winter.last_day),
            about=listed(subject.group_title(group) for group in always),
            note="They are confined on every day of winter; a year of 365 days.",
        )
    some = [group for group, (mean, _) in days.items() if mean > 0 and group not in always]
    if some:
        yield unknown(
            "days_by_month",
            "Days confined by month",
            listed(subject.group_title(group) for group in some),
            "Days are counted by ground, not by month.",
        )
    bulls = _heads(subject, ("bull",))
    yield subject.worked("bulls", "Bulls to pen apart", bulls, "head")
    yield unknown("pens", "Pens needed")
    yield unknown("horned", "Horned stock")
    yield unknown("shorn", "Sheep shorn before winter")
    yield unknown("calving_pen", "Calving or lambing pen, separate")


def _heads(subject: AnnexSubject, animals: Sequence[str]) -> float:
    herd = subject.costing.herd
    return sum(
        float(subject.system.run.head.value[place, 0, 0, 0])
        for place, animal in enumerate(herd.animals)
        if animal in animals
    )


def _by_month(first_day: str, last_day: str) -> str:
    """Return the days of winter in each of its months, in words."""
    first = date.fromisoformat(f"{PLAIN_YEAR}-{first_day}")
    last = date.fromisoformat(f"{PLAIN_YEAR}-{last_day}")
    if last < first:
        last = last.replace(year=PLAIN_YEAR + 1)
    counts: dict[str, int] = {}
    day = first
    while day <= last:
        counts[f"{day:%b}"] = counts.get(f"{day:%b}", 0) + 1
        day += timedelta(days=1)
    return ", ".join(f"{month} {count}" for month, count in counts.items())
