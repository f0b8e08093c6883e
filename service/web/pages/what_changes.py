"""What would change the answer: the price of hay, a dry autumn, the price of what is sold."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from service.costing.scenario import Scenario
from service.costing.triggers.facts import SHEEP
from service.web.pages.columns import Column
from service.web.pages.hay_price import Crossing, HayPrices, hay_prices
from service.web.pages.sale_price import SalePrice, sale_prices
from service.web.pages.short_answer import BY_MARGIN
from service.web.pages.systems_compared import by_rank
from service.web.pages.wording import cash, isolated, names_of, price, title_of, with_currency

Document = Mapping[str, Any]

MOST_CROSSINGS = 2
"""Prices of hay that are told."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked of a costing beside its numbers."""

    hay: HayPrices | None
    sales: list[SalePrice]


@dataclass(frozen=True, slots=True)
class Change:
    """Something that could change the answer."""

    what: str
    sentence: Markup


def asked_of(costing: Document, scenario: Scenario) -> Asked:
    """Ask what the page tells: two short runs of the engine."""
    return Asked(hay_prices(scenario, costing["inputs_used"]["hay"]), sale_prices(scenario))


def what_changes(costing: Document, columns: Sequence[Column], asked: Asked) -> list[Change]:
    """Return what would change the answer, in sentences."""
    found: list[Change] = []
    if asked.hay is not None and len(columns) > 1:
        found += [Change("Hay", Markup(" ").join(_hay(costing, columns, asked.hay)))]
    found += [Change("Dry autumn", sentence) for sentence in _dry_autumn(costing)]
    found += [Change(_young(costing, sale), _sale(costing, sale)) for sale in asked.sales]
    return found


def _hay(costing: Document, columns: Sequence[Column], hay: HayPrices) -> Iterator[Markup]:
    currency = costing["currency"]
    names = names_of(costing)
    first = "leaves the most" if costing["ranked_by"] == BY_MARGIN else "is the cheapest"

    def said(value: float) -> str:
        return with_currency(price(value), currency)

    changes = hay.changes_of_best
    if not changes:
        yield Markup("from {} to {} a {}, {} {} throughout.").format(
            said(hay.prices[0]),
            said(hay.prices[-1]),
            hay.unit,
            names[hay.best[0]],
            first,
        )
    for item in changes[:MOST_CROSSINGS]:
        yield Markup("above about {} a {}, {} {}; below it, {}.").format(
            said(item.price),
            hay.unit,
            names[item.cheaper_above],
            first,
            names[item.cheaper_below],
        )
    for item in _near(columns, hay, changes)[: MOST_CROSSINGS - len(changes[:MOST_CROSSINGS])]:
        yield Markup("{} passes {} above about {} a {}.").format(
            names[item.cheaper_above],
            names[item.cheaper_below],
            said(item.price),
            hay.unit,
        )


def _near(columns: Sequence[Column], hay: HayPrices, told: Sequence[Crossing]) -> list[Crossing]:
    """Return the crossings of the systems shown, those nearest to the price of now first."""
    shown = {column.key for column in columns}
    others = [
        item
        for item in hay.crossings
        if {item.cheaper_below, item.cheaper_above} <= shown and item not in told
    ]
    return sorted(others, key=lambda item: abs(item.price - hay.base))


def _dry_autumn(costing: Document) -> Iterator[Markup]:
    """Say how the best that grazes stockpile stood after the driest autumn on record."""
    rows: list[Document] = costing["inputs_used"]["winter"].get("rows") or []
    growth: list[float] = [row.get("stockpile_growth_factor", 1) for row in rows]
    given = costing["inputs_used"]["systems"]
    grazing = [
        system
        for system in by_rank(costing)
        if any(step["method"] == "stockpile_grazing" for step in given[system["system"]]["plan"])
    ]
    baseline = costing["comparison"]["baseline"]
    if not grazing or len(set(growth)) < 2 or grazing[0]["system"] == baseline:  # noqa: PLR2004
        return
    system, place = grazing[0], growth.index(min(growth))
    today = next(one for one in costing["systems"] if one["system"] == baseline)
    costs = [[row["annual_equivalent_cost"] for row in one["by_winter"]] for one in (system, today)]
    own, base = costs[0][place], costs[1][place]
    dearer = sum(one > other for one, other in zip(*costs, strict=True))
    yield Markup(
        "after the driest one, before winter {}, {} cost {} a year, {} than today; it cost more {}."
    ).format(
        system["by_winter"][place]["season"],
        isolated(system["title"]),
        cash(own, costing["currency"]),
        _difference(own - base, costing["currency"]),
        f"in {dearer} of {len(rows)} winters" if dearer else "in no winter",
    )


def _difference(more: float, currency: str) -> str:
    return f"{cash(abs(more), currency)} {'more' if more > 0 else 'less'}"


def _young(costing: Document, sale: SalePrice) -> str:
    animal = costing["inputs_used"]["herd"][sale.group]["animal"]
    return "Lambs" if animal in SHEEP else "Calves"


def _sale(costing: Document, sale: SalePrice) -> Markup:
    currency, herd = costing["currency"], costing["inputs_used"]["herd"]
    names = names_of(costing)
    act = Markup("{} {:g} {} ({})").format(
        "selling" if sale.head < 0 else "buying",
        abs(sale.head),
        isolated(title_of(herd, sale.group).lower()),
        names[sale.system],
    )
    young = _young(costing, sale).lower()

    def said(value: float) -> str:
        return with_currency(f"{value:.2f}", currency)

    if sale.price is None:
        verb = "leaves more than today" if sale.better_below else "leaves less than today"
        return Markup("{} {} at any price of {} from {} to {} a lb.").format(
            act, verb, young, said(sale.low), said(sale.high)
        )
    side = "under" if sale.better_below else "over"
    return Markup("{} pays only if {} bring {} about {} a lb.").format(
        act, young, side, said(sale.price)
    )
