"""Charges made into lines: by year, by kind, by winter, and the totals of a system."""

from dataclasses import dataclass

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charges, Entry
from service.costing.figure import BY_DEFINITION, Figure, constant
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
from service.costing.formulas.sums import mean_of_winters, side_by_side, total
from service.costing.formulas.time_value import capital_recovery_factor, level_factor
from service.costing.lines import LINES
from service.costing.units import Array
from service.costing.winter_rows import WinterRows

LINE_NUMBERS = {key: number for number, key in enumerate(LINES)}
STEADY = constant(0.0, "fraction/year")
EVEN = constant(1.0, "none")


@dataclass(frozen=True, slots=True)
class Money:
    """Interest, horizon and what is worked from them once for all systems."""

    case: Case
    winters: WinterRows
    discount_rate: Figure
    horizon: Figure
    capital_recovery: Figure
    escalation: dict[str | None, Figure]
    level: dict[str | None, Figure]

    @property
    def years(self) -> int:
        """Years of the horizon."""
        return int(self.horizon.value)


def money_of(case: Case, winters: WinterRows, discount_rate: Figure) -> Money:
    """Work the factors of a case."""
    finance = case.scenario.finance
    horizon = case.given("finance.horizon_years", finance.horizon_years, "year")
    moving = {
        name: case.given(f"finance.real_escalation.{name}", rate, "fraction/year")
        for name, rate in vars(finance.real_escalation).items()
        if rate != 0 or f"finance.real_escalation.{name}" in case.varied
    }
    level = {
        name: case.work(
            level_factor,
            escalation_rate=rate,
            discount_rate=discount_rate,
            years=horizon,
        )
        for name, rate in moving.items()
    }
    return Money(
        case=case,
        winters=winters,
        discount_rate=discount_rate,
        horizon=horizon,
        capital_recovery=case.work(
            capital_recovery_factor, discount_rate=discount_rate, years=horizon
        ),
        escalation={None: STEADY, **moving},
        level={None: EVEN, **level},
    )


@dataclass(slots=True)
class Account:
    """All the money of a system; entries and lines lie on axes of their own."""

    entries: list[Entry]
    by_year: Figure
    annual_equivalents: Figure
    lines: Figure
    lines_by_year: Figure
    annual_equivalent: Figure
    out_of_pocket: Figure
    net_present_cost: Figure
    paid_by_year: Figure
    by_winter: Figure


def account_of(money: Money, charges: Charges) -> Account:
    """Make lines and totals of what a system is charged."""
    work = money.case.work
    entries, amounts = _amounts(money, charges)
    moves = [entry.escalator if entry.escalator in money.level else None for entry in entries]
    recurring = work(
        entries_by_year,
        amount=work(mean_of_winters, values=amounts, weight=money.winters.weight),
        escalation_rate=work(side_by_side, *[money.escalation[name] for name in moves]),
        years=money.horizon,
    )
    flows = recurring
    recurring_count = len(entries)
    if charges.flows:
        flows = work(all_entries, recurring, *[figure for _, figure in charges.flows])
        entries = entries + [entry for group, _ in charges.flows for entry in group]
    present = work(present_values, flows=flows, discount_rate=money.discount_rate)
    annual = work(
        annual_equivalents,
        present_value=present,
        capital_recovery=money.capital_recovery,
    )
    by_line = _of_lines(entries)
    everything = _mask([True] * len(entries))
    paid = _mask([entry.kind == "paid" for entry in entries])
    not_recurring = _mask([number >= recurring_count for number in range(len(entries))])
    return Account(
        entries=entries,
        by_year=flows,
        annual_equivalents=annual,
        lines=work(lines_of_entries, entries=annual, counted=by_line),
        lines_by_year=work(lines_by_year, flows=flows, counted=by_line),
        annual_equivalent=work(sum_of_entries, entries=annual, counted=everything),
        out_of_pocket=work(sum_of_entries, entries=annual, counted=paid),
        net_present_cost=work(net_present_cost, present_value=present),
        paid_by_year=work(sum_by_year, flows=flows, counted=paid),
        by_winter=work(
            cost_of_winters,
            amount=amounts,
            level_factor=work(side_by_side, *[money.level[name] for name in moves]),
            levelled=work(sum_of_entries, entries=annual, counted=not_recurring),
        ),
    )


def _amounts(money: Money, charges: Charges) -> tuple[list[Entry], Figure]:
    """Add up the charges of each entry and lay the entries side by side."""
    work = money.case.work
    entries = list(charges.yearly)
    amounts = [
        work(total, *parts) if len(parts) > 1 else parts[0] for parts in charges.yearly.values()
    ]
    return entries, work(side_by_side, *amounts)


def _of_lines(entries: list[Entry]) -> Figure:
    """Return 1 where an entry belongs to a line, shape (lines, entries, 1, 1)."""
    line_of = np.array([LINE_NUMBERS[entry.line] for entry in entries])
    counted = (line_of == np.arange(len(LINES))[:, None]).astype(float)
    return Figure(counted[..., None, None], "none", sources=BY_DEFINITION, axes=("line", "entry"))


def _mask(counted: list[bool]) -> Figure:
    values: Array = np.array(counted, float)[..., None, None]
    return Figure(values, "none", sources=BY_DEFINITION, axes=("entry",))
