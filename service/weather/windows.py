"""The winters that a window of the calendar cuts from a record."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.weather.settings import WeatherSettings

MONTH_AND_DAY = re.compile(r"([0-9]{2})-([0-9]{2})")
COMMON_YEAR = 2001
"""A year without 29 February, and so is the next."""


@dataclass(frozen=True, slots=True)
class Window:
    """One winter of the calendar, both ends counted."""

    season: str
    first: date
    last: date

    @property
    def days(self) -> int:
        """Length [day]."""
        return (self.last - self.first).days + 1


def month_and_day(text: str) -> tuple[int, int] | None:
    """Return month and day of MM-DD; None if it is no day of every year."""
    match = MONTH_AND_DAY.fullmatch(text)
    if match is None:
        return None
    month, day = int(match[1]), int(match[2])
    try:
        date(COMMON_YEAR, month, day)
    except ValueError:
        return None
    return month, day


def window_from(settings: WeatherSettings, year: int) -> Window:
    """Return the winter that starts in a year.

    Parameters
    ----------
    settings : WeatherSettings
        With a window that stands in the calendar.
    year : int
        Year of its first day.

    Returns
    -------
    Window
        The winter.
    """
    start, end = month_and_day(settings.first_day), month_and_day(settings.last_day)
    if start is None or end is None:
        message = f"no window: {settings.first_day} to {settings.last_day}"
        raise ValueError(message)
    crosses = end < start
    season = f"{year}-{(year + 1) % 100:02d}" if crosses else str(year)
    return Window(season, date(year, *start), date(year + crosses, *end))


def windows_between(settings: WeatherSettings, first_day: date, last_day: date) -> Iterator[Window]:
    """Yield the winters that have a day in common with a record.

    Parameters
    ----------
    settings : WeatherSettings
        With a window that stands in the calendar.
    first_day, last_day : date
        Ends of the record, both in it.

    Yields
    ------
    Window
        Winters in the order of time.
    """
    for year in range(first_day.year - 1, last_day.year + 1):
        window = window_from(settings, year)
        if window.first <= last_day and window.last >= first_day:
            yield window
