"""Quantities of a winter: planned, expected in a winter like that one, and written down."""

from collections.abc import Callable, Iterator

from service.costing.averages import mean_of, number
from service.costing.methods import METHODS
from service.costing.units import STATES
from service.costing.wording import named, spoken
from service.season.as_it_was import days_by_step, days_of_winter
from service.season.replayed import Quantities, Replayed
from service.season.review.game import Game
from service.season.review.ground_offsets import acres_recorded
from service.season.review.offsets import hay_offered_recorded, hours_recorded
from service.season.review.records import QuantityReview

WET = STATES.index("wet")


def quantities_reviewed(game: Game) -> tuple[QuantityReview, ...]:
    """Return the quantities that people write down; those that nobody has are left out."""
    found = [
        *_days(game),
        *_hay(game),
        *_others(game),
        *_acres(game),
        *_steps(game),
        *_animals(game),
    ]
    return tuple(item for item in found if item.planned or item.expected or item.actual)


def wet_days(replayed: Replayed) -> float:
    """Return the wet days in the mean of the winters [day]."""
    winters = replayed.costing.winters
    return number(mean_of(winters, winters.days)[WET])


def _days(game: Game) -> Iterator[QuantityReview]:
    plan, such = game.plan, game.such_a_winter
    length = None
    if game.weather_from != "none":
        length = days_of_winter(game.planned, game.facts)
    yield QuantityReview(
        "days", "Days of winter", "day", plan.quantities.days, such.quantities.days, length
    )
    wet = wet_days(such)
    known = wet if game.ground_known else None
    yield QuantityReview("wet_days", "Wet days", "day", wet_days(plan), wet, known)


def _hay(game: Game) -> Iterator[QuantityReview]:
    hay = game.planned.scenario.hay
    bale = hay.bale_weight_lb * hay.dry_matter_fraction
    plan, such = (each.quantities.hay_offered_lb for each in (game.plan, game.such_a_winter))
    fed = game.facts.bales_fed
    yield QuantityReview("bales_fed", "Bales fed", "bale", plan / bale, such / bale, fed)
    offered = hay_offered_recorded(game)
    yield QuantityReview("hay_offered", "Hay put before animals", "lb DM", plan, such, offered)


def _others(game: Game) -> Iterator[QuantityReview]:
    facts = game.facts

    def row(
        key: str, title: str, unit: str, read: Callable[[Quantities], float], told: float | None
    ) -> QuantityReview:
        plan, such = game.plan.quantities, game.such_a_winter.quantities
        return QuantityReview(key, title, unit, read(plan), read(such), told)

    yield row("labor_hours", "Hours", "hour", lambda of: of.labor_hours, hours_recorded(game))
    yield row("fuel_gallon", "Fuel", "gallon", lambda of: of.fuel_gallon, facts.fuel_gallon)
    yield row("bedding_ton", "Bedding", "ton", lambda of: of.bedding_ton, facts.bedding_ton)
    yield row(
        "supplement_ton", "Supplement", "ton", lambda of: of.supplement_ton, facts.supplement_ton
    )
    yield row(
        "manure_loads", "Loads of manure", "load", lambda of: of.manure_loads, facts.manure_loads
    )


def _acres(game: Game) -> Iterator[QuantityReview]:
    plan, such = game.plan.quantities, game.such_a_winter.quantities
    acres = acres_recorded(game)
    told = None if acres is None else sum(acres.by_severity.values())
    yield QuantityReview(
        "acres_to_fix", "Acres to fix", "acre", plan.acres_in_all, such.acres_in_all, told
    )
    by_severity = game.facts.acres_by_severity
    for name in ("light", "moderate", "severe"):
        yield QuantityReview(
            f"acres_to_fix.{name}",
            f"Acres to fix, {name}",
            "acre",
            plan.acres[name],
            such.acres[name],
            None if by_severity is None else getattr(by_severity, name),
        )


def _steps(game: Game) -> Iterator[QuantityReview]:
    told = days_by_step(game.planned.system, game.facts)
    plan, such = game.plan.quantities.served_days, game.such_a_winter.quantities.served_days
    for key, step in game.planned.system.steps.items():
        yield QuantityReview(
            f"days.{key}",
            f"Days of {_called(key, step.method)}",
            "day",
            plan[key],
            such[key],
            told.get(key),
        )


def _called(key: str, method: str) -> str:
    """Return the key of a step as words, with its method where the key is another word."""
    words = spoken(key)
    return (
        words
        if spoken(method) in words or method not in METHODS
        else (f"{words} ({spoken(method)})")
    )


def _animals(game: Game) -> Iterator[QuantityReview]:
    herd = game.planned.scenario.herd
    for key, lost in game.facts.animals_lost.items():
        title = named(herd[key].title if key in herd else None, key)
        yield QuantityReview(
            f"animals_lost.{key}", f"Animals lost: {title}", "head", 0.0, 0.0, lost
        )
