"""What a year costs under each system along the price of hay, and where two systems cross."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from service.costing.errors import Fault, InputError
from service.costing.json_shapes import is_array, is_object
from service.costing.wording import amount as said
from service.reports.pictures.looks import PAPER, QUIET, Fill
from service.reports.pictures.sheet import LINE, RIGHT, Scale, Sheet
from service.reports.pictures.shown import Document, Shown, left_out, shown_systems
from service.reports.pictures.wording import SMALL, lines_of, money, named_in_words

LEFT = 54.0
HIGH = 210.0
MARKERS = 8
"""Markers along a line, so that lines are told apart."""
MOST_CROSSINGS = 12
FEWEST_PRICES = 2


@dataclass(frozen=True, slots=True)
class Asked:
    """Costs of systems along prices of hay."""

    prices: list[float]
    costs: Mapping[str, list[float]]
    crossings: list[Mapping[str, Any]]


def asked_of(more: Document) -> Asked:
    """Return what is to be drawn.

    Raises
    ------
    InputError
        If prices or costs are missing, are no numbers, or do not belong together; every fault.
    """
    prices, costs = more.get("prices"), more.get("costs")
    crossings: Any = more.get("crossings") or []
    faults = list(_faults(prices, costs, crossings))
    if faults:
        raise InputError(faults)
    return Asked(list(more["prices"]), dict(more["costs"]), list(crossings))


def _faults(prices: object, costs: object, crossings: object) -> Iterator[Fault]:
    count = len(prices) if is_array(prices) else 0
    if not is_array(prices) or count < FEWEST_PRICES or not _numbers(prices):
        yield Fault("prices", "Give at least two prices of hay, as numbers.")
    elif list(prices) != sorted(prices):
        yield Fault("prices", "Give prices from low to high.")
    if not is_object(costs) or not costs:
        yield Fault("costs", "Give the costs of each system, by its key.")
    for key, found in costs.items() if is_object(costs) else ():
        if not is_array(found) or not _numbers(found):
            yield Fault(f"costs.{key}", "Give costs as numbers.")
        elif len(found) != count >= FEWEST_PRICES:
            yield Fault(f"costs.{key}", "Give as many costs as there are prices.")
    if not is_array(crossings) or not all(map(_is_crossing, crossings)):
        yield Fault("crossings", "Each crossing has a value, a cost and systems.")


def _is_crossing(item: object) -> bool:
    return (
        is_object(item)
        and _numbers([item.get("value"), item.get("cost")])
        and is_array(item.get("systems"))
    )


def _numbers(values: Sequence[object]) -> bool:
    return all(
        isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
        for value in values
    )


def draw(sheet: Sheet, body: Document, more: Document) -> str:
    """Draw the lines and return what they show."""
    asked = asked_of(more)
    systems = [item for item in shown_systems(body) if item.key in asked.costs]
    if not systems:
        raise InputError([Fault("costs", "None of the systems is one of this costing.")])
    titles = {item.key: item.title for item in systems}
    crossings = [item for item in asked.crossings if all(key in titles for key in item["systems"])]
    crossings = sorted(crossings, key=lambda item: item["value"])[:MOST_CROSSINGS]
    drawn = [cost for item in systems for cost in asked.costs[item.key]]
    ticks = sheet.ticks(min(drawn), max(drawn))
    sheet.said(f"{body['currency']} a year, by the price of a ton of hay [{body['currency']}].")
    top = sheet.y + LINE
    across = Scale(asked.prices[0], asked.prices[-1], LEFT, RIGHT - 8)
    up = Scale(ticks[0], ticks[-1], top + HIGH, top)
    _frame(sheet, ticks, across, up)
    _now(sheet, body["inputs_used"]["hay"].get("price_per_ton"), across, up)
    for item in reversed(systems):
        points = [
            (across(price), up(cost))
            for price, cost in zip(asked.prices, asked.costs[item.key], strict=True)
        ]
        sheet.line(points, item.look.shade, 1.6, item.look.dash)
        sheet.marks(points[:: max(1, len(points) // MARKERS)], item.look)
    for number, item in enumerate(crossings, 1):
        x, y = across(item["value"]), up(item["cost"])
        sheet.ring((x, y))
        sheet.number(x, y - 9, str(number), Fill(PAPER, "/"))
    sheet.y = top + HIGH + LINE + 4
    for item in _dearest_first(systems, asked):
        sheet.key(item.title, item.look, lined=True)
    sheet.y += 4
    told = [_crossing(item, titles, body["currency"]) for item in crossings]
    for number, text in enumerate(told, 1):
        for line in lines_of(f"{number}: {text}", RIGHT - 8, SMALL):
            sheet.y += LINE - 1
            sheet.words(8, sheet.y, line, size=SMALL)
    return " ".join([*_told(systems, asked, body["currency"]), *told, left_out(body)]).strip()


def _dearest_first(systems: Sequence[Shown], asked: Asked) -> list[Shown]:
    """Return systems as their lines end at the right, from above."""
    return sorted(systems, key=lambda item: -asked.costs[item.key][-1])


def _frame(sheet: Sheet, ticks: Sequence[float], across: Scale, up: Scale) -> None:
    for tick in ticks:
        sheet.rule((LEFT, up(tick)), (RIGHT, up(tick)))
        sheet.words(LEFT - 5, up(tick) + 4, f"{tick:,.0f}", size=SMALL, anchor="end", shade=QUIET)
    for tick in sheet.ticks(across.low, across.high):
        if across.low <= tick <= across.high:
            x = across(tick)
            sheet.line([(x, up.start), (x, up.start + 4)])
            sheet.words(x, up.start + LINE + 1, f"{tick:g}", size=SMALL, anchor="middle")


def _now(sheet: Sheet, price: float | None, across: Scale, up: Scale) -> None:
    """Mark the price that was costed, where it lies within."""
    if price is None or not across.low <= price <= across.high:
        return
    x = across(price)
    sheet.line([(x, up.start), (x, up.end)], QUIET, 0.8, (2, 2))
    late = x > (LEFT + RIGHT) / 2
    sheet.words(
        x - 4 if late else x + 4,
        up.end + 9,
        f"costed at {said(price)}",
        size=SMALL,
        anchor="end" if late else "start",
        shade=QUIET,
    )


def _crossing(item: Mapping[str, Any], titles: Mapping[str, str], currency: str) -> str:
    names = named_in_words([titles[key] for key in item["systems"]])
    return (
        f"At {said(item['value'])} {currency} a ton {names} cost the same, {money(item['cost'])} "
        "a year."
    )


def _told(systems: Sequence[Shown], asked: Asked, currency: str) -> Iterator[str]:
    low, high = said(asked.prices[0]), said(asked.prices[-1])
    for item in systems:
        costs = asked.costs[item.key]
        yield (
            f"{item.title}: {money(costs[0])} {currency} a year with hay at {low} a ton, "
            f"{money(costs[-1])} at {high}."
        )
