"""What the low and the high value of each input do to who is best and by how much."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.costing.engine import Costing
from service.costing.margin import earned_before_winter, has_herd_change
from service.costing.units import Array


@dataclass(frozen=True, slots=True)
class Swing:
    """What one input does to the ranking between its low and its high, all else as it is.

    The lead is that of the system that is best as things stand over the next, in what systems are
    ranked by; less than 0 where another is better. A single system has its own score for a lead.
    """

    best_at_low: str
    best_at_high: str
    lead_at_low: float
    lead_at_high: float
    changes_best: bool

    @property
    def size(self) -> float:
        """How far the lead moves."""
        return abs(self.lead_at_high - self.lead_at_low)

    @property
    def weight(self) -> tuple[bool, float]:
        """What swings are sorted by, the weightiest first: a change of the best, then the size."""
        return not self.changes_best, -self.size


def by_rank(scores: Sequence[float], systems: Sequence[str]) -> list[int]:
    """Return the positions of systems from best to worst; of two alike the first by name."""
    return sorted(range(len(systems)), key=lambda number: (scores[number], systems[number]))


def swings_of(scores: Array, order: Sequence[str]) -> list[Swing]:
    """Return the swing of each input.

    Parameters
    ----------
    scores : ndarray of shape (systems, 2 * inputs)
        What systems are ranked by, the least first, at the low and the high of each input in turn
        [currency/year].
    order : sequence of str
        The systems in their order of rank as things stand.

    Returns
    -------
    list of Swing
        In the order of the inputs.
    """
    best: list[int] = np.argmin(scores, axis=0).tolist()
    lead = np.min(scores[1:], axis=0) - scores[0] if len(order) > 1 else scores[0]
    return [
        Swing(
            best_at_low=order[best[low]],
            best_at_high=order[best[low + 1]],
            lead_at_low=float(lead[low]),
            lead_at_high=float(lead[low + 1]),
            changes_best=bool(best[low] or best[low + 1]),
        )
        for low in range(0, len(best), 2)
    ]


def scores_by_draw(costing: Costing, order: Sequence[str], draws: int) -> Array:
    """Return what systems are ranked by, in each draw, the least first.

    Returns
    -------
    ndarray of shape (systems, draws)
        Annual equivalent cost, or where herds differ that less what the farm earns before winter
        [currency/year].
    """
    by_margin = has_herd_change(costing)
    scores = np.empty((len(order), draws))
    for number, key in enumerate(order):
        scores[number] = costing.systems[key].account.annual_equivalent.value[:, 0]
        if by_margin:
            scores[number] -= earned_before_winter(costing, key)[:, 0]
    return scores
