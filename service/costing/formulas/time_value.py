"""Money over the years: discounting, annual equivalents, and the yield of an extra investment.

Flows have their years on axis 0, year 0 first; every flow falls at the end of its year. Interest is
inside each annual equivalent, so it is never a cost line of its own. Loans are in their own module.
"""

from collections.abc import Callable
from typing import cast

import numpy as np
import numpy_financial  # pyright: ignore[reportMissingTypeStubs] - ships no types

from service.costing.formula import formula
from service.costing.formulas.zeros import zeros_between
from service.costing.units import (
    HIGHEST_INTERNAL_RATE,
    LOWEST_INTERNAL_RATE,
    Array,
    Currency,
    CurrencyByYear,
    CurrencyPerYear,
    Numeric,
    PerYear,
    Plain,
    Quantity,
    Yearly,
    Years,
)

ROUNDING = np.finfo(np.float64).eps


@formula("(nominal rate - inflation rate) / (1 + inflation rate)")
def real_rate(nominal_rate: PerYear, inflation_rate: PerYear) -> PerYear:
    r"""Interest rate above inflation.

    .. math:: r = \frac{1 + i}{1 + f} - 1 = \frac{i - f}{1 + f}

    Parameters
    ----------
    nominal_rate : float or ndarray
        Rate with inflation in it, :math:`i` [fraction/year].
    inflation_rate : float or ndarray
        Yearly rise of all prices, :math:`f > -1` [fraction/year].

    Returns
    -------
    float or ndarray
        Rate that belongs with constant prices, :math:`r` [fraction/year].

    Notes
    -----
    Subtracting inflation from the nominal rate, as machinery fact sheets do, is close but not the
    same: 8 % and 3 % give 4.85 %, not 5 %.

    Examples
    --------
    Money at 5 % while prices rise 2.5 % a year:

    >>> round(real_rate(nominal_rate=0.05, inflation_rate=0.025), 4)
    0.0244
    """
    return (nominal_rate - inflation_rate) / (1 + inflation_rate)


@formula("(1 - (1 + discount rate)^-years) / discount rate; years, if the rate is 0")
def annuity_present_worth(discount_rate: PerYear, years: Years) -> Years:
    r"""Worth today of 1 paid at the end of each year (P/A).

    .. math:: (P/A, r, N) = \frac{1 - (1 + r)^{-N}}{r}

    Parameters
    ----------
    discount_rate : float or ndarray
        Real if prices are constant, nominal if they are not, :math:`r > -1` [fraction/year].
    years : float or ndarray
        Number of yearly payments, :math:`N` [year].

    Returns
    -------
    float or ndarray
        Present worth of the payments for each unit paid in a year [year].

    Examples
    --------
    >>> float(round(annuity_present_worth(discount_rate=0.05, years=10), 4))
    7.7217
    """
    rate = _kept_from_zero(discount_rate)
    return -np.expm1(-years * np.log1p(rate)) / rate


@formula("discount rate / (1 - (1 + discount rate)^-years); 1 / years, if the rate is 0")
def capital_recovery_factor(discount_rate: PerYear, years: Years) -> PerYear:
    r"""Level yearly amount that pays back 1 with interest (A/P).

    .. math:: (A/P, r, N) = \frac{r}{1 - (1 + r)^{-N}}

    Parameters
    ----------
    discount_rate : float or ndarray
        Real if prices are constant, nominal if they are not, :math:`r > -1` [fraction/year].
    years : float or ndarray
        Number of yearly amounts, :math:`N > 0` [year].

    Returns
    -------
    float or ndarray
        Capital recovery factor [fraction/year].

    Notes
    -----
    Exact to the last digits at any rate; at zero it is 1 / years. The sinking fund factor (A/F) of
    the textbooks is this one less the rate.

    References
    ----------
    D. G. Newnan, *Engineering Economic Analysis*, compound interest table for 35 %, A/P, n = 5.

    Examples
    --------
    >>> float(round(capital_recovery_factor(discount_rate=0.35, years=5), 4))
    0.4505
    """
    rate = _kept_from_zero(discount_rate)
    return rate / -np.expm1(-years * np.log1p(rate))


def _kept_from_zero(rate: Numeric) -> Numeric:
    # A rate of 0 would divide 0 by 0; so small a rate gives the limit to the last digit.
    next_to_nothing = ROUNDING**2
    return np.where(np.abs(rate) < next_to_nothing, next_to_nothing, rate)


@formula("sum over the years of flow / (1 + discount rate)^year")
def present_value(flows: CurrencyByYear, discount_rate: PerYear) -> Currency:
    """Worth in year 0 of all the flows.

    Parameters
    ----------
    flows : ndarray of shape (years + 1, ...)
        Money of each year, year 0 first [currency].
    discount_rate : float or ndarray
        Real if prices are constant, nominal if they are not [fraction/year].

    Returns
    -------
    float or ndarray
        The sum of the discounted flows, without the axis of the years [currency].

    Examples
    --------
    >>> flows = np.array([-40_000.0, 5_000.0, 8_000.0, 12_000.0, 30_000.0])
    >>> float(round(present_value(flows=flows, discount_rate=0.08), 2))
    3065.22
    """
    year = _years_first(len(flows), discount_rate)
    # The ellipses line up the axes after the years, whichever of the two has more of them.
    return np.einsum("y...,y...->...", flows, (1 + discount_rate) ** -year)


@formula("present value x capital recovery factor")
def annual_equivalent(present_value: Currency, capital_recovery: PerYear) -> CurrencyPerYear:
    """Level yearly amount worth as much as a present value.

    Parameters
    ----------
    present_value : float or ndarray
        Worth in year 0 [currency].
    capital_recovery : float or ndarray
        Capital recovery factor of the rate and the horizon [fraction/year].

    Returns
    -------
    float or ndarray
        Annual equivalent, at the end of each year of the horizon [currency/year].

    Notes
    -----
    Interest is inside: a cost line for interest beside this one would count it twice.
    """
    return present_value * capital_recovery


@formula("0 in year 0, then amount x (1 + escalation rate)^(year - 1)")
def escalated(amount: Quantity, escalation_rate: PerYear, years: Years) -> Yearly:
    """Repeat an amount each year while its price moves apart from inflation.

    Parameters
    ----------
    amount : float or ndarray
        Amount of year 1 [any].
    escalation_rate : float or ndarray
        Yearly rise above inflation [fraction/year].
    years : float
        Horizon, a whole number [year].

    Returns
    -------
    ndarray of shape (years + 1, ...)
        Nothing in year 0, then the amount of each year [any].

    Examples
    --------
    >>> escalated(amount=100.0, escalation_rate=0.5, years=3).tolist()
    [0.0, 100.0, 150.0, 225.0]
    """
    year = _years_first(int(cast("float", years)), escalation_rate)
    later = np.einsum("...,y...->y...", amount, (1 + escalation_rate) ** year)
    return np.concatenate([np.zeros_like(later[:1]), later])


def _years_first(count: int, rate: Numeric) -> Array:
    return np.arange(float(count)).reshape(-1, *(1,) * np.ndim(rate))


@formula(
    "A/P(discount rate) / ((1 + escalation rate) x A/P(rate left)), A/P over the years, "
    "rate left = (discount rate - escalation rate) / (1 + escalation rate)"
)
def level_factor(escalation_rate: PerYear, discount_rate: PerYear, years: Years) -> Plain:
    """Annual equivalent of 1 in year 1 that escalates.

    Parameters
    ----------
    escalation_rate : float or ndarray
        Yearly rise above inflation [fraction/year].
    discount_rate : float or ndarray
        Real rate [fraction/year].
    years : float or ndarray
        Horizon [year].

    Returns
    -------
    float or ndarray
        Level yearly amount for each unit of year 1; 1 without escalation [none].
    """
    rate_left = (discount_rate - escalation_rate) / (1 + escalation_rate)
    level = capital_recovery_factor(discount_rate, years)
    return level / ((1 + escalation_rate) * capital_recovery_factor(rate_left, years))


def internal_rate(flows: Array) -> tuple[float | None, str | None]:
    """Rate of interest at which the flows are worth nothing in year 0.

    Parameters
    ----------
    flows : ndarray of shape (years + 1,)
        Money gained in each year, year 0 first [currency].

    Returns
    -------
    rate : float or None
        The one internal rate from -0.5 to 10 [fraction/year].
    reason : str or None
        Why there is no such rate: ``none``, or ``several``.

    Examples
    --------
    A pump that costs 1 600, brings 10 000 forward to year 1 and loses it in year 2 has two rates,
    25 % and 400 % (Lorie and Savage 1955, from memory):

    >>> internal_rate(np.array([-1_600.0, 10_000.0, -10_000.0]))
    (None, 'several')
    """
    lowest, highest = 1 / (1 + HIGHEST_INTERNAL_RATE), 1 / (1 + LOWEST_INTERNAL_RATE)
    discount_factors = zeros_between(np.asarray(flows, dtype=np.float64), lowest, highest)
    if len(discount_factors) == 1:
        return 1 / discount_factors[0] - 1, None
    return None, "several" if discount_factors else "none"


def modified_internal_rate(flows: Array, finance_rate: float, reinvest_rate: float) -> float | None:
    """Yearly growth of what is put in to what comes out, both brought to one date.

    Parameters
    ----------
    flows : ndarray of shape (years + 1,)
        Money gained in each year, year 0 first [currency].
    finance_rate : float
        Rate at which what is paid is brought back to year 0 [fraction/year].
    reinvest_rate : float
        Rate at which what is gained grows until the last year [fraction/year].

    Returns
    -------
    float or None
        Modified internal rate; None if nothing is paid or nothing is gained [fraction/year].

    References
    ----------
    10 CFR 436.22, adjusted internal rate of return: the same with both rates equal.
    """
    modified = cast("Callable[..., float]", numpy_financial.mirr)  # pyright: ignore[reportUnknownMemberType]
    rate = float(modified(np.asarray(flows), finance_rate, reinvest_rate))
    return None if np.isnan(rate) else rate


def discounted_payback_years(flows: Array, discount_rate: float) -> float | None:
    """Years until the discounted gains have repaid what was paid in year 0.

    Parameters
    ----------
    flows : ndarray of shape (years + 1,)
        Money gained in each year, year 0 first [currency].
    discount_rate : float
        Rate [fraction/year].

    Returns
    -------
    float or None
        Years, a straight line inside the year; None if nothing is paid in year 0 or it is never
        repaid [year].
    """
    discounted = flows * (1 + discount_rate) ** -np.arange(float(len(flows)))
    gained = np.cumsum(discounted)
    doubt = ROUNDING * np.cumsum(np.abs(discounted))
    repaid = np.flatnonzero(gained >= -doubt)
    if flows[0] >= 0 or not repaid.size:
        return None
    year = int(repaid[0])
    return year - 1 - float(gained[year - 1] / discounted[year])
