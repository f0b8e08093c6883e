"""How the days of a winter are shared among the steps of a plan."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    NEGLIGIBLE,
    Days,
    Fraction,
    Head,
    Plain,
    PoundsDM,
    PoundsDMPerDay,
    SquareFeet,
    SquareFeetPerHead,
)


@formula("sum over groups of head x area a head x largest share of the herd on it")
def area_by_rule(head: Head, space: SquareFeetPerHead, share_of_herd: Fraction) -> SquareFeet:
    """Area of a floor that holds the animals that use it.

    Parameters
    ----------
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    space : ndarray of shape (groups, 1, 1, 1)
        Area for one animal [sq ft/head].
    share_of_herd : ndarray of shape (groups, 1, 1, 1)
        Largest share of the group that is on it at once; 0 if it never is [fraction].

    Returns
    -------
    float or ndarray
        Area by rule [sq ft].
    """
    return np.add.reduce(head * space * share_of_herd, axis=(-4, -3))


@formula("area / area that the animals of the step need, at most 1")
def share_with_room(
    area: SquareFeet,
    head: Head,
    member: Plain,
    space: SquareFeetPerHead,
    tight_fraction: Fraction,
) -> Fraction:
    """Share of a step's animals that a floor has room for.

    Parameters
    ----------
    area : float or ndarray
        Area of the floor [sq ft].
    head : ndarray of shape (groups, 1, 1, 1)
        Animals [head].
    member : ndarray of shape (groups, 1, 1, 1)
        1 for the groups of the step, else 0 [none].
    space : ndarray of shape (groups, 1, 1, 1)
        Area for one animal [sq ft/head].
    tight_fraction : float or ndarray
        Area less that is borne where stocking is tight; else 0 [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Share [fraction].
    """
    needed = np.add.reduce(head * member * space, axis=(-4, -3)) * (1 - tight_fraction)
    return np.minimum(1.0, area / needed)


@formula("the least of them")
def least(*shares: Fraction) -> Fraction:
    """Take the least of several limits on the share of the herd.

    Parameters
    ----------
    *shares : float or ndarray
        Limits [fraction].

    Returns
    -------
    float or ndarray
        The least of them [fraction].
    """
    return np.minimum.reduce(np.broadcast_arrays(*shares))


@formula("the largest of them")
def largest(*shares: Fraction) -> Fraction:
    """Take the largest of several shares of the herd.

    Parameters
    ----------
    *shares : float or ndarray
        Shares of which one holds at a time [fraction].

    Returns
    -------
    float or ndarray
        The largest of them [fraction].
    """
    return np.maximum.reduce(np.broadcast_arrays(*shares))


@formula("share x days x usable, at most the days left")
def wanted(left: Days, share: Fraction, days: Days, usable: Fraction, member: Plain) -> Days:
    """Days that a step would serve if its feed lasted.

    Parameters
    ----------
    left : ndarray of shape (groups, states, draws, rows)
        Days left by the steps before [day].
    share : float or ndarray
        Share of the herd on the step [fraction].
    days : ndarray of shape (states, draws, rows)
        Days of the winter [day].
    usable : ndarray of shape (states, draws, rows)
        Share of the days in spells long enough; 0 in other ground states [fraction].
    member : ndarray of shape (groups, 1, 1, 1)
        1 for the groups of the step, else 0 [none].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Days wanted [day].
    """
    return np.minimum(left, share * days * usable) * member


@formula("sum over groups and states of days x eaten a day")
def feed_wanted(wanted: Days, eaten_per_day: PoundsDMPerDay) -> PoundsDM:
    """Feed eaten if a step served all the days that it wants.

    Parameters
    ----------
    wanted : ndarray of shape (groups, states, draws, rows)
        Days wanted [day].
    eaten_per_day : ndarray of shape (groups, states, draws, rows)
        Eaten in a day [lb DM/day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Feed [lb DM].
    """
    return np.add.reduce(wanted * eaten_per_day, axis=(-4, -3))


@formula("sum over groups and states of days x eaten a day / (1 - waste)")
def hay_wanted(wanted: Days, eaten_per_day: PoundsDMPerDay, waste_fraction: Fraction) -> PoundsDM:
    """Hay offered if a step served all the days that it wants.

    Parameters
    ----------
    wanted : ndarray of shape (groups, states, draws, rows)
        Days wanted [day].
    eaten_per_day : ndarray of shape (groups, states, draws, rows)
        Eaten in a day [lb DM/day].
    waste_fraction : ndarray of shape (groups, states, draws, rows)
        Share of the hay offered that is wasted [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Hay offered [lb DM].
    """
    return np.add.reduce(wanted * eaten_per_day / (1 - waste_fraction), axis=(-4, -3))


@formula("supply / what is wanted, at most 1")
def part_by_supply(supply: PoundsDM, wanted: PoundsDM) -> Fraction:
    """Part of the days wanted that a supply of feed lasts for.

    Parameters
    ----------
    supply : float or ndarray
        Feed there is [lb DM].
    wanted : ndarray of shape (draws, rows)
        Feed wanted [lb DM].

    Returns
    -------
    ndarray of shape (draws, rows)
        Part [fraction].
    """
    return np.minimum(1.0, supply / np.where(wanted > 0, wanted, np.fmax(supply, 1.0)))


@formula("most days / days it would run, at most 1")
def part_by_days(most_days: Days, days_run: Days) -> Fraction:
    """Part of the days wanted that the most days allow.

    Parameters
    ----------
    most_days : float or ndarray
        Most days it runs [day].
    days_run : ndarray of shape (draws, rows)
        Days it would run [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Part [fraction].
    """
    return np.minimum(1.0, most_days / np.where(days_run > 0, days_run, most_days))


@formula("sum over states of the largest, over groups, of days / share")
def days_run(served: Days, share: Fraction) -> Days:
    """Days on which a step is at work, by the clock of the farm.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days served [day].
    share : float or ndarray
        Share of the herd on the step [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Days run [day].
    """
    return np.add.reduce(np.maximum.reduce(served / share, axis=-4), axis=-3)


@formula("days wanted x part")
def served(wanted: Days, part: Fraction) -> Days:
    """Days that a step serves.

    Parameters
    ----------
    wanted : ndarray of shape (groups, states, draws, rows)
        Days wanted [day].
    part : ndarray of shape (draws, rows)
        Part that its feed and most days allow [fraction].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Days served; less than a millionth is none [day].
    """
    days = wanted * part
    return np.where(days < NEGLIGIBLE, 0.0, days)


@formula("days left - days served")
def days_left(left: Days, served: Days) -> Days:
    """Days left for the steps after.

    Parameters
    ----------
    left : ndarray of shape (groups, states, draws, rows)
        Days left before [day].
    served : ndarray of shape (groups, states, draws, rows)
        Days served [day].

    Returns
    -------
    ndarray of shape (groups, states, draws, rows)
        Days left; less than a millionth is none [day].
    """
    days = left - served
    return np.where(days < NEGLIGIBLE, 0.0, days)
