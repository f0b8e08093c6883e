"""What animals need and eat: intake, cold and mud, supplement."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    HOURS_PER_DAY,
    Days,
    Fahrenheit,
    Fraction,
    Head,
    HoursPerDay,
    PerFahrenheit,
    Pounds,
    PoundsDM,
    PoundsDMPerDay,
    PoundsDMPerHeadDay,
    PoundsDMPerPoundDay,
    PoundsPerHead,
    PoundsTDN,
    PoundsTDNPerPound,
)


@formula("live weight x intake as a fraction of it")
def intake_by_stage(
    body_weight: PoundsPerHead, intake_fraction: PoundsDMPerPoundDay
) -> PoundsDMPerHeadDay:
    """Dry matter that an animal eats in a day in each stage.

    Parameters
    ----------
    body_weight : ndarray of shape (groups, 1, 1, 1)
        Live weight [lb/head].
    intake_fraction : ndarray of shape (stages, groups, 1, draws, rows)
        Intake on feed of this quality [lb DM/lb/day].

    Returns
    -------
    ndarray of shape (stages, groups, 1, draws, rows)
        Intake without cold and mud [lb DM/head/day].
    """
    return body_weight * intake_fraction


@formula("sum over stages of share x amount")
def mean_of_stages(stage_share: Fraction, amount: PoundsDMPerHeadDay) -> PoundsDMPerHeadDay:
    """Average a daily amount over the stages of the winter.

    Parameters
    ----------
    stage_share : ndarray of shape (stages, groups, 1, 1, 1)
        Share of the winter in each stage [fraction].
    amount : ndarray of shape (stages, groups, 1, draws, rows)
        Amount in each stage [lb DM/head/day].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Mean amount [lb DM/head/day].
    """
    return np.add.reduce(stage_share * amount, axis=0)


@formula("rise per degree x degrees below the critical temperature, none above it")
def cold_need(
    temperature: Fahrenheit,
    critical_temperature: Fahrenheit,
    rise_per_degree: PerFahrenheit,
) -> Fraction:
    """Rise of the energy need by cold.

    Parameters
    ----------
    temperature : ndarray of shape (states, draws, rows)
        Effective temperature; not a number where it is not known, then no cold is counted [°F].
    critical_temperature : ndarray of shape (groups, states, 1, 1)
        Lower critical temperature of the coat they have on such days [°F].
    rise_per_degree : ndarray of shape (groups, states, 1, 1)
        Rise of the need for each degree below [1/°F].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Rise, as a fraction of the need [fraction].
    """
    degrees = np.fmax(0.0, critical_temperature - temperature)
    return rise_per_degree * np.where(np.isnan(temperature), 0.0, degrees)


@formula("hours / 24")
def share_of_day(hours: HoursPerDay) -> Fraction:
    """Share of the day spent where animals are fed.

    Parameters
    ----------
    hours : float
        Hours of the day where they are fed [hour/day].

    Returns
    -------
    float
        Share of the day [fraction].
    """
    return hours / HOURS_PER_DAY


@formula("1 - hours / 24")
def rest_of_day(hours: HoursPerDay) -> Fraction:
    """Share of the day spent where animals rest.

    Parameters
    ----------
    hours : float
        Hours of the day where they are fed [hour/day].

    Returns
    -------
    float
        Share of the day [fraction].
    """
    return 1 - share_of_day(hours)


@formula("hours / 24 x on the method + (1 - hours / 24) x at rest")
def by_hours(hours: HoursPerDay, on_method: Fraction, at_rest: Fraction) -> Fraction:
    """Average over the places of the day by the hours spent there.

    Parameters
    ----------
    hours : float
        Hours of the day where they are fed [hour/day].
    on_method : float or ndarray
        Value where they are fed [fraction].
    at_rest : float or ndarray
        Value where they rest [fraction].

    Returns
    -------
    float or ndarray
        Mean of the day [fraction].
    """
    return share_of_day(hours) * on_method + rest_of_day(hours) * at_rest


@formula("1 + the need by cold and mud, up to the most that is eaten")
def eaten_factor(need: Fraction, extra_intake_limit: Fraction) -> Fraction:
    """Factor by which animals eat more in cold and mud.

    Parameters
    ----------
    need : ndarray of shape (groups, states, draws, rows)
        Rise of the need [fraction].
    extra_intake_limit : float
        Most that they eat above intake [fraction].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Factor on intake [fraction].
    """
    return 1 + np.minimum(extra_intake_limit, need)


@formula("head x intake x factor for cold and mud")
def eaten_per_day(head: Head, intake: PoundsDMPerHeadDay, eaten_factor: Fraction) -> PoundsDMPerDay:
    """Dry matter that a group eats in a day.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    intake : ndarray of shape (groups, 1, draws, rows)
        Intake without cold and mud [lb DM/head/day].
    eaten_factor : ndarray of shape (groups, states, draws, rows)
        Factor for cold and mud [fraction].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Eaten in a day [lb DM/day].
    """
    return head * intake * eaten_factor


@formula("days x head x intake x (need - what of it is eaten) x TDN of the feed")
def energy_short(
    served: Days,
    head: Head,
    intake: PoundsDMPerHeadDay,
    need: Fraction,
    eaten_factor: Fraction,
    tdn_fraction: Fraction,
) -> PoundsTDN:
    """Energy that cold and mud ask for and that is not eaten.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    intake : ndarray of shape (groups, 1, draws, rows)
        Intake without cold and mud [lb DM/head/day].
    need : ndarray of shape (groups, states, draws, rows)
        Rise of the need [fraction].
    eaten_factor : ndarray of shape (groups, states, draws, rows)
        Factor on intake [fraction].
    tdn_fraction : float or ndarray
        TDN of the feed [fraction].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Energy short in the winter [lb TDN].
    """
    not_eaten = need - (eaten_factor - 1)
    return np.add.reduce(served * head * intake * not_eaten * tdn_fraction, axis=-3, keepdims=True)


@formula("energy short / energy in a pound of live weight")
def condition_not_held(energy_short: PoundsTDN, energy_of_weight: PoundsTDNPerPound) -> Pounds:
    """Live weight that the herd loses because of energy not eaten.

    Parameters
    ----------
    energy_short : ndarray of shape (groups, 1, draws, rows)
        Energy short in the winter [lb TDN].
    energy_of_weight : ndarray of shape (groups, 1, 1, 1)
        Energy in a pound of live weight [lb TDN/lb].

    Returns
    -------
    ndarray of shape (groups, 1, draws, rows)
        Weight not held [lb].
    """
    return energy_short / energy_of_weight


@formula("intake x the larger of TDN lacking / TDN of the supplement and protein alike")
def supplement_by_stage(
    intake: PoundsDMPerHeadDay,
    tdn_required: Fraction,
    tdn_fraction: Fraction,
    supplement_tdn_fraction: Fraction,
    protein_required: Fraction,
    protein_fraction: Fraction,
    supplement_protein_fraction: Fraction,
) -> PoundsDMPerHeadDay:
    """Supplement that fills what the feed lacks in each stage.

    Parameters
    ----------
    intake : ndarray of shape (stages, groups, 1, draws, rows)
        Intake in each stage [lb DM/head/day].
    tdn_required : ndarray of shape (stages, groups, 1, 1, 1)
        TDN that the diet needs [fraction].
    tdn_fraction : float or ndarray
        TDN of the feed [fraction].
    supplement_tdn_fraction : float or ndarray
        TDN of the supplement [fraction].
    protein_required : ndarray of shape (stages, groups, 1, 1, 1)
        Crude protein that the diet needs [fraction].
    protein_fraction : float or ndarray
        Crude protein of the feed [fraction].
    supplement_protein_fraction : float or ndarray
        Crude protein of the supplement [fraction].

    Returns
    -------
    ndarray of shape (stages, groups, 1, draws, rows)
        Supplement in each stage, on top of the feed [lb DM/head/day].
    """
    energy = np.maximum(0.0, tdn_required - tdn_fraction) / supplement_tdn_fraction
    protein = np.maximum(0.0, protein_required - protein_fraction) / supplement_protein_fraction
    return intake * np.maximum(energy, protein)


@formula("days x head x supplement a day, over all groups and states")
def supplement_fed(served: Days, head: Head, supplement: PoundsDMPerHeadDay) -> PoundsDM:
    """Supplement fed on a step in the winter.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days on the step [day].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    supplement : ndarray of shape (groups, 1, draws, rows)
        Supplement a day [lb DM/head/day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Supplement fed [lb DM].
    """
    return np.add.reduce(served * head * supplement, axis=(-4, -3))
