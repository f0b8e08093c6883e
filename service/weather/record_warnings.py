"""What to know of a record before its winters are used."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.costing.units import STATES, Array
from service.costing.wording import amount, listed, spoken
from service.weather.gaps import runs
from service.weather.parameters import parameters
from service.weather.winters import RecordedWinter, WeatherWarning

DAYS_PER_WEEK = 7
YEARS_PER_DECADE = 10
MOST_NAMED = 6
"""Winters named in a sentence before the rest is only counted."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A change of the days in one ground state over the years."""

    state: str
    days_per_decade: float
    """Slope of the straight line of least squares [day/decade]."""
    chance: float
    """Chance of so strong a rise or fall by luck alone, from the ranks [fraction]."""


def warnings_of(
    winters: Sequence[RecordedWinter], precipitation_mm: Sequence[Array] | None
) -> list[WeatherWarning]:
    """Return the warnings on the winters of a record.

    Parameters
    ----------
    winters : sequence of RecordedWinter
        In the order of time.
    precipitation_mm : sequence of ndarray or None
        Precipitation on the days of each [mm]; None where the record has none.

    Returns
    -------
    list of WeatherWarning
        Most weighty first.
    """
    return [
        *_no_precipitation(precipitation_mm),
        *_dry_weeks(winters, precipitation_mm),
        *_few(len(winters)),
        *_modelled_snow(winters),
        *_changing(winters),
    ]


def trends(winters: Sequence[RecordedWinter]) -> list[Trend]:
    """Return the trend of each ground state that does not have the same days in every winter.

    Parameters
    ----------
    winters : sequence of RecordedWinter
        At least three.

    Returns
    -------
    list of Trend
        The chance is that of Kendall's rank correlation with the years (the test of Mann): many
        winters have no day at all in some state, so that days are far from a normal spread.
    """
    from scipy import stats  # noqa: PLC0415  # pyright: ignore[reportMissingTypeStubs] - takes long

    untyped: Any = stats

    years = np.array([int(winter.season.partition("-")[0]) for winter in winters])
    found: list[Trend] = []
    for state in STATES:
        days = np.array([winter.ground_days[state] for winter in winters])
        if days.min() == days.max():
            continue
        slope = float(untyped.linregress(years, days).slope)
        chance = float(untyped.kendalltau(years, days).pvalue)
        found.append(Trend(state, slope * YEARS_PER_DECADE, chance))
    return found


def _no_precipitation(precipitation: Sequence[Array] | None) -> Iterator[WeatherWarning]:
    if precipitation is None:
        yield WeatherWarning(
            "no_precipitation",
            "The record has no precipitation: no rain, no melt and no modelled snow are counted, "
            "so it cannot tell wet ground from firm. Count the wet days yourself.",
        )


def _dry_weeks(
    winters: Sequence[RecordedWinter], precipitation: Sequence[Array] | None
) -> Iterator[WeatherWarning]:
    if precipitation is None:
        return
    weeks = parameters().numbers.dry_weeks
    found = [
        winter.season
        for winter, days in zip(winters, precipitation, strict=True)
        if _longest_dry_run(days) >= weeks * DAYS_PER_WEEK
    ]
    if found:
        yield WeatherWarning(
            "no_precipitation_for_weeks",
            f"{len(found)} of {len(winters)} winters have no precipitation for {weeks} weeks or "
            f"more in a row: {_some(found)}. The gauge may be unheated or missing then, and snow "
            "and wet days too few.",
        )


def _longest_dry_run(days: Array) -> int:
    return max((length for _, length, dry in runs(days <= 0) if dry), default=0)


def _few(count: int) -> Iterator[WeatherWarning]:
    numbers = parameters().numbers
    if not count:
        yield WeatherWarning(
            "no_whole_winter",
            "No winter of the record is whole, so none can be counted; those that it touches are "
            "listed with what each lacks.",
        )
    elif count < numbers.few_winters:
        yield WeatherWarning(
            "few_winters",
            f"There {_are_winters(count)}; fewer than {numbers.few_winters} say little about hard "
            "and easy ones.",
        )
    elif count < numbers.enough_winters:
        yield WeatherWarning(
            "under_fifteen_winters",
            f"There {_are_winters(count)}; {numbers.enough_winters} or more give a steadier mean.",
        )


def _are_winters(count: int) -> str:
    return "is 1 winter" if count == 1 else f"are {count} winters"


def _modelled_snow(winters: Sequence[RecordedWinter]) -> Iterator[WeatherWarning]:
    days = sum(sum(winter.ground_days.values()) for winter in winters)
    modelled = days - sum(winter.observed_snow_days for winter in winters)
    if not modelled:
        return
    lack = (
        "No winter day has an observed depth of snow"
        if modelled == days
        else f"{amount(100 * modelled / days)} % of winter days have no observed depth of snow"
    )
    yield WeatherWarning(
        "modelled_snow",
        f"{lack}; it is modelled from temperature and precipitation, which is sound in steady "
        "cold and finds too few days of snow where winters hover around freezing.",
    )


def _changing(winters: Sequence[RecordedWinter]) -> Iterator[WeatherWarning]:
    numbers = parameters().numbers
    if len(winters) < numbers.few_winters:
        return
    found = [item for item in trends(winters) if item.chance < numbers.trend_significance]
    if not found:
        return
    changes = listed(
        f"{spoken(item.state)} days {'rise' if item.days_per_decade > 0 else 'fall'} by "
        f"{amount(abs(item.days_per_decade))} a decade"
        for item in found
    )
    hint = (
        f" The last {numbers.enough_winters} may be the better guide."
        if len(winters) > numbers.enough_winters
        else ""
    )
    yield WeatherWarning("trend", f"Over the {len(winters)} winters {changes}.{hint}")


def _some(seasons: Sequence[str]) -> str:
    more = len(seasons) - MOST_NAMED
    if more <= 1:
        return listed(seasons)
    return f"{', '.join(seasons[:MOST_NAMED])} and {more} more"
