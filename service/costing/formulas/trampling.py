"""Ground that hooves and wheels damage, its repair, and the grass it does not grow."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    ROUNDING,
    SCALE_OF_MEMORY,
    SQUARE_FEET_PER_ACRE,
    Acres,
    AcresBySeverity,
    AnimalUnitDays,
    Array,
    CurrencyPerAcre,
    CurrencyPerTonDM,
    Days,
    Feet,
    Fraction,
    FractionBySeverity,
    MoneyBySeverity,
    PerYear,
    Plain,
    Quantity,
    SquareFeet,
    SquareFeetPerAnimalUnitDay,
    TonsDMPerAcre,
)


@formula("sum over states of animal-unit days x sq ft each x scale / 43,560")
def ground_trampled(
    animal_unit_days: AnimalUnitDays, square_feet: SquareFeetPerAnimalUnitDay, scale: Fraction
) -> AcresBySeverity:
    """Ground damaged by a step in each severity, before its ground runs out.

    Parameters
    ----------
    animal_unit_days : ndarray of shape (states, draws, rows)
        Animal-unit days at the place [AU-day].
    square_feet : ndarray of shape (severities, states, 1, 1)
        Ground damaged; 0 in states of another severity [sq ft/AU/day].
    scale : float or ndarray
        Scale to the farm's memory of last spring [fraction].

    Returns
    -------
    ndarray of shape (severities, draws, rows)
        Ground damaged [acre].
    """
    return np.add.reduce(animal_unit_days * square_feet, axis=-3) * scale / SQUARE_FEET_PER_ACRE


@formula("severe first, then moderate, then light, until the ground runs out")
def within_ground(trampled: AcresBySeverity, ground: Acres) -> AcresBySeverity:
    """Ground damaged, as far as the ground reaches.

    Parameters
    ----------
    trampled : ndarray of shape (severities, draws, rows)
        Ground that would be damaged, severe first [acre].
    ground : float or ndarray
        Ground there is [acre].

    Returns
    -------
    ndarray of shape (severities, draws, rows)
        Ground damaged [acre].
    """
    reached = np.minimum(np.cumsum(trampled, axis=-3), ground)
    return np.concatenate([reached[:1], reached[1:] - reached[:-1]])


@formula("acres of each severity, the edges of pads with the severe")
def with_edges(trampled: AcresBySeverity, edges: Acres) -> AcresBySeverity:
    """Add the edges of pads to what is trampled on a field.

    Parameters
    ----------
    trampled : ndarray of shape (severities, draws, rows)
        Ground trampled, severe first [acre].
    edges : ndarray of shape (draws, rows)
        Edges of pads [acre].

    Returns
    -------
    ndarray of shape (severities, draws, rows)
        Ground damaged [acre].
    """
    worst, others = trampled[:1] + edges, trampled[1:]
    return np.concatenate([worst, np.broadcast_to(others, (len(others), *worst.shape[1:]))])


@formula("sum over severities")
def over_severities(amounts: Quantity) -> Quantity:
    """Add over the severities.

    Parameters
    ----------
    amounts : ndarray of shape (severities, draws, rows)
        What is added [any].

    Returns
    -------
    ndarray of shape (draws, rows)
        The sum [any].
    """
    return np.add.reduce(amounts, axis=-3)


@formula(
    "4 x width x side + 4 x width squared, side = square root of the area, where the pad is used"
)
def pad_edge(area: SquareFeet, width: Feet, days: Days) -> Acres:
    """Ring of damage around a pad that animals walk to and from.

    The pad is taken as a square.

    Parameters
    ----------
    area : float or ndarray
        Area of the pad [sq ft].
    width : float or ndarray
        Width of the ring [ft].
    days : ndarray of shape (draws, rows)
        Days on which animals come and go [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Ground damaged [acre].
    """
    side = np.sqrt(area)
    ring = (side + 2 * width) ** 2 - area
    return ring * (days > 0) / SQUARE_FEET_PER_ACRE


@formula(
    "the smallest factor, 0.4 to 2.5, at which the damaged acres reach the memory or come nearest"
)
def damage_scale(
    memory: Acres,
    weight: Plain,
    trampled: Acres,
    ground: Acres,
    on_field: Plain,
    acres: Acres,
    edges: Acres,
) -> Fraction:
    """Scale of trampling at which a system damages what the farm remembers.

    Damage grows with the scale in straight lines, ever less steeply as ground runs out, so that
    steps along the tangent come to the answer from below and end on it.

    Parameters
    ----------
    memory : float or ndarray
        Acres repaired last spring [acre].
    weight : float or ndarray
        Weight of each winter [none].
    trampled : ndarray of shape (places, draws, rows)
        Ground that each place would damage unscaled [acre].
    ground : ndarray of shape (places, draws, rows)
        Ground of each place [acre].
    on_field : ndarray of shape (fields, places)
        1 where a place is on a field, else 0 [none].
    acres : ndarray of shape (fields, draws, rows)
        Acres of each field [acre].
    edges : ndarray of shape (fields, draws, rows)
        Edges of pads on each field [acre].

    Returns
    -------
    float or ndarray
        Scale [fraction].
    """
    mean = weight / np.add.reduce(weight)

    def damaged(scale: Array) -> Array:
        within = np.minimum(trampled * scale, ground)
        of_field = np.tensordot(on_field, within, axes=1) + edges
        return np.add.reduce(np.minimum(of_field, acres) * mean, axis=(0, -1))[:, None]

    def still_growing(scale: Array) -> Array:
        within = trampled * scale < ground
        room = np.tensordot(on_field, np.minimum(trampled * scale, ground), axes=1) + edges < acres
        return np.tensordot(on_field, trampled * within, axes=1) * room

    lowest, highest = SCALE_OF_MEMORY
    target = np.minimum(memory, damaged(np.array(highest)))
    scale = np.full_like(target, lowest)
    for _ in range(np.size(trampled) + np.size(edges)):
        gap = target - damaged(scale)
        slope = np.add.reduce(still_growing(scale) * mean, axis=(0, -1))[:, None]
        if not np.any((gap > target * ROUNDING) & (slope > 0)):
            break
        scale = scale + np.where(slope > 0, np.maximum(0.0, gap) / np.where(slope > 0, slope, 1), 0)
    return scale


@formula("acres x cost an acre")
def restoration(acres: AcresBySeverity, cost_per_acre: CurrencyPerAcre) -> MoneyBySeverity:
    """Repair of damaged ground in spring.

    Parameters
    ----------
    acres : ndarray of shape (severities, draws, rows)
        Ground damaged [acre].
    cost_per_acre : float or ndarray
        Repair [currency/acre].

    Returns
    -------
    ndarray of shape (severities, draws, rows)
        Cost [currency].
    """
    return acres * cost_per_acre


@formula("loss in year 1 + year 2 / (1 + r) + year 3 / (1 + r)^2")
def forage_years_lost(
    first: Fraction, second: Fraction, third: Fraction, discount_rate: PerYear
) -> FractionBySeverity:
    """Years of yield that a winter's damage costs, as a present value.

    Each winter is charged in its own year with all that it will cost.

    Parameters
    ----------
    first : float or ndarray
        Loss in the first year with the repair done [fraction].
    second : float or ndarray
        In the second [fraction].
    third : float or ndarray
        In the third [fraction].
    discount_rate : float or ndarray
        Real rate [fraction/year].

    Returns
    -------
    float or ndarray
        Share of a year's yield [fraction].
    """
    return first + second / (1 + discount_rate) + third / (1 + discount_rate) ** 2


@formula("acres x yield x value x years of yield lost")
def forage_lost(
    acres: AcresBySeverity,
    forage_yield: TonsDMPerAcre,
    forage_value: CurrencyPerTonDM,
    years_lost: FractionBySeverity,
) -> MoneyBySeverity:
    """Worth of the grass that damaged ground does not grow.

    Parameters
    ----------
    acres : ndarray of shape (severities, draws, rows)
        Ground damaged [acre].
    forage_yield : float or ndarray
        Yield of the field in a year [ton DM/acre].
    forage_value : float or ndarray
        Worth of standing grass [currency/ton DM].
    years_lost : float or ndarray
        Years of yield lost [fraction].

    Returns
    -------
    ndarray of shape (severities, draws, rows)
        Worth [currency].
    """
    return acres * forage_yield * forage_value * years_lost
