"""Acres to repair that were written down, against those of such a winter by the plan's figures."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.costing.averages import number
from service.costing.formulas.trampling import forage_years_lost
from service.costing.units import SEVERITIES
from service.season.review.game import LINE_KEYS, Game

UNTOLD = "moderate"
"""What acres are taken as where nothing tells how badly they are damaged."""


YEARS = (1, 2, 3)
"""Years after the damage in which the tables have a loss."""


@dataclass(frozen=True, slots=True)
class AcresRecorded:
    """Acres to repair."""

    by_severity: dict[str, float]
    taken_as: str
    """How acres in all were split, in words; empty where they were told by severity."""


def acres_recorded(game: Game) -> AcresRecorded | None:
    """Return the acres to repair [acre]; None if nobody told."""
    told, in_all = game.facts.acres_by_severity, game.facts.acres_to_fix
    if told is not None:
        return AcresRecorded({name: getattr(told, name) for name in SEVERITIES}, "")
    if in_all is None:
        return None
    usual = game.as_it_was.quantities
    if usual.acres_in_all > 0:
        parts = {name: in_all * usual.acres[name] / usual.acres_in_all for name in SEVERITIES}
        words = (
            "How badly the acres are damaged was not written down: light, moderate and severe are "
            "shared out as the plan's figures have them in such a winter."
        )
        return AcresRecorded(parts, words)
    words = (
        "How badly the acres are damaged was not written down, and the plan damages none in such a "
        f"winter: they are taken as {UNTOLD}."
    )
    return AcresRecorded({name: in_all * (name == UNTOLD) for name in SEVERITIES}, words)


def repair_offset(game: Game, acres: Mapping[str, float]) -> float | None:
    """Return what the repair costs beyond that of such a winter [currency/year].

    None where the tables give no cost of such a repair.
    """
    usual = game.as_it_was.quantities.acres
    more = {name: acres[name] - usual[name] for name in SEVERITIES}
    costs = _values(game, "restoration.cost_per_acre.{}", more)
    return None if costs is None else sum(more[name] * costs[name] for name in costs)


def forage_offset(game: Game, acres: Mapping[str, float], *, price: bool) -> float | None:
    """Return the worth of grass lost beyond that of such a winter [currency/year].

    In proportion to the acres, each counted by the years of yield that its damage costs. None
    where such a winter damages nothing, so that there is nothing to be in proportion to.
    """
    usual = game.as_it_was.quantities.acres
    years = _years_lost(game, acres, usual)
    if years is None:
        return None
    before = sum(usual[name] * years[name] for name in years)
    after = sum(acres[name] * years[name] for name in years)
    if before <= 0:
        return None if after > 0 else 0.0
    replayed = game.at(weather=True, price=price, practice=True)
    lost = float(replayed.lines[LINE_KEYS.index("forage_lost")])
    return lost * (after / before - 1)


def _years_lost(game: Game, *acres: Mapping[str, float]) -> dict[str, float] | None:
    needed = {name: sum(each[name] for each in acres) for name in SEVERITIES}
    by_year = [_values(game, f"restoration.forage_loss.{{}}.{year}", needed) for year in YEARS]
    first, second, third = by_year
    if first is None or second is None or third is None:
        return None
    rate = game.as_it_was.costing.money.discount_rate.value
    return {
        name: number(forage_years_lost(first[name], second[name], third[name], rate))
        for name in first
    }


def _values(game: Game, key: str, needed: Mapping[str, float]) -> dict[str, float] | None:
    """Return a reference value of each severity that is needed; None if one is lacking."""
    case = game.as_it_was.costing.case
    keys = {name: key.format(name) for name, amount in needed.items() if amount != 0}
    if not all(case.has(each) for each in keys.values()):
        return None
    return {name: case.value(each) for name, each in keys.items()}
