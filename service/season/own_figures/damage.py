"""Ground damaged, from acres to fix: the factor on what is trampled at which the acres are met.

The edges of pads are no figure of trampling and stay as they are.
"""

import numpy as np

from service.analysis.held_damage import TRAMPLING
from service.costing.engine import Costing, SystemCosting
from service.costing.quantities import acres_damaged_by_draw
from service.costing.units import Array
from service.season.as_it_was import weather_known
from service.season.figures import figure_of
from service.season.own_figures.ratios import Told, WinterRead, factor_at
from service.season.own_figures.records import LeftOut, SeasonRatio


def acres_damaged(costing: Costing, system: SystemCosting) -> Array:
    """Return the acres damaged, all severities [acre]."""
    return np.sum(acres_damaged_by_draw(costing, system), axis=0)


def damage_told(winter: WinterRead) -> Told | LeftOut:
    """Return what a winter tells of damage; only one whose ground is known tells anything."""
    season, acres = winter.recorded.season, _acres(winter)
    if acres is None:
        return LeftOut(season, "the acres to fix were not written down")
    if weather_known(winter.recorded.planned, winter.facts) in ("length", "none"):
        why = "the days of frozen, snowy, firm and wet ground in that winter are not known"
        return LeftOut(season, why)
    values = winter.of_kind(TRAMPLING)
    expected = winter.expected(acres_damaged)
    least = figure_of("own.damage.least_acres").usual
    if not values or expected < least:
        why = f"in such a winter under {least:g} acre is expected to be damaged"
        return LeftOut(season, why)
    factor = factor_at(winter, acres_damaged, values, max(acres, least))
    if factor is None:
        why = (
            f"{acres:,.1f} acres are more than the plan's ground, or far more than it would damage"
        )
        return LeftOut(season, why)
    ratio = SeasonRatio(season, acres, expected, "acre", factor)
    return Told(ratio, frozenset(values))


def _acres(winter: WinterRead) -> float | None:
    told = winter.facts.acres_by_severity
    if told is not None:
        return told.light + told.moderate + told.severe
    return winter.facts.acres_to_fix
