"""Charges made into lines: by year, by kind, by winter, and the totals of a system."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

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
NOTHING = constant(0.0, "currency/year")


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


class Account:
    """All the money of a system; entries and lines lie on axes of their own.

    Each figure is worked when it is first asked for: thousands of draws need few of them.
    """

    def __init__(self, money: Money, charges: Charges) -> None:
        self._money = money
        self._charges = charges
        self._work = money.case.work
        self._recurring = list(charges.yearly)
        self.entries: list[Entry] = [
            *self._recurring,
            *[entry for group, _ in charges.flows for entry in group],
        ]

    @cached_property
    def _amounts(self) -> Figure:
        """What each entry that comes back costs in each winter."""
        parts = self._charges.yearly.values()
        amounts = [self._work(total, *own) if len(own) > 1 else own[0] for own in parts]
        return self._work(side_by_side, *amounts)

    @cached_property
    def _moves(self) -> list[str | None]:
        """Which escalation moves each entry that comes back."""
        level = self._money.level
        return [entry.escalator if entry.escalator in level else None for entry in self._recurring]

    @cached_property
    def _flows(self) -> Figure | None:
        """Flows that differ by year and not by winter."""
        flows = [figure for _, figure in self._charges.flows]
        return self._work(all_entries, *flows) if flows else None

    @cached_property
    def by_year(self) -> Figure:
        """Flow of each entry in each year."""
        work, money = self._work, self._money
        recurring = work(
            entries_by_year,
            amount=work(mean_of_winters, values=self._amounts, weight=money.winters.weight),
            escalation_rate=work(side_by_side, *[money.escalation[name] for name in self._moves]),
            years=money.horizon,
        )
        flows = [figure for _, figure in self._charges.flows]
        return work(all_entries, recurring, *flows) if flows else recurring

    @cached_property
    def _present(self) -> Figure:
        return self._work(
            present_values, flows=self.by_year, discount_rate=self._money.discount_rate
        )

    @cached_property
    def annual_equivalents(self) -> Figure:
        """Annual equivalent of each entry."""
        return self._levelled(self._present)

    @cached_property
    def lines(self) -> Figure:
        """Annual equivalent of each line."""
        return self._work(
            lines_of_entries, entries=self.annual_equivalents, counted=_of_lines(self.entries)
        )

    @cached_property
    def lines_by_year(self) -> Figure:
        """Flow of each line in each year."""
        return self._work(lines_by_year, flows=self.by_year, counted=_of_lines(self.entries))

    @cached_property
    def annual_equivalent(self) -> Figure:
        """Annual equivalent of all of it."""
        return self._sum(self.annual_equivalents, [True] * len(self.entries))

    @cached_property
    def out_of_pocket(self) -> Figure:
        """Annual equivalent of what is paid."""
        return self._sum(self.annual_equivalents, self._paid)

    @cached_property
    def net_present_cost(self) -> Figure:
        """Worth in year 0 of all of it."""
        return self._work(net_present_cost, present_value=self._present)

    @cached_property
    def paid_by_year(self) -> Figure:
        """What is paid in each year."""
        return self._work(sum_by_year, flows=self.by_year, counted=_mask(self._paid))

    @cached_property
    def by_winter(self) -> Figure:
        """Level yearly cost of a horizon of each winter."""
        return self.part_by_winter([True] * len(self.entries))

    def part_by_winter(self, counted: Sequence[bool]) -> Figure:
        """Return the level yearly cost, in a horizon of each winter, of the entries that count."""
        work, money = self._work, self._money
        several = len(self._recurring)
        return work(
            cost_of_winters,
            amount=self._amounts,
            level_factor=work(side_by_side, *[money.level[name] for name in self._moves]),
            counted=_mask(list(counted[:several])),
            levelled=NOTHING if self._flows is None else self._levelled_part(counted[several:]),
        )

    def _levelled_part(self, counted: Sequence[bool]) -> Figure:
        """Return the annual equivalent of those flows by year that count."""
        assert self._flows is not None  # noqa: S101 - asked for only where there are some
        rate = self._money.discount_rate
        present = self._work(present_values, flows=self._flows, discount_rate=rate)
        return self._sum(self._levelled(present), list(counted))

    def _levelled(self, present: Figure) -> Figure:
        return self._work(
            annual_equivalents,
            present_value=present,
            capital_recovery=self._money.capital_recovery,
        )

    def _sum(self, entries: Figure, counted: list[bool]) -> Figure:
        return self._work(sum_of_entries, entries=entries, counted=_mask(counted))

    @property
    def _paid(self) -> list[bool]:
        return [entry.kind == "paid" for entry in self.entries]


def _of_lines(entries: list[Entry]) -> Figure:
    """Return 1 where an entry belongs to a line, shape (lines, entries, 1, 1)."""
    line_of = np.array([LINE_NUMBERS[entry.line] for entry in entries])
    counted = (line_of == np.arange(len(LINES))[:, None]).astype(float)
    return Figure(counted[..., None, None], "none", sources=BY_DEFINITION, axes=("line", "entry"))


def _mask(counted: list[bool]) -> Figure:
    values: Array = np.array(counted, float)[..., None, None]
    return Figure(values, "none", sources=BY_DEFINITION, axes=("entry",))
