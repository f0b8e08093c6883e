"""Faults of the winter: days that do not add up, seasons given twice, rain that is not known."""

from collections import Counter
from collections.abc import Iterator

from service.costing.checks.declared import fault_of
from service.costing.checks.phrases import exact, some_of
from service.costing.checks.question import Question
from service.costing.errors import Fault
from service.costing.formulas.stages import days_between
from service.costing.input_paths import item_names
from service.costing.units import NEGLIGIBLE
from service.costing.winter import Winter
from service.costing.winter_rows import rows_of, season_names

MOST_DAYS = 366
DAYS_APART = 1
"""A leap day is in the weather record and not in the calendar."""


def winter_faults(question: Question) -> Iterator[Fault]:
    """Yield what is wrong with the days of the winter."""
    winter = question.scenario.winter
    if winter.weather_record is not None:
        yield from _record_that_was_not_opened(winter)
        return
    if winter.weather_classifier is not None:
        yield Fault(
            "winter.weather_classifier",
            "It names a classification of a weather record, and no weather_record is given.",
            received=winter.weather_classifier,
        )
    if winter.ground_days is None and not winter.rows:
        yield Fault(
            "winter.ground_days",
            "The winter has no days; give ground_days, or rows with a winter each, or the id of "
            "a weather_record.",
            unit="day",
        )
        return
    if winter.ground_days is not None and winter.rows:
        yield Fault("winter.rows", "Both ground_days and rows are given; keep one of the two.")
    yield from _seasons_given_twice(winter)
    yield from _days_that_do_not_add_up(winter)


def _record_that_was_not_opened(winter: Winter) -> Iterator[Fault]:
    """Yield a fault for a record whose winters do not stand in its place."""
    if winter.ground_days is not None or winter.rows:
        yield Fault(
            "winter.weather_record",
            "Both a weather_record and days of the winter are given; keep one of the two.",
            received=winter.weather_record,
        )
        return
    yield Fault(
        "winter.weather_record",
        "There is no weather record of this id here that the key or link may see.",
        received=winter.weather_record,
    )


def days_of_calendar(winter: Winter) -> int:
    """Return the days from the first to the last day of winter, both counted."""
    return days_between(winter.first_day, winter.last_day) + 1


def days_of_rows(winter: Winter) -> list[float]:
    """Return the days of each winter."""
    ground = [row.ground_days for row in rows_of(winter)]
    return [days.frozen + days.snow_covered + days.firm + days.wet for days in ground]


def _paths_of_rows(winter: Winter) -> list[str]:
    if not winter.rows:
        return ["winter"]
    names = item_names("rows", [{"season": row.season} for row in winter.rows])
    return [f"winter.rows.{name}" for name in names]


def _seasons_given_twice(winter: Winter) -> Iterator[Fault]:
    names = season_names(winter.rows)
    counts = Counter(names)
    if len(counts) == len(names):
        return
    paths = _paths_of_rows(winter)
    seen: set[str] = set()
    for path, name in zip(paths, names, strict=True):
        if name in seen:
            yield Fault(
                f"{path}.season",
                f"{counts[name]} winters are called {name!r}; give each a season of its own.",
                received=name,
            )
        seen.add(name)


def _days_that_do_not_add_up(winter: Winter) -> Iterator[Fault]:
    calendar = days_of_calendar(winter)
    faulty = [
        (number, days)
        for number, days in enumerate(days_of_rows(winter))
        if abs(days - calendar) > DAYS_APART + NEGLIGIBLE or days <= 0 or days > MOST_DAYS
    ]
    if not faulty:
        return
    paths = _paths_of_rows(winter)
    for number, days in faulty:
        yield _fault_of_days(f"{paths[number]}.ground_days", days, winter, calendar)


def _fault_of_days(path: str, days: float, winter: Winter, calendar: int) -> Fault:
    if days <= 0:
        detail = "No ground state has any days; give the days of the winter in each of the four."
    elif days > MOST_DAYS:
        detail = (
            f"The ground days add up to {exact(days)}, more than a year has; "
            "give the days of one winter."
        )
    else:
        detail = (
            f"The ground days add up to {exact(days)}, and the calendar from {winter.first_day} "
            f"to {winter.last_day} has {calendar} days, both counted; they may differ by one day. "
            "Correct the ground days, or first_day and last_day."
        )
    return Fault(
        path,
        detail,
        received=days,
        allowed=f"{max(1, calendar - DAYS_APART)} to {min(MOST_DAYS, calendar + DAYS_APART)}",
        unit="day",
    )


def rain_faults(question: Question) -> Iterator[Fault]:
    """Yield the rain that is needed for open pads in use and not known in every winter."""
    winter = question.scenario.winter
    if winter.rain_in is not None or winter.weather_record is not None:
        return
    dry = [number for number, row in enumerate(rows_of(winter)) if row.rain_in is None]
    pads = [
        f"{key} of system {site.key}"
        for site in question.sites
        for key in site.open_pads
        if key in site.used_floors
    ]
    if not dry or not pads:
        return
    where = "."
    if winter.rows:
        names = season_names(winter.rows)
        where = f", or in every row; it is missing in {some_of([names[i] for i in dry])}."
    yield fault_of(
        winter,
        "winter",
        "rain_in",
        f"Rain leaves with the manure of an open pad ({some_of(pads)}), so rain and melt over the "
        f"winter must be known: give rain_in for the winter{where}",
    )
