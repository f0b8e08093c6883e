"""What comes next and when, as far as the scenario tells dates."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from markupsafe import Markup

from service.costing.units import DAYS_BEFORE_GRASS
from service.costing.wording import amount, count
from service.season.dates import Season, days_before, season_from
from service.season.figures import figure_of
from service.web.pages.wording import WINTERS_YEAR, isolated, said_day, title_of

Document = Mapping[str, Any]


def next_dates(costing: Document, system: Document) -> list[Markup]:
    """Return what a system asks for, in the order of the days from summer on."""
    winter = costing["inputs_used"]["winter"]
    season = season_from(winter["first_day"], winter["last_day"], WINTERS_YEAR)
    return [*_closings(costing, system, season), *_bales(system, season)]


def _closings(costing: Document, system: Document, season: Season) -> Iterator[Markup]:
    inputs = costing["inputs_used"]
    plan = inputs["systems"][system["system"]]["plan"]
    closing = [
        (season.before(step["closing_date"]), step)
        for step in plan
        if step["method"] == "stockpile_grazing"
    ]
    closing.sort(key=lambda pair: pair[0])
    if closing:
        test = days_before(closing[0][0], figure_of("lead.soil_test").usual)
        yield Markup("test the soil by {}").format(said_day(test))
    for day, step in closing:
        yield Markup("shut {} acres of {} on {}").format(
            amount(step["acres"]),
            isolated(title_of(inputs["land"].get("fields", {}), step["field"])),
            said_day(day),
        )


def _bales(system: Document, season: Season) -> Iterator[Markup]:
    """Say what is needed and to be bought, and what is left half-way and shortly before grass."""
    bales = system["quantities"]["bales"]
    if round(bales["needed_mean"]) == 0:
        return
    counted = days_before(season.first_day, figure_of("lead.count_hay").usual)
    yield Markup("count the bales by {}: {} are needed").format(
        said_day(counted), count(bales["needed_mean"])
    )
    if bales["to_buy_mean"] >= 1:
        bought = days_before(season.first_day, figure_of("lead.buy_hay").usual)
        yield Markup("buy {} by {}").format(count(bales["to_buy_mean"]), said_day(bought))
    yield _left(bales["left_half_way"], season.half_way)
    later = season.evening_with(DAYS_BEFORE_GRASS)
    if later is not None and later > season.half_way:
        yield _left(bales["left_30_days_before_grass"], later)


def _left(bales: float, day: date) -> Markup:
    return Markup("{} left on {}").format(count(bales), said_day(day))
