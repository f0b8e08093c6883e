"""Where a polynomial is zero: every place in a range, each found once.

The internal rate of a row of flows is such a place. The usual solvers give one zero without saying
that there are others, so they cannot tell one internal rate from several.
"""

import numpy as np

from service.costing.units import Array

ROUNDING = np.finfo(np.float64).eps


def zeros_between(coefficients: Array, lowest: float, highest: float) -> list[float]:
    """Find each zero of a polynomial in a range, ends included.

    Between two turning points a polynomial only rises or only falls. So it has one zero there if
    its sign changes, and none if not.

    Parameters
    ----------
    coefficients : ndarray of shape (powers,)
        Of x to the power 0, 1, 2 and so on [none].
    lowest, highest : float
        Ends of the range, both above 0 [none].

    Returns
    -------
    list of float
        The zeros; a zero where the polynomial turns without crossing counts once, and a polynomial
        that is zero everywhere has none [none].
    """
    nodes = _monotone_between(coefficients, lowest, highest)
    signs = _signs(coefficients, nodes)
    if not signs.any():
        return []
    pairs = list(zip(nodes[:-1], nodes[1:], signs[:-1], signs[1:], strict=True))
    # Turning points that all but meet are zero together: only the last of them is taken.
    touching = [float(left) for left, _, here, after in pairs if here == 0 != after]
    at_the_end = [highest] if signs[-1] == 0 else []
    crossing = [
        _bisected(coefficients, float(left), float(right))
        for left, right, here, after in pairs
        if here * after < 0
    ]
    return sorted(touching + at_the_end + crossing)


def _monotone_between(coefficients: Array, lowest: float, highest: float) -> Array:
    slope = (coefficients * np.arange(len(coefficients)))[1:]
    # `numpy.roots` divides by the last coefficient, so one next to nothing would overflow.
    noise = ROUNDING**2 * np.abs(slope).max(initial=0)
    # A pair of turning points that all but meet can come out complex; its real part serves.
    turning = np.roots(np.where(np.abs(slope) <= noise, 0, slope)[::-1]).real
    inside = turning[(turning > lowest) & (turning < highest)]
    return np.concatenate([[lowest], np.sort(inside), [highest]])


def _signs(coefficients: Array, places: Array) -> Array:
    value = np.polynomial.polynomial.polyval(places, coefficients)
    size = np.polynomial.polynomial.polyval(places, np.abs(coefficients))
    doubt = len(coefficients) * ROUNDING * size
    return np.where(np.abs(value) <= doubt, 0, np.sign(value))


def _bisected(coefficients: Array, low: float, high: float) -> float:
    def above(place: float) -> bool:
        return bool(np.polynomial.polynomial.polyval(place, coefficients) > 0)

    above_at_low = above(low)
    while low < (middle := (low + high) / 2) < high:
        if above(middle) == above_at_low:
            low = middle
        else:
            high = middle
    return high
