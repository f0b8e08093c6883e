"""Days that are hard on animals, and what is charged for them where the scenario asks."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    Currency,
    CurrencyPerHead,
    CurrencyPerHeadDay,
    CurrencyPerPound,
    Days,
    Fahrenheit,
    Fraction,
    Head,
    HeadPerHeadDay,
    Plain,
    Pounds,
)


@formula("sum over states of days x share of the hours in mud")
def days_in_mud(served: Days, share_in_mud: Fraction) -> Days:
    """Days that animals of each group spend in mud.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    share_in_mud : ndarray of shape (states, draws, rows)
        Share of the day at a muddy place [fraction].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Days in mud [day].
    """
    return np.add.reduce(served * share_in_mud, axis=-3, keepdims=True)


@formula("sum over the states that count of days")
def days_of_states(served: Days, counts: Plain) -> Days:
    """Days of a step in some ground states.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    counts : ndarray of shape (groups, states, draws, rows)
        1 in the states that count, else 0 [none].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Days [day].
    """
    return np.add.reduce(served * counts, axis=-3, keepdims=True)


@formula("hours of wet days without a roof, below the critical temperature of a wet coat")
def days_in_cold_rain(
    served: Days,
    share_without_roof: Fraction,
    temperature: Fahrenheit,
    critical_temperature: Fahrenheit,
) -> Days:
    """Days of cold rain without shelter.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    share_without_roof : ndarray of shape (states, draws, rows)
        Share of wet days spent without a roof; 0 in other states [fraction].
    temperature : ndarray of shape (states, draws, rows)
        Effective temperature [°F].
    critical_temperature : ndarray of shape (groups, states, draws, rows)
        Lower critical temperature of a wet coat [°F].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Days in cold rain [day].
    """
    cold = temperature < critical_temperature
    return np.add.reduce(served * share_without_roof * cold, axis=-3, keepdims=True)


@formula("weight not held x value of a pound")
def condition_worth(condition: Pounds, value: CurrencyPerPound) -> Currency:
    """Worth of condition that is not held.

    Parameters
    ----------
    condition : ndarray of shape (groups, 1, draws, rows)
        Weight not held [lb].
    value : ndarray of shape (groups, 1, 1, 1)
        Value of a pound [currency/lb].

    Returns
    -------
    ndarray of shape (draws, rows)
        Worth [currency].
    """
    return np.add.reduce(condition * value, axis=(-4, -3))


@formula("head x days in mud x young lost a head and day x value")
def young_worth(
    head: Head, days_in_mud: Days, lost: HeadPerHeadDay, value: CurrencyPerHead
) -> Currency:
    """Worth of calves or lambs lost.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    days_in_mud : ndarray of shape (groups, 1, draws, rows)
        Days in mud [day].
    lost : ndarray of shape (groups, 1, 1, 1)
        Young lost [head/head/day].
    value : ndarray of shape (groups, 1, 1, 1)
        Worth of one [currency/head].

    Returns
    -------
    ndarray of shape (draws, rows)
        Worth [currency].
    """
    return np.add.reduce(head * days_in_mud * lost * value, axis=(-4, -3))


@formula("head x days in mud x cost a head and day")
def foot_cost(head: Head, days_in_mud: Days, cost: CurrencyPerHeadDay) -> Currency:
    """Cost of treating feet.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    days_in_mud : ndarray of shape (groups, 1, draws, rows)
        Days in mud [day].
    cost : ndarray of shape (groups, 1, 1, 1)
        Treating feet [currency/head/day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    return np.add.reduce(head * days_in_mud * cost, axis=(-4, -3))
