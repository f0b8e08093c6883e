"""The scenario as it was planned and as it was: weather, prices and practice each one or the other.

Each of the three is put in the place of the plan's by changing inputs alone, so that the same
engine answers for all of them.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from service.analysis.held_damage import with_damage_held
from service.costing.engine import Costing
from service.costing.finance import RealEscalation
from service.costing.fodder import Hay
from service.costing.mean_winter import on_mean_winter
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.costing.units import POUNDS_PER_TON, STATES
from service.costing.winter import Winter, WinterRow
from service.season.dates import Season, last_of
from service.season.facts import PricesPaid, WinterFacts
from service.season.part_winter import with_part_of_weather

WeatherFrom = Literal["facts", "scenario", "length", "none"]
"""What tells the ground of a winter: its days, a row of the scenario, its length, or nothing."""

KNOWN_GROUND: tuple[WeatherFrom, ...] = ("facts", "scenario")
"""What tells the ground day by day."""


@dataclass(frozen=True)
class PlannedWinter:
    """One system as it was planned, and the winter that it is held against."""

    scenario: Scenario
    """With that system alone, its damage held, and prices that do not move."""
    key: str
    season: Season
    mean: WinterRow
    """The mean of the plan's winters."""

    @property
    def system(self) -> System:
        """The system."""
        return self.scenario.systems[self.key]


def planned_winter(costing: Costing, key: str, season: Season) -> PlannedWinter:
    """Return what a system of a costing planned for one winter.

    Parameters
    ----------
    costing : Costing
        Of the revision that was the plan, with its baseline.
    key : str
        Of the system that was used.
    season : Season
        The winter.
    """
    held = with_damage_held(costing, key)
    steady = replace(held, finance=replace(held.finance, real_escalation=RealEscalation()))
    mean = on_mean_winter(steady, costing.winters).winter.rows[0]
    return PlannedWinter(steady, key, season, mean)


def weather_known(planned: PlannedWinter, facts: WinterFacts) -> WeatherFrom:
    """Return what tells the ground of the winter."""
    if facts.ground_days is not None:
        return "facts"
    if row_of_season(planned) is not None:
        return "scenario"
    return "length" if facts.turnout_date is not None else "none"


def as_it_was(
    planned: PlannedWinter, facts: WinterFacts, *, weather: bool, price: bool, practice: bool
) -> Scenario:
    """Return the scenario with some of weather, prices and practice as they were.

    Parameters
    ----------
    planned : PlannedWinter
        The plan.
    facts : WinterFacts
        What is known of the winter; where nothing is known the plan's stands.
    weather : bool
        One row for that winter, in the place of the plan's winters; where its ground is not known
        the plan's winters stay, with the length, autumn and rain that are.
    price : bool
        The prices that were paid.
    practice : bool
        No step for longer than it was used.
    """
    scenario = planned.scenario
    if weather and weather_known(planned, facts) in KNOWN_GROUND:
        scenario = replace(scenario, winter=_winter_as_it_was(planned, facts))
    elif weather:
        scenario = with_part_of_weather(scenario, planned.season.first_day, facts)
    if price:
        scenario = _at_prices_paid(scenario, planned, facts)
    if practice and facts.days_by_method:
        system = _used_as_it_was(planned.system, facts)
        scenario = replace(scenario, systems={planned.key: system})
    return scenario


def hay_price_paid(planned: PlannedWinter, facts: WinterFacts) -> float | None:
    """Return the price of hay in that winter [currency/ton as fed]; None if nobody told it."""
    paid = facts.prices
    if paid.hay_per_ton is not None:
        return paid.hay_per_ton
    if paid.hay_per_bale is not None:
        weight = facts.bale_weight_lb or planned.scenario.hay.bale_weight_lb
        return paid.hay_per_bale / weight * POUNDS_PER_TON
    row = row_of_season(planned)
    if row is None or row.hay_price_factor is None:
        return None
    return _price_per_ton(planned.scenario.hay) * row.hay_price_factor


def days_of_winter(planned: PlannedWinter, facts: WinterFacts) -> float:
    """Return the length of the winter as it was [day]; as planned if nothing tells it."""
    if weather_known(planned, facts) == "length" and facts.turnout_date is not None:
        return (date.fromisoformat(facts.turnout_date) - planned.season.first_day).days
    days = _winter_as_it_was(planned, facts).rows[0].ground_days
    return sum(getattr(days, state) for state in STATES)


def row_of_season(planned: PlannedWinter) -> WinterRow | None:
    """Return what the scenario itself has of that winter; None if it is not among its rows."""
    rows = planned.scenario.winter.rows
    return next((row for row in rows if row.season == planned.season.name), None)


def _winter_as_it_was(planned: PlannedWinter, facts: WinterFacts) -> Winter:
    """Return that winter as the only one; the price of its hay is that of the plan."""
    known = row_of_season(planned) or planned.mean
    days = facts.ground_days or known.ground_days
    told = {
        "stockpile_growth_factor": facts.stockpile_growth_factor,
        "rain_in": facts.rain_in,
    }
    row = replace(
        known,
        season=planned.season.name,
        weight=1.0,
        ground_days=days,
        hay_price_factor=planned.mean.hay_price_factor,
        **{name: value for name, value in told.items() if value is not None},
    )
    length = sum(getattr(days, state) for state in STATES)
    return replace(
        planned.scenario.winter,
        rows=[row],
        ground_days=None,
        last_day=last_of(planned.scenario.winter.first_day, length),
    )


def _at_prices_paid(scenario: Scenario, planned: PlannedWinter, facts: WinterFacts) -> Scenario:
    paid = facts.prices
    hay = hay_price_paid(planned, facts)
    if hay is not None:
        winter = scenario.winter
        scenario = replace(
            scenario,
            hay=replace(scenario.hay, price_per_ton=hay, price_per_bale=None),
            winter=replace(
                winter,
                hay_price_factor=1.0,
                rows=[replace(row, hay_price_factor=1.0) for row in winter.rows],
            ),
        )
    if scenario.supplement is not None and paid.supplement_per_ton is not None:
        supplement = replace(scenario.supplement, price_per_ton=paid.supplement_per_ton)
        scenario = replace(scenario, supplement=supplement)
    return replace(scenario, prices=replace(scenario.prices, **_other_prices(paid)))


def _other_prices(paid: PricesPaid) -> dict[str, float]:
    told = {
        name: getattr(paid, name)
        for name in ("labor_per_hour", "diesel_per_gallon", "bedding_per_ton", "nitrogen_per_lb")
    }
    return {name: value for name, value in told.items() if value is not None}


def _price_per_ton(hay: Hay) -> float:
    if hay.price_per_ton is not None:
        return hay.price_per_ton
    return (hay.price_per_bale or 0.0) / hay.bale_weight_lb * POUNDS_PER_TON


def _used_as_it_was(system: System, facts: WinterFacts) -> System:
    """Return a system none of whose steps runs for longer than it did.

    The last step that takes a group in a ground state is let run: what was not written down has to
    be fed somewhere.
    """
    keys = list(system.steps)
    days = days_by_step(system, facts)
    plan = [
        replace(step, max_days=_least(step.max_days, days[key]))
        if key in days and _others_take_over(system, keys[position + 1 :], key)
        else step
        for position, (key, step) in enumerate(system.steps.items())
    ]
    return replace(system, plan=[replace(step, key=key) for key, step in zip(keys, plan)])  # noqa: B905 - of one length


def days_by_step(system: System, facts: WinterFacts) -> dict[str, float]:
    """Return the days that each step was used [day], where they were written down."""
    found: dict[str, float] = {}
    for name, days in facts.days_by_method.items():
        if name in system.steps:
            found[name] = days
            continue
        alike = [key for key, step in system.steps.items() if step.method == name]
        if len(alike) == 1:
            found[alike[0]] = days
    return found


def _others_take_over(system: System, later: Iterable[str], key: str) -> bool:
    """Whether one of the steps after it takes all its animals on any ground for all days."""
    step = system.steps[key]
    return any(
        _takes(system.steps[other].groups, step.groups)
        and system.steps[other].ground_states is None
        and system.steps[other].max_days is None
        for other in later
    )


def _takes(groups: list[str] | None, wanted: list[str] | None) -> bool:
    return not groups or bool(wanted and set(wanted) <= set(groups))


def _least(limit: float | None, days: float) -> float:
    return days if limit is None else min(limit, days)
