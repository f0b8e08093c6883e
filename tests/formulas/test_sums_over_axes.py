"""Sums run over the axes that they name, and over no other.

Addition itself is what they are held against: what groups, ground states, tasks or entries come to
together is what each comes to alone, added up, in each draw and in each winter apart.
"""

from functools import partial

import numpy as np
import pytest

from service.costing.formulas.accounts import (
    cost_of_winters,
    net_present_cost,
    sum_by_year,
    sum_of_entries,
)
from service.costing.formulas.allocation import area_by_rule, feed_wanted, hay_wanted
from service.costing.formulas.comfort import (
    condition_worth,
    days_in_cold_rain,
    days_in_mud,
    days_of_states,
    foot_cost,
    young_worth,
)
from service.costing.formulas.intake import energy_short, mean_of_stages, supplement_fed
from service.costing.formulas.manure import animal_unit_days, bedding, manure
from service.costing.formulas.nutrients import nutrient_worth
from service.costing.formulas.stockpile import late_summer_demand
from service.costing.formulas.sums import days_of_row, over_herd_and_states, over_states
from service.costing.formulas.trampling import over_severities
from service.costing.formulas.work import hours_of_tasks, sum_of_tasks
from tests.formulas.axes import only
from tests.formulas.precision import EXACT

HERD = (2, 4, 3, 5)
"""Groups, ground states, draws and winters: every axis has a length of its own."""
ITEMS = (4, 3, 5)
"""States, tasks, entries, nutrients or severities; draws and winters."""
YEARS = (6, 4, 3, 1)
STAGES = (5, 2, 4, 3, 5)

GONE = [  # the sum, how many figures it takes, their axes, those it adds up
    (area_by_rule, 3, HERD, (0, 1)),
    (feed_wanted, 2, HERD, (0, 1)),
    (hay_wanted, 3, HERD, (0, 1)),
    (condition_worth, 2, HERD, (0, 1)),
    (young_worth, 4, HERD, (0, 1)),
    (foot_cost, 3, HERD, (0, 1)),
    (supplement_fed, 3, HERD, (0, 1)),
    (bedding, 5, HERD, (0, 1)),
    (manure, 5, HERD, (0, 1)),
    (partial(late_summer_demand, days=40.0), 2, HERD, (0, 1)),
    (over_herd_and_states, 1, HERD, (0, 1)),
    (animal_unit_days, 4, HERD, (0,)),
    (mean_of_stages, 2, STAGES, (0,)),
    (days_of_row, 1, ITEMS, (0,)),
    (hours_of_tasks, 1, ITEMS, (0,)),
    (sum_of_tasks, 2, ITEMS, (0,)),
    (nutrient_worth, 4, ITEMS, (0,)),
    (over_severities, 1, ITEMS, (0,)),
    (sum_of_entries, 2, ITEMS, (0,)),
    (net_present_cost, 1, ITEMS, (0,)),
    (partial(cost_of_winters, levelled=0.0), 3, ITEMS, (0,)),
    (sum_by_year, 2, YEARS, (1,)),
]
KEPT = [  # the same, where the axis stays with a length of one
    (days_in_mud, 2, HERD, (1,)),
    (days_of_states, 2, HERD, (1,)),
    (days_in_cold_rain, 4, HERD, (1,)),
    (energy_short, 6, HERD, (1,)),
    (over_states, 1, HERD, (1,)),
]


def any_figures(count, axes):
    """Return figures that differ in every place, from 0.1 to 0.9."""
    return np.random.default_rng(0).uniform(0.1, 0.9, (count, *axes))


def one_by_one(summed, figures, over):
    """Return what each place comes to alone, added up in a loop; the axes stay."""
    axes = figures[0].shape
    whole = np.zeros([1 if axis in over else length for axis, length in enumerate(axes)])
    for place in np.ndindex(axes):
        here = tuple(0 if axis in over else at for axis, at in enumerate(place))
        whole[here] += only(summed(*(each[place].reshape([1] * len(axes)) for each in figures)))
    return whole


@pytest.mark.parametrize(("summed", "count", "axes", "over"), GONE)
def test_the_whole_is_what_each_comes_to_alone_added_up(summed, count, axes, over):
    figures = any_figures(count, axes)
    expected = one_by_one(summed, figures, over).squeeze(over)
    together = summed(*figures)
    assert together.shape == expected.shape
    np.testing.assert_allclose(together, expected, rtol=EXACT)


@pytest.mark.parametrize(("summed", "count", "axes", "over"), KEPT)
def test_the_whole_of_each_group_is_what_each_state_comes_to_added_up(summed, count, axes, over):
    figures = any_figures(count, axes)
    expected = one_by_one(summed, figures, over)
    together = summed(*figures)
    assert together.shape == expected.shape
    np.testing.assert_allclose(together, expected, rtol=EXACT)
