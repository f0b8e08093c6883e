"""One difference split among three causes, whatever the order in which they are looked at."""

import numpy as np

from service.costing.units import Array

FIRST_OR_LAST = 1 / 3
"""Share of the orders of three in which one comes before both others, or after both."""
BETWEEN = 1 / 6
"""Share of the orders in which one comes after a certain other and before the third."""


def shapley(worth: Array) -> Array:
    r"""Split what three causes make together, by the Shapley value.

    A cause is due the mean of what it adds, over the six orders in which the three can come. With
    :math:`i` the cause and :math:`j, k` the other two:

    .. math:: \phi_i = \tfrac13 [v(i) - v()] + \tfrac16 [v(ij) - v(j)] + \tfrac16 [v(ik) - v(k)]
        + \tfrac13 [v(ijk) - v(jk)]

    Parameters
    ----------
    worth : ndarray of shape (2, 2, 2, ...)
        What each set of the causes makes: one axis a cause, 0 without it and 1 with it [any].

    Returns
    -------
    ndarray of shape (3, ...)
        Share of each cause; together the last corner less the first [any].

    References
    ----------
    Shapley, L. S. (1953), A value for n-person games, *Contributions to the Theory of Games* II,
    Annals of Mathematics Studies 28, 307-317 (from memory).
    """
    return np.stack([_share(np.moveaxis(worth, cause, 0)) for cause in range(3)])


def _share(worth: Array) -> Array:
    added = worth[1] - worth[0]
    return FIRST_OR_LAST * (added[0, 0] + added[1, 1]) + BETWEEN * (added[0, 1] + added[1, 0])
