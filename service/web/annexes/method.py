"""For the lender: how the money was counted, what of it is not cash, how it fares by winter."""

from collections.abc import Iterator

import numpy as np

from service.costing.averages import number
from service.costing.comparison import by_winter
from service.costing.engine import SystemCosting
from service.costing.wording import spoken
from service.web.annexes.annex import Block, Item, stated, unknown
from service.web.annexes.subject import NOTHING, AnnexSubject, Document

WORST = 3
"""How many of the worst winters are taken together."""

INTEREST_ONCE = (
    "Interest is inside the annual cost once, by the capital recovery factor; the loan stands "
    "beside it and is never added."
)
KINDS = {
    "own_labor": "own hours",
    "home_grown": "own hay at what it would bring",
    "ownership": "owning machines",
    "forgone": "grass given up",
    "credit": "nutrient credit and the like",
}


def method_block(subject: AnnexSubject) -> Block:
    """Return how the money was counted."""
    return Block("method", "Method", list(_method(subject)), remark=INTEREST_ONCE)


def _method(subject: AnnexSubject) -> Iterator[Item]:
    finance, prices = subject.scenario.finance, subject.scenario.prices
    rate = number(subject.costing.money.discount_rate.value)
    if finance.real_rate is not None:
        yield subject.given("finance.real_rate", "real_rate", "Real rate", rate, "fraction/year")
    else:
        yield subject.worked(
            "real_rate",
            "Real rate",
            rate,
            "fraction/year",
            note="(1 + nominal) / (1 + inflation) - 1.",
        )
        for name, title, value in (
            ("nominal_rate", "Nominal rate", finance.nominal_rate),
            ("inflation", "Inflation", finance.inflation),
        ):
            yield subject.given(f"finance.{name}", name, title, value, "fraction/year")
    for path, line, title, value, unit in (
        ("finance.horizon_years", "horizon", "Years looked at", finance.horizon_years, "year"),
        ("price_year", "price_year", "Price year", subject.scenario.price_year, ""),
        (
            "finance.machine_costing",
            "machine_costing",
            "Machines",
            spoken(finance.machine_costing),
            "",
        ),
        (
            "prices.labor_per_hour",
            "labor_value",
            "Value of an hour",
            prices.labor_per_hour,
            "currency/hour",
        ),
        (
            "prices.own_labor_fraction",
            "own_labor",
            "Hours that are not paid out",
            prices.own_labor_fraction,
            "fraction",
        ),
    ):
        yield subject.given(path, line, title, value, unit)
    moving = {name: value for name, value in vars(finance.real_escalation).items() if value}
    for name, value in moving.items():
        path = f"finance.real_escalation.{name}"
        yield subject.given(path, "escalation", f"Real rise: {name}", value, "fraction/year")
    if not moving:
        yield stated("escalation", "Real rise of prices", "none")
    yield from _not_cash(subject)


def _not_cash(subject: AnnexSubject) -> Iterator[Item]:
    """Yield the annual cost, what of it is paid out, and what the rest is made of."""
    shown = subject.shown
    yield subject.worked(
        "annual_cost", "Annual cost, all told", shown["annual_equivalent_cost"], "currency/year"
    )
    yield subject.worked("out_of_pocket", "of it paid out", shown["out_of_pocket"], "currency/year")
    for kind, amount in not_cash(shown).items():
        title = f"not cash: {KINDS.get(kind, spoken(kind))}"
        yield subject.worked(f"not_cash_{kind}", title, amount, "currency/year")
    yield subject.worked(
        "without_cost_share",
        "Annual cost without cost-share",
        shown["without_cost_share"],
        "currency/year",
    )


def not_cash(shown: Document) -> dict[str, float]:
    """Return the annual cost by kinds that nobody pays out."""
    found: dict[str, float] = {}
    for line in shown["lines"]:
        for kind, amount in line["by_kind"].items():
            if kind != "paid":
                found[kind] = found.get(kind, 0.0) + amount
    return {kind: amount for kind, amount in found.items() if abs(amount) > NOTHING}


def risk_block(subject: AnnexSubject) -> Block:
    """Return how the system and that of today fare over the winters."""
    items = [*_risk(subject, "With the system", subject.system, subject.shown)]
    if not subject.is_today:
        items += _risk(subject, "Today", subject.baseline, subject.shown_today)
    return Block("risk", "Risk: annual cost over the winters", items, shape="grid")


def _risk(
    subject: AnnexSubject, about: str, system: SystemCosting, shown: Document
) -> Iterator[Item]:
    costs = by_winter(subject.costing, system)
    worst = int(np.argmax(costs))
    few = np.sort(costs)[-WORST:]
    yield subject.worked("mean", "Mean", shown["annual_equivalent_cost"], "currency/year", about)
    yield subject.worked("worst", "Worst", float(costs[worst]), "currency/year", about)
    season = subject.costing.winters.seasons[worst]
    yield subject.worked("worst_winter", "which was", season, about=about)
    if len(costs) > WORST:
        yield subject.worked(
            "worst_three",
            f"Worst {WORST} of {len(costs)}, mean",
            float(few.mean()),
            "currency/year",
            about,
        )
    yield subject.worked(
        "cheapest_in",
        "Cheapest in",
        f"{shown['cheapest_in_winters']} of {len(costs)}",
        about=about,
        note=f"Among {len(subject.body['systems'])} systems.",
    )


def assumed_block(subject: AnnexSubject) -> Block:
    """Return what of herd and prices stands behind the winters."""
    return Block("assumed", "Held the same in every winter", list(_assumed(subject)))


def _assumed(subject: AnnexSubject) -> Iterator[Item]:
    hay, winters = subject.scenario.hay, subject.costing.winters
    yield stated("herd", "Herd", "head and weight as answered, every year")
    if hay.price_per_ton is not None:
        yield subject.given(
            "hay.price_per_ton", "hay_price", "Hay", hay.price_per_ton, "currency/ton"
        )
    else:
        yield subject.given(
            "hay.price_per_bale", "hay_price", "Hay", hay.price_per_bale, "currency/bale"
        )
    prices = np.atleast_1d(winters.hay_price.value).reshape(-1)[: len(winters.seasons)]
    if len(prices) and prices.min() < prices.max():
        yield Item(
            line="hay_price_by_winter",
            title="Hay price, mean of the winters",
            value=subject.mean(winters.hay_price),
            unit=subject.money("/ton"),
            origin="worked",
            low=float(prices.min()),
            high=float(prices.max()),
            note="Lowest and highest of the winters.",
        )
    elif len(winters.seasons) > 1:
        yield stated("hay_price_by_winter", "Hay price", "the same in every winter")
    yield unknown("price_risk", "Chance of other prices", note="See what moves it.")
