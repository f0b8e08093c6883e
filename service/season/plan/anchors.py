"""The days of a scenario that a plan hangs on, each with the input that moves it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from service.costing.methods.stockpile_grazing import StockpileGrazing
from service.costing.triggers.facts import Facts
from service.season.dates import Season, days_after, days_before, earliest, latest, named
from service.season.figures import figure_of
from service.season.subject import SeasonSubject

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Anchor:
    """One day, what happens on it as a clause, and the path of the input that moves it."""

    day: date
    words: str
    path: str


@dataclass(frozen=True, slots=True)
class ShutGrass:
    """Grass of one step: shut, full grown, used."""

    key: str
    step: StockpileGrazing
    closing: Anchor
    dormancy: Anchor
    use: Anchor
    """First day on which animals may be on it: growth has ended, and winter has begun."""


@dataclass(frozen=True, slots=True)
class Births:
    """Groups that begin to give birth on one day."""

    groups: tuple[str, ...]
    start: Anchor


def facts_of(subject: SeasonSubject) -> Facts:
    """Return the system as the cautions look at it."""
    return Facts(subject.costing, subject.costed)


def winter_begins(subject: SeasonSubject) -> Anchor:
    """Return the first day of winter."""
    return Anchor(subject.season.first_day, "winter feeding begins", "winter.first_day")


def winter_ends(subject: SeasonSubject) -> Anchor:
    """Return the last day of winter."""
    return Anchor(subject.season.last_day, "winter feeding ends", "winter.last_day")


def end_of_growth(season: Season, month_day: str) -> date:
    """Return the day on which growth ends: inside the winter if it comes there, else before it."""
    inside = season.after(month_day)
    return inside if inside <= season.last_day else season.before(month_day)


def shut_grass(subject: SeasonSubject) -> tuple[ShutGrass, ...]:
    """Return the grass that the system shuts, in the order of its steps."""
    return tuple(
        _shut(subject, key, step)
        for key, step in subject.system.steps.items()
        if isinstance(step, StockpileGrazing)
    )


def _shut(subject: SeasonSubject, key: str, step: StockpileGrazing) -> ShutGrass:
    path = f"systems.{subject.key}.plan.{key}"
    grown = end_of_growth(subject.season, step.dormancy_date)
    closing = latest(step.closing_date, grown - ONE_DAY)
    dormancy = Anchor(grown, "growth ends", f"{path}.dormancy_date")
    begins = winter_begins(subject)
    return ShutGrass(
        key,
        step,
        Anchor(closing, "the grass is shut", f"{path}.closing_date"),
        dormancy,
        dormancy if grown > begins.day else begins,
    )


def by_closing(shut: Iterable[ShutGrass]) -> Iterator[tuple[ShutGrass, ...]]:
    """Yield grass that is shut on the same day, the earliest first."""
    ordered = sorted(shut, key=lambda grass: grass.closing.day)
    for _, members in groupby(ordered, key=lambda grass: grass.closing.day):
        yield tuple(members)


def by_use(shut: Iterable[ShutGrass]) -> Iterator[tuple[ShutGrass, ...]]:
    """Yield grass that is first used on the same day, the earliest first."""
    ordered = sorted(shut, key=lambda grass: grass.use.day)
    for _, members in groupby(ordered, key=lambda grass: grass.use.day):
        yield tuple(members)


def next_end_of_growth(subject: SeasonSubject) -> Anchor | None:
    """Return the end of growth after winter, by this system or another; None if none names it."""
    keys = [subject.key, *subject.scenario.systems]
    for key in dict.fromkeys(keys):
        for name, step in subject.scenario.systems[key].steps.items():
            if isinstance(step, StockpileGrazing):
                day = earliest(step.dormancy_date, subject.season.last_day + ONE_DAY)
                path = f"systems.{key}.plan.{name}.dormancy_date"
                return Anchor(day, "growth ends next autumn", path)
    return None


def next_winter(subject: SeasonSubject) -> Anchor:
    """Return the first day of the winter after this one."""
    first = subject.scenario.winter.first_day
    day = named(first, subject.season.first_day.year + 1)
    return Anchor(day, "the next winter begins", "winter.first_day")


def births_near(subject: SeasonSubject) -> tuple[Births, ...]:
    """Return births that fall into this winter or begin soon after it, the earliest first."""
    found: dict[date, list[tuple[str, Anchor]]] = {}
    for group in facts_of(subject).groups:
        start = _start_of_births(subject, group)
        if start is not None:
            found.setdefault(start.day, []).append((group, start))
    return tuple(
        Births(tuple(group for group, _ in members), members[0][1])
        for _, members in sorted(found.items())
    )


def _start_of_births(subject: SeasonSubject, group: str) -> Anchor | None:
    animals = subject.scenario.herd[group]
    if animals.birth_starts is None:
        return None
    season = subject.season
    path, words = f"herd.{group}.birth_starts", "the first birth"
    begun = season.before(animals.birth_starts)
    if days_after(begun, (animals.birth_season_days or 1) - 1) >= season.first_day:
        return Anchor(begun, words, path)
    coming = season.after(animals.birth_starts)
    near = figure_of("lead.births_near").usual
    return Anchor(coming, words, path) if days_before(coming, near) <= season.last_day else None
