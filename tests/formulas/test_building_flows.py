"""Building, replacing and keeping up over the years, worked by hand."""

import numpy as np
import pytest

from service.costing.formulas.building import building_flows, paid_in_year, upkeep_flows

BY_UNUSED_LIFE = 1


def test_what_is_built_later_keeps_its_unused_life_worked_by_hand():
    # 1,000 with a salvage value of 100 and a life of 10: built in year 3, again in year 13 for
    # 900. In year 15 it is 2 years old, so 8/10 of 900 and the 100 are left. In 12 years 1,080
    # are used up: 90 a year, the straight line.
    flows = building_flows(1_000, 100, 10, 3, 15, BY_UNUSED_LIFE).reshape(-1)
    assert np.flatnonzero(flows).tolist() == [3, 13, 15]
    assert flows[[3, 13, 15]] == pytest.approx([1_000, 900, -(0.8 * 900 + 100)])
    assert flows.sum() == pytest.approx(12 * 90)


def test_what_is_not_built_within_the_horizon_leaves_nothing():
    assert not building_flows(1_000, 100, 10, 15, 15, BY_UNUSED_LIFE).any()


def test_rock_that_lasts_a_year_is_topped_up_each_year_but_the_last():
    flows = upkeep_flows(0, 0, 100, 1, 0, 12, 4).reshape(-1)
    assert flows.tolist() == [0, 100, 100, 100, 0]


def test_rock_that_was_topped_up_this_year_waits_for_its_next_time():
    flows = upkeep_flows(0, 0, 100, 4, 4, 12, 6).reshape(-1)
    assert flows.tolist() == [0, 0, 0, 0, 100, 0, 0]


def test_a_payment_has_a_place_in_each_year_and_draw():
    flows = paid_in_year(np.array([[100.0], [40.0]]), 2, 4)
    assert flows.shape == (5, 1, 2, 1)
    assert flows[:, 0, :, 0].tolist() == [[0, 0], [0, 0], [100, 40], [0, 0], [0, 0]]
