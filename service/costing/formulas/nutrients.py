"""Nutrients that come to the farm in hay, and what is kept of them: nitrogen, phosphate, potash."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    CRUDE_PROTEIN_PER_NITROGEN,
    POUNDS_PER_TON,
    Currency,
    Fraction,
    NutrientPounds,
    NutrientPrices,
    Nutrients,
    Pounds,
    PoundsDM,
    PoundsPerTonDM,
)


@formula("crude protein / 6.25; phosphate and potash in lb a ton DM / 2,000")
def nutrients_in_hay(
    crude_protein_fraction: Fraction, p2o5: PoundsPerTonDM, k2o: PoundsPerTonDM
) -> Nutrients:
    """Nutrients in a pound of hay dry matter.

    Parameters
    ----------
    crude_protein_fraction : float or ndarray
        Crude protein of the hay [fraction].
    p2o5 : float or ndarray
        Phosphate in hay [lb/ton DM].
    k2o : float or ndarray
        Potash in hay [lb/ton DM].

    Returns
    -------
    ndarray of shape (nutrients, draws, rows)
        Share of the dry matter that is nitrogen, phosphate and potash [fraction].
    """
    parts = (
        crude_protein_fraction / CRUDE_PROTEIN_PER_NITROGEN,
        p2o5 / POUNDS_PER_TON,
        k2o / POUNDS_PER_TON,
    )
    return np.stack([np.atleast_2d(part) for part in np.broadcast_arrays(*parts)])


@formula("(hay eaten x excreted x share of the hours + hay wasted there) x content")
def nutrients_dropped(
    eaten: PoundsDM,
    hours_share: Fraction,
    excreted_fraction: Nutrients,
    wasted: PoundsDM,
    content: Nutrients,
) -> NutrientPounds:
    """Nutrients from hay that fall at a place.

    Parameters
    ----------
    eaten : ndarray of shape (draws, rows)
        Hay eaten on the step [lb DM].
    hours_share : float or ndarray
        Share of the day spent at the place [fraction].
    excreted_fraction : ndarray of shape (nutrients, draws, rows)
        Share of what is eaten that is excreted [fraction].
    wasted : float or ndarray
        Hay wasted at the place [lb DM].
    content : ndarray of shape (nutrients, draws, rows)
        Nutrients in a pound of hay dry matter [fraction].

    Returns
    -------
    ndarray of shape (nutrients, draws, rows)
        What falls [lb].
    """
    return (eaten * excreted_fraction * hours_share + wasted) * content


@formula("what falls x share kept")
def nutrients_kept(dropped: NutrientPounds, kept_fraction: Nutrients) -> NutrientPounds:
    """Nutrients kept for plants on land.

    Parameters
    ----------
    dropped : ndarray of shape (nutrients, draws, rows)
        What falls [lb].
    kept_fraction : ndarray of shape (nutrients, draws, rows)
        Share that stays for plants [fraction].

    Returns
    -------
    ndarray of shape (nutrients, draws, rows)
        Kept [lb].
    """
    return dropped * kept_fraction


@formula("what falls x (collected x kept there + not collected x kept on an open lot)")
def nutrients_kept_from_floor(
    dropped: NutrientPounds,
    collected_fraction: Fraction,
    kept_fraction: Nutrients,
    open_lot_fraction: Nutrients,
) -> NutrientPounds:
    """Nutrients kept for plants from a floor.

    Parameters
    ----------
    dropped : ndarray of shape (nutrients, draws, rows)
        What falls on the floor [lb].
    collected_fraction : float or ndarray
        Share that is taken off the floor [fraction].
    kept_fraction : ndarray of shape (nutrients, draws, rows)
        Share kept of what is collected [fraction].
    open_lot_fraction : ndarray of shape (nutrients, draws, rows)
        Share kept of what is not [fraction].

    Returns
    -------
    ndarray of shape (nutrients, draws, rows)
        Kept [lb].
    """
    share = collected_fraction * kept_fraction + (1 - collected_fraction) * open_lot_fraction
    return dropped * share


@formula("the nitrogen among the nutrients")
def nitrogen_of(amounts: NutrientPounds) -> Pounds:
    """Nitrogen alone.

    Parameters
    ----------
    amounts : ndarray of shape (nutrients, draws, rows)
        Nitrogen, phosphate and potash [lb].

    Returns
    -------
    ndarray of shape (draws, rows)
        Nitrogen [lb].
    """
    return amounts[0]


@formula("sum over nutrients of kept x usable x price x share counted")
def nutrient_worth(
    kept: NutrientPounds,
    usable_fraction: Nutrients,
    price: NutrientPrices,
    counted_fraction: Nutrients,
) -> Currency:
    """Money that nutrients save on fertilizer.

    Parameters
    ----------
    kept : ndarray of shape (nutrients, draws, rows)
        Kept for plants [lb].
    usable_fraction : ndarray of shape (nutrients, draws, rows)
        Share that replaces fertilizer [fraction].
    price : ndarray of shape (nutrients, draws, rows)
        Price of the fertilizer [currency/lb].
    counted_fraction : ndarray of shape (nutrients, draws, rows)
        Share that counts as money [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Worth [currency].
    """
    return np.add.reduce(kept * usable_fraction * price * counted_fraction, axis=-3)
