"""Work of people and machines, from task, driver and rate."""

import numpy as np

from service.costing.formula import formula
from service.costing.formulas.sums import stacked
from service.costing.units import (
    MINUTES_PER_HOUR,
    POUNDS_PER_TON,
    Count,
    Currency,
    CurrencyPerHour,
    Days,
    Hours,
    Pounds,
    TaskCosts,
    TaskCounts,
    TaskMinutes,
    TaskRates,
    Times,
    Tons,
)


@formula("the drivers of the tasks side by side")
def drivers_of_tasks(*drivers: Count) -> TaskCounts:
    """How often each task is done.

    Parameters
    ----------
    *drivers : ndarray of shape (draws, rows)
        Driver of one task [count].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
        Drivers of all tasks [count].
    """
    return stacked(drivers)


@formula("driver x minutes each")
def task_minutes(driver: TaskCounts, minutes_each: TaskMinutes) -> TaskMinutes:
    """Minutes of each task in the winter.

    Parameters
    ----------
    driver : ndarray of shape (tasks, draws, rows)
        How often it is done [count].
    minutes_each : ndarray of shape (tasks, draws, rows)
        Minutes each time [minute].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
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


@formula("person - machine where the machine's rate pays its driver, none if less")
def own_minutes(
    person_minutes: TaskMinutes, machine_minutes: TaskMinutes, pays_operator: TaskCounts
) -> TaskMinutes:
    """Minutes that the farm's own people spend.

    Parameters
    ----------
    person_minutes : ndarray of shape (tasks, draws, rows)
        People [minute].
    machine_minutes : ndarray of shape (tasks, draws, rows)
        Machine [minute].
    pays_operator : ndarray of shape (tasks, draws, rows)
        1 where the rate of the machine pays its driver, else 0 [count].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
        Own minutes [minute].
    """
    return np.maximum(0.0, person_minutes - machine_minutes * pays_operator)


@formula("sum over the tasks of minutes / 60")
def hours_of_tasks(minutes: TaskMinutes) -> Hours:
    """Hours of all tasks.

    Parameters
    ----------
    minutes : ndarray of shape (tasks, draws, rows)
        Minutes [minute].

    Returns
    -------
    ndarray of shape (draws, rows)
        Hours [hour].
    """
    return np.add.reduce(minutes, axis=-3) / MINUTES_PER_HOUR


@formula("minutes / 60 x wage")
def labor_cost(minutes: TaskMinutes, wage: CurrencyPerHour) -> TaskCosts:
    """What people's time is worth.

    Parameters
    ----------
    minutes : ndarray of shape (tasks, draws, rows)
        Minutes [minute].
    wage : float or ndarray
        Value of an hour [currency/hour].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
        Cost [currency].
    """
    return minutes / MINUTES_PER_HOUR * wage


@formula("minutes / 60 x rate")
def machine_cost(minutes: TaskMinutes, rate: TaskRates) -> TaskCosts:
    """What a machine costs for a task.

    Parameters
    ----------
    minutes : ndarray of shape (tasks, draws, rows)
        Minutes of the machine [minute].
    rate : ndarray of shape (tasks, draws, rows)
        Rate for an hour [currency/hour].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
        Cost [currency].
    """
    return minutes / MINUTES_PER_HOUR * rate


@formula("minutes / 60 x rate, at least visits x least charge")
def custom_cost(
    minutes: TaskMinutes,
    rate: TaskRates,
    visits: TaskCounts,
    least_charge: TaskCosts,
    driver: TaskCounts,
) -> TaskCosts:
    """What a hired machine costs for a task.

    Parameters
    ----------
    minutes : ndarray of shape (tasks, draws, rows)
        Minutes of the machine [minute].
    rate : ndarray of shape (tasks, draws, rows)
        Rate for an hour [currency/hour].
    visits : ndarray of shape (tasks, draws, rows)
        Times that it comes [count].
    least_charge : ndarray of shape (tasks, draws, rows)
        Least charge for a visit; 0 where there is none [currency].
    driver : ndarray of shape (tasks, draws, rows)
        How often the task is done [count].

    Returns
    -------
    ndarray of shape (tasks, draws, rows)
        Cost [currency].
    """
    cost = minutes / MINUTES_PER_HOUR * rate
    return np.maximum(cost, visits * least_charge * (driver > 0))


@formula("sum over the tasks of the line")
def sum_of_tasks(costs: TaskCosts, counted: TaskCounts) -> Currency:
    """What the tasks of one line cost.

    Parameters
    ----------
    costs : ndarray of shape (tasks, draws, rows)
        Cost of each task [currency].
    counted : ndarray of shape (tasks, draws, rows)
        1 for the tasks of the line, else 0 [count].

    Returns
    -------
    ndarray of shape (draws, rows)
        Cost [currency].
    """
    return np.add.reduce(costs * counted, axis=-3)
