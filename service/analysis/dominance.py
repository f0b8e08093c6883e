"""Stochastic dominance: which system is better whatever its owner thinks of risk.

Every draw counts alike, so the distributions are compared exactly, on the draws in order.
"""

from collections.abc import Sequence
from itertools import permutations
from typing import Any

import numpy as np

from service.costing.units import ROUNDING, Array

SUMMED_ROUNDING = 1e-12
"""Share of all differences that a running sum of a million of them may be off by."""


def dominances(
    systems: Sequence[str], ordered: Array, able: Sequence[bool]
) -> list[dict[str, Any]]:
    """Return every pair of which one dominates the other, with the degree that it does so by.

    By the first degree a system is better for whoever would rather pay less; by the second for
    whoever dislikes risk besides. A pair of the first degree is not told again by the second.

    Parameters
    ----------
    systems : sequence of str
        In the order of the rows.
    ordered : ndarray of shape (systems, draws)
        What each comes to, the least first, in each row [currency/year].
    able : sequence of bool
        Whether a system can be the better one: one that leaves animals unfed cannot.
    """
    found: list[dict[str, Any]] = []
    for better, worse in permutations(range(len(systems)), 2):
        degree = degree_of(ordered[better], ordered[worse]) if able[better] else None
        if degree is not None:
            found.append({"better": systems[better], "worse": systems[worse], "order": degree})
    return found


def degree_of(better: Array, worse: Array) -> int | None:
    """Return the degree by which costs dominate others, or None if they do not.

    First degree: no draw in its place is dearer. Second degree: no sum of the dearest draws, be
    they one, two or all, is greater.

    Parameters
    ----------
    better, worse : ndarray of shape (draws,)
        Costs, the least first [currency/year].
    """
    slack = ROUNDING * max(abs(better[0]), abs(better[-1]), abs(worse[0]), abs(worse[-1]))
    if better[-1] > worse[-1] + slack:
        return None  # neither degree allows a dearer worst draw
    saved = worse - better
    saved[np.abs(saved) <= slack] = 0.0
    if saved.min() >= 0:
        return 1 if saved.max() > 0 else None
    summed = np.cumsum(saved[::-1])
    return 2 if summed.min() >= -SUMMED_ROUNDING * np.abs(saved).sum() else None
