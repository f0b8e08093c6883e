"""What comes next and when, as far as the scenario tells dates."""

from collections.abc import Iterator, Mapping
from typing import Any

from markupsafe import Markup

from service.costing.units import DAYS_BEFORE_GRASS
from service.costing.wording import amount, count
from service.web.pages.wording import day_of_year, days_after, isolated, title_of

Document = Mapping[str, Any]

HALF = 2


def next_dates(costing: Document, system: Document) -> list[Markup]:
    """Return what a system asks for, in the order of the days from summer on."""
    return [*_closings(costing, system), *_bales(costing, system)]


def _closings(costing: Document, system: Document) -> Iterator[Markup]:
    inputs = costing["inputs_used"]
    plan = inputs["systems"][system["system"]]["plan"]
    closing = [step for step in plan if step["method"] == "stockpile_grazing"]
    for step in sorted(closing, key=lambda one: one["closing_date"]):
        yield Markup("shut {} acres of {} on {}").format(
            amount(step["acres"]),
            isolated(title_of(inputs["land"].get("fields", {}), step["field"])),
            day_of_year(step["closing_date"]),
        )


def _bales(costing: Document, system: Document) -> Iterator[Markup]:
    """Say what is to be there when winter begins, half-way, and shortly before grass."""
    bales = system["quantities"]["bales"]
    if round(bales["needed_mean"]) == 0:
        return
    winter, days = costing["inputs_used"]["winter"], costing["winter"]["days"]
    first = winter["first_day"]
    buy = f", {count(bales['to_buy_mean'])} to buy" if bales["to_buy_mean"] >= 1 else ""
    yield Markup("count {} bales by {}{}").format(
        count(bales["needed_mean"]), day_of_year(first), buy
    )
    yield Markup("{} left on {}").format(
        count(bales["left_half_way"]), days_after(first, days / HALF)
    )
    if days > HALF * DAYS_BEFORE_GRASS:
        yield Markup("{} left on {}").format(
            count(bales["left_30_days_before_grass"]), days_after(first, days - DAYS_BEFORE_GRASS)
        )
