"""Work of people and machines, from task, driver and rate."""

import numpy as np

from service.costing.formula import formula
from service.costing.units import (
    MINUTES_PER_HOUR,
    POUNDS_PER_TON,
    Count,
    Currency,
    CurrencyPerHour,
    Days,
    Hours,
    Minutes,
    Pounds,
    Times,
    Tons,
)


@formula("driver x minutes each")
def task_minutes(driver: Count, minutes_each: Minutes) -> Minutes:
    """Minutes of a task in the winter.

    Parameters
    ----------
    driver : ndarray of shape (draws, rows)
        How often it is done [count].
    minutes_each : float or ndarray
        Minutes each time [minute].

    Returns
    -------
    ndarray of shape (draws, rows)
        Minutes [minute].
    """
    return driver * minutes_each


@formula("1 if any day is served, else 0")
def serves_anything(days_run: Days) -> Times:
    """Whether a step is used in a winter.

    Parameters
    ----------
    days_run : ndarray of shape (draws, rows)
        Days run [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        1 or 0 [time].
    """
    return (np.asarray(days_run) > 0) * 1.0


@formula("days run / days per move")
def moves_of(days_run: Days, days_per_move: Days) -> Times:
    """Moves of the wire.

    Parameters
    ----------
    days_run : ndarray of shape (draws, rows)
        Days run [day].
    days_per_move : float or ndarray
        Days between moves [day].

    Returns
    -------
    ndarray of shape (draws, rows)
        Moves [time].
    """
    return days_run / days_per_move


@formula("lb / 2,000")
def tons_of(pounds: Pounds) -> Tons:
    """Tons of something.

    Parameters
    ----------
    pounds : ndarray of shape (draws, rows)
        Weight [lb].

    Returns
    -------
    ndarray of shape (draws, rows)
        The same in tons [ton].
    """
    return pounds / POUNDS_PER_TON


@formula("person - machine, none if less, where the rate pays the operator")
def own_minutes(person_minutes: Minutes, operator_minutes: Minutes) -> Minutes:
    """Minutes that the farm's own people spend.

    Parameters
    ----------
    person_minutes : ndarray of shape (draws, rows)
        People [minute].
    operator_minutes : ndarray of shape (draws, rows)
        Minutes in which the machine's rate pays its driver [minute].

    Returns
    -------
    ndarray of shape (draws, rows)
        Own minutes [minute].
    """
    return np.maximum(0.0, person_minutes - operator_minutes)


@formula("minutes / 60")
def hours_of(minutes: Minutes) -> Hours:
    """Hours.

    Parameters
    ----------
    minutes : float or ndarray
        Minutes [minute].

    Returns
    -------
    float or ndarray
        Hours [hour].
    """
    return minutes / MINUTES_PER_HOUR


@formula("minutes / 60 x wage")
def labor_cost(minutes: Minutes, wage: CurrencyPerHour) -> Currency:
    """What people's time is worth.

    Parameters
    ----------
    minutes : ndarray of shape (draws, rows)
        Minutes [minute].
    wage : float or ndarray
        Value of an hour [currency/hour].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    return minutes / MINUTES_PER_HOUR * wage


@formula("minutes / 60 x rate")
def machine_cost(minutes: Minutes, rate: CurrencyPerHour) -> Currency:
    """What a machine costs for a task.

    Parameters
    ----------
    minutes : ndarray of shape (draws, rows)
        Minutes of the machine [minute].
    rate : float or ndarray
        Rate for an hour [currency/hour].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    return minutes / MINUTES_PER_HOUR * rate


@formula("minutes / 60 x rate, at least visits x least charge")
def custom_cost(
    minutes: Minutes,
    rate: CurrencyPerHour,
    visits: Count,
    least_charge: Currency,
    driver: Count,
) -> Currency:
    """What a hired machine costs for a task.

    Parameters
    ----------
    minutes : ndarray of shape (draws, rows)
        Minutes of the machine [minute].
    rate : float or ndarray
        Rate for an hour [currency/hour].
    visits : ndarray of shape (draws, rows)
        Times that it comes [count].
    least_charge : float or ndarray
        Least charge for a visit [currency].
    driver : ndarray of shape (draws, rows)
        How often the task is done [count].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    cost = minutes / MINUTES_PER_HOUR * rate
    return np.maximum(cost, visits * least_charge * (np.asarray(driver) > 0))
