"""Days as the questions have them: half-months, and days so many days from another."""

from datetime import date, timedelta

from service.costing.formulas.stages import ORDINARY_YEAR
from service.quick_start.catalog import half_months
from service.quick_start.figures import stand_in

SECOND_HALF_FROM = 16
MONTHS_IN_HALVES = 2


def day_in(half_month: str) -> str:
    """Return the day that a half-month stands for, as MM-DD."""
    position = [key for key, _ in half_months()].index(half_month)
    month, half = divmod(position, MONTHS_IN_HALVES)
    first = date(ORDINARY_YEAR, month + 1, SECOND_HALF_FROM if half else 1)
    return (first + timedelta(days=stand_in("half_month").number)).strftime("%m-%d")


def shifted(day: str, days: float) -> str:
    """Return the day so many days later, or earlier if less than 0."""
    found = date(ORDINARY_YEAR, *(int(part) for part in day.split("-"))) + timedelta(round(days))
    return found.replace(year=ORDINARY_YEAR).strftime("%m-%d")


def spoken_day(day: str) -> str:
    """Return a day in words."""
    found = date(ORDINARY_YEAR, *(int(part) for part in day.split("-")))
    return f"{found.day} {found:%B}"
