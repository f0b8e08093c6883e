"""The calendar of 365 days, and the stages of a herd on it."""

from datetime import date, timedelta

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    DAYS_PER_YEAR,
    Date,
    Days,
    Fraction,
    StageShares,
)

ORDINARY_YEAR = 2026
"""Any year of 365 days: the model has no leap days."""


def day_of_year(month_day: str) -> int:
    """Return the day of the 365-day year, 1 to 365, of a date written MM-DD."""
    month, day = month_day.split("-")
    return date(ORDINARY_YEAR, int(month), int(day)).timetuple().tm_yday


def days_between(start: str, end: str) -> int:
    """Return the days from one date to the next coming of another, 0 to 364."""
    return (day_of_year(end) - day_of_year(start)) % DAYS_PER_YEAR


@formula("days from one date to the next coming of the other")
def days_from_to(start: Date, end: Date) -> Days:
    """Count the days between two dates of the 365-day year.

    Parameters
    ----------
    start : str
        First date [date].
    end : str
        Second date [date].

    Returns
    -------
    float
        Days between [day].
    """
    return float(days_between(start, end))


@formula("the day before")
def day_before(day: Date) -> Date:
    """Return the day before a date.

    Parameters
    ----------
    day : str
        A date [date].

    Returns
    -------
    str
        The date before it [date].
    """
    before = date(ORDINARY_YEAR, *(int(part) for part in day.split("-"))) - timedelta(days=1)
    return before.strftime("%m-%d")


@formula("share of the days, first to last, on which a group is in each stage")
def stage_shares(
    first_day: Date,
    last_day: Date,
    birth_starts: Date,
    birth_season_days: Days,
    lactation_days: Days,
    late_gestation_days: Days,
    gestation_days: Days,
) -> StageShares:
    """Split a stretch of the calendar into the stages of a herd that gives birth over a season.

    A day ``m`` days after the last and ``n`` days before the next birth is lactation if ``m`` is
    less than its length, else late gestation if ``n`` is at most its length, else mid gestation if
    ``n`` is at most the length of gestation, else maintenance; averaged over one birth on each day
    of the season.

    Parameters
    ----------
    first_day, last_day : str
        The stretch, both days counted [date].
    birth_starts : str
        Day of the first birth [date].
    birth_season_days : float
        Length of the season [day].
    lactation_days : float
        Days after a birth that count as lactation [day].
    late_gestation_days : float
        Days before a birth that count as late gestation [day].
    gestation_days : float
        Length of gestation [day].

    Returns
    -------
    ndarray of shape (stages, draws, 1)
        Shares of lactation, late gestation, mid gestation, maintenance and growing; they add to 1
        [fraction].
    """
    # How many pairs of a day and a birth lie each number of days apart, from the last birth back.
    pairs = np.convolve(
        np.ones(days_between(first_day, last_day) + 1), np.ones(int(birth_season_days))
    )
    first_apart = day_of_year(first_day) - day_of_year(birth_starts) - int(birth_season_days) + 1
    apart = (first_apart + np.arange(len(pairs))) % DAYS_PER_YEAR
    met = np.bincount(apart, weights=pairs, minlength=DAYS_PER_YEAR)
    after = np.arange(DAYS_PER_YEAR).reshape(-1, 1, 1)
    before = -after % DAYS_PER_YEAR
    weight = (met / np.add.reduce(met)).reshape(-1, 1, 1)
    lactation = after < lactation_days
    late = ~lactation & (before <= late_gestation_days)
    mid = ~lactation & ~late & (before <= gestation_days)
    maintenance = ~lactation & ~late & ~mid
    shares = np.broadcast_arrays(
        *(np.add.reduce(stage * weight, axis=0) for stage in (lactation, late, mid, maintenance))
    )
    return np.stack([*shares, np.zeros_like(shares[0])])


@formula("the groups side by side")
def stages_of_groups(*shares: StageShares) -> Fraction:
    """Set the shares of stage of all groups side by side.

    Parameters
    ----------
    *shares : ndarray of shape (stages, draws, 1)
        Shares of one group [fraction].

    Returns
    -------
    ndarray of shape (stages, groups, 1, draws, 1)
        Shares of all groups [fraction].
    """
    return np.stack(np.broadcast_arrays(*shares), axis=1)[:, :, None]
