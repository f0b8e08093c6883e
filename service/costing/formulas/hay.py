"""The chain from hay in store to hay eaten, and what it costs."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    MOST_WASTE_FRACTION,
    NEGLIGIBLE,
    POUNDS_PER_TON,
    Bales,
    Currency,
    CurrencyPerBale,
    CurrencyPerTon,
    Days,
    Fraction,
    PoundsDM,
    PoundsDMPerBale,
    PoundsDMPerDay,
    PoundsPerBale,
    Tons,
    TonsDM,
)


@formula("waste + what the ground adds, from 0 to 0.9")
def waste_fraction(usual: Fraction, added: Fraction) -> Fraction:
    """Share of the hay offered that animals waste.

    Parameters
    ----------
    usual : ndarray of shape (groups, 1, 1, 1)
        Waste by the way it is put before them [fraction].
    added : ndarray of shape (groups, states, draws, rows)
        Added by the ground state [fraction].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Waste of hay offered [fraction].
    """
    return np.clip(usual + added, 0.0, MOST_WASTE_FRACTION)


@formula("days served x eaten a day")
def feed_eaten(served: Days, eaten_per_day: PoundsDMPerDay) -> PoundsDM:
    """Feed eaten on a step.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days served [day].
    eaten_per_day : ndarray of shape (groups, states, draws, rows)
        Eaten in a day [lb DM/day].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Feed eaten [lb DM].
    """
    return served * eaten_per_day


@formula("eaten / (1 - waste)")
def hay_offered(eaten: PoundsDM, waste_fraction: Fraction) -> PoundsDM:
    """Hay put before animals so that they eat what they need.

    Waste is measured on hay offered; eaten x (1 + waste) would be too little.

    Parameters
    ----------
    eaten : ndarray of shape (groups, states, draws, rows)
        Hay eaten [lb DM].
    waste_fraction : ndarray of shape (groups, states, draws, rows)
        Share of hay offered that is wasted [fraction].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Hay offered [lb DM].
    """
    return eaten / (1 - waste_fraction)


@formula("offered / (1 - storage loss)")
def hay_stored(offered: PoundsDM, storage_loss_fraction: Fraction) -> PoundsDM:
    """Hay put in storage so that enough is left to feed.

    Parameters
    ----------
    offered : ndarray of shape (draws, rows)
        Hay offered [lb DM].
    storage_loss_fraction : float or ndarray
        Share of the hay in storage that is lost [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Hay stored [lb DM].
    """
    return offered / (1 - storage_loss_fraction)


@formula("lb DM / 2,000")
def tons_dm(dry_matter: PoundsDM) -> TonsDM:
    """Tons of dry matter.

    Parameters
    ----------
    dry_matter : float or ndarray
        Dry matter [lb DM].

    Returns
    -------
    float or ndarray
        The same in tons [ton DM].
    """
    return dry_matter / POUNDS_PER_TON


@formula("lb DM / dry matter fraction / 2,000")
def tons_as_fed(dry_matter: PoundsDM, dry_matter_fraction: Fraction) -> Tons:
    """Tons of feed as it is bought.

    Parameters
    ----------
    dry_matter : float or ndarray
        Dry matter [lb DM].
    dry_matter_fraction : float or ndarray
        Dry matter of the feed [fraction].

    Returns
    -------
    float or ndarray
        Feed as fed [ton].
    """
    return dry_matter / dry_matter_fraction / POUNDS_PER_TON


@formula("lb DM / dry matter fraction / 2,000 x price")
def feed_cost(
    dry_matter: PoundsDM, dry_matter_fraction: Fraction, price: CurrencyPerTon
) -> Currency:
    """What a feed costs.

    Parameters
    ----------
    dry_matter : float or ndarray
        Dry matter of the feed [lb DM].
    dry_matter_fraction : float or ndarray
        Dry matter as a share of the feed as fed [fraction].
    price : float or ndarray
        Price as fed [currency/ton].

    Returns
    -------
    float or ndarray
        Cost [currency].
    """
    return dry_matter / dry_matter_fraction / POUNDS_PER_TON * price


@formula("usual price x factor of the winter")
def price_of_winter(price: CurrencyPerTon, factor: Fraction) -> CurrencyPerTon:
    """Price of hay in each winter.

    Parameters
    ----------
    price : float or ndarray
        Usual price [currency/ton].
    factor : float or ndarray
        Factor of the winter [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Price [currency/ton].
    """
    return price * factor


@formula("price of a bale / its weight x 2,000")
def price_per_ton(price_per_bale: CurrencyPerBale, bale_weight: PoundsPerBale) -> CurrencyPerTon:
    """Price of a ton from that of a bale.

    Parameters
    ----------
    price_per_bale : float or ndarray
        Price of a bale [currency/bale].
    bale_weight : float or ndarray
        Weight of a bale as fed [lb/bale].

    Returns
    -------
    float or ndarray
        Price [currency/ton].
    """
    return price_per_bale / bale_weight * POUNDS_PER_TON


@formula("price - cost of selling")
def worth_less_selling(price: CurrencyPerTon, cost_to_sell: CurrencyPerTon) -> CurrencyPerTon:
    """What a ton of the farm's own hay would bring.

    Parameters
    ----------
    price : ndarray of shape (draws, rows)
        Price of the winter [currency/ton].
    cost_to_sell : float or ndarray
        Hauling and selling [currency/ton].

    Returns
    -------
    ndarray of shape (draws, rows)
        Worth [currency/ton].
    """
    return price - cost_to_sell


@formula("bale weight x dry matter fraction")
def bale_dry_matter(bale_weight: PoundsPerBale, dry_matter_fraction: Fraction) -> PoundsDMPerBale:
    """Dry matter in a bale.

    Parameters
    ----------
    bale_weight : float or ndarray
        Weight as fed [lb/bale].
    dry_matter_fraction : float or ndarray
        Dry matter of the hay [fraction].

    Returns
    -------
    float or ndarray
        Dry matter [lb DM/bale].
    """
    return bale_weight * dry_matter_fraction


@formula("bales x dry matter in a bale")
def dry_matter_of_bales(bales: Bales, bale_dry_matter: PoundsDMPerBale) -> PoundsDM:
    """Dry matter in a number of bales.

    Parameters
    ----------
    bales : float or ndarray
        Bales [bale].
    bale_dry_matter : float or ndarray
        Dry matter in a bale [lb DM/bale].

    Returns
    -------
    float or ndarray
        Dry matter [lb DM].
    """
    return bales * bale_dry_matter


@formula("lb DM / dry matter in a bale")
def bales_of(dry_matter: PoundsDM, bale_dry_matter: PoundsDMPerBale) -> Bales:
    """Bales that hold an amount of hay.

    Parameters
    ----------
    dry_matter : float or ndarray
        Hay [lb DM].
    bale_dry_matter : float or ndarray
        Dry matter in a bale [lb DM/bale].

    Returns
    -------
    float or ndarray
        Bales [bale].
    """
    return dry_matter / bale_dry_matter


@formula("needed - on hand, none if there are enough")
def bales_short(needed: Bales, on_hand: Bales) -> Bales:
    """Bales lacking.

    Parameters
    ----------
    needed : float or ndarray
        Bales needed [bale].
    on_hand : float or ndarray
        Bales on hand [bale].

    Returns
    -------
    float or ndarray
        Bales short [bale].
    """
    return np.maximum(0.0, needed - on_hand)


@formula("bales short, rounded up")
def bales_to_buy(short: Bales) -> Bales:
    """Whole bales to buy.

    Parameters
    ----------
    short : float or ndarray
        Bales short [bale].

    Returns
    -------
    float or ndarray
        Bales to buy [bale].
    """
    return np.ceil(short - NEGLIGIBLE)


@formula("needed x days still to come / days of the winter")
def bales_left_after(needed: Bales, days_to_come: Days, days: Days) -> Bales:
    """Bales that should be left at a checkpoint if use is even.

    Parameters
    ----------
    needed : float or ndarray
        Bales needed in the winter [bale].
    days_to_come : float or ndarray
        Days still to come [day].
    days : float or ndarray
        Days of the winter [day].

    Returns
    -------
    float or ndarray
        Bales left [bale].
    """
    return needed * np.minimum(1.0, days_to_come / days)
