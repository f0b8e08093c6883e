"""What was written down of a winter against what the plan's figures take in such a winter.

The difference of each quantity, at the price of a unit, comes in with practice.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np

from service.costing.formulas.hay import bale_dry_matter, dry_matter_of_bales, hay_stored
from service.costing.units import MINUTES_PER_HOUR, Array
from service.season.as_it_was import days_of_winter
from service.season.replayed import Replayed, fuel_per_hour
from service.season.review.game import LINE_KEYS, Game
from service.season.review.ground_offsets import acres_recorded, forage_offset, repair_offset
from service.season.review.records import Unknown


@dataclass
class Recorded:
    """Money that what was written down adds to lines where practice is as it was."""

    money: dict[str, Array] = field(default_factory=dict)
    """By line, at the plan's prices and at those paid [currency/year]."""
    unknown: list[Unknown] = field(default_factory=list)

    def add(self, line: str, money: Iterable[float]) -> None:
        """Note that a line's quantity was recorded, and its money at both prices."""
        self.money[line] = np.array(list(money))

    def say(self, fact: str, words: str) -> None:
        """Note what cannot be told."""
        self.unknown.append(Unknown(fact, words))

    def added_to(self, lines: Array) -> Array:
        """Return the money at the corners with what was recorded in it.

        Parameters
        ----------
        lines : ndarray of shape (2, 2, 2, lines)
            Money at the corners [currency/year].
        """
        worth = lines.copy()
        for line, money in self.money.items():
            worth[:, :, 1, LINE_KEYS.index(line)] += money
        return worth


def recorded(game: Game) -> Recorded:
    """Return what was written down as money by line."""
    found = Recorded()
    for rule in (_hay, _hours, _fuel, _bedding, _supplement, _loads, _ground, _animals):
        rule(game, found)
    return found


def hay_offered_recorded(game: Game) -> float | None:
    """Return the dry matter of the bales that were fed [lb DM]; None if nobody counted."""
    if game.facts.bales_fed is None:
        return None
    hay = game.planned.scenario.hay
    weight = game.facts.bale_weight_lb or hay.bale_weight_lb
    of_one = bale_dry_matter(weight, hay.dry_matter_fraction)
    return float(dry_matter_of_bales(game.facts.bales_fed, of_one))


def hours_recorded(game: Game) -> float | None:
    """Return the hours of people [hour]; None if nobody told."""
    facts = game.facts
    if facts.labor_hours is not None:
        return facts.labor_hours
    if facts.minutes_per_day is None:
        return None
    return facts.minutes_per_day * days_of_winter(game.planned, facts) / MINUTES_PER_HOUR


def burns_fuel(replayed: Replayed) -> bool:
    """Whether any machine that the system uses is costed with its fuel apart."""
    labor = replayed.system.labor
    return labor is not None and any(
        item.rate is not None and fuel_per_hour(replayed.costing, item.task.machine) > 0
        for item in labor.tasks
    )


def _at_both_prices(game: Game, worth: Callable[[Replayed], float]) -> Iterator[float]:
    """Yield a worth at the plan's prices and at those paid, in the winter as it was."""
    for price in (False, True):
        yield worth(game.at(weather=True, price=price, practice=True))


def _hay(game: Game, found: Recorded) -> None:
    offered = hay_offered_recorded(game)
    if offered is None:
        return
    usual = game.as_it_was.quantities
    eaten = min(usual.hay_eaten_lb, offered)
    if usual.hay_offered_lb > 0:
        lost_of_offered = usual.hay_stored_lb / usual.hay_offered_lb - 1
    else:
        eaten = offered
        lost_of_offered = _lost_of_offered(game)
        found.say(
            "bales_fed",
            "The plan feeds no hay in such a winter: the hay that was fed is counted as eaten, "
            "since how much of it was wasted cannot be told.",
        )
    more = {
        "hay_eaten": eaten - usual.hay_eaten_lb,
        "hay_wasted": (offered - eaten) - (usual.hay_offered_lb - usual.hay_eaten_lb),
        "hay_lost_in_storage": offered * lost_of_offered
        - (usual.hay_stored_lb - usual.hay_offered_lb),
    }
    for line, pounds in more.items():
        found.add(line, [pounds * worth for worth in _at_both_prices(game, _of_hay)])


def _of_hay(replayed: Replayed) -> float:
    return replayed.hay_worth_per_lb


def _lost_of_offered(game: Game) -> float:
    storage = game.planned.system.hay_storage or game.planned.scenario.hay.storage
    loss = game.as_it_was.costing.case.value(f"hay_storage_loss.{storage}")
    return float(hay_stored(1.0, loss)) - 1


def _hours(game: Game, found: Recorded) -> None:
    hours = hours_recorded(game)
    if hours is None:
        return
    more = hours - game.as_it_was.quantities.labor_hours
    wages = _at_both_prices(game, lambda played: played.scenario.prices.labor_per_hour)
    found.add("labor", [more * wage for wage in wages])
    if game.facts.labor_hours is None:
        found.say(
            "minutes_per_day",
            "Hours are the minutes of an ordinary day times the days of the winter: days that "
            "took longer are not told.",
        )


def _fuel(game: Game, found: Recorded) -> None:
    burnt = game.facts.fuel_gallon
    if burnt is None:
        return
    if not burns_fuel(game.as_it_was):
        found.say(
            "fuel_gallon",
            "The machines of this system are at custom rates, with their fuel in them: what was "
            "burnt is held against nothing.",
        )
        return
    more = burnt - game.as_it_was.quantities.fuel_gallon
    prices = _at_both_prices(game, lambda played: played.scenario.prices.diesel_per_gallon)
    found.add("machinery", [more * price for price in prices])
    found.say(
        "machine_hours",
        "Of machinery only fuel was written down: hours of machines are what such a winter takes "
        "by the plan's figures.",
    )


def _bedding(game: Game, found: Recorded) -> None:
    used = game.facts.bedding_ton
    if used is None:
        return
    more = used - game.as_it_was.quantities.bedding_ton
    prices = _at_both_prices(game, lambda played: played.scenario.prices.bedding_per_ton)
    found.add("bedding", [more * price for price in prices])


def _supplement(game: Game, found: Recorded) -> None:
    fed = game.facts.supplement_ton
    if fed is None:
        return
    paid = game.facts.prices.supplement_per_ton
    if game.planned.scenario.supplement is None and paid is None:
        found.say(
            "prices.supplement_per_ton",
            "The plan has no supplement and its price was not written down: it is counted in tons "
            "and not in money.",
        )
        return
    more = fed - game.as_it_was.quantities.supplement_ton

    def price(played: Replayed) -> float:
        planned = played.scenario.supplement
        return (paid or 0.0) if planned is None else planned.price_per_ton

    found.add("supplement", [more * each for each in _at_both_prices(game, price)])


def _loads(game: Game, found: Recorded) -> None:
    hauled = game.facts.manure_loads
    if hauled is None:
        return
    usual = game.as_it_was.quantities.manure_loads
    if usual <= 0:
        found.say(
            "manure_loads",
            "The plan hauls no manure in such a winter: the loads that were hauled are counted and "
            "not in money.",
        )
        return
    line = LINE_KEYS.index("manure_handling")
    costs = _at_both_prices(game, lambda played: float(played.lines[line]))
    found.add("manure_handling", [(hauled - usual) * cost / usual for cost in costs])


def _ground(game: Game, found: Recorded) -> None:
    acres = acres_recorded(game)
    if acres is None:
        return
    if acres.taken_as:
        found.say("acres_by_severity", acres.taken_as)
    repair = repair_offset(game, acres.by_severity)
    if repair is None:
        found.say("acres_to_fix", "The tables in use tell no cost of repair of such damage.")
    else:
        found.add("ground_restoration", [repair, repair])
    grass = [forage_offset(game, acres.by_severity, price=price) for price in (False, True)]
    if None in grass:
        found.say(
            "acres_to_fix",
            "What the damaged acres grow less is not in money: the plan damages no ground in such "
            "a winter, or the tables in use tell no loss of such damage.",
        )
    else:
        found.add("forage_lost", [money for money in grass if money is not None])


def _animals(game: Game, found: Recorded) -> None:
    if not any(game.facts.animals_lost.values()):
        return
    found.say(
        "animals_lost",
        "Animals lost are counted and not in money: the plan knows a worth of young alone, and "
        "these were of the herd."
        if game.planned.scenario.animal_losses
        else "Animals lost are counted and not in money: the plan counts none.",
    )
