"""Yields and payback of an extra investment, held against published values and the worked farms."""

import json
from pathlib import Path

import numpy as np
import numpy_financial
import pytest
import pyxirr
from hypothesis import assume, given
from hypothesis import strategies as st

from service.costing.formulas.time_value import (
    annual_equivalent,
    capital_recovery_factor,
    discounted_payback_years,
    internal_rate,
    modified_internal_rate,
    present_value,
    real_rate,
)
from service.costing.formulas.zeros import zeros_between
from tests.formulas.precision import (
    EXACT,
    FIVE_DECIMALS,
    FOUR_DECIMALS,
    SIX_FIGURES,
    TWO_DECIMALS,
)

WORKED_FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
SEVERAL = (None, "several")
NONE = (None, "none")


def worked_comparisons():
    """Every comparison of the farms that were worked by an independent calculation."""
    for farm in ("worked_farm", "worked_farm_edges", "worked_farm_rows"):
        finance = json.loads((WORKED_FARMS / f"{farm}.json").read_text())["finance"]
        result = json.loads((WORKED_FARMS / f"{farm}_result.json").read_text())
        for against in result["comparison"]["against"]:
            yield pytest.param(finance, result["workings"], against, id=against["system"])


def rate_of(finance):
    if "real_rate" in finance:
        return finance["real_rate"]
    return float(real_rate(finance["nominal_rate"], finance["inflation"]))


def printed_or_none(printed):
    return None if printed is None else pytest.approx(printed, rel=SIX_FIGURES)


def flows_without_worth_at(rates, others=(1.0,)):
    """Flows whose present value is zero at the given rates and at no other above -1."""
    flows = np.array(others)
    for rate in rates:
        flows = np.convolve(flows, [-1, 1 + rate])
    return flows.astype(np.float64)


@pytest.mark.parametrize(("finance", "workings", "against"), list(worked_comparisons()))
def test_comparison_is_that_of_the_worked_farms(finance, workings, against):
    flows, rate = np.array(against["flow_by_year"]), rate_of(finance)
    recovery = capital_recovery_factor(rate, finance["horizon_years"])
    worth = present_value(flows, rate)
    assert rate == pytest.approx(workings["real_rate"], rel=SIX_FIGURES)
    assert recovery == pytest.approx(workings["capital_recovery"], rel=SIX_FIGURES)
    assert worth == pytest.approx(against["net_present_value"], rel=SIX_FIGURES)
    yearly = annual_equivalent(-worth, recovery)
    assert yearly == pytest.approx(against["annual_difference"], rel=SIX_FIGURES)
    found, reason = internal_rate(flows)
    assert found == printed_or_none(against["internal_rate"])
    assert reason == against["internal_rate_reason"]
    modified = modified_internal_rate(flows, rate, rate)
    assert modified == printed_or_none(against["modified_internal_rate"])
    payback = discounted_payback_years(flows, rate)
    assert payback == printed_or_none(against["discounted_payback_years"])


@pytest.mark.parametrize(
    ("flows", "printed", "tolerance"),
    [  # numpy-financial, documented examples of irr
        ([-250_000, 100_000, 150_000, 200_000, 250_000, 300_000], 0.5672303344358536, 1e-14),
        ([-100, 39, 59, 55, 20], 0.28095, FIVE_DECIMALS),
        ([-100, 0, 0, 74], -0.0955, FIVE_DECIMALS),
        ([-100, 100, 0, -7], -0.0833, FIVE_DECIMALS),
        ([-100, 100, 0, 7], 0.06206, FIVE_DECIMALS),
    ],
)
def test_internal_rate_is_that_of_documented_examples(flows, printed, tolerance):
    found, reason = internal_rate(np.array(flows))
    assert found == pytest.approx(printed, abs=tolerance)
    assert reason is None


def test_several_rates_are_not_passed_off_as_one():
    flows = np.array([-5, 10.5, 1, -8, 1], dtype=float)
    printed = 0.0886  # numpy-financial, documented example of irr, which names the nearest to zero
    factors = np.array(zeros_between(flows, 1 / 11, 2.0))
    assert len(factors) > 1
    assert np.abs(1 / factors - 1 - printed).min() < FIVE_DECIMALS
    assert internal_rate(flows) == SEVERAL


def test_the_pump_has_two_rates():
    flows = np.array([-1_600.0, 10_000.0, -10_000.0])
    for rate in (0.25, 4.0):  # Lorie and Savage 1955, Journal of Business 28, from memory
        assert present_value(flows, rate) == pytest.approx(0, abs=1e-9)
    assert internal_rate(flows) == SEVERAL


@pytest.mark.parametrize("flows", [[-100, -5, -5], [3, 4], [0, 0, 0], [-9], [-100, 1, 1, 1]])
def test_flows_that_earn_nothing_back_have_no_internal_rate(flows):
    assert internal_rate(np.array(flows, dtype=float)) == NONE


@pytest.mark.parametrize(
    ("flows", "rate"),
    [
        ([-1, 11], 10),
        ([-2, 1], -0.5),
        ([0, -100, 110], 0.1),
        ([-100, 110, 0, 0], 0.1),
        ([-100, 50, 50], 0),
        ([-100, 220, -121], 0.1),  # only touches nothing: gains at no rate
        ([-1000, 2140, -1144.9], 0.07),  # the same, but for the last digit of the sum
        ([-100, 110, 1e-320, 0], 0.1),
    ],
)
def test_internal_rate_at_the_edges(flows, rate):
    found, reason = internal_rate(np.array(flows, dtype=float))
    assert found == pytest.approx(rate, abs=1e-12)
    assert reason is None


@pytest.mark.parametrize("flows", [[-1, 11.1], [-2, 0.99]])
def test_rates_out_of_range_are_none(flows):
    assert internal_rate(np.array(flows)) == NONE


@given(
    st.floats(-0.45, 9), st.lists(st.floats(0.1, 1), min_size=1, max_size=30), st.floats(-1e6, 1e6)
)
def test_the_one_internal_rate_is_found(rate, others, scale):
    assume(abs(scale) > 1)
    flows = scale * flows_without_worth_at([rate], others)
    found, reason = internal_rate(flows)
    assert reason is None
    assert found == pytest.approx(rate, abs=1e-9)


@given(
    st.sets(st.integers(-9, 60), min_size=2, max_size=4),
    st.lists(st.floats(0.1, 1), min_size=1, max_size=20),
)
def test_no_internal_rate_is_missed(twentieths, others):
    rates = sorted(twentieth / 20 for twentieth in twentieths)
    flows = flows_without_worth_at(rates, others)
    assert internal_rate(flows) == SEVERAL
    places = zeros_between(flows, 1 / 11, 2.0)
    assert 1 / np.array(places)[::-1] - 1 == pytest.approx(rates, abs=1e-6)


@given(st.lists(st.floats(-100, -20), max_size=3), st.lists(st.floats(1, 90), min_size=1))
def test_internal_rate_of_an_investment_is_that_of_two_finance_libraries(paid, gained):
    flows = [-100.0, *paid, *gained]
    expected = numpy_financial.irr(flows)
    assume(-0.49 < expected < 9.9)
    found, _ = internal_rate(np.array(flows))
    assert found == pytest.approx(expected, abs=1e-9)
    assert found == pytest.approx(pyxirr.irr(flows, guess=expected), abs=1e-6)


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=25))
def test_a_rate_without_worth_is_one(flows):
    found, reason = internal_rate(np.array(flows, dtype=float))
    assert (found is None) == (reason is not None)
    if found is not None:
        worth = present_value(np.array(flows, dtype=float), found)
        assert worth == pytest.approx(0, abs=1e-9 * float(present_value(np.abs(flows), found)))


def test_turning_points_that_meet_are_one_zero():
    thrice = flows_without_worth_at([0.25, 0.25, 0.25])
    assert internal_rate(thrice)[0] == pytest.approx(0.25, abs=1e-4)
    at_the_end = zeros_between(np.array([4.0, -4.0, 1.0]), 1.0, 2.0)
    assert at_the_end == [2.0]


@pytest.mark.parametrize(
    ("flows", "finance_rate", "reinvest_rate", "printed"),
    [  # spreadsheet manuals, the usual example of MIRR, from memory
        ([-120_000, 39_000, 30_000, 21_000, 37_000, 46_000], 0.10, 0.12, 0.1261),
        ([-120_000, 39_000, 30_000, 21_000, 37_000, 46_000], 0.10, 0.14, 0.1348),
    ],
)
def test_modified_internal_rate_is_that_of_manuals(flows, finance_rate, reinvest_rate, printed):
    modified = modified_internal_rate(np.array(flows), finance_rate, reinvest_rate)
    assert modified == pytest.approx(printed, abs=FOUR_DECIMALS)


def test_modified_internal_rate_is_the_adjusted_rate_of_federal_rules():
    saved, rate, years = np.array([5_000.0, 8_000.0, 12_000.0, 30_000.0]), 0.08, 4
    # 10 CFR 436.22: savings grown at the rate to the end, over the present value of the costs
    terminal = sum(saving * (1 + rate) ** (years - 1 - t) for t, saving in enumerate(saved))
    by_terminal_value = (terminal / 40_000) ** (1 / years) - 1
    # NIST Handbook 135, from memory: by the savings-to-investment ratio
    ratio = terminal / (1 + rate) ** years / 40_000
    by_ratio = (1 + rate) * ratio ** (1 / years) - 1
    modified = modified_internal_rate(np.append(-40_000.0, saved), rate, rate)
    assert modified == pytest.approx(by_terminal_value, rel=EXACT)
    assert modified == pytest.approx(by_ratio, rel=EXACT)


@given(st.floats(1, 1e6), st.floats(1, 1e6), st.integers(1, 30), st.floats(0, 0.3))
def test_one_outlay_and_one_receipt_have_one_rate_however_worked(paid, gained, years, rate):
    # ASTM E1057, introduction: adjusted and internal rate are then equal
    flows = np.append(np.append(-paid, np.zeros(years - 1)), gained)
    assume(0.6 < (gained / paid) ** (1 / years) < 10)
    modified = modified_internal_rate(flows, rate, rate)
    assert modified is not None
    assert internal_rate(flows)[0] == pytest.approx(modified, abs=1e-9)


@given(
    st.lists(st.floats(-1e4, 1e4), min_size=2, max_size=40), st.floats(0, 0.3), st.floats(0, 0.3)
)
def test_modified_internal_rate_is_that_of_another_library(flows, finance_rate, reinvest_rate):
    assume(min(flows) < -1 and max(flows) > 1)
    modified = modified_internal_rate(np.array(flows), finance_rate, reinvest_rate)
    assert modified == pytest.approx(pyxirr.mirr(flows, finance_rate, reinvest_rate), abs=1e-9)


@pytest.mark.parametrize("flows", [[-5, -1], [5, 1], [0, 0]])
def test_no_modified_rate_without_both_a_cost_and_a_gain(flows):
    assert modified_internal_rate(np.array(flows), 0.05, 0.05) is None


@pytest.mark.parametrize(
    ("flows", "rate", "years", "tolerance"),
    [
        # expertsmind 52460053, a harvester, without interest: 40,000 left after year 4, by hand
        ([-250_000, 60_000, 50_000, 50_000, 50_000, 30_000, 30_000], 0.0, 5.33, TWO_DECIMALS),
        ([-100, 55, 121], 0.10, 1.5, EXACT),  # by hand: 50 and 100 discounted
        ([-100, 110], 0.10, 1.0, EXACT),  # by hand: repaid to the cent
        ([-100, 60, -20, 60, 50], 0.0, 3.0, EXACT),  # by hand: 60, 40, 100
        ([-100, 150, -100, 90], 0.0, 2 / 3, EXACT),  # by hand: the first time counts
    ],
)
def test_payback_is_that_of_a_sum_by_hand(flows, rate, years, tolerance):
    payback = discounted_payback_years(np.array(flows, dtype=float), rate)
    assert payback == pytest.approx(years, abs=tolerance)


@pytest.mark.parametrize("flows", [[-100, 50, 49], [0, 50], [10, -5, 5], [-1]])
def test_nothing_paid_or_never_repaid_has_no_payback(flows):
    assert discounted_payback_years(np.array(flows, dtype=float), 0.0) is None


@given(st.floats(1, 1e5), st.lists(st.floats(1, 1e5), min_size=1, max_size=30), st.floats(0, 0.3))
def test_payback_is_where_the_straight_line_crosses_nothing(paid, gained, rate):
    flows = np.array([-paid, *gained])
    payback = discounted_payback_years(flows, rate)
    worth = float(present_value(flows, rate))
    assume(abs(worth) > 1e-6)
    assert (payback is not None) == (worth > 0)
    if payback is not None:
        whole = int(payback)
        in_the_year = (payback - whole) * flows[min(whole + 1, len(gained))]
        left = float(present_value(flows[: whole + 1], rate))
        gained_so_far = left + in_the_year / (1 + rate) ** (whole + 1)
        assert gained_so_far == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("unit", [1e-40, 1e-6, 1, 1e40])
@pytest.mark.parametrize("empty_years", [0, 2])
def test_neither_the_unit_of_money_nor_empty_years_change_a_rate(unit, empty_years):
    # Lorie and Savage 1955, Journal of Business 28, from memory: the pump, 25 % and 400 %
    flows = unit * np.append([-1_600.0, 10_000.0, -10_000.0], np.zeros(empty_years))
    assert 1 / np.array(zeros_between(flows, 1 / 11, 2.0)) - 1 == pytest.approx([4, 0.25])


def test_what_is_next_to_nothing_today_counts_after_many_years_of_loss():
    # -1 + x - c x^60: below 0 at x = 0.9, above at 1.5 (c x^60 is 2e-7), below at 2 (5.8)
    flows = np.zeros(61)
    flows[[0, 1, 60]] = -1, 1, -5e-18
    assert internal_rate(flows) == SEVERAL
