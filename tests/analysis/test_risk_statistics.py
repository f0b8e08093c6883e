"""What is told of draws, against the theory of exponential utility and the distributions of SciPy.

Certainty equivalents: U(x) = -exp(-r x) and its delta property as in texts on decision analysis
(Clemen and Reilly, Making Hard Decisions, from memory); the normal case is the moment generating
function of the normal distribution.
"""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from service.analysis.best_of_draws import best_of
from service.analysis.statistics_of_draws import certainty_equivalent, told

AMOUNTS = st.lists(st.floats(-1e5, 1e6), min_size=1, max_size=30).map(
    lambda costs: np.sort(np.array(costs))
)
AVERSIONS = st.sampled_from([1e-300, 1e-12, 1e-7, 1e-5, 2e-4, 1e-2, 1.0, 1e3, 1e300])
CLOSE = 1e-9


def test_of_two_costs_it_is_the_logarithm_of_the_mean_of_two_powers():
    costs = np.array([1_000.0, 3_000.0])
    by_hand = np.log((np.exp(1.0) + np.exp(3.0)) / 2) / 0.001
    assert certainty_equivalent(costs, 0.001) == pytest.approx(by_hand, rel=1e-12)


def test_of_normal_costs_it_is_the_mean_and_half_the_aversion_times_the_variance():
    chances = (np.arange(200_000) + 0.5) / 200_000
    costs = stats.norm(30_000, 4_000).ppf(chances)
    premium = certainty_equivalent(costs, 1e-4) - 30_000
    assert premium == pytest.approx(1e-4 * 4_000**2 / 2, rel=1e-3)


@given(AMOUNTS, AVERSIONS, st.floats(-1e5, 1e5))
def test_a_sure_amount_on_top_is_added_whole(costs, aversion, more):
    """The delta property."""
    with_more = certainty_equivalent(costs + more, aversion)
    scale = np.abs(costs).max() + abs(more) + 1
    assert with_more == pytest.approx(
        certainty_equivalent(costs, aversion) + more, abs=CLOSE * scale
    )


@given(AMOUNTS)
def test_it_rises_with_aversion_from_the_mean_towards_the_largest_cost(costs):
    found = [
        certainty_equivalent(costs, aversion)
        for aversion in (0, 1e-300, 1e-12, 1e-7, 1e-5, 2e-4, 1e-2, 1.0, 1e3, 1e300)
    ]
    slack = CLOSE * (np.abs(costs).max() + 1)
    assert found[0] == pytest.approx(costs.mean(), abs=slack)
    assert found[-1] == pytest.approx(costs.max(), abs=slack)
    assert all(later >= former - slack for former, later in pairwise(found))
    assert min(found) >= found[0]


def test_both_ways_of_working_it_agree_where_they_meet():
    costs = np.sort(stats.gamma(2, scale=1_500).rvs(5_000, random_state=1))
    edge = 1 / (costs.max() - costs.mean())
    below, above = (certainty_equivalent(costs, edge * (1 + sign * 1e-9)) for sign in (-1, 1))
    assert below == pytest.approx(above, rel=1e-8)


def test_percentiles_are_draws_that_such_a_share_does_not_exceed():
    """By hand: of 1 to 20, a twentieth is one draw, a quarter five, half ten."""
    found = told(np.arange(1.0, 21.0), ())
    assert [found[name] for name in ("p05", "p25", "p50", "p75", "p95")] == [1, 5, 10, 15, 19]
    assert found["mean"] == 10.5
    assert found["standard_deviation"] == pytest.approx(np.sqrt((20**2 - 1) / 12))
    assert found["worst_tenth_mean"] == 19.5


def test_the_worst_tenth_of_few_draws_is_the_worst_of_them():
    assert told(np.array([1.0, 2.0, 9.0]), ())["worst_tenth_mean"] == 9


def test_of_money_earned_the_low_end_is_the_bad_one():
    """Worked on the earnings themselves: CE = -ln(mean(exp(-r x))) / r."""
    earned = np.arange(1.0, 21.0) * 1_000
    found = told(np.sort(-earned), (0.0, 1e-4), earned=True)
    assert [found[name] for name in ("p05", "p50", "p95")] == [1_000, 10_000, 19_000]
    assert found["worst_tenth_mean"] == 1_500
    equivalent = -np.log(np.mean(np.exp(-1e-4 * earned))) / 1e-4
    assert found["certainty_equivalents"] == pytest.approx([10_500, equivalent])


def test_of_several_that_cost_the_same_the_first_is_the_best():
    scores = np.array([[5.0, 2.0, 7.0], [5.0, 1.0, 7.0], [4.0, 1.0, 7.0]])
    best = best_of(scores, np.zeros(scores.shape, bool))
    assert best.first.tolist() == [2, 1, 0]
    assert best.score.tolist() == [4, 1, 7]


def test_who_leaves_animals_unfed_is_best_only_where_all_do():
    scores = np.array([[1.0, 1.0], [2.0, 3.0]])
    short = np.array([[True, True], [False, True]])
    best = best_of(scores, short)
    assert best.first.tolist() == [1, 0]
    assert best.score.tolist() == [2, 1]
