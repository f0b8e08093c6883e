"""What is told of the draws of one system: mean, percentiles, worst tenth, certainty equivalents.

The draws are taken for the whole distribution, each as likely as any other: nothing is corrected
for their being a sample.
"""

from collections.abc import Callable, Sequence
from typing import Any, cast

import numpy as np

from service.costing.units import Array

PERCENTILES = {"p05": 0.05, "p25": 0.25, "p50": 0.5, "p75": 0.75, "p95": 0.95}
PERCENTILE_RULE = "inverted_cdf"
"""The least amount that at least such a share of the draws does not exceed, by NumPy's name."""
TENTH = 10


def told(ordered: Array, aversions: Sequence[float], *, earned: bool = False) -> dict[str, Any]:
    """Return what is told of many draws.

    Parameters
    ----------
    ordered : ndarray of shape (draws,)
        Costs, the least first; money earned is given as a cost below 0 [currency/year].
    aversions : sequence of float
        Absolute risk aversions [1/currency].
    earned : bool
        Whether to tell of money earned, whose low end is the bad one.
    """
    sign = -1.0 if earned else 1.0
    amounts = -ordered if earned else ordered
    worst = -(-len(ordered) // TENTH)
    levels = np.quantile(amounts, list(PERCENTILES.values()), method=PERCENTILE_RULE)
    return {
        "mean": float(np.mean(amounts)),
        "standard_deviation": float(np.std(ordered)),
        **dict(zip(PERCENTILES, levels.tolist(), strict=True)),
        "worst_tenth_mean": sign * float(np.mean(ordered[-worst:])),
        "certainty_equivalents": [
            sign * certainty_equivalent(ordered, aversion) for aversion in aversions
        ],
    }


def certainty_equivalent(costs: Array, aversion: float) -> float:
    """Return the sure cost that is as bad as the draws: ``ln(mean(exp(r c))) / r``.

    It is never below the mean, which it is where the aversion is nil, and never above the largest.

    Parameters
    ----------
    costs : ndarray of shape (draws,)
        What may be paid [currency/year].
    aversion : float
        Absolute risk aversion r [1/currency].
    """
    from scipy import special  # noqa: PLC0415  # pyright: ignore[reportMissingTypeStubs] - takes long

    mean, largest = float(np.mean(costs)), float(np.max(costs))
    if aversion <= 0:
        return mean
    if aversion * (largest - mean) < 1:
        gain = np.log1p(np.mean(np.expm1(aversion * (costs - mean))))
        equivalent = mean + gain / aversion
    else:
        with np.errstate(over="ignore", under="ignore"):
            exponents = aversion * (costs - largest)
        logsumexp = cast("Callable[[Array], float]", special.logsumexp)  # pyright: ignore[reportUnknownMemberType]
        gain = logsumexp(exponents) - np.log(len(costs))
        equivalent = largest + gain / aversion
    return float(np.clip(equivalent, mean, largest))
