"""The three guesses worth checking first: what was not given and could change the answer.

Every reference value that a farm can find out for itself is taken at its low and at its high, all
else at usual. A first look is taken on the mean winter; those that matter there are worked again on
all winters.
"""

from typing import Any

import numpy as np

from service.costing.case import Case
from service.costing.engine import Costing, worked
from service.costing.mean_winter import on_mean_winter
from service.costing.reference.table import Row
from service.costing.scenario import Scenario
from service.costing.swings import Swing, by_rank, scores_by_draw, swings_of
from service.costing.units import Array

MOST = 3
"""Guesses that are named."""

SECOND_LOOK = 12
"""Guesses that are worked on all winters."""

Guess = tuple[Row, Swing]


def check_first_of(costing: Costing) -> list[dict[str, Any]]:
    """Return at most three inputs not given, with what they would change and how to find them out.

    Those that would change the first place come first, then those that move the lead most.
    """
    rows = _candidates(costing.case)
    if not rows:
        return []
    systems = list(costing.systems)
    scores = scores_by_draw(costing, systems, 1)[:, 0]
    order = [systems[number] for number in by_rank(scores.tolist(), systems)]
    short = on_mean_winter(costing.case.scenario, costing.winters)
    looked = _guesses(short, rows, order)[:SECOND_LOOK]
    sure = _guesses(costing.case.scenario, [row for row, _ in looked], order)
    return [_written(row, swing) for row, swing in sure[:MOST] if swing.size > 0]


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
    """Return the guesses, the weightiest first."""
    draws = 2 * len(rows)
    varied: dict[str, Array] = {}
    for position, row in enumerate(rows):
        values = np.full((draws, 1), float(row.usual))
        values[2 * position : 2 * position + 2, 0] = row.low, row.high
        varied[f"assumptions.{row.key}"] = values
    costing = worked(Case(scenario, varied=varied))
    swings = swings_of(scores_by_draw(costing, order, draws), order)
    guesses = list(zip(rows, swings, strict=True))
    return sorted(guesses, key=lambda guess: (*guess[1].weight, guess[0].key))


def _written(row: Row, swing: Swing) -> dict[str, Any]:
    return {
        "input": f"assumptions.{row.key}",
        "meaning": row.meaning,
        "unit": row.unit,
        "low": row.low,
        "usual": row.usual,
        "high": row.high,
        "best_at_low": swing.best_at_low,
        "best_at_high": swing.best_at_high,
        "lead_at_low": swing.lead_at_low,
        "lead_at_high": swing.lead_at_high,
        "changes_best": swing.changes_best,
        "find_out": row.find_out,
    }
