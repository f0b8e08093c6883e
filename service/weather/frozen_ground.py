"""The continuous frozen-ground index: how hard the ground is frozen, from cold and snow."""

import numpy as np

from service.costing.units import Array
from service.weather.parameters import Numbers


def frozen_index(mean_c: Array, depth_cm: Array, numbers: Numbers) -> Array:
    r"""Work out the index of each day, from none before the first.

    A day's cold adds to it and a day's warmth takes away, both held off by snow; what was there
    decays [1]_:

    .. math:: F_t = \max(0,\ A F_{t-1} - T_t\, e^{-0.4 K D_t})

    Parameters
    ----------
    mean_c : ndarray of shape (days,)
        Mean air temperature, :math:`T` [°C].
    depth_cm : ndarray of shape (days,)
        Depth of snow, :math:`D` [cm].
    numbers : Numbers
        Numbers of the method, :math:`A` and :math:`K` for freezing and for thawing days.

    Returns
    -------
    ndarray of shape (days,)
        Index, :math:`F` [°C day].

    References
    ----------
    .. [1] Molnau and Bissell 1983, *A continuous frozen ground index for flood forecasting*,
       51st Western Snow Conference, pp. 109-119.
    """
    shield = np.where(mean_c <= 0, numbers.snow_shield_freezing, numbers.snow_shield_thawing)
    reaching = mean_c * np.exp(-numbers.frost_depth_factor * shield * depth_cm)
    index: list[float] = []
    kept, value = numbers.frost_kept, 0.0
    for warmth in reaching.tolist():
        value = max(0.0, kept * value - warmth)
        index.append(value)
    return np.array(index)
