"""Bales set out on grass: ground covered, and what is laid on it."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    NEGLIGIBLE,
    POUNDS_PER_TON,
    SQUARE_FEET_PER_ACRE,
    Acres,
    Bales,
    Feet,
    Pounds,
    PoundsDM,
    PoundsPerAcre,
    TonsDMPerAcre,
)


@formula("bales x spacing squared / 43,560")
def acres_covered(bales: Bales, spacing: Feet) -> Acres:
    """Ground that the bales eaten stand on.

    Parameters
    ----------
    bales : ndarray of shape (draws, rows)
        Bales used [bale].
    spacing : float or ndarray
        Distance from center to center [ft].

    Returns
    -------
    ndarray of shape (draws, rows)
        Ground [acre].
    """
    return bales * spacing**2 / SQUARE_FEET_PER_ACRE


@formula("hay offered / 2,000 / acres covered")
def hay_per_acre(offered: PoundsDM, acres: Acres) -> TonsDMPerAcre:
    """Hay laid on an acre.

    Parameters
    ----------
    offered : ndarray of shape (draws, rows)
        Hay offered [lb DM].
    acres : ndarray of shape (draws, rows)
        Ground covered [acre].

    Returns
    -------
    ndarray of shape (draws, rows)
        Hay [ton DM/acre].
    """
    return offered / POUNDS_PER_TON / np.where(acres > 0, acres, 1.0)


@formula("nutrient in residue and manure / acres covered")
def nutrient_per_acre(nutrient: Pounds, acres: Acres) -> PoundsPerAcre:
    """Nutrient laid on an acre.

    Parameters
    ----------
    nutrient : ndarray of shape (draws, rows)
        In residue and manure [lb].
    acres : ndarray of shape (draws, rows)
        Ground covered [acre].

    Returns
    -------
    ndarray of shape (draws, rows)
        Nutrient [lb/acre].
    """
    return nutrient / np.where(acres > 0, acres, 1.0)


@formula("bales set out - bales used")
def bales_not_used(set_out: Bales, used: Bales) -> Bales:
    """Bales to be fetched in again.

    Parameters
    ----------
    set_out : float or ndarray
        Bales set out [bale].
    used : ndarray of shape (draws, rows)
        Bales used [bale].

    Returns
    -------
    ndarray of shape (draws, rows)
        Bales left; less than a millionth is none [bale].
    """
    left = set_out - used
    return np.where(left < NEGLIGIBLE, 0.0, left)
