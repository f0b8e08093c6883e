"""A scenario with its mean winter as the only one."""

from dataclasses import replace

import numpy as np

from service.costing.scenario import Scenario
from service.costing.units import STATES, Array
from service.costing.winter import ByState, GroundDays, SpellDays, Winter, WinterRow
from service.costing.winter_rows import WinterRows


def on_mean_winter(scenario: Scenario, winters: WinterRows) -> Scenario:
    """Return the scenario with its mean winter as the only one.

    Parameters
    ----------
    scenario : Scenario
        The question.
    winters : WinterRows
        Its winters, worked on values that do not vary.
    """

    def by_state(array: Array | None) -> dict[str, float | None]:
        if array is None:
            return {}
        means = array[:, 0, -1]
        return {
            state: None if np.isnan(means[i]) else float(means[i]) for i, state in enumerate(STATES)
        }

    row = WinterRow(
        ground_days=GroundDays(
            **{state: float(winters.days.value[i, 0, -1]) for i, state in enumerate(STATES)}
        ),
        stockpile_growth_factor=float(winters.growth_factor.value[-1]),
        hay_price_factor=_mean_price_factor(winters, scenario.winter),
        rain_in=None if winters.rain is None else float(winters.rain.value[-1]),
        effective_temperature_f=ByState(
            **by_state(winters.temperature.value if winters.temperature else None)
        ),
        spell_days=SpellDays(**by_state(winters.spell_days.value if winters.spell_days else None)),
    )
    winter = Winter(
        first_day=scenario.winter.first_day, last_day=scenario.winter.last_day, rows=[row]
    )
    return replace(scenario, winter=winter)


def _mean_price_factor(winters: WinterRows, winter: Winter) -> float:
    """Return the mean factor on the hay price."""
    factors = [
        winter.hay_price_factor if row.hay_price_factor is None else row.hay_price_factor
        for row in winter.rows
    ] or [winter.hay_price_factor]
    return float(np.average(factors, weights=winters.weight.value[:-1]))
