"""A loan repaid in level yearly payments, and the bridge until cost-share is paid.

For the talk with a lender only: the annual equivalent of a system already holds the interest on all
that is built, so nothing here is a cost line. Rates are nominal, and so are the payments: the same
amount each year, worth less as prices rise.
"""

from dataclasses import dataclass

import numpy as np

from service.costing.formula import formula
from service.costing.formulas.time_value import (
    annuity_present_worth,
    capital_recovery_factor,
)
from service.costing.units import (
    Array,
    Currency,
    CurrencyPerYear,
    PerYear,
    Plain,
    Years,
)


@formula("principal x capital recovery factor of the loan")
def level_payment(principal: Currency, loan_rate: PerYear, loan_years: Years) -> CurrencyPerYear:
    """Payment at the end of each year that repays a loan with interest.

    Parameters
    ----------
    principal : float or ndarray
        Amount borrowed in year 0 [currency].
    loan_rate : float or ndarray
        Nominal interest rate of the loan [fraction/year].
    loan_years : float or ndarray
        Number of yearly payments [year].

    Returns
    -------
    float or ndarray
        Interest and principal together [currency/year].

    Notes
    -----
    The rate may be for any period as long as the number of payments is for the same.

    Examples
    --------
    A month's payment on 200 000 over 15 years at 7.5 %, as documented by numpy-financial:

    >>> float(round(level_payment(principal=200_000, loan_rate=0.075 / 12, loan_years=180), 2))
    1854.02
    """
    return principal * capital_recovery_factor(loan_rate, loan_years)


@formula("level payment x (1 - (1 + loan rate)^-(loan years - payment year + 1))")
def interest_payment(
    principal: Currency, loan_rate: PerYear, loan_years: Years, payment_year: Years
) -> CurrencyPerYear:
    """Interest in the level payment of one year.

    Parameters
    ----------
    principal : float or ndarray
        Amount borrowed in year 0 [currency].
    loan_rate : float or ndarray
        Nominal interest rate of the loan [fraction/year].
    loan_years : float or ndarray
        Number of yearly payments [year].
    payment_year : float or ndarray
        Year of the payment, from 1 to the last [year].

    Returns
    -------
    float or ndarray
        Interest on what was still owed during the year [currency/year].
    """
    payments_left = loan_years - payment_year + 1
    interest_share = -np.expm1(-payments_left * np.log1p(loan_rate))
    return level_payment(principal, loan_rate, loan_years) * interest_share


@formula("level payment x (1 + loan rate)^-(loan years - payment year + 1)")
def principal_payment(
    principal: Currency, loan_rate: PerYear, loan_years: Years, payment_year: Years
) -> CurrencyPerYear:
    """Principal in the level payment of one year.

    Parameters
    ----------
    principal : float or ndarray
        Amount borrowed in year 0 [currency].
    loan_rate : float or ndarray
        Nominal interest rate of the loan [fraction/year].
    loan_years : float or ndarray
        Number of yearly payments [year].
    payment_year : float or ndarray
        Year of the payment, from 1 to the last [year].

    Returns
    -------
    float or ndarray
        What the payment takes off the loan [currency/year].
    """
    payments_left = loan_years - payment_year + 1
    principal_share = np.exp(-payments_left * np.log1p(loan_rate))
    return level_payment(principal, loan_rate, loan_years) * principal_share


@formula("level payment x present worth of the payments still to come")
def loan_balance(
    principal: Currency, loan_rate: PerYear, loan_years: Years, payment_year: Years
) -> Currency:
    """Amount still owed after the payment of one year.

    Parameters
    ----------
    principal : float or ndarray
        Amount borrowed in year 0 [currency].
    loan_rate : float or ndarray
        Nominal interest rate of the loan [fraction/year].
    loan_years : float or ndarray
        Number of yearly payments [year].
    payment_year : float or ndarray
        Year just paid, 0 for the day of the loan [year].

    Returns
    -------
    float or ndarray
        Balance, nothing after the last payment [currency].
    """
    worth_of_the_rest = annuity_present_worth(loan_rate, loan_years - payment_year)
    return level_payment(principal, loan_rate, loan_years) * worth_of_the_rest


@formula("cost-share x ((1 + bridge rate)^years until paid - 1)")
def bridge_interest(
    cost_share: Currency, bridge_rate: PerYear, years_until_paid: Years
) -> Currency:
    """Interest on money borrowed from building until cost-share is paid.

    Parameters
    ----------
    cost_share : float or ndarray
        Cost-share waited for, more than 0 [currency].
    bridge_rate : float or ndarray
        Nominal interest rate of the bridge loan [fraction/year].
    years_until_paid : float or ndarray
        Years from building to the payment of cost-share [year].

    Returns
    -------
    float or ndarray
        Interest, due in one sum when cost-share is paid [currency].

    Notes
    -----
    No interest is paid on the way: over more than one year it bears interest itself.
    """
    return cost_share * np.expm1(years_until_paid * np.log1p(bridge_rate))


@formula("cash saved / payment")
def debt_coverage(cash_saved: CurrencyPerYear, payment: CurrencyPerYear) -> Plain:
    """How many times the cash saved in a year covers the loan payment.

    Parameters
    ----------
    cash_saved : float or ndarray
        Out-of-pocket cost saved in a year against the baseline [currency/year].
    payment : float or ndarray
        Yearly loan payment, more than 0 [currency/year].

    Returns
    -------
    float or ndarray
        Coverage; under 1 the saving alone does not pay the loan [none].
    """
    return cash_saved / payment


@dataclass(frozen=True, slots=True)
class LoanSchedule:
    """A loan year by year; the parts of the payment add up to it, and the balance ends at nothing.

    Parameters
    ----------
    payment, interest, principal : ndarray of shape (loan_years + 1,)
        Paid at the end of each year, nothing in year 0 [currency/year].
    balance : ndarray of shape (loan_years + 1,)
        Owed after the payment of each year, the whole loan in year 0 [currency].
    """

    payment: Array
    interest: Array
    principal: Array
    balance: Array


def loan_schedule(principal: float, loan_rate: float, loan_years: int) -> LoanSchedule:
    """Lay out a loan with level yearly payments.

    Parameters
    ----------
    principal : float
        Amount borrowed in year 0 [currency].
    loan_rate : float
        Nominal interest rate of the loan [fraction/year].
    loan_years : int
        Number of yearly payments [year].

    Returns
    -------
    LoanSchedule
        The loan from year 0 to its last payment.
    """
    year = np.arange(loan_years + 1.0)
    paying = year > 0
    loan = (principal, loan_rate, loan_years)
    return LoanSchedule(
        payment=np.where(paying, level_payment(*loan), 0),
        interest=np.where(paying, interest_payment(*loan, year), 0),
        principal=np.where(paying, principal_payment(*loan, year), 0),
        balance=np.asarray(loan_balance(*loan, year)),
    )
