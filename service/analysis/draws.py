"""Costs of all systems for many values of the inputs at once, by runs of the engine."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from service.costing.case import Case, Picks
from service.costing.engine import Costing, worked
from service.costing.margin import earned_before_winter, has_herd_change
from service.costing.scenario import Scenario
from service.costing.units import NEGLIGIBLE, Array
from service.costing.winter_rows import rows_of

MOST_CELLS = 24_576
"""Draws x winters of one run: enough for the arrays to outweigh the calls, few enough for the
processor's cache."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What each system came to in each draw, shape (systems, draws)."""

    systems: Sequence[str]
    scores: Array
    """What systems are ranked by, the least first: annual equivalent cost, or where herds differ
    that less what the farm earns before winter [currency/year]."""
    costs: Array
    """Annual equivalent cost [currency/year]."""
    short: NDArray[np.bool_]
    """Whether animals are left without a place to be fed, so that the cost is not the whole."""

    @property
    def best(self) -> list[str]:
        """The first system of each draw; of several alike the one that was given first."""
        first: list[int] = np.argmin(self.scores, axis=0).tolist()
        return [self.systems[number] for number in first]


def with_systems(scenario: Scenario, systems: Sequence[str]) -> Scenario:
    """Return the scenario with some of its systems, and those that they are scaled and paid by.

    Those are the baseline, by which damage is scaled, and where herds differ the systems that say
    first what a group earns.
    """
    kept = {scenario.baseline, *systems}
    if any(scenario.systems[key].herd_change for key in kept):
        kept |= {
            next((key for key, system in scenario.systems.items() if group in system.margin), "")
            for group in scenario.herd
        }
    return replace(
        scenario,
        systems={key: system for key, system in scenario.systems.items() if key in kept},
    )


def drawn(
    scenario: Scenario, varied: Mapping[str, Array], systems: Sequence[str] | None = None
) -> Drawn:
    """Cost every system for each draw, all winters each.

    Parameters
    ----------
    scenario : Scenario
        One that has been checked and can be costed as it stands.
    varied : mapping of str to ndarray of shape (draws,)
        Values of inputs by path; all must fit the draw axis.
    systems : sequence of str, optional
        Which systems, in which order; all in their own order if not given.

    Returns
    -------
    Drawn
        In the order of the draws.
    """
    order = list(scenario.systems) if systems is None else list(systems)
    asked = with_systems(scenario, order)
    draws = max((len(values) for values in varied.values()), default=1)
    step = max(1, MOST_CELLS // (len(rows_of(scenario.winter)) + 1))
    parts = [
        _read(
            worked(
                Case(
                    asked,
                    varied={
                        path: values[start : start + step, None] for path, values in varied.items()
                    },
                )
            ),
            order,
            min(step, draws - start),
        )
        for start in range(0, draws, step)
    ]
    return parts[0] if len(parts) == 1 else _joined(parts)


def drawn_winters(scenario: Scenario, varied: Mapping[str, Array], picked: Picks) -> Drawn:
    """Cost every system for each draw, each in a winter of its own.

    Parameters
    ----------
    scenario : Scenario
        One that has been checked and can be costed as it stands.
    varied : mapping of str to ndarray of shape (draws + 1,)
        Values of inputs by path; the last is the value that sizes by rule are worked with.
    picked : ndarray of int, shape (draws,)
        Number of the winter of each draw.

    Returns
    -------
    Drawn
        In the order of the draws; ``costs`` are of a horizon of that winter.
    """
    costing = worked(Case(scenario, varied=varied, picked=picked))
    draws = len(picked)
    by_margin = has_herd_change(costing)
    costs = np.empty((len(costing.systems), draws))
    scores = np.empty_like(costs)
    short = np.empty(costs.shape, bool)
    for number, (key, system) in enumerate(costing.systems.items()):
        costs[number] = system.account.by_winter.value[..., :draws]
        earned = earned_before_winter(costing, key) if by_margin else np.zeros((1, 1))
        scores[number] = costs[number] - (
            earned[0, :draws] if earned.shape[-1] > 1 else earned[0, 0]
        )
        left = np.max(system.run.left.value, axis=(0, 1))
        short[number] = left[..., :draws].reshape(-1) > NEGLIGIBLE
    return Drawn(list(costing.systems), scores, costs, short)


def _read(costing: Costing, order: Sequence[str], draws: int) -> Drawn:
    by_margin = has_herd_change(costing)
    costs = np.empty((len(order), draws))
    scores = np.empty_like(costs)
    short = np.empty(costs.shape, bool)
    for number, key in enumerate(order):
        system = costing.systems[key]
        costs[number] = system.account.annual_equivalent.value[:, 0]
        scores[number] = costs[number]
        if by_margin:
            scores[number] -= earned_before_winter(costing, key)[:, 0]
        short[number] = _is_short(costing, key, draws)
    return Drawn(order, scores, costs, short)


def _is_short(costing: Costing, key: str, draws: int) -> NDArray[np.bool_]:
    left = np.max(costing.systems[key].run.left.value, axis=(0, 1, -1))
    return np.broadcast_to(left > NEGLIGIBLE, (draws,))


def _joined(parts: Sequence[Drawn]) -> Drawn:
    return Drawn(
        parts[0].systems,
        np.concatenate([part.scores for part in parts], axis=1),
        np.concatenate([part.costs for part in parts], axis=1),
        np.concatenate([part.short for part in parts], axis=1),
    )
