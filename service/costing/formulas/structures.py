"""What is built: size by rule, first cost, replacement, what is left, upkeep, cost-share."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    NEGLIGIBLE,
    Count,
    Currency,
    CurrencyPerSize,
    CurrencyPerSquareFoot,
    EntriesByYear,
    Fraction,
    Head,
    PerYear,
    Pieces,
    PiecesPerHead,
    Plain,
    Quantity,
    SquareFeet,
    SquareFeetPerSquareFoot,
    SquareFeetPerTon,
    Tons,
    Years,
)


@formula("sum over groups of head x pieces a head, rounded up")
def pieces_by_rule(head: Head, per_head: PiecesPerHead) -> Pieces:
    """Waterers or feeders for the animals that use them.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    per_head : ndarray of shape (groups, 1, 1, 1)
        Pieces for one animal [piece/head].

    Returns
    -------
    float or ndarray
        Pieces [piece].
    """
    return np.ceil(np.add.reduce(head * per_head, axis=(-4, -3)) - NEGLIGIBLE)


@formula("size wanted - size there now, none if there is enough")
def size_added(wanted: Quantity, existing: Quantity) -> Quantity:
    """Size to be built beside what exists.

    Parameters
    ----------
    wanted : float or ndarray
        Size wanted [any].
    existing : float or ndarray
        Size that exists [any].

    Returns
    -------
    float or ndarray
        Size to add [any].
    """
    return np.maximum(0.0, wanted - existing)


@formula("tons x sq ft a ton")
def hay_storage_by_rule(hay: Tons, square_feet_per_ton: SquareFeetPerTon) -> SquareFeet:
    """Floor for the hay in store.

    Parameters
    ----------
    hay : float or ndarray
        Hay as fed [ton].
    square_feet_per_ton : float or ndarray
        Floor for a ton [sq ft/ton].

    Returns
    -------
    float or ndarray
        Floor [sq ft].
    """
    return hay * square_feet_per_ton


@formula("open pad area x sq ft of strip for each")
def strip_by_rule(area: SquareFeet, ratio: SquareFeetPerSquareFoot) -> SquareFeet:
    """Grass strip below open pads.

    Parameters
    ----------
    area : float or ndarray
        Open pad area [sq ft].
    ratio : float or ndarray
        Strip for each sq ft of pad [sq ft/sq ft].

    Returns
    -------
    float or ndarray
        Strip [sq ft].
    """
    return area * ratio


@formula("base cost + size x unit cost")
def works(base_cost: Currency, unit_cost: CurrencyPerSize, size: Count) -> Currency:
    """Cost of the works by the reference.

    Parameters
    ----------
    base_cost : float or ndarray
        Part that does not grow with size [currency].
    unit_cost : float or ndarray
        Part that does, a unit [currency/size].
    size : float or ndarray
        Size in the unit of its kind [count].

    Returns
    -------
    float or ndarray
        Cost of the works [currency].
    """
    return base_cost + size * unit_cost


@formula("size x unit cost + tie-in")
def works_of_addition(unit_cost: CurrencyPerSize, size: Count, tie_in_cost: Currency) -> Currency:
    """Cost of the works of an addition.

    Parameters
    ----------
    unit_cost : float or ndarray
        Cost of a unit [currency/size].
    size : float or ndarray
        Size of the addition [count].
    tie_in_cost : float or ndarray
        Joining new to old [currency].

    Returns
    -------
    float or ndarray
        Cost of the works [currency].
    """
    return size * unit_cost + tie_in_cost


@formula("works x (1 + contingency) + engineering + permits + power and water")
def first_cost(
    works: Currency,
    contingency_fraction: Fraction,
    engineering_cost: Currency,
    permit_cost: Currency,
    power_and_water_cost: Currency,
) -> Currency:
    """What a structure costs, ready for use.

    Parameters
    ----------
    works : float or ndarray
        Works [currency].
    contingency_fraction : float or ndarray
        Added to the works [fraction].
    engineering_cost : float or ndarray
        Design and inspection [currency].
    permit_cost : float or ndarray
        Fees [currency].
    power_and_water_cost : float or ndarray
        Bringing them there [currency].

    Returns
    -------
    float or ndarray
        First cost [currency].
    """
    extras = engineering_cost + permit_cost + power_and_water_cost
    return works * (1 + contingency_fraction) + extras


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


@formula("the least of rate x eligible cost, per unit x size, cap and first cost, as given")
def cost_share_granted(*limits: Currency) -> Currency:
    """Public money toward a structure.

    Parameters
    ----------
    *limits : float or ndarray
        What the terms give, each [currency].

    Returns
    -------
    float or ndarray
        Cost-share [currency].
    """
    return np.minimum.reduce(np.broadcast_arrays(*limits))


@formula("per unit x size")
def cost_share_by_unit(per_unit: CurrencyPerSize, size: Count) -> Currency:
    """Cost-share paid by size.

    Parameters
    ----------
    per_unit : float or ndarray
        Money a unit [currency/size].
    size : float or ndarray
        Size in the unit of its kind [count].

    Returns
    -------
    float or ndarray
        Cost-share [currency].
    """
    return per_unit * size


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
