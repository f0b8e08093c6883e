"""Hay wasted, from bales fed: the factor on the waste of the tables at which as much is fed."""

import numpy as np

from service.costing.averages import mean_of
from service.costing.engine import Costing, SystemCosting
from service.costing.errors import InputError
from service.costing.units import Array
from service.season.own_figures.ratios import Told, WinterRead, factor_at
from service.season.own_figures.records import LeftOut, SeasonRatio
from service.season.own_figures.starting import HAY_WASTE, most_of

TOO_LITTLE = "fewer bales were written down than the animals are taken to eat, waste or no waste"
NO_HAY = "no hay was fed whose waste stands in the tables"
TOO_MUCH = "more bales were written down than waste could account for"
NOT_ENOUGH = "with so much waste the hay of the plan would not last the winter"


def hay_eaten(costing: Costing, system: SystemCosting) -> Array:
    """Return the hay eaten [lb DM]."""
    return mean_of(costing.winters, system.feed.hay_eaten)


def hay_offered(costing: Costing, system: SystemCosting) -> Array:
    """Return the hay put before animals [lb DM]."""
    return mean_of(costing.winters, system.feed.hay_offered)


def waste_told(winter: WinterRead) -> tuple[Told | LeftOut, WinterRead]:
    """Return what a winter tells of waste, and the winter with as much hay handled as was fed.

    What the ground adds to waste stays that of the tables.
    """
    season, bales = winter.recorded.season, winter.facts.bales_fed
    if bales is None:
        return LeftOut(season, "the bales fed were not written down"), winter
    values = winter.of_kind(HAY_WASTE)
    expected = winter.expected(hay_offered)
    if not values or expected <= 0:
        return LeftOut(season, NO_HAY), winter
    hay = winter.scenario.hay
    fed = bales * hay.bale_weight_lb * hay.dry_matter_fraction
    if fed < winter.at(hay_offered, values, np.zeros(1))[0]:
        return LeftOut(season, TOO_LITTLE), winter
    most = min(most_of(winter.scenario, key) / value for key, value in values.items())
    factor = factor_at(winter, hay_offered, values, fed, most)
    if factor is None:
        return LeftOut(season, TOO_MUCH), winter
    try:
        as_fed = winter.with_values({key: factor * value for key, value in values.items()})
    except InputError:
        return LeftOut(season, NOT_ENOUGH), winter
    ratio = SeasonRatio(
        season=season,
        recorded=1 - as_fed.expected(hay_eaten) / fed,
        expected=1 - winter.expected(hay_eaten) / expected,
        unit="fraction",
        ratio=factor,
    )
    return Told(ratio, frozenset(values)), as_fed
