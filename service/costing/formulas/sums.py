"""Adding up and averaging along the axes."""

from collections.abc import Sequence

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    Array,
    Fraction,
    Numeric,
    Plain,
    Quantities,
    Quantity,
    Yearly,
)


@formula("sum of the parts")
def total(*parts: Quantity) -> Quantity:
    """Add quantities of one unit.

    Parameters
    ----------
    *parts : float or ndarray
        What is added [any].

    Returns
    -------
    float or ndarray
        The sum [any].
    """
    return sum(parts, start=0.0)


@formula("sum of the parts, year by year")
def total_by_year(*parts: Yearly) -> Yearly:
    """Add yearly flows of one unit.

    Parameters
    ----------
    *parts : ndarray of shape (years + 1, ...)
        What is added [any].

    Returns
    -------
    ndarray of shape (years + 1, ...)
        The sum in each year [any].
    """
    return sum(parts, start=0.0)


@formula("whole - part")
def less(whole: Quantity, part: Quantity) -> Quantity:
    """Take a part from a whole.

    Parameters
    ----------
    whole : float or ndarray
        What it is taken from [any].
    part : float or ndarray
        What is taken [any].

    Returns
    -------
    float or ndarray
        What is left [any].
    """
    return whole - part


@formula("share x amount")
def portion(amount: Quantity, share: Fraction) -> Quantity:
    """Take a share of an amount.

    Parameters
    ----------
    amount : float or ndarray
        The whole [any].
    share : float or ndarray
        Share of it [fraction].

    Returns
    -------
    float or ndarray
        The part [any].
    """
    return amount * share


@formula("(1 - share) x amount")
def remainder(amount: Quantity, share: Fraction) -> Quantity:
    """Take what a share leaves of an amount.

    Parameters
    ----------
    amount : float or ndarray
        The whole [any].
    share : float or ndarray
        Share that is taken [fraction].

    Returns
    -------
    float or ndarray
        What is left [any].
    """
    return amount * (1 - share)


@formula("- amount")
def negative(amount: Quantity) -> Quantity:
    """Turn a worth into a cost below zero.

    Parameters
    ----------
    amount : float or ndarray
        What comes in [any].

    Returns
    -------
    float or ndarray
        The same as a cost [any].
    """
    return -amount


@formula("sum over herd groups and ground states")
def over_herd_and_states(amounts: Quantity) -> Quantity:
    """Add over the groups and the ground states.

    Parameters
    ----------
    amounts : ndarray of shape (groups, states, draws, rows)
        What is added [any].

    Returns
    -------
    ndarray of shape (draws, rows)
        The sum [any].
    """
    return np.add.reduce(amounts, axis=(-4, -3))


@formula("sum over ground states")
def over_states(amounts: Quantity) -> Quantity:
    """Add over the ground states, keeping the groups.

    Parameters
    ----------
    amounts : ndarray of shape (groups, states, draws, rows)
        What is added [any].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        The sum for each group [any].
    """
    return np.add.reduce(amounts, axis=-3, keepdims=True)


@formula("sum over ground states")
def days_of_row(amounts: Quantity) -> Quantity:
    """Add over the ground states.

    Parameters
    ----------
    amounts : ndarray of shape (states, draws, rows)
        What is added [any].

    Returns
    -------
    ndarray of shape (draws, rows)
        The sum in each winter [any].
    """
    return np.add.reduce(amounts, axis=-3)


@formula("the winters, and after them their mean by weight")
def with_mean_winter(values: Quantity, weight: Plain) -> Quantity:
    """Append the made-up mean winter, on which sizes by rule are worked.

    Parameters
    ----------
    values : ndarray of shape (..., rows)
        An item of each winter; not a number where it is not known [any].
    weight : ndarray of shape (rows,)
        Weight of each winter [none].

    Returns
    -------
    ndarray of shape (..., rows + 1)
        The same, with the weighted mean of what is known as the last row [any].
    """
    known = np.isfinite(values)
    weights = np.where(known, weight, 0.0)
    counted = np.add.reduce(weights, axis=-1, keepdims=True)
    summed = np.add.reduce(np.where(known, values, 0.0) * weights, axis=-1, keepdims=True)
    mean = np.where(counted > 0, summed / np.where(counted > 0, counted, 1), np.nan)
    return np.concatenate([values, mean], axis=-1)


@formula("the rows that were picked")
def rows_picked(values: Quantities, rows: Plain) -> Quantities:
    """Take winters by their numbers, some of them several times.

    Parameters
    ----------
    values : ndarray of shape (..., rows + 1)
        One value for each winter, and the made-up mean [any].
    rows : ndarray of int, shape (picked,)
        Numbers of the winters from 0; -1 is the made-up mean [none].

    Returns
    -------
    ndarray of shape (..., picked)
        Their values [any].
    """
    return values[..., np.asarray(rows, int)]


@formula("mean of the winters by weight")
def mean_of_winters(values: Quantity, weight: Plain) -> Quantity:
    """Average the winters; the made-up mean winter at the end does not count.

    Parameters
    ----------
    values : float or ndarray of shape (..., rows + 1)
        One value for each winter [any].
    weight : ndarray of shape (rows + 1,)
        Weight of each winter, 0 for the last [none].

    Returns
    -------
    ndarray of shape (..., 1)
        The weighted mean [any].
    """
    return np.add.reduce(values * weight, axis=-1, keepdims=True) / np.add.reduce(weight)


@formula("value in the made-up mean winter")
def in_mean_winter(values: Quantities) -> Quantities:
    """Take the value of the made-up mean winter.

    Parameters
    ----------
    values : ndarray of shape (..., rows + 1)
        One value for each winter [any].

    Returns
    -------
    ndarray of shape (..., 1)
        The last [any].
    """
    return values[..., -1:]


def stacked(parts: Sequence[Numeric]) -> Array:
    """Lay numbers and arrays beside each other on a new first axis, each broadcast to all."""
    shapes = {part.shape for part in parts if isinstance(part, np.ndarray)}
    if not shapes:
        return np.array(parts, float).reshape(-1, 1, 1)
    values = np.empty((len(parts), *np.broadcast_shapes((1, 1), *shapes)))
    for position, part in enumerate(parts):
        values[position] = part
    return values


@formula("the parts side by side")
def side_by_side(*parts: Quantity) -> Quantity:
    """Lay figures beside each other on a new first axis.

    Parameters
    ----------
    *parts : float or ndarray of shape (draws, rows)
        Figures of one unit [any].

    Returns
    -------
    ndarray of shape (parts, draws, rows)
        All of them [any].
    """
    return stacked(parts)
