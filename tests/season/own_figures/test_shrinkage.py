"""The pull of the reference against its closed form, a posterior on a grid, and known winters.

Normal mean with known variances: A. Gelman and others, Bayesian Data Analysis, 3rd ed., 2013,
section 2.5 (equations from memory).
"""

from math import exp, log, sqrt

import numpy as np
import pytest

from service.season.figures import figure_of
from service.season.own_figures.shrinkage import middle_width, shrunk, spread_of_range

Z_90 = 1.2815515655446004
"""90 % point of the standard normal: Abramowitz and Stegun, table 26.5, gives 1.28155."""


def test_the_middle_80_percent_ends_where_the_normal_table_says():
    assert middle_width() == pytest.approx(Z_90, abs=1e-9)


def test_a_range_is_the_middle_80_percent_of_a_log_normal():
    sd = spread_of_range(0.05, 0.25)
    draws = np.exp(np.random.default_rng(1).normal(log(sqrt(0.05 * 0.25)), sd, 400_000))
    assert np.mean((draws > 0.05) & (draws < 0.25)) == pytest.approx(0.8, abs=0.003)


def test_without_winters_the_reference_stands_with_its_own_range():
    found = shrunk([], 0.6, 0.4)
    assert (found.ratio, found.weight, found.mean_ratio) == (1, 0, None)
    assert (found.low, found.high) == pytest.approx((exp(-Z_90 * 0.6), exp(Z_90 * 0.6)))


@pytest.mark.parametrize(
    ("ratios", "tau", "sigma"),
    [([1.4], 0.6, 0.4), ([1.4, 1.1], 0.6, 0.4), ([0.5, 0.6, 0.55, 0.58], 0.3, 0.5)],
)
def test_the_closed_form_by_hand_for_one_winter_and_for_several(ratios, tau, sigma):
    logs, count = [log(ratio) for ratio in ratios], len(ratios)
    mean = sum(logs) / count
    precision = count / sigma**2 + 1 / tau**2
    found = shrunk(logs, tau, sigma)
    assert log(found.ratio) == pytest.approx(count / sigma**2 * mean / precision, rel=1e-12)
    assert log(found.high / found.low) == pytest.approx(2 * Z_90 / sqrt(precision), rel=1e-9)
    assert found.weight == pytest.approx(log(found.ratio) / mean, rel=1e-12)


@pytest.mark.parametrize("ratios", [[1.9], [1.9, 1.5], [0.7, 0.75, 0.9, 0.8, 0.66]])
def test_a_posterior_added_up_on_a_grid_says_the_same(ratios):
    tau, sigma, logs = 0.63, 0.45, np.log(ratios)
    theta = np.linspace(-5, 5, 200_001)
    density = np.exp(-(theta**2) / (2 * tau**2))
    for each in logs:
        density *= np.exp(-((each - theta) ** 2) / (2 * sigma**2))
    mass = np.cumsum(density) / np.sum(density)
    low, middle, high = np.exp(np.interp([0.1, 0.5, 0.9], mass, theta))
    found = shrunk(logs.tolist(), tau, sigma)
    assert (found.low, found.ratio, found.high) == pytest.approx((low, middle, high), rel=1e-4)


def test_a_million_winters_leave_nothing_of_the_reference():
    found = shrunk([log(1.7)] * 1_000_000, 0.6, 0.4)
    assert found.ratio == pytest.approx(1.7, rel=1e-5)
    assert found.high / found.low == pytest.approx(1, abs=2e-3)
    assert found.weight > 0.999_999


def test_a_reference_that_is_certain_is_not_moved():
    found = shrunk([log(3.0)] * 5, 0.0, 0.4)
    assert (found.ratio, found.low, found.high, found.weight) == (1, 1, 1, 0)


def test_winters_count_for_more_the_more_there_are():
    weights = [shrunk([0.3] * count, 0.6, 0.4).weight for count in range(1, 12)]
    assert weights == sorted(weights)
    assert weights[0] == pytest.approx(0.36 / (0.36 + 0.16))


def test_three_winters_far_apart_count_for_less_than_their_usual_spread_would_have_it():
    logs = [-1.0, 0.0, 1.3]
    found = shrunk(logs, 0.6, 0.4)
    assert found.noise_sd == pytest.approx(np.std(logs, ddof=1))
    assert found.weight < 3 * 0.36 / (3 * 0.36 + 0.16)


def test_two_winters_or_three_alike_keep_the_usual_spread():
    assert shrunk([-1.0, 1.3], 0.6, 0.4).noise_sd == 0.4
    assert shrunk([0.3, 0.3, 0.31], 0.6, 0.4).noise_sd == 0.4


def test_four_in_five_intervals_hold_the_truth():
    draw = np.random.default_rng(6)
    tau, sigma, held, farms = 0.6, 0.45, 0, 4_000
    for _ in range(farms):
        truth = draw.normal(0, tau)
        found = shrunk(draw.normal(truth, sigma, 2).tolist(), tau, sigma)
        held += log(found.low) < truth < log(found.high)
    # one standard error of a share of 0.8 in 4,000 is 0.0063
    assert held / farms == pytest.approx(0.8, abs=0.02)


@pytest.mark.parametrize("kind", ["waste", "minutes", "damage"])
def test_each_spread_of_a_winter_says_that_it_is_an_assumption(kind):
    row = figure_of(f"own.{kind}.winter_spread")
    assert row.mark == "assumption"
    assert 0 < row.low <= row.usual <= row.high
    assert row.note
