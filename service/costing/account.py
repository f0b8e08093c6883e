"""Charges made into lines: by year, by kind, by winter, and the totals of a system."""

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charge, Charges, Escalator, Kind
from service.costing.figure import Figure
from service.costing.formulas.sums import levelled, mean_of_winters, total, total_by_year
from service.costing.formulas.time_value import (
    annual_equivalent,
    capital_recovery_factor,
    escalated,
    level_factor,
    present_value,
)
from service.costing.lines import LINES
from service.costing.units import Array
from service.costing.winter_rows import WinterRows

NOTHING = Figure(0.0, "currency", sources="by definition")
NOTHING_A_YEAR = Figure(0.0, "currency/year", sources="by definition")
STEADY = Figure(0.0, "fraction/year", sources="by definition")
EVEN = Figure(1.0, "none", sources="by definition")


@dataclass(frozen=True, slots=True)
class Money:
    """Interest, horizon and what is worked from them once for all systems."""

    case: Case
    winters: WinterRows
    discount_rate: Figure
    horizon: Figure
    capital_recovery: Figure
    escalation: dict[str, Figure]
    level: dict[str, Figure]

    @property
    def years(self) -> int:
        """Years of the horizon."""
        return int(self.horizon.value)


def money_of(case: Case, winters: WinterRows, discount_rate: Figure) -> Money:
    """Work the factors of a case."""
    finance = case.scenario.finance
    horizon = case.given("finance.horizon_years", finance.horizon_years, "year")
    escalation = {
        name: case.given(
            f"finance.real_escalation.{name}",
            getattr(finance.real_escalation, name),
            "fraction/year",
        )
        for name in vars(finance.real_escalation)
    }
    return Money(
        case=case,
        winters=winters,
        discount_rate=discount_rate,
        horizon=horizon,
        capital_recovery=case.work(
            capital_recovery_factor, discount_rate=discount_rate, years=horizon
        ),
        escalation=escalation,
        level={
            name: case.work(
                level_factor, escalation_rate=rate, discount_rate=discount_rate, years=horizon
            )
            for name, rate in escalation.items()
            if np.any(rate.value)
        },
    )


@dataclass(slots=True)
class LineRun:
    """One line of a system."""

    key: str
    annual_equivalent: Figure
    present_value: Figure
    by_year: Figure
    by_kind: dict[Kind, Figure] = field(default_factory=dict)
    flows_by_kind: dict[Kind, Figure] = field(default_factory=dict)


@dataclass(slots=True)
class Account:
    """All the money of a system."""

    lines: dict[str, LineRun]
    annual_equivalent: Figure
    net_present_cost: Figure
    by_winter: Figure
    paid: Figure
    flows: Array
    paid_flows: Array


def account_of(money: Money, charges: Charges) -> Account:
    """Make lines and totals of what a system is charged."""
    work = money.case.work
    bundles = _bundled(money, charges)
    flows: dict[str, dict[Kind, list[Figure]]] = {key: defaultdict(list) for key in LINES}
    winters: list[Figure] = []
    for bundle in bundles:
        flows[bundle.line][bundle.kind].append(_by_year(money, bundle))
        winters.append(_levelled(money, bundle))
    for flow in charges.flows:
        flows[flow.line][flow.kind].append(flow.flows)
    lines = {key: _line(money, key, by_kind) for key, by_kind in flows.items()}
    built = [
        _equivalent(money, work(total_by_year, *[flow.flows for flow in charges.flows]))[1]
    ] if charges.flows else []
    counted = [line for line in lines.values() if line.by_kind]
    every_flow = sum((np.asarray(line.by_year.value) for line in counted), start=np.zeros((money.years + 1, 1, 1)))
    paid = [line.flows_by_kind["paid"] for line in counted if "paid" in line.flows_by_kind]
    return Account(
        lines=lines,
        annual_equivalent=work(total, *[line.annual_equivalent for line in counted]),
        net_present_cost=work(total, *[line.present_value for line in counted]),
        by_winter=work(total, *winters, *built),
        paid=work(total, *[line.by_kind["paid"] for line in counted if "paid" in line.by_kind]),
        flows=every_flow,
        paid_flows=sum((np.asarray(flow.value) for flow in paid), start=np.zeros((money.years + 1, 1, 1))),
    )


def _bundled(money: Money, charges: Charges) -> list[Charge]:
    """Add up the charges of one line, kind and escalator."""
    bundles: dict[tuple[str, Kind, Escalator | None], list[Figure]] = defaultdict(list)
    for charge in charges.yearly:
        moves = charge.escalator if charge.escalator in money.level else None
        bundles[charge.line, charge.kind, moves].append(charge.amount)
    return [
        Charge(line, kind, moves, money.case.work(total, *parts) if len(parts) > 1 else parts[0])
        for (line, kind, moves), parts in bundles.items()
    ]


def _by_year(money: Money, charge: Charge) -> Figure:
    expected = money.case.work(
        mean_of_winters, values=charge.amount, weight=money.winters.weight
    )
    rate = money.escalation[charge.escalator] if charge.escalator else STEADY
    return money.case.work(
        escalated, amount=expected, escalation_rate=rate, years=money.horizon
    )


def _levelled(money: Money, charge: Charge) -> Figure:
    factor = money.level[charge.escalator] if charge.escalator else EVEN
    return money.case.work(levelled, amount=charge.amount, level_factor=factor)


def _equivalent(money: Money, flows: Figure) -> tuple[Figure, Figure]:
    present = money.case.work(
        present_value, flows=flows, discount_rate=money.discount_rate
    )
    return present, money.case.work(
        annual_equivalent, present_value=present, capital_recovery=money.capital_recovery
    )


def _line(money: Money, key: str, by_kind: dict[Kind, list[Figure]]) -> LineRun:
    work = money.case.work
    if not by_kind:
        return LineRun(key, NOTHING_A_YEAR, NOTHING, NOTHING)
    flows = {
        kind: work(total_by_year, *parts) if len(parts) > 1 else parts[0]
        for kind, parts in by_kind.items()
    }
    worth = {kind: _equivalent(money, flow) for kind, flow in flows.items()}
    whole = [figure for _, figure in worth.values()]
    present = [figure for figure, _ in worth.values()]
    every = list(flows.values())
    return LineRun(
        key,
        annual_equivalent=work(total, *whole) if len(whole) > 1 else whole[0],
        present_value=work(total, *present) if len(present) > 1 else present[0],
        by_year=work(total_by_year, *every) if len(every) > 1 else every[0],
        by_kind={kind: figure for kind, (_, figure) in worth.items()},
        flows_by_kind=flows,
    )
