"""What must hold of how much was used, fed, lost and paid in a winter."""

from collections.abc import Iterator, Mapping
from typing import Any

from service.costing.errors import Fault, nearest
from service.costing.plan import System
from service.costing.scenario import Scenario
from service.costing.units import MINUTES_PER_HOUR, MOST_WASTE_FRACTION, POUNDS_PER_TON
from service.season.facts import WinterFacts

BALE_OF_GRACE = 1
NEARLY = 0.1
"""How far two guesses of one thing may be apart, as a fraction of the greater."""
ROUNDING = 1e-9
MOST_SUGGESTIONS = 50
EATEN = ("hay_eaten_ton_dm", "stockpile_eaten_ton_dm", "supplement_ton_dm")


def most_bales(
    costed: Mapping[str, Any], facts: WinterFacts, scenario: Scenario, days: int
) -> float:
    """Return how many bales the herd could be offered in a winter at the worst [bale].

    All that it eats in the mean winter is taken as hay, from the system in which it eats most, and
    as much of the hay wasted as the model ever lets be.

    Parameters
    ----------
    costed : mapping
        A costing of the scenario as a document.
    facts : WinterFacts
        Weight of a bale, where it is known.
    scenario : Scenario
        The same for where it is not.
    days : int
        Length of the winter [day].
    """
    eaten = max(
        sum(system["quantities"][quantity] for quantity in EATEN) for system in costed["systems"]
    )
    offered = eaten * POUNDS_PER_TON / (1 - MOST_WASTE_FRACTION)
    stretched = days / costed["winter"]["days"]
    weight = facts.bale_weight_lb or scenario.hay.bale_weight_lb
    return offered * stretched / (weight * scenario.hay.dry_matter_fraction)


def hours_told_twice(facts: WinterFacts, days: int) -> Iterator[Fault]:
    """Yield the fault of hours and minutes a day that do not agree."""
    hours, minutes = facts.labor_hours, facts.minutes_per_day
    if hours is None or minutes is None:
        return
    worked = minutes * days / MINUTES_PER_HOUR
    if not _alike(hours, worked):
        yield Fault(
            "labor_hours",
            f"{said(minutes)} minutes a day over {days} days are {said(round(worked))} "
            f"hours, not {said(hours)}; keep the one that you are surer of.",
            received=hours,
            unit="hour",
        )


def acres_faults(facts: WinterFacts, scenario: Scenario) -> Iterator[Fault]:
    """Yield the faults of acres to fix: told twice and not alike, or more than there are."""
    by_severity = facts.acres_by_severity
    total = facts.acres_to_fix
    if by_severity is not None:
        parts = by_severity.light + by_severity.moderate + by_severity.severe
        if total is not None and not _alike(total, parts):
            yield Fault(
                "acres_to_fix",
                f"The acres by severity add up to {said(parts)}, not {said(total)}; keep one of "
                "the two, or make them agree.",
                received=total,
                unit="acre",
            )
        yield from _too_many_acres(scenario, "acres_by_severity", parts)
    if total is not None:
        yield from _too_many_acres(scenario, "acres_to_fix", total)


def _too_many_acres(scenario: Scenario, path: str, acres: float) -> Iterator[Fault]:
    most = sum(field.acres for field in scenario.land.fields.values())
    if acres > most + ROUNDING:
        detail = f"{said(acres)} acres are more than the fields of the plan have: {said(most)}."
        yield Fault(path, detail, received=acres, allowed=f"at most {said(most)}", unit="acre")


def animals_faults(
    facts: WinterFacts, scenario: Scenario, system: System | None
) -> Iterator[Fault]:
    """Yield the faults of animals lost: of no group, or more than a group has."""
    herd = scenario.herd
    bought = system.herd_change if system is not None else {}
    for number, (key, lost) in enumerate(facts.animals_lost.items()):
        path = f"animals_lost.{key}"
        if key not in herd:
            near = nearest(key, tuple(herd)) if number < MOST_SUGGESTIONS else None
            hint = f"; did you mean {near}?" if near else "."
            allowed = f"one of {', '.join(herd)}"
            detail = f"The herd has no group {key}{hint}"
            yield Fault(path, detail, received=key, allowed=allowed, suggestion=near)
            continue
        head = herd[key].head + (max(bought[key].head, 0) if key in bought else 0)
        if lost > head:
            detail = f"{said(lost)} lost are more than {key} has: {said(head)}."
            yield Fault(path, detail, received=lost, allowed=f"at most {said(head)}", unit="head")


def hay_priced_twice(facts: WinterFacts) -> Iterator[Fault]:
    """Yield the fault of hay that has two prices."""
    paid = facts.prices
    if paid.hay_per_ton is not None and paid.hay_per_bale is not None:
        detail = "Hay has a price per ton and one per bale; keep the one that was paid."
        yield Fault("prices.hay_per_bale", detail, received=paid.hay_per_bale)


def bales_faults(facts: WinterFacts, possible: float | None) -> Iterator[Fault]:
    """Yield the fault of more bales than there were, or than could be put before the herd.

    Parameters
    ----------
    facts : WinterFacts
        What is known of the winter.
    possible : float or None
        The most that the herd could be offered [bale], if that is known.
    """
    fed, on_hand, bought = facts.bales_fed, facts.bales_on_hand, facts.bales_bought
    if fed is None:
        return
    if on_hand is not None and bought is not None and fed > on_hand + bought + BALE_OF_GRACE:
        there = on_hand + bought
        yield Fault(
            "bales_fed",
            f"{said(fed)} bales were fed, and there were {said(there)}: {said(on_hand)} on hand "
            f"and {said(bought)} bought.",
            received=fed,
            allowed=f"at most {said(there)}",
            unit="bale",
        )
    elif possible is not None and fed > possible + BALE_OF_GRACE:
        yield Fault(
            "bales_fed",
            f"{said(fed)} bales are more than this herd could be offered in that winter, even "
            f"with {MOST_WASTE_FRACTION:.0%} of the hay wasted; look at bale_weight_lb too.",
            received=fed,
            allowed=f"at most {said(int(possible))}",
            unit="bale",
        )


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= NEARLY * max(one, other) + ROUNDING


def said(value: float) -> str:
    """Return a number in a sentence."""
    return f"{value:,.2f}".rstrip("0").rstrip(".")
