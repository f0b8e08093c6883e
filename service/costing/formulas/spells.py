"""How long the ground stays as it is: days that a step can use, and how often animals move."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import Days, Fraction, Plain, Times


@formula("p^(k-1) (k (1-p) + p), with p = 1 - 1 / mean spell and k the shortest spell")
def usable_share(spell_days: Days, shortest_spell: Days, allowed: Plain) -> Fraction:
    """Share of the days of a ground state that lie in spells long enough.

    Lengths of spells are taken as geometric, each further day coming with the same chance.

    Parameters
    ----------
    spell_days : ndarray of shape (states, draws, rows)
        Mean length of a spell [day].
    shortest_spell : float or ndarray
        Shortest spell that is used [day].
    allowed : ndarray of shape (states, draws, rows)
        1 in the ground states of the step, else 0 [none].

    Returns
    -------
    ndarray of shape (states, draws, rows)
        Share of the days, 0 in states that are not allowed [fraction].
    """
    p = 1 - 1 / spell_days
    k = shortest_spell
    return np.where(allowed > 0, p ** (k - 1) * (k * (1 - p) + p), 0.0)


@formula("days in spells of at least k / days in all spells")
def usable_share_recorded(
    lengths: Days, times: Plain, shortest_spell: Days, allowed: Plain
) -> Fraction:
    """Share of the days of a ground state that lie in spells long enough, spells being known.

    Parameters
    ----------
    lengths : ndarray of shape (states, draws, rows, spells)
        Length of each spell, 0 where there is none [day].
    times : ndarray of shape (states, draws, rows, spells)
        How often each counts [none].
    shortest_spell : float
        Shortest spell that is used [day].
    allowed : ndarray of shape (states, draws, rows)
        1 in the ground states of the step, else 0 [none].

    Returns
    -------
    ndarray of shape (states, draws, rows)
        Share of the days, 0 in states that are not allowed or have none [fraction].
    """
    counted = lengths * times
    days = np.add.reduce(counted, axis=-1)
    long = np.add.reduce(np.where(lengths >= shortest_spell, counted, 0.0), axis=-1)
    return np.where((allowed > 0) & (days > 0), long / np.where(days > 0, days, 1.0), 0.0)


@formula("sum over the states it serves of days / mean spell x p^(k-1) x part")
def switches(
    served: Days, days: Days, spell_days: Days, shortest_spell: Days, part: Fraction
) -> Times:
    """Times in the winter that animals come to a step as the ground changes.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days served [day].
    days : ndarray of shape (states, draws, rows)
        Days of the winter [day].
    spell_days : ndarray of shape (states, draws, rows)
        Mean length of a spell [day].
    shortest_spell : float or ndarray
        Shortest spell that is used [day].
    part : ndarray of shape (draws, rows)
        Part of the wanted days that is served [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Times [time].
    """
    p = 1 - 1 / spell_days
    spells = days / spell_days * p ** (shortest_spell - 1)
    serves = np.maximum.reduce(served, axis=-4) > 0
    counted = serves & np.isfinite(spells)
    return np.add.reduce(np.where(counted, spells, 0.0), axis=-3) * part


@formula("sum over the states it serves of spells of at least k x part")
def switches_recorded(
    served: Days, lengths: Days, times: Plain, shortest_spell: Days, part: Fraction
) -> Times:
    """Times in the winter that animals come to a step as the ground changes, spells being known.

    Parameters
    ----------
    served : ndarray of shape (groups, states, draws, rows)
        Days served [day].
    lengths : ndarray of shape (states, draws, rows, spells)
        Length of each spell, 0 where there is none [day].
    times : ndarray of shape (states, draws, rows, spells)
        How often each counts [none].
    shortest_spell : float
        Shortest spell that is used [day].
    part : ndarray of shape (draws, rows)
        Part of the wanted days that is served [fraction].

    Returns
    -------
    ndarray of shape (draws, rows)
        Times [time].
    """
    long = (lengths >= shortest_spell) & (lengths > 0)
    spells = np.add.reduce(np.where(long, times, 0.0), axis=-1)
    serves = np.maximum.reduce(served, axis=-4) > 0
    return np.add.reduce(np.where(serves, spells, 0.0), axis=-3) * part
