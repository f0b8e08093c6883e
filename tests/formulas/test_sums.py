"""Adding up, taking shares and picking winters, counted by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.sums import (
    in_mean_winter,
    less,
    mean_of_winters,
    negative,
    portion,
    remainder,
    rows_picked,
    side_by_side,
    total,
    with_mean_winter,
)
from tests.formulas.precision import EXACT

WINTERS = np.array([[10.0, 20.0, 60.0]])
WEIGHT = np.array([1.0, 2.0, 1.0])
MEAN = (10 + 2 * 20 + 60) / 4


@given(st.floats(-1e6, 1e6))
def test_a_worth_and_its_negative_cancel(amount):
    assert total(amount, negative(amount)) == 0


@given(st.floats(0, 1e6), st.floats(0, 1))
def test_a_share_and_what_it_leaves_are_the_whole(amount, share):
    taken = portion(amount, share)
    assert remainder(amount, share) == pytest.approx(less(amount, taken), rel=1e-9, abs=1e-6)


def test_the_mean_winter_comes_last_and_does_not_count():
    with_mean = with_mean_winter(WINTERS, WEIGHT)
    assert with_mean.tolist() == [[10, 20, 60, MEAN]]
    assert in_mean_winter(with_mean).tolist() == [[MEAN]]
    assert mean_of_winters(with_mean, np.append(WEIGHT, 0)).tolist() == [[MEAN]]


def test_a_winter_that_is_not_known_does_not_weigh():
    values = np.array([[10.0, np.nan, 60.0], [np.nan, np.nan, np.nan]])
    means = in_mean_winter(with_mean_winter(values, np.array([3.0, 5.0, 2.0])))
    assert means[0].item() == pytest.approx((3 * 10 + 2 * 60) / 5, rel=EXACT)
    assert np.isnan(means[1]).all()


def test_light_winters_have_a_mean_too():
    # Weights may add up to less than one: a fifth of 10 and two fifths of 40 weigh 0.6 in all.
    mean = in_mean_winter(with_mean_winter(np.array([10.0, 40.0]), np.array([0.2, 0.4])))
    assert mean.item() == pytest.approx(18 / 0.6, rel=EXACT)


def test_winters_are_picked_by_number_as_often_as_they_are_named():
    with_mean = with_mean_winter(WINTERS, WEIGHT)
    # Numbers come as floats where they were read from a document.
    assert rows_picked(with_mean, np.array([2.0, 0.0, 0.0, -1.0])).tolist() == [[60, 10, 10, MEAN]]


def test_figures_and_arrays_lie_side_by_side():
    whole = side_by_side(2, 3)
    assert whole.tolist() == [[[2]], [[3]]]
    assert whole.dtype == np.float64
    assert side_by_side(2.0, WINTERS).tolist() == [[[2, 2, 2]], [[10, 20, 60]]]
