"""The three guesses worth checking first: what was not given and could change the answer.

Every reference value that a farm can find out for itself is taken at its low and at its high, all
else at usual. A first look is taken on the mean winter; those that matter there are worked again on
all winters.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from service.costing.case import Case
from service.costing.engine import Costing, worked
from service.costing.reference.table import Row
from service.costing.scenario import Scenario
from service.costing.units import STATES, Array
from service.costing.winter import ByState, GroundDays, SpellDays, Winter, WinterRow
from service.costing.winter_rows import WinterRows

MOST = 3
"""Guesses that are named."""

SECOND_LOOK = 12
"""Guesses that are worked on all winters."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What one reference value does to the answer between its low and its high."""

    row: Row
    best_at_low: str
    best_at_high: str
    lead_at_low: float
    lead_at_high: float
    changes_best: bool

    @property
    def swing(self) -> float:
        """How far the lead of the cheapest over the next moves."""
        return abs(self.lead_at_high - self.lead_at_low)


def check_first_of(costing: Costing) -> list[dict[str, Any]]:
    """Return at most three inputs not given, with what they would change and how to find them out.

    Those that would change the first place come first, then those that move the lead most.
    """
    rows = _candidates(costing.case)
    if not rows:
        return []
    order = sorted(
        costing.systems,
        key=lambda key: float(costing.systems[key].account.annual_equivalent.value[0, 0]),
    )
    short = _on_mean_winter(costing.case.scenario, costing.winters)
    looked = _guesses(short, rows, order)[:SECOND_LOOK]
    sure = _guesses(costing.case.scenario, [guess.row for guess in looked], order)
    return [_written(guess) for guess in sure[:MOST] if guess.swing > 0]


def _candidates(case: Case) -> list[Row]:
    """Return the reference values that were used, not given, have a range, and can be found out."""
    return [
        row
        for key in case.used
        if key not in case.scenario.assumptions
        and (row := case.edition.rows.get(key)) is not None
        and row.find_out
        and row.low is not None
        and row.high is not None
        and row.low < row.high
    ]


def _guesses(scenario: Scenario, rows: list[Row], order: list[str]) -> list[Guess]:
    draws = 2 * len(rows)
    varied: dict[str, Array] = {}
    for position, row in enumerate(rows):
        values = np.full((draws, 1), float(row.usual))
        values[2 * position : 2 * position + 2, 0] = row.low, row.high
        varied[f"assumptions.{row.key}"] = values
    systems = worked(Case(scenario, varied=varied)).systems
    costs: Array = np.stack(
        [
            np.broadcast_to(systems[key].account.annual_equivalent.value[:, 0], (draws,))
            for key in order
        ]
    )
    best: list[int] = np.argmin(costs, axis=0).tolist()
    lead = np.min(costs[1:], axis=0) - costs[0] if len(order) > 1 else costs[0]
    guesses = [
        Guess(
            row=row,
            best_at_low=order[best[2 * position]],
            best_at_high=order[best[2 * position + 1]],
            lead_at_low=float(lead[2 * position]),
            lead_at_high=float(lead[2 * position + 1]),
            changes_best=bool(best[2 * position] or best[2 * position + 1]),
        )
        for position, row in enumerate(rows)
    ]
    return sorted(guesses, key=lambda guess: (not guess.changes_best, -guess.swing, guess.row.key))


def _on_mean_winter(scenario: Scenario, winters: WinterRows) -> Scenario:
    """Return the scenario with its mean winter as the only one."""

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


def _written(guess: Guess) -> dict[str, Any]:
    row = guess.row
    return {
        "input": f"assumptions.{row.key}",
        "meaning": row.meaning,
        "unit": row.unit,
        "low": row.low,
        "usual": row.usual,
        "high": row.high,
        "best_at_low": guess.best_at_low,
        "best_at_high": guess.best_at_high,
        "lead_at_low": guess.lead_at_low,
        "lead_at_high": guess.lead_at_high,
        "changes_best": guess.changes_best,
        "find_out": row.find_out,
    }
