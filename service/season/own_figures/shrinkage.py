"""How far a farm's own winters move a reference value: a normal mean with known variances.

The logarithm of a ratio, recorded over reference, is taken as normal. Before any winter it is 0,
the reference, give or take what the reference's own range says; each winter adds one look at it.

References
----------
.. [1] A. Gelman, J. Carlin, H. Stern, D. Dunson, A. Vehtari and D. Rubin, *Bayesian Data Analysis*,
   3rd ed., CRC Press, 2013, section 2.5 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt
from statistics import NormalDist, fmean

import numpy as np

MIDDLE_SHARE = 0.8
"""Ranges are read, and told, as the middle 80 %."""
ENOUGH_TO_SPREAD = 3
"""From so many winters on their own spread is looked at."""


@dataclass(frozen=True, slots=True)
class Shrunk:
    """A ratio to the reference after some winters, and how sure it is."""

    winters: int
    mean_ratio: float | None
    """Geometric mean of the winters alone; None without any."""
    weight: float
    """Of the winters against the reference, 0 to 1."""
    ratio: float
    low: float
    high: float
    """Both ends of the middle 80 %."""
    noise_sd: float
    """Of the logarithm of one winter's ratio, as it was used."""


def middle_width() -> float:
    """Return how many standard deviations the ends of the middle share lie from the mean."""
    return NormalDist().inv_cdf((1 + MIDDLE_SHARE) / 2)


def spread_of_range(low: float, high: float) -> float:
    """Return the standard deviation of a logarithm whose middle 80 % has these ends.

    Parameters
    ----------
    low, high : float
        Ends of a range, both above 0, in one unit [any].
    """
    return log(high / low) / (2 * middle_width())


def noise_of(log_ratios: Sequence[float], usual_sd: float) -> float:
    """Return the spread of one winter: the usual one, or the winters' own where that is larger.

    Parameters
    ----------
    log_ratios : sequence of float
        Logarithms of the winters' ratios [none].
    usual_sd : float
        Standard deviation that one winter is taken to have [none].
    """
    if len(log_ratios) < ENOUGH_TO_SPREAD:
        return usual_sd
    return max(usual_sd, float(np.std(log_ratios, ddof=1)))


def shrunk(log_ratios: Sequence[float], prior_sd: float, usual_sd: float) -> Shrunk:
    """Return the ratio after some winters, shrunk toward 1, the reference.

    Parameters
    ----------
    log_ratios : sequence of float
        Logarithms of the winters' ratios [none].
    prior_sd : float
        Standard deviation of the logarithm before any winter; at 0 nothing moves it [none].
    usual_sd : float
        Standard deviation of the logarithm of one winter's ratio, above 0 [none].
    """
    count = len(log_ratios)
    noise_sd = noise_of(log_ratios, usual_sd)
    mean = fmean(log_ratios) if count else None
    pull = count * prior_sd**2
    weight = pull / (pull + noise_sd**2)
    middle = weight * (mean or 0.0)
    looks = count / noise_sd**2 + (1 / prior_sd**2 if prior_sd else inf)
    reach = middle_width() / sqrt(looks)
    return Shrunk(
        winters=count,
        mean_ratio=None if mean is None else exp(mean),
        weight=weight,
        ratio=exp(middle),
        low=exp(middle - reach),
        high=exp(middle + reach),
        noise_sd=noise_sd,
    )
