"""Money for things built over the years: building, replacing, what is left, upkeep."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    Count,
    Currency,
    CurrencyPerSquareFoot,
    EntriesByYear,
    Fraction,
    PerYear,
    Plain,
    Years,
)


@formula("first cost x salvage fraction")
def salvage_value(first_cost: Currency, salvage_fraction: Fraction) -> Currency:
    """What a structure is worth at the end of its life.

    Parameters
    ----------
    first_cost : float or ndarray
        First cost [currency].
    salvage_fraction : float or ndarray
        Share of the first cost [fraction].

    Returns
    -------
    float or ndarray
        Worth [currency].
    """
    return first_cost * salvage_fraction


@formula("the shorter of the two")
def shorter_of(life: Years, lease: Years) -> Years:
    """The life that counts on rented ground.

    Parameters
    ----------
    life : float or ndarray
        Life of the structure [year].
    lease : float or ndarray
        Years of the lease that are left [year].

    Returns
    -------
    float or ndarray
        Years [year].
    """
    return np.minimum(life, lease)


@formula("first cost when built, first cost - salvage when replaced, and at the end - what is left")
def building_flows(
    first_cost: Currency,
    salvage_value: Currency,
    life: Years,
    first_built: Years,
    horizon: Years,
    prorated: Plain,
) -> EntriesByYear:
    """Money for building and replacing one structure over the horizon.

    Parameters
    ----------
    first_cost : float or ndarray
        First cost [currency].
    salvage_value : float or ndarray
        Worth at the end of its life [currency].
    life : float or ndarray
        Service life [year].
    first_built : float or ndarray
        Year in which it is first paid for: 0, or when what exists has worn out [year].
    horizon : float or ndarray
        Years looked at [year].
    prorated : float or ndarray
        1 if what is left at the horizon goes by the unused life; 0 if it is the agreed value whole
        [none].

    Returns
    -------
    ndarray of shape (years + 1, ...)
        Money in each year [currency].
    """
    years = np.arange(int(horizon) + 1).reshape(-1, 1, 1, 1)
    age = years - first_built
    bought = (age >= 0) & (years < horizon)
    anew = bought & (age % life == 0)
    flows = np.where(anew, np.where(age == 0, first_cost, first_cost - salvage_value), 0.0)
    used = (horizon - first_built) % life
    unused = np.where(used == 0, 0.0, life - used) / life
    left = prorated * unused * (first_cost - salvage_value) + salvage_value
    return flows - np.where((years == horizon) & (first_built < horizon), left, 0.0)


@formula("size x cost of a unit")
def top_up_cost(size: Count, unit_cost: CurrencyPerSquareFoot) -> Currency:
    """Topping up the rock of a pad.

    Parameters
    ----------
    size : float or ndarray
        Area of the pad [count].
    unit_cost : float or ndarray
        Cost of a square foot [currency/sq ft].

    Returns
    -------
    float or ndarray
        One top-up [currency].
    """
    return size * unit_cost


@formula("life - remaining life")
def years_used(life: Years, remaining_life: Years) -> Years:
    """Age of what exists, by the life that it has left.

    Parameters
    ----------
    life : float or ndarray
        Service life [year].
    remaining_life : float or ndarray
        Years until it is rebuilt [year].

    Returns
    -------
    float or ndarray
        Age [year].
    """
    return np.maximum(0.0, life - remaining_life)


@formula(
    "first cost x upkeep fraction a year, and a top-up when its age is a multiple of the interval"
)
def upkeep_flows(
    first_cost: Currency,
    upkeep_fraction: PerYear,
    top_up: Currency,
    top_up_interval: Years,
    age: Years,
    life: Years,
    horizon: Years,
) -> EntriesByYear:
    """Upkeep of one structure over the horizon.

    Parameters
    ----------
    first_cost : float or ndarray
        First cost [currency].
    upkeep_fraction : float or ndarray
        Share of the first cost [fraction/year].
    top_up : float or ndarray
        One top-up; 0 where there is none [currency].
    top_up_interval : float or ndarray
        Years between top-ups [year].
    age : float or ndarray
        Age now [year].
    life : float or ndarray
        Service life [year].
    horizon : float or ndarray
        Years looked at [year].

    Returns
    -------
    ndarray of shape (years + 1, ...)
        Money in each year [currency].
    """
    years = np.arange(int(horizon) + 1).reshape(-1, 1, 1, 1)
    age_then = (years + age) % life
    topped = (age_then > 0) & (age_then % top_up_interval == 0) & (years < horizon) & (years > 0)
    return np.where(years > 0, first_cost * upkeep_fraction, 0.0) + np.where(topped, top_up, 0.0)


@formula("the amount in one year, nothing in the others")
def paid_in_year(amount: Currency, year: Years, horizon: Years) -> EntriesByYear:
    """Lay an amount on one year of the horizon.

    Parameters
    ----------
    amount : float or ndarray
        Amount [currency].
    year : float or ndarray
        Year at whose end it is paid [year].
    horizon : float or ndarray
        Years looked at [year].

    Returns
    -------
    ndarray of shape (years + 1, ...)
        Money in each year [currency].
    """
    years = np.arange(int(horizon) + 1).reshape(-1, 1, 1, 1)
    return np.where(years == year, amount, 0.0)
