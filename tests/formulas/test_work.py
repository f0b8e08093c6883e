"""Work of people and machines, held against printed farm cases."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.work import (
    custom_cost,
    drivers_of_tasks,
    hours_of_tasks,
    labor_cost,
    machine_cost,
    moves_of,
    own_minutes,
    serves_anything,
    sum_of_tasks,
    task_minutes,
    tons_of,
)
from tests.formulas.axes import by_task, only
from tests.formulas.precision import CENT, ONE_DECIMAL, WHOLE

MINUTES = st.floats(0, 1e5)
RATES = st.floats(0, 200)

MACHINE_A_HEAD = [  # minutes, rate, head, printed cost a head and day
    (60, 124.36, 100, 1.24),  # Grainews, rethinking yardage costs: an hour, 100 cows, dollars Can.
    (60, 124.36, 200, 0.62),  # Grainews, 200 cows
    (120, 75, 200, 0.75),  # Canadian Cattlemen, tractor and processor: 2 hours, 200 cows
]

MOVES = [  # minutes a move, printed cost of daily moves over moves every third day
    (30, 15.00),  # Halich, Univ. of Kentucky, agproud 32418, at $15 an hour
    (45, 22.50),  # Halich, Univ. of Kentucky, agproud 32418
]


@pytest.mark.parametrize(("minutes", "rate", "head", "printed"), MACHINE_A_HEAD)
def test_a_machine_costs_a_head_what_is_printed(minutes, rate, head, printed):
    assert machine_cost(minutes, rate) / head == pytest.approx(printed, abs=CENT)


@pytest.mark.parametrize(("minutes", "printed"), MOVES)
def test_moving_every_day_costs_what_kentucky_prints(minutes, printed):
    more_moves = moves_of(3, 1) - moves_of(3, 3)
    assert labor_cost(task_minutes(more_moves, minutes), 15) == pytest.approx(printed, abs=CENT)


def test_bale_grazing_takes_the_printed_minutes_a_day():
    # Halich, Cow Country News Nov 2021: 90 minutes every 4 days, three sessions of 90 a season;
    # the season is not printed, 108 days follow from its 2.5 minutes.
    season = 108
    moving = task_minutes(moves_of(season, 4), 90) / season
    assert moving == pytest.approx(22.5, abs=ONE_DECIMAL)  # Halich 2021, minutes a day
    sessions = task_minutes(3, 90) / season
    assert sessions == pytest.approx(2.5, abs=ONE_DECIMAL)  # Halich 2021, about
    assert moving + sessions == pytest.approx(25, abs=WHOLE)  # Halich 2021, whole


def test_labor_of_a_machine_hour_is_the_printed_one():
    printed = 14.85  # Univ. of Illinois farmdoc: $13.50 and 10 % more time than the machine
    assert labor_cost(1.10 * 60, 13.50) == pytest.approx(printed, abs=CENT)


@given(st.floats(0, 1e3), st.floats(0, 1e3))
def test_hours_are_all_minutes_over_sixty(first, second):
    hours = only(hours_of_tasks(by_task(60 * first, 60 * second)))
    assert hours == pytest.approx(first + second)


@given(MINUTES, MINUTES)
def test_a_driver_who_is_paid_with_the_machine_is_not_paid_twice(person, machine):
    assert own_minutes(person, machine, 0) == person
    assert own_minutes(person, machine, 1) == max(0, person - machine)


@given(MINUTES, RATES, st.floats(0, 50), st.floats(0, 300))
def test_a_hired_machine_costs_at_least_its_visits(minutes, rate, visits, least):
    by_the_hour = machine_cost(minutes, rate)
    assert custom_cost(minutes, rate, visits, least, 1) == max(by_the_hour, visits * least)
    assert custom_cost(minutes, rate, visits, least, 0) == by_the_hour
    assert custom_cost(minutes, rate, visits, 0, 1) == by_the_hour


@given(st.lists(st.tuples(MINUTES, st.booleans()), min_size=1, max_size=6))
def test_each_task_counts_in_one_line(tasks):
    costs = by_task(*(cost for cost, _ in tasks))
    here = by_task(*(float(counts) for _, counts in tasks))
    parts = sum_of_tasks(costs, here) + sum_of_tasks(costs, 1 - here)
    assert only(parts) == pytest.approx(costs.sum())


@given(st.floats(0, 200), st.floats(0.1, 14))
def test_moves_over_days_per_move_are_the_days(days, per_move):
    assert moves_of(days, per_move) * per_move == pytest.approx(days)
    assert serves_anything(days) == (days > 0)


def test_drivers_of_different_shapes_lie_side_by_side():
    drivers = drivers_of_tasks(2.0, np.array([[1.0, 2.0, 3.0]]))
    assert drivers.shape == (2, 1, 3)
    assert drivers[0].tolist() == [[2, 2, 2]]
    assert tons_of(drivers).tolist()[1] == [[0.0005, 0.001, 0.0015]]
