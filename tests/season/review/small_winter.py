"""A small invented farm whose winter can be reviewed in the head.

Forty cows eat 20 lb of hay a day (all lb are dry matter) for 100 days, of which 60 are firm and 40
wet: 80,000 lb eaten, a fifth of what is offered wasted, so 100,000 lb offered, 20,000 of it wasted.
A bale of 1,000 lb as fed has 800 lb in it, so 125 bales are offered. At $96 a ton as fed a pound is
worth 96 / 2,000 / 0.8 = $0.06: hay eaten costs $4,800, hay wasted $1,200.
"""

from copy import deepcopy
from typing import Any

from service.costing.engine import cost
from service.costing.winter import GroundDays
from service.season.as_it_was import PlannedWinter, planned_winter
from service.season.dates import season_called
from service.season.facts import WinterFacts
from service.season.review.records import LineReview, Review
from service.season.review.reviewed import reviewed
from service.web.reading import scenario_of
from tests.analysis.hand_farm import LOT, hand_farm

SEASON = "2026-27"
AS_PLANNED = GroundDays(firm=60, wet=40)
LONGER = GroundDays(firm=70, wet=50)
DAMAGE: dict[str, Any] = {
    # 40 AU on 40 wet days x 27.225 sq ft = 43,560 sq ft: an acre. A year of its yield is worth
    # 2 x $20 = $40. Moderate damage costs 0.5 + 0.21 / 1.05 = 0.7 years, severe twice as much.
    "land": {"fields": {"lot": {"forage_yield_ton_dm_per_acre": 2}}},
    "assumptions": {
        "trampling.severity.sacrifice_lot.well.wet": "moderate",
        "trampling.sqft_per_au_day.sacrifice_lot.well.wet": 27.225,
        "restoration.cost_per_acre.moderate": 100,
        "restoration.cost_per_acre.severe": 300,
        "restoration.forage_loss.moderate.1": 0.5,
        "restoration.forage_loss.moderate.2": 0.21,
        "restoration.forage_loss.moderate.3": 0,
        "restoration.forage_loss.severe.1": 1,
        "restoration.forage_loss.severe.2": 0.42,
        "restoration.forage_loss.severe.3": 0,
    },
}
WORK: dict[str, Any] = {
    # 125 bales x 12 minutes = 25 hours, at $20: $500.
    "prices": {"labor_per_hour": 20},
    "assumptions": {
        "work.sacrifice_lot.set_bale.per": "bale",
        "work.sacrifice_lot.set_bale.person_minutes": 12,
        "work.sacrifice_lot.set_bale.machine_minutes": 0,
        "work.sacrifice_lot.set_bale.machine": "none",
    },
}


def plan_of(document: dict[str, Any], system: str, season: str = SEASON) -> PlannedWinter:
    """Return what a system of a document planned for a winter."""
    scenario = scenario_of(document)
    winter = scenario.winter
    named = season_called(season, winter.first_day, winter.last_day)
    return planned_winter(cost(scenario), system, named)


def hand_plan(*changes: dict[str, Any], steps: list[dict[str, Any]] | None = None) -> PlannedWinter:
    """Return the plan of the small farm; steps replace its lot."""
    document = hand_farm(*changes)
    document["systems"] = {"hay": {"plan": deepcopy(steps or [LOT])}}
    return plan_of(document, "hay")


def review_of(*changes: dict[str, Any], steps: Any = None, **facts: Any) -> Review:
    """Review a winter of the small farm."""
    return reviewed(hand_plan(*changes, steps=steps), WinterFacts(**facts))


def line_of(review: Review, line: str) -> LineReview:
    """Return one line of a review."""
    return next(item for item in review.lines if item.line == line)


def shares(review: Review, line: str) -> tuple[float, float, float, float]:
    """Return the parts of a line's difference: weather, price, practice, not split."""
    item = line_of(review, line)
    return item.weather, item.price, item.practice, item.not_split


def facts_unknown(review: Review) -> set[str]:
    """Return the facts that a review says it lacks."""
    return {item.fact for item in review.unknown}
