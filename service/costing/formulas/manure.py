"""Bedding, manure and storage of a floor."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    INCHES_PER_FOOT,
    POUNDS_PER_ANIMAL_UNIT,
    POUNDS_PER_CUBIC_FOOT_OF_WATER,
    POUNDS_PER_TON,
    AnimalUnitDays,
    CubicFeet,
    Currency,
    CurrencyPerTon,
    Days,
    Fraction,
    Head,
    Inches,
    Loads,
    Pounds,
    PoundsDM,
    PoundsPerAnimalUnitDay,
    PoundsPerCubicFoot,
    PoundsPerHead,
    PoundsPerPoundDay,
    SquareFeet,
    Times,
    Tons,
)


@formula("sum over groups of days x share of the hours x head x live weight / 1,000")
def animal_unit_days(
    served: Days, hours_share: Fraction, head: Head, body_weight: PoundsPerHead
) -> AnimalUnitDays:
    """Animal-unit days at a place.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    hours_share : float or ndarray
        Share of the day spent at the place [fraction].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    body_weight : ndarray of shape (groups, 1, 1, 1)
        Live weight [lb/head].

    Returns
    -------
    ndarray of shape (states, draws, rows)
        Animal-unit days in each ground state [AU-day].
    """
    weight = head * body_weight / POUNDS_PER_ANIMAL_UNIT
    return np.add.reduce(served * hours_share * weight, axis=-4)


@formula("sum over groups and states of days x share of the hours x head x live weight x bedding")
def bedding(
    served: Days,
    hours_share: Fraction,
    head: Head,
    body_weight: PoundsPerHead,
    bedding_fraction: PoundsPerPoundDay,
) -> Pounds:
    """Bedding put on a floor by a step.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    hours_share : float or ndarray
        Share of the day spent on the floor [fraction].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    body_weight : ndarray of shape (groups, 1, 1, 1)
        Live weight [lb/head].
    bedding_fraction : ndarray of shape (states, draws, rows)
        Bedding as a share of live weight [lb/lb/day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Bedding as bought [lb].
    """
    return np.add.reduce(
        served * hours_share * head * body_weight * bedding_fraction, axis=(-4, -3)
    )


@formula("lb / 2,000 x price")
def bedding_cost(bedding: Pounds, price: CurrencyPerTon) -> Currency:
    """What bedding costs.

    Parameters
    ----------
    bedding : ndarray of shape (draws, rows)
        Bedding as bought [lb].
    price : float or ndarray
        Price delivered [currency/ton].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    return bedding / POUNDS_PER_TON * price


@formula("sum over groups and states of days x share of the hours x animal units x manure")
def manure(
    served: Days,
    hours_share: Fraction,
    head: Head,
    body_weight: PoundsPerHead,
    manure_per_day: PoundsPerAnimalUnitDay,
) -> Pounds:
    """Manure that falls on a floor during a step.

    As excreted: on the high side for what is hauled.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    hours_share : float or ndarray
        Share of the day spent on the floor [fraction].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    body_weight : ndarray of shape (groups, 1, 1, 1)
        Live weight [lb/head].
    manure_per_day : ndarray of shape (groups, 1, 1, 1)
        Manure as excreted [lb/AU/day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Manure [lb].
    """
    units = head * body_weight / POUNDS_PER_ANIMAL_UNIT
    return np.add.reduce(served * hours_share * units * manure_per_day, axis=(-4, -3))


@formula("lb DM / dry matter fraction")
def hay_as_fed(dry_matter: PoundsDM, dry_matter_fraction: Fraction) -> Pounds:
    """Weight of hay as it lies.

    Parameters
    ----------
    dry_matter : ndarray of shape (draws, rows)
        Dry matter [lb DM].
    dry_matter_fraction : float or ndarray
        Dry matter of the hay [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Weight [lb].
    """
    return dry_matter / dry_matter_fraction


@formula("days run of the steps that use it, at most the days of the winter")
def days_in_use(*runs: Days, days: Days) -> Days:
    """Days on which a floor is used.

    Parameters
    ----------
    *runs : ndarray of shape (draws, rows)
        Days run of each step [day].
    days : ndarray of shape (draws, rows)
        Days of the winter [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Days in use [day].
    """
    return np.minimum(sum(runs, start=0.0), days)


@formula("rain / 12 x area x share kept, where the floor is in use")
def rain_on_floor(
    rain: Inches, area: SquareFeet, rain_kept_fraction: Fraction, days: Days
) -> CubicFeet:
    """Rain that leaves with the manure of an open pad.

    The whole rain of the winter counts, even for a pad used on a few days.

    Parameters
    ----------
    rain : ndarray of shape (draws, rows)
        Rain and melt of the winter [in].
    area : float or ndarray
        Area of the pad [sq ft].
    rain_kept_fraction : float or ndarray
        Share of the rain that leaves with the manure [fraction].
    days : ndarray of shape (draws, rows)
        Days on which the pad is used [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Rain [cu ft].
    """
    return rain / INCHES_PER_FOOT * area * rain_kept_fraction * (days > 0)


@formula("(collected manure, bedding and waste) / 2,000 + rain x 62.4 / 2,000")
def to_handle(
    manure: Pounds, bedding: Pounds, waste: Pounds, collected_fraction: Fraction, rain: CubicFeet
) -> Tons:
    """Manure, bedding, wasted hay and rain to be hauled from a floor.

    Parameters
    ----------
    manure : ndarray of shape (draws, rows)
        Manure [lb].
    bedding : ndarray of shape (draws, rows)
        Bedding [lb].
    waste : ndarray of shape (draws, rows)
        Wasted hay as it lies [lb].
    collected_fraction : float or ndarray
        Share that is taken off the floor [fraction].
    rain : ndarray of shape (draws, rows)
        Rain that leaves with it [cu ft].

    Returns
    -------
    ndarray of shape (draws, rows)
        To handle [ton].
    """
    solids = collected_fraction * (manure + bedding + waste)
    return (solids + rain * POUNDS_PER_CUBIC_FOOT_OF_WATER) / POUNDS_PER_TON


@formula("tons / tons a load")
def loads(tons: Tons, tons_per_load: Tons) -> Loads:
    """Spreader loads.

    Parameters
    ----------
    tons : ndarray of shape (draws, rows)
        To be spread [ton].
    tons_per_load : float or ndarray
        One load [ton].

    Returns
    -------
    ndarray of shape (draws, rows)
        Loads [load].
    """
    return tons / tons_per_load


@formula("days used / days between cleanings")
def scrapings(days: Days, days_between: Days) -> Times:
    """Times that a floor is cleaned in the winter.

    Parameters
    ----------
    days : ndarray of shape (draws, rows)
        Days on which it is used [day].
    days_between : float or ndarray
        Days of use between two cleanings [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Times [time].
    """
    return days / days_between


@formula("collected manure / density + volume share x collected bedding and waste / density + rain")
def volume_of_floor(
    manure: Pounds,
    bedding: Pounds,
    waste: Pounds,
    collected_fraction: Fraction,
    rain: CubicFeet,
    manure_density: PoundsPerCubicFoot,
    bedding_density: PoundsPerCubicFoot,
    volume_fraction: Fraction,
) -> CubicFeet:
    """Volume of what comes off a floor in the winter.

    Parameters
    ----------
    manure : ndarray of shape (draws, rows)
        Manure [lb].
    bedding : ndarray of shape (draws, rows)
        Bedding [lb].
    waste : ndarray of shape (draws, rows)
        Wasted hay as it lies [lb].
    collected_fraction : float or ndarray
        Share that is taken off the floor [fraction].
    rain : ndarray of shape (draws, rows)
        Rain that leaves with it [cu ft].
    manure_density : float or ndarray
        Manure [lb/cu ft].
    bedding_density : float or ndarray
        Bedding and wasted hay, loose [lb/cu ft].
    volume_fraction : float or ndarray
        Share of the loose volume of bedding that adds to the storage [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Volume [cu ft].
    """
    solid = volume_fraction * collected_fraction * (bedding + waste) / bedding_density
    return collected_fraction * manure / manure_density + solid + rain


@formula("storage days / days of winter, at most 1, x volume of the winter")
def storage_volume(storage_days: Days, days: Days, volume: CubicFeet) -> CubicFeet:
    """Storage that holds a number of days.

    Rain on the store itself and freeboard are for its engineer to add.

    Parameters
    ----------
    storage_days : float or ndarray
        Days that it must hold [day].
    days : ndarray of shape (draws, rows)
        Days of the winter [day].
    volume : ndarray of shape (draws, rows)
        Volume of the winter [cu ft].

    Returns
    -------
    ndarray of shape (draws, rows)
        Storage [cu ft].
    """
    return np.minimum(1.0, storage_days / days) * volume
