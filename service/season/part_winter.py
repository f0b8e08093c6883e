"""A winter whose ground nobody wrote down: the plan's winters, of another length or autumn.

What is not known stays as it was planned, winter by winter, so that nothing is put down to weather
that was not told.
"""

from dataclasses import replace
from datetime import date

from service.costing.scenario import Scenario
from service.costing.units import STATES
from service.costing.winter import GroundDays, WinterRow
from service.costing.winter_rows import rows_of
from service.season.dates import last_of
from service.season.facts import WinterFacts


def with_part_of_weather(scenario: Scenario, first_day: date, facts: WinterFacts) -> Scenario:
    """Return a scenario with what is known of a winter: its length, autumn growth and rain.

    Parameters
    ----------
    scenario : Scenario
        With the plan's winters.
    first_day : date
        Of that winter.
    facts : WinterFacts
        What is known; nothing of it changes nothing.
    """
    told = {
        name: value
        for name, value in (
            ("stockpile_growth_factor", facts.stockpile_growth_factor),
            ("rain_in", facts.rain_in),
        )
        if value is not None
    }
    if not told and facts.turnout_date is None:
        return scenario
    rows = [replace(row, **told) for row in rows_of(scenario.winter)]
    winter = replace(scenario.winter, rows=rows, ground_days=None)
    if facts.turnout_date is not None:
        days = (date.fromisoformat(facts.turnout_date) - first_day).days
        rows = [_of_length(row, days) for row in rows]
        last_day = last_of(winter.first_day, days)
        winter = replace(winter, rows=rows, last_day=last_day)
    return replace(scenario, winter=winter)


def _of_length(row: WinterRow, days: int) -> WinterRow:
    """Return a winter of a length [day], each ground state in it as much of it as before."""
    before = sum(getattr(row.ground_days, state) for state in STATES)
    share = days / before if before else 0.0
    ground = {state: getattr(row.ground_days, state) * share for state in STATES}
    return replace(row, ground_days=GroundDays(**ground))
