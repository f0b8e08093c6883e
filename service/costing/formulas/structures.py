"""What is built: size by rule, first cost and cost-share."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    NEGLIGIBLE,
    Count,
    Currency,
    CurrencyPerSize,
    Fraction,
    Head,
    Pieces,
    PiecesPerHead,
    Quantity,
    SquareFeet,
    SquareFeetPerSquareFoot,
    SquareFeetPerTon,
    Tons,
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


@formula("the larger of the two")
def larger_size(wanted: Quantity, existing: Quantity) -> Quantity:
    """Size of a structure of which some exists already.

    Parameters
    ----------
    wanted : float or ndarray
        Size wanted [any].
    existing : float or ndarray
        Size that exists [any].

    Returns
    -------
    float or ndarray
        Size that there will be [any].
    """
    return np.maximum(wanted, existing)


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
