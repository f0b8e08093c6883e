"""Chore time, from hours: the factor on all minutes of the tables at which the hours are met.

People's minutes and those of machines move by the same factor: whoever needs longer for a bale has
the tractor running for longer.
"""

from service.costing.quantities import labor_hours_by_draw
from service.costing.units import MINUTES_PER_HOUR
from service.season.as_it_was import days_of_winter
from service.season.own_figures.ratios import Told, WinterRead, factor_at
from service.season.own_figures.records import LeftOut, SeasonRatio

WORK = "work."


def minutes_told(winter: WinterRead) -> Told | LeftOut:
    """Return what a winter tells of the time that chores take."""
    season, hours = winter.recorded.season, _hours(winter)
    if hours is None:
        return LeftOut(season, "neither hours nor minutes a day were written down")
    values = winter.of_kind(WORK)
    expected = winter.expected(labor_hours_by_draw)
    if hours <= 0 or expected <= 0 or not values:
        return LeftOut(season, "no hours of people to hold against the tables")
    factor = factor_at(winter, labor_hours_by_draw, values, hours)
    if factor is None:
        why = f"{hours:,.0f} hours are far more than the {expected:,.0f} of the tables"
        return LeftOut(season, f"{why}: more likely a slip of the pen")
    ratio = SeasonRatio(season, hours, expected, "hour", factor)
    return Told(ratio, frozenset(values))


def _hours(winter: WinterRead) -> float | None:
    facts = winter.facts
    if facts.labor_hours is not None:
        return facts.labor_hours
    if facts.minutes_per_day is None:
        return None
    days = days_of_winter(winter.recorded.planned, facts)
    return facts.minutes_per_day * days / MINUTES_PER_HOUR
