"""From winters to years to lines, held against printed present values and a finance library."""

import numpy as np
import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from service.costing.formulas.accounts import (
    all_entries,
    annual_equivalents,
    cost_of_winters,
    entries_by_year,
    lines_by_year,
    lines_of_entries,
    net_present_cost,
    present_values,
    sum_by_year,
    sum_of_entries,
)
from service.costing.formulas.sums import (
    less,
    mean_of_winters,
    total,
    total_by_year,
    with_mean_winter,
)
from service.costing.formulas.time_value import capital_recovery_factor, level_factor
from tests.formulas.axes import by_entry, by_year, only
from tests.formulas.precision import EXACT, FIVE_DECIMALS, WHOLE

RATES = st.floats(-0.3, 0.5)
FLOWS = arrays(float, (8, 3, 1, 1), elements=st.floats(-1e5, 1e5))


def test_present_value_is_the_documented_one():
    flows = by_year(-40_000, 5_000, 8_000, 12_000, 30_000)
    printed = 3065.22267  # numpy-financial, documented npv at 8 %
    assert only(present_values(flows, 0.08)) == pytest.approx(printed, abs=FIVE_DECIMALS)


def test_future_worth_is_the_printed_one():
    flows = by_year(-10_000, 2_000, 2_000, 6_000, 6_000)
    printed = 3_727.20  # scribd 602125832, 7.17, at 8 %
    rounded_factors = 0.2  # dollars
    worth = only(present_values(flows, 0.08)) * 1.08**4
    assert worth == pytest.approx(printed, abs=rounded_factors)


def test_an_annuity_of_an_endowment_is_worth_the_printed_sum():
    yearly = entries_by_year(by_entry(10_000), by_entry(0), 100)
    printed = 99_990  # coursehero p76dk06a, 100 years at 10 %, factor of five decimals, arithmetic
    rounded_factor = 3  # dollars
    assert only(present_values(yearly, 0.10)) == pytest.approx(printed, abs=rounded_factor)


def test_a_partial_budget_is_the_printed_one():
    # Southeast Farm Press, partial budget, page 2: 100 acres
    gained = total(150 * 6.50 * 100, 550 * 100)
    given_up = total(22 * 40 * 100, 690 * 100)
    assert gained == 152_500  # Southeast Farm Press
    assert given_up == 157_000  # Southeast Farm Press
    assert less(gained, given_up) == pytest.approx(-4_500, abs=WHOLE)  # Southeast Farm Press


@given(FLOWS, RATES)
def test_present_values_are_a_finance_librarys(flows, rate):
    values = present_values(flows, rate).reshape(-1)
    for entry, value in enumerate(values):
        expected = numpy_financial.npv(rate, flows[:, entry].reshape(-1))
        assert value == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert only(net_present_cost(present_values(flows, rate))) == pytest.approx(
        values.sum(), rel=1e-9, abs=1e-6
    )


@given(st.floats(0, 1e5), st.floats(-0.1, 0.1), st.integers(1, 40), RATES)
def test_what_recurs_is_worth_its_level_amount(amount, rise, years, rate):
    flows = entries_by_year(by_entry(amount), by_entry(rise), years)
    assert flows.shape == (years + 1, 1, 1, 1)
    assert flows[0].item() == 0
    assert flows[1].item() == amount
    level = amount * level_factor(rise, rate, years)
    annual = annual_equivalents(present_values(flows, rate), capital_recovery_factor(rate, years))
    assert only(annual) == pytest.approx(level, rel=1e-9, abs=1e-9)


@given(FLOWS, st.lists(st.integers(0, 2), min_size=3, max_size=3), RATES)
def test_lines_add_up_to_the_whole_in_every_year_and_in_all(flows, line_of_entry, rate):
    counted = np.zeros((3, 3, 1, 1))
    counted[line_of_entry, [0, 1, 2]] = 1
    everything = np.ones((3, 1, 1))
    in_years = lines_by_year(flows, counted).sum(axis=1)
    np.testing.assert_allclose(in_years, sum_by_year(flows, everything), rtol=1e-9, atol=1e-6)
    annual = annual_equivalents(present_values(flows, rate), 0.1)
    whole = sum_of_entries(annual, everything)
    np.testing.assert_allclose(
        lines_of_entries(annual, counted).sum(axis=0), whole, rtol=1e-9, atol=1e-4
    )


@given(
    arrays(float, (2, 1, 4), elements=st.floats(0, 1e5)),
    arrays(float, 4, elements=st.floats(0.1, 5)),
    st.floats(-1e4, 1e4),
)
def test_the_mean_of_what_winters_cost_is_the_cost_of_the_mean(amounts, weight, levelled):
    factors = by_entry(1.0, 1.3)
    weights = np.append(weight, 0.0)
    with_mean = with_mean_winter(amounts, weight)
    every = np.ones((2, 1, 1))
    by_winter = cost_of_winters(with_mean, factors, every, np.array([[levelled]]))
    mean_amounts = mean_of_winters(with_mean, weights)
    expected = cost_of_winters(mean_amounts, factors, every, np.array([[levelled]]))
    mean = mean_of_winters(by_winter, weights)
    np.testing.assert_allclose(mean, expected, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(by_winter[..., -1:], expected, rtol=1e-9, atol=1e-6)


def test_a_mean_winter_is_the_mean_of_what_is_known():
    values = np.array([[1.0, np.nan, 4.0], [np.nan, np.nan, np.nan]])
    mean = with_mean_winter(values, np.array([1.0, 5.0, 2.0]))[:, -1]
    assert mean[0] == pytest.approx((1 * 1 + 2 * 4) / 3, rel=EXACT)
    assert np.isnan(mean[1])


def test_entries_are_joined_one_after_the_other():
    one, two = by_year(1, 2, 3), np.stack([by_year(4, 5, 6), by_year(7, 8, 9)], axis=1)[..., 0]
    joined = all_entries(one, two)
    assert joined.shape == (3, 3, 1, 1)
    np.testing.assert_array_equal(joined[:, 0], one[:, 0])
    np.testing.assert_array_equal(joined[:, 1:], two)
    np.testing.assert_array_equal(total_by_year(one, one), 2 * one)


def test_each_line_adds_up_its_own_entries_counted_by_hand():
    # Entries of 100, 20 and 3 in one draw, ten times that in the other; lines of 1 + 3 and of 2.
    entries = by_entry(100, 20, 3) * np.array([[1.0], [10.0]])
    of_line = np.stack([by_entry(1, 0, 1), by_entry(0, 1, 0)])
    lines = lines_of_entries(entries, of_line)
    assert lines[..., 0].tolist() == [[103, 1_030], [20, 200]]
    assert sum_of_entries(entries, of_line[0])[..., 0].tolist() == [103, 1_030]
    years = np.stack([0 * entries, entries])
    assert lines_by_year(years, of_line)[..., 0].tolist() == [
        [[0, 0], [0, 0]],
        [[103, 1_030], [20, 200]],
    ]
    assert sum_by_year(years, of_line[0])[..., 0].tolist() == [[0, 0], [103, 1_030]]


def test_winters_cost_their_levelled_entries_worked_by_hand():
    # 100 level; 20 that rise, 1.5 times that as a level amount; 3 that do not count; 7 besides:
    # 100 + 30 + 7. In the other winter there is twice as much of everything but the 7.
    amounts = by_entry(100, 20, 3) * np.array([1.0, 2.0])
    costs = cost_of_winters(amounts, by_entry(1, 1.5, 1), by_entry(1, 1, 0), 7.0)
    assert costs.tolist() == [[137, 267]]
