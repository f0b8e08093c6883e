"""Loans, held against a published schedule and two finance libraries."""

from decimal import Decimal, localcontext

import numpy as np
import numpy_financial
import pytest
import pyxirr
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.loan import (
    bridge_interest,
    debt_coverage,
    interest_payment,
    level_payment,
    loan_balance,
    loan_schedule,
    principal_payment,
)
from service.costing.formulas.time_value import present_value
from tests.formulas.precision import CENT, EXACT, FOUR_DECIMALS

PRINCIPAL, MONTHLY_RATE, MONTHS = 2_500.0, 0.0824 / 12, 12
SCHEDULE = [  # numpy-financial, documented schedule of a loan of 2,500 at 8.24 % over 12 months
    (1, 200.58, 17.17, 2_299.42),
    (2, 201.96, 15.79, 2_097.46),
    (3, 203.35, 14.40, 1_894.11),
    (4, 204.74, 13.01, 1_689.37),
    (5, 206.15, 11.60, 1_483.22),
    (6, 207.56, 10.18, 1_275.66),
    (7, 208.99, 8.76, 1_066.67),
    (8, 210.42, 7.32, 856.25),
    (9, 211.87, 5.88, 644.38),
    (10, 213.32, 4.42, 431.05),
    (11, 214.79, 2.96, 216.26),
    (12, 216.26, 1.49, 0.00),
]
LOANS = (st.floats(100, 1e7), st.floats(0.0001, 1), st.integers(1, 50))


@pytest.mark.parametrize(("month", "principal", "interest", "balance"), SCHEDULE)
def test_schedule_is_the_documented_one(month, principal, interest, balance):
    loan = (PRINCIPAL, MONTHLY_RATE, MONTHS, month)
    assert principal_payment(*loan) == pytest.approx(principal, abs=CENT)
    assert interest_payment(*loan) == pytest.approx(interest, abs=CENT)
    assert loan_balance(*loan) == pytest.approx(balance, abs=CENT)


def test_interest_of_the_schedule_is_the_documented_sum():
    printed = 112.98  # numpy-financial, documented schedule of a loan
    schedule = loan_schedule(PRINCIPAL, MONTHLY_RATE, MONTHS)
    assert schedule.interest.sum() == pytest.approx(printed, abs=CENT)


@pytest.mark.parametrize(
    ("principal", "rate", "payments", "printed", "tolerance"),
    [
        (200_000, 0.075 / 12, 180, 1_854.0247200054619, 1e-9),  # numpy-financial, pmt
        (100_000, 0.06 / 12, 360, 599.55, CENT),  # tables of home loan payments, from memory
        (1, 0.08, 10, 0.14903, 0.000005),  # 56.155.135.34, A/P 8 %, 10, arithmetic only
        (10_000, 0.35, 5, 4_505, 10_000 * FOUR_DECIMALS),  # Newnan, table for 35 %, A/P, n = 5
    ],
)
def test_level_payment_is_the_published_one(principal, rate, payments, printed, tolerance):
    assert level_payment(principal, rate, payments) == pytest.approx(printed, abs=tolerance)


@given(st.floats(100, 1e7), st.floats(0.001, 0.25), st.integers(1, 30))
def test_loan_is_that_of_two_finance_libraries(principal, rate, years):
    year = np.arange(1, years + 1)
    schedule = loan_schedule(principal, rate, years)
    near = {"rtol": 0, "atol": 1e-8 * principal}
    np.testing.assert_allclose(
        schedule.payment[1:], -numpy_financial.pmt(rate, years, principal), **near
    )
    np.testing.assert_allclose(
        schedule.interest[1:], -numpy_financial.ipmt(rate, year, years, principal), **near
    )
    np.testing.assert_allclose(
        schedule.principal[1:], -numpy_financial.ppmt(rate, year, years, principal), **near
    )
    for t in (1, years):
        interest = pyxirr.ipmt(rate, t, years, principal)
        repaid = pyxirr.ppmt(rate, t, years, principal)
        assert interest is not None
        assert repaid is not None
        assert schedule.interest[t] == pytest.approx(-interest, abs=1e-8 * principal)
        assert schedule.principal[t] == pytest.approx(-repaid, abs=1e-8 * principal)


@given(st.floats(100, 1e7), st.floats(0, 1), st.integers(1, 50))
def test_loan_adds_up_in_every_year(principal, rate, years):
    loan = loan_schedule(principal, rate, years)
    near = {"rtol": 0, "atol": 1e-11 * principal}
    np.testing.assert_allclose(loan.interest + loan.principal, loan.payment, **near)
    np.testing.assert_allclose(loan.balance[:-1] - loan.principal[1:], loan.balance[1:], **near)
    np.testing.assert_allclose(loan.interest[1:], rate * loan.balance[:-1], **near)
    assert loan.principal.sum() == pytest.approx(principal, rel=1e-11)
    assert loan.balance[0] == pytest.approx(principal, rel=EXACT)
    assert loan.balance[-1] == 0
    assert loan.payment[0] == loan.interest[0] == loan.principal[0] == 0


@given(*LOANS)
def test_payments_at_the_rate_of_the_loan_are_worth_the_loan(principal, rate, years):
    payments = loan_schedule(principal, rate, years).payment
    assert present_value(payments, rate) == pytest.approx(principal, rel=1e-11)


@given(st.floats(100, 1e7), st.integers(1, 50))
def test_loan_without_interest_is_repaid_in_equal_parts(principal, years):
    loan = loan_schedule(principal, 0, years)
    np.testing.assert_allclose(loan.payment[1:], principal / years, rtol=EXACT)
    np.testing.assert_array_equal(loan.interest, 0)
    expected = principal * (1 - np.arange(years + 1) / years)
    np.testing.assert_allclose(loan.balance, expected, rtol=EXACT, atol=1e-12 * principal)


@pytest.mark.parametrize("rate", [10.0**-tenth for tenth in range(2, 19)])
@pytest.mark.parametrize("year", [1, 7, 20])
def test_interest_keeps_its_digits_next_to_no_interest(rate, year):
    with localcontext(prec=80):
        exact = Decimal(rate)
        share = 1 - (1 + exact) ** (year - 21)
        interest = exact / (1 - (1 + exact) ** -20) * share
    assert interest_payment(1.0, rate, 20, year) == pytest.approx(float(interest), rel=EXACT)


@pytest.mark.parametrize(
    ("years", "printed"),
    [  # scribd 602125832, solutions 7.13 to 7.25: F/P 8 %
        (1, 1.0800),
        (2, 1.1664),
        (3, 1.2597),
        (4, 1.3605),
    ],
)
def test_bridge_owes_what_one_sum_grows_by(years, printed):
    assert 1 + bridge_interest(1.0, 0.08, years) == pytest.approx(printed, abs=FOUR_DECIMALS)


@given(st.floats(0, 1e6), st.floats(0, 1))
def test_bridge_over_one_year_owes_a_year_of_interest(cost_share, rate):
    assert bridge_interest(cost_share, rate, 1) == pytest.approx(cost_share * rate, rel=EXACT)
    assert bridge_interest(cost_share, rate, 0) == 0
    assert bridge_interest(cost_share, 0, 3) == 0


def test_coverage_of_one_pays_the_loan_and_no_more():
    payment = level_payment(50_000.0, 0.065, 10)
    assert debt_coverage(payment, payment) == 1
    assert debt_coverage(3 * payment, 2 * payment) == pytest.approx(1.5, rel=EXACT)
