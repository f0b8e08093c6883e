"""Systems held against each other: rank, ties, and each against the baseline."""

from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from service.costing.averages import number, winters_of
from service.costing.engine import Costing, SystemCosting
from service.costing.formulas.time_value import (
    discounted_payback_years,
    internal_rate,
    modified_internal_rate,
    present_value,
)
from service.costing.lines import LINES
from service.costing.margin import farm_margin, has_herd_change
from service.costing.units import CLOSE_CALL_FRACTION, SURE_OF_WINTERS_FRACTION, Array


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a system stands among the others."""

    rank: int
    tie_with: list[str]
    cheapest_in_winters: int


def standings_of(costing: Costing) -> dict[str, Standing]:
    """Return rank, ties and winters won of each system.

    Systems with different herds are ranked by farm margin, the others by annual equivalent cost.
    """
    scores = scores_of(costing)
    order = sorted(scores, key=lambda key: (scores[key], key))
    winters = {key: by_winter(costing, system) for key, system in costing.systems.items()}
    offset = {key: scores[key] - annual(system) for key, system in costing.systems.items()}
    ties: dict[str, list[str]] = {key: [] for key in order}
    for cheaper, dearer in combinations(order, 2):
        if _too_close(costing, scores, winters, offset, cheaper, dearer):
            ties[cheaper].append(dearer)
            ties[dearer].append(cheaper)
    table = np.array([winters[key] + offset[key] for key in order])
    won = np.bincount(np.argmin(table, axis=0), minlength=len(order))
    return {
        key: Standing(
            rank=position + 1,
            tie_with=sorted(ties[key], key=order.index),
            cheapest_in_winters=int(won[position]),
        )
        for position, key in enumerate(order)
    }


def scores_of(costing: Costing) -> dict[str, float]:
    """Return what systems are ranked by, the least first."""
    if has_herd_change(costing):
        return {key: -farm_margin(costing, key) for key in costing.systems}
    return {key: annual(system) for key, system in costing.systems.items()}


def annual(system: SystemCosting) -> float:
    """Return the annual equivalent cost of a system."""
    return number(system.account.annual_equivalent.value)


def by_winter(costing: Costing, system: SystemCosting) -> Array:
    """Return what a horizon of each winter costs a year."""
    return winters_of(costing.winters, system.account.by_winter).reshape(
        -1, len(costing.winters.seasons)
    )[0]


def _too_close(
    costing: Costing,
    scores: dict[str, float],
    winters: dict[str, Array],
    offset: dict[str, float],
    cheaper: str,
    dearer: str,
) -> bool:
    base = abs(annual(costing.systems[cheaper]))
    if scores[dearer] - scores[cheaper] < CLOSE_CALL_FRACTION * base:
        return True
    weight = costing.winters.weight.value[:-1]
    wins = winters[cheaper] + offset[cheaper] < winters[dearer] + offset[dearer]
    return float(np.sum(weight * wins) / np.sum(weight)) < SURE_OF_WINTERS_FRACTION


def flows_of(system: SystemCosting) -> Array:
    """Return all money of a system in each year, shape (years + 1,)."""
    return system.account.by_year.value[..., 0, 0].sum(axis=1)


def lines_of(system: SystemCosting) -> dict[str, float]:
    """Return the annual equivalent of each line."""
    return {
        key: float(value)
        for key, value in zip(LINES, system.account.lines.value[:, 0, 0], strict=True)
    }


def against_baseline(costing: Costing, key: str) -> dict[str, Any]:
    """Return one system against the baseline: difference by line, and the investment worked out."""
    system, baseline = costing.systems[key], costing.baseline
    own, base = lines_of(system), lines_of(baseline)
    flow = flows_of(baseline) - flows_of(system)
    rate = number(costing.money.discount_rate.value)
    internal, reason = internal_rate(flow)
    by_line = {line: own[line] - base[line] for line in LINES}
    return {
        "system": key,
        "annual_difference": annual(system) - annual(baseline),
        "by_line": by_line,
        "partial_budget": {
            "costs_added": {line: value for line, value in by_line.items() if value > 0},
            "costs_saved": {line: -value for line, value in by_line.items() if value < 0},
        },
        "extra_investment": float(-flow[0]),
        "net_present_value": float(present_value(flows=flow, discount_rate=rate)),
        "internal_rate": internal,
        "internal_rate_reason": reason,
        "modified_internal_rate": modified_internal_rate(flow, rate, rate),
        "discounted_payback_years": discounted_payback_years(flow, rate),
        "flow_by_year": [float(value) for value in flow],
    }
