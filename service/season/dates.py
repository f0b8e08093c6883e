"""Days of the calendar around one winter.

A scenario names days without a year. A season, as 2026-27, says which year each of them is in.
"""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from service.costing.errors import Fault, InputError
from service.costing.units import DAYS_PER_YEAR

SEASON = re.compile(r"([0-9]{4})(?:-([0-9]{2}))?")
FIRST_YEAR, LAST_YEAR = 1900, 2199
PLAIN_YEAR = 2001
"""Neither it nor the year after has a leap day, as the year of a scenario."""
EXAMPLES = "a winter by its years, as 2026-27, or 2027 if it begins and ends in one year"


@dataclass(frozen=True, slots=True)
class Season:
    """One winter of the calendar, both ends counted."""

    name: str
    first_day: date
    last_day: date

    @property
    def days(self) -> int:
        """Length [day]."""
        return (self.last_day - self.first_day).days + 1

    @property
    def half_way(self) -> date:
        """The day in whose evening half of the winter is over."""
        return days_after(self.first_day, ceil(self.days / 2) - 1)

    def evening_with(self, days: int) -> date | None:
        """Return the day in whose evening so many days are left; None if it has no more."""
        return days_before(self.last_day, days) if self.days > days else None

    def before(self, month_day: str) -> date:
        """Return the last such day (MM-DD) up to the first day of winter, that day included."""
        return latest(month_day, self.first_day)

    def after(self, month_day: str) -> date:
        """Return the first such day (MM-DD) from the first day of winter on, that day included."""
        return earliest(month_day, self.first_day)


def latest(month_day: str, day: date) -> date:
    """Return the last day of a name (MM-DD) on or before a day."""
    found = named(month_day, day.year)
    return found if found <= day else named(month_day, day.year - 1)


def earliest(month_day: str, day: date) -> date:
    """Return the first day of a name (MM-DD) on or after a day."""
    found = named(month_day, day.year)
    return found if found >= day else named(month_day, day.year + 1)


def named(month_day: str, year: int) -> date:
    """Return the day of a name, MM-DD, in a year; the 365-day year has no 29 February."""
    month, _, day = month_day.partition("-")
    return date(year, int(month), int(day))


def season_from(first_day: str, last_day: str, year: int) -> Season:
    """Return the winter that begins in a year, from and to days by their names (MM-DD)."""
    crosses = last_day < first_day
    name = f"{year}-{(year + 1) % 100:02d}" if crosses else str(year)
    return Season(name, named(first_day, year), named(last_day, year + crosses))


def season_called(name: str, first_day: str, last_day: str) -> Season:
    """Return the winter of a name.

    Parameters
    ----------
    name : str
        As 2026-27; or 2027 where the winter begins and ends in one year.
    first_day, last_day : str
        Days of the scenario's winter, MM-DD.

    Raises
    ------
    InputError
        If the name is none, or not one of such a winter.
    """
    match = SEASON.fullmatch(name)
    if match is None or not FIRST_YEAR <= int(match[1]) <= LAST_YEAR:
        allowed = f"{EXAMPLES}; from {FIRST_YEAR} to {LAST_YEAR}"
        raise InputError([Fault("season", "This names no winter.", received=name, allowed=allowed)])
    season = season_from(first_day, last_day, int(match[1]))
    if season.name != name:
        detail = (
            f"The winter of the scenario runs from {first_day} to {last_day}, so the one that "
            f"begins in {match[1]} is called {season.name}."
        )
        fault = Fault("season", detail, received=name, allowed=EXAMPLES, suggestion=season.name)
        raise InputError([fault])
    return season


def coming_season(first_day: str, last_day: str, today: date) -> Season:
    """Return the winter that is running on a day, or else the next one."""
    earlier = season_from(first_day, last_day, today.year - 1)
    this = season_from(first_day, last_day, today.year)
    if earlier.last_day >= today:
        return earlier
    return this if this.last_day >= today else season_from(first_day, last_day, today.year + 1)


def days_before(day: date, days: float) -> date:
    """Return the day so many whole days earlier."""
    return day - timedelta(days=round(days))


def days_after(day: date, days: float) -> date:
    """Return the day so many whole days later."""
    return day + timedelta(days=round(days))


def last_of(first_day: str, days: float) -> str:
    """Return the name (MM-DD) of the last of so many days, in the 365-day year of a scenario."""
    counted = max(1, min(round(days), DAYS_PER_YEAR))
    return f"{days_after(named(first_day, PLAIN_YEAR), counted - 1):%m-%d}"
