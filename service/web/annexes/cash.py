"""For the lender: cash by year, with and without cost-share, and how a loan is paid back."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from service.costing.averages import number
from service.costing.comparison import by_winter
from service.costing.engine import SystemCosting
from service.costing.formulas.time_value import discounted_payback_years
from service.costing.lines import LINES
from service.costing.margin import has_herd_change
from service.costing.units import Array
from service.web.annexes.annex import Block, Item, unknown
from service.web.annexes.subject import NOTHING, AnnexSubject

YEARS_SHOWN = 10
STRESS_YEAR = 2
OF_LOAN = ("loan", "left")
BUILT = frozenset({"structures", "cost_share"})
"""Lines that are no yearly running cost."""

ROWS = {
    "today": "Paid out today",
    "with_system": "Paid out with the system, no cost-share",
    "saved": "Cash saved, no cost-share",
    "cost_share": "Cost-share received",
    "saved_shared": "Cash saved, with cost-share",
    "loan_received": "Loan received",
    "loan_payment": "Loan payment",
    "left": "Left after payment, no cost-share",
    "left_shared": "Left after payment, with cost-share",
}


@dataclass(frozen=True)
class Cash:
    """The cash of a system and of today, by year from year 0 on, at constant prices."""

    subject: AnnexSubject

    @cached_property
    def today(self) -> Array:
        """Paid out today, as things stand."""
        return _without_share(self.subject.baseline)

    @cached_property
    def cost_share(self) -> Array:
        """Received for the system."""
        return -_line(self.subject.system, "cost_share") + _line(
            self.subject.baseline, "cost_share"
        )

    @cached_property
    def with_system(self) -> Array:
        """Paid out with the system, before any cost-share."""
        return _without_share(self.subject.system)

    @property
    def saved(self) -> Array:
        """Today less with the system, no cost-share."""
        return self.today - self.with_system

    @cached_property
    def received(self) -> Array:
        """Loan received, in year 0."""
        amounts = np.zeros_like(self.today)
        if self.loan is not None:
            amounts[0] = self.loan["principal"]
        return amounts

    @cached_property
    def payment(self) -> Array:
        """Loan payments, nominal; those after the horizon are not there."""
        amounts = np.zeros_like(self.today)
        if self.loan is not None:
            paid = _payments(self.loan)
            last = min(len(amounts), len(paid) + 1)
            amounts[1:last] = paid[: last - 1]
        return amounts

    @property
    def horizon(self) -> int:
        """Last year looked at."""
        return len(self.today) - 1

    @property
    def loan(self) -> Mapping[str, list[float]] | None:
        """The loan of the system as it is answered."""
        return self.subject.shown.get("loan")

    @property
    def rows(self) -> dict[str, Array]:
        """Every row, by its name."""
        moved = self.received - self.payment
        return {
            "today": self.today,
            "with_system": self.with_system,
            "saved": self.saved,
            "cost_share": self.cost_share,
            "saved_shared": self.saved + self.cost_share,
            "loan_received": self.received,
            "loan_payment": self.payment,
            "left": self.saved + moved,
            "left_shared": self.saved + self.cost_share + moved,
        }


def _payments(loan: Mapping[str, list[float]]) -> list[float]:
    """Return the payments of year 1 and on."""
    return loan["payment_by_year"][1:]


def _line(system: SystemCosting, line: str) -> Array:
    """Return the flow of a line by year."""
    return system.account.lines_by_year.value[:, list(LINES).index(line), 0, 0]


def _without_share(system: SystemCosting) -> Array:
    return system.account.paid_by_year.value[:, 0, 0] - _line(system, "cost_share")


def cash_block(subject: AnnexSubject) -> Block:
    """Return the cash of years 0 to 10, and of a year 2 with the worst winter."""
    cash = Cash(subject)
    names = [name for name in ROWS if cash.loan is not None or not name.startswith(OF_LOAN)]
    items = [
        subject.worked(name, ROWS[name], float(cash.rows[name][year]), "currency", f"Year {year}")
        for year in range(min(YEARS_SHOWN, cash.horizon) + 1)
        for name in names
    ]
    items += _stress(cash, names)
    return Block("cash", "Cash by year", items, shape="grid", remark=" ".join(_remarks(cash)))


def _remarks(cash: Cash) -> Iterator[str]:
    subject = cash.subject
    yield f"{subject.currency} at constant prices; loan payments in money of their day."
    yield f"In year {cash.horizon}, the last, what is built is counted at what it is still worth."
    if cash.horizon >= STRESS_YEAR:
        yield "The last row is a stress: the worst recorded winter of the system, for both."
    if subject.is_today:
        yield "The system is that of today, so nothing is saved."
    if has_herd_change(subject.costing):
        yield "Herds differ: what animals sell for is not in these rows; see Herd."


def _stress(cash: Cash, names: Sequence[str]) -> Iterator[Item]:
    """Yield year 2 with the worst recorded winter of the system, today's in the same winter."""
    subject = cash.subject
    if cash.horizon < STRESS_YEAR:
        return
    worst = int(np.argmax(by_winter(subject.costing, subject.system)))
    season = subject.costing.winters.seasons[worst]
    more = {
        "today": _more_paid(subject, subject.baseline, worst),
        "with_system": _more_paid(subject, subject.system, worst),
    }
    less = more["today"] - more["with_system"]
    for name in names:
        moved = more.get(name, less if name.startswith(("saved", "left")) else 0.0)
        amount = float(cash.rows[name][STRESS_YEAR]) + moved
        about = f"Year {STRESS_YEAR} as in {season}"
        yield subject.worked(name, ROWS[name], amount, "currency", about)


def _more_paid(subject: AnnexSubject, system: SystemCosting, winter: int) -> float:
    """Return what is paid in a winter above the mean of the winters."""
    account = system.account
    paid = account.part_by_winter([entry.kind == "paid" for entry in account.entries])
    count = len(subject.costing.winters.seasons)
    values = np.broadcast_to(np.atleast_2d(paid.value), (1, paid.value.shape[-1]))[0]
    if len(values) == 1:
        return 0.0
    weight = subject.costing.winters.weight.value[:-1]
    return float(values[winter] - np.average(values[:count], weights=weight))


def repayment_block(subject: AnnexSubject) -> Block:
    """Return payment, coverage and the years to pay back."""
    return Block("repayment", "Repayment", list(_repayment(subject)))


def running_cash(system: SystemCosting) -> float:
    """Return what is paid a year beside building and cost-share, levelled."""
    account = system.account
    levels = account.annual_equivalents.value[:, 0, 0]
    return sum(
        float(level)
        for entry, level in zip(account.entries, levels, strict=True)
        if entry.kind == "paid" and entry.line not in BUILT
    )


def _repayment(subject: AnnexSubject) -> Iterator[Item]:
    cash, loan = Cash(subject), subject.shown.get("loan")
    saving = running_cash(subject.baseline) - running_cash(subject.system)
    if loan is None:
        yield unknown("payment", "Payment", note="No loan is given, or nothing is built.")
    else:
        payment = _payments(loan)[0]
        path = "finance.loan"
        terms = subject.scenario.finance.loan
        yield subject.worked("payment", "Payment", payment, "currency/year")
        if terms is not None:
            yield subject.given(f"{path}.years", "years", "Years", terms.years, "year")
            yield subject.given(
                f"{path}.rate", "rate", "Rate, nominal", terms.rate, "fraction/year"
            )
        yield subject.worked(
            "coverage",
            "Coverage",
            saving / payment if payment > NOTHING else None,
            "times",
            note="Yearly cash saved over the payment; below 1 the rest comes from elsewhere.",
        )
        yield subject.worked("needed_saving", "Saving that covers it", payment, "currency/year")
    yield subject.worked(
        "yearly_saving",
        "Yearly cash saved",
        saving,
        "currency/year",
        note="Paid out today less with the system, levelled, beside building and cost-share.",
    )
    rate = number(subject.costing.money.discount_rate.value)
    for line, title, at in (
        ("payback_simple", "Pays back, simple", 0.0),
        ("payback_discounted", "Pays back, discounted", rate),
    ):
        yield _payback(subject, line, title, discounted_payback_years(cash.saved, at))
    told = subject.shown.get("against_baseline")
    if told is not None:
        years = told["discounted_payback_years"]
        yield _payback(
            subject,
            "payback_all_told",
            "Pays back, all that is counted, cost-share too",
            years,
            "Discounted; own hours, own hay and grass are in it.",
        )


def _payback(
    subject: AnnexSubject,
    line: str,
    title: str,
    years: float | None,
    note: str = "In cash, without cost-share.",
) -> Item:
    if years is None:
        within = subject.scenario.finance.horizon_years
        return subject.worked(line, title, f"not within {within:g} years", note=note)
    return subject.worked(line, title, years, "year", note=note)
