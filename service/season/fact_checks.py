"""What must hold between the facts of a winter, and between them and the plan that it had.

Partial facts are welcome: a rule looks only at what is there. Ranges of single facts are declared
beside them; here is what shows only between two of them. Every fault is told at once.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from service.costing.errors import Fault, nearest
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.costing.units import STATES
from service.season.dates import Season
from service.season.fact_amounts import (
    MOST_SUGGESTIONS,
    ROUNDING,
    acres_faults,
    animals_faults,
    bales_faults,
    hay_priced_twice,
    hours_told_twice,
    said,
)
from service.season.facts import WinterFacts

LATEST_TURNOUT = timedelta(days=120)
"""How long after its planned end a winter may last."""
DAY_OF_GRACE = 1
"""A day may be counted on both sides of its end."""


@dataclass(frozen=True, slots=True)
class _Question:
    """The facts, and what they are held against."""

    facts: WinterFacts
    scenario: Scenario
    system: System | None
    season: Season
    days: int | None
    """Length of the winter as it was [day]; None if its end is no day that it can end on."""


def fact_faults(
    facts: WinterFacts,
    scenario: Scenario,
    system_key: str,
    season: Season,
    *,
    bales_possible: float | None = None,
) -> list[Fault]:
    """Return everything that is wrong with the facts of a winter; nothing if they can be so.

    Parameters
    ----------
    facts : WinterFacts
        What is known of the winter.
    scenario : Scenario
        The plan that it is held against.
    system_key : str
        Of the system that was used.
    season : Season
        Which winter.
    bales_possible : float, optional
        The most that the herd could be offered, as ``fact_amounts.most_bales`` has it [bale]; the
        rule is left out without it.
    """
    system = scenario.systems.get(system_key)
    turnout, faults = _turnout(facts, season)
    days = None if faults else _length(season, turnout)
    asked = _Question(facts, scenario, system, season, days)
    if system is None:
        faults.append(_unknown_system(scenario, system_key))
    faults += _ground_days(asked)
    faults += _days_by_method(asked)
    faults += hours_told_twice(facts, days) if days is not None else ()
    faults += acres_faults(facts, scenario)
    faults += animals_faults(facts, scenario, system)
    faults += hay_priced_twice(facts)
    faults += bales_faults(facts, bales_possible)
    return faults


def days_of(facts: WinterFacts, season: Season) -> int:
    """Return the length of a winter until turnout, or as planned if that is not told [day]."""
    return _length(season, _turnout(facts, season)[0])


def _length(season: Season, turnout: date | None) -> int:
    return ((turnout or season.last_day) - season.first_day).days + 1


def steps_meant(system: System, name: str) -> list[str]:
    """Return the keys of the steps that a name means: a step's own, or all of a method."""
    if name in system.steps:
        return [name]
    return [key for key, step in system.steps.items() if step.method == name]


def _turnout(facts: WinterFacts, season: Season) -> tuple[date | None, list[Fault]]:
    given = facts.turnout_date
    if given is None:
        return None, []
    latest = season.last_day + LATEST_TURNOUT
    allowed = f"{season.first_day.isoformat()} to {latest.isoformat()}"
    try:
        turnout = date.fromisoformat(given)
    except ValueError:
        detail = f"The calendar has no {given}."
        return None, [Fault("turnout_date", detail, received=given, allowed=allowed)]
    if season.first_day <= turnout <= latest:
        return turnout, []
    detail = (
        f"Winter {season.name} begins on {season.first_day.isoformat()} and was planned to end on "
        f"{season.last_day.isoformat()}; {given} cannot be its turnout."
    )
    return None, [Fault("turnout_date", detail, received=given, allowed=allowed)]


def _unknown_system(scenario: Scenario, key: str) -> Fault:
    known = tuple(scenario.systems)
    near = nearest(key, known)
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        "system",
        f"The plan has no system {key}{hint}",
        received=key,
        allowed=f"one of {', '.join(known)}",
        suggestion=near,
    )


def _ground_days(asked: _Question) -> Iterator[Fault]:
    given = asked.facts.ground_days
    if given is None or asked.days is None:
        return
    total = sum(getattr(given, state) for state in STATES)
    if abs(total - asked.days) > DAY_OF_GRACE + ROUNDING:
        until = asked.facts.turnout_date or asked.season.last_day.isoformat()
        yield Fault(
            "ground_days",
            f"The days in the ground states add up to {said(total)}, and winter "
            f"{asked.season.name} from {asked.season.first_day.isoformat()} to {until} has "
            f"{asked.days}; change the days, or give turnout_date.",
            received=total,
            allowed=f"{asked.days - DAY_OF_GRACE} to {asked.days + DAY_OF_GRACE} in all",
            unit="day",
        )


def _days_by_method(asked: _Question) -> Iterator[Fault]:
    if asked.system is None:
        return
    days: dict[str, float] = {}
    told: dict[str, str] = {}
    for number, (name, given) in enumerate(asked.facts.days_by_method.items()):
        keys = steps_meant(asked.system, name)
        path = f"days_by_method.{name}"
        if len(keys) != 1:
            yield _no_step(asked.system, name, keys, look=number < MOST_SUGGESTIONS)
        elif keys[0] in days:
            detail = f"{told[keys[0]]} and {name} are the same step; keep one of them."
            yield Fault(path, detail, received=given)
        else:
            days[keys[0]], told[keys[0]] = given, name
            yield from _too_long(asked, path, given)
    yield from _all_together(asked, asked.system, days)


def _no_step(system: System, name: str, keys: list[str], *, look: bool) -> Fault:
    path = f"days_by_method.{name}"
    if keys:
        detail = f"The system has {len(keys)} steps of {name}: name them as {', '.join(keys)}."
        return Fault(path, detail, received=name, allowed=", ".join(keys), suggestion=keys[0])
    known = [*system.steps, *(step.method for step in system.steps.values())]
    near = nearest(name, known) if look else None
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        path,
        f"The system has no step {name}{hint}",
        received=name,
        allowed=f"one of {', '.join(system.steps)}",
        suggestion=near,
    )


def _too_long(asked: _Question, path: str, given: float) -> Iterator[Fault]:
    if asked.days is not None and given > asked.days + DAY_OF_GRACE:
        detail = f"{said(given)} days are more than winter {asked.season.name} had: {asked.days}."
        allowed = f"at most {asked.days + DAY_OF_GRACE}"
        yield Fault(path, detail, received=given, allowed=allowed, unit="day")


def _all_together(asked: _Question, system: System, days: Mapping[str, float]) -> Iterator[Fault]:
    """Yield the fault of animals that would have been on two steps on one day.

    A step that takes a share of them leaves the others elsewhere, and is not counted.
    """
    if asked.days is None:
        return
    most = asked.days + DAY_OF_GRACE
    for group in asked.scenario.herd:
        whole = [
            key
            for key in days
            if (step := system.steps[key]).share_of_herd >= 1
            and (step.groups is None or group in step.groups)
        ]
        total = sum(days[key] for key in whole)
        if total > most + ROUNDING and len(whole) > 1:
            yield Fault(
                "days_by_method",
                f"The days of {', '.join(whole)} add up to {said(total)} for {group}, and winter "
                f"{asked.season.name} had {asked.days}.",
                received=total,
                allowed=f"at most {most} in all",
                unit="day",
            )
            return
