"""An invented farm on which hay, and ground where asked for, is all that costs anything.

It takes nothing from the tables, and its figures are chosen so that every cost can be worked in the
head. An animal eats 20 lb of hay or grass a day for 100 days (all lb are dry matter):

- hay: 20 / (1 - 0.2 wasted) / 0.8 dry matter x $96 a ton = $1.50 a day, $150 a winter;
- grass: 40 lb an acre and day x 100 days = 4,000 lb standing an acre, of which
  (1 - 0.2) x 0.625 = 2,000 lb are eaten: the winter of one animal; valued at $20 a ton it is
  $40 an acre;
- calves: 0.8 x 500 lb x $2 = $800 a cow, other costs $700, so $100 is left before winter.
"""

from copy import deepcopy
from typing import Any

from service.analysis.subject import Subject
from service.web.reading import scenario_of

HAY = 150.0
GRASS = 40.0
BEFORE_WINTER = 100.0
OTHER_COSTS = 700.0
SOLD_LB = 400.0
HEAD = 40.0

LOT: dict[str, Any] = {
    "method": "sacrifice_lot",
    "field": "lot",
    "presentation": "ring_open",
}
STOCKPILE: dict[str, Any] = {
    "method": "stockpile_grazing",
    "field": "meadow",
    "acres": 40,
    "closing_date": "08-01",
    "dormancy_date": "11-09",
}
MARGIN = {
    "cows": {
        "sold_per_head": 0.8,
        "weight_lb": 500,
        "price_per_lb": 2,
        "other_costs_per_head": OTHER_COSTS,
    }
}

STATES = ("frozen", "snow_covered", "firm", "wet")
NOTHING_ELSE: dict[str, Any] = {
    "energy.mud_fraction.none": 0,
    "energy.extra_intake_limit": 0,
    "energy.tdn_lb_per_lb_of_weight.beef_cow": 5,
    "nutrient.in_hay_lb_per_ton_dm.p2o5": 10,
    "nutrient.in_hay_lb_per_ton_dm.k2o": 40,
    "stockpile.nitrogen_response": 0,
    "stockpile.spreading_cost_per_acre": 0,
    **{f"nutrient.excreted_fraction.{name}": 0.9 for name in ("n", "p2o5", "k2o")},
    **{f"nutrient_kept.concentrated_by_animals.{name}": 0.5 for name in ("n", "p2o5", "k2o")},
    **{f"hay_waste_added.ring_open.{state}": 0 for state in STATES},
    **{
        f"{key}.{state}": "none"
        for key in (
            "mud_level.sacrifice_lot",
            "mud_level.stockpile_grazing",
            "trampling.severity.sacrifice_lot.well",
            "trampling.severity.stockpile_grazing.well",
        )
        for state in STATES
    },
}
"""What is asked for on the way and costs nothing here: no mud, no damage, nutrients not counted."""

DOCUMENT: dict[str, Any] = {
    "reference_edition": "none",
    "winter": {"first_day": "12-01", "last_day": "03-10", "ground_days": {"firm": 60, "wet": 40}},
    "herd": {
        "cows": {"animal": "beef_cow", "head": HEAD, "body_weight_lb": 1000, "stage": "maintenance"}
    },
    "land": {
        "fields": {
            name: {"acres": 1000, "drainage": "well", "forage_yield_ton_dm_per_acre": 0}
            for name in ("lot", "meadow")
        },
        "forage_value_per_ton_dm": 20,
    },
    "hay": {
        "price_per_ton": 96,
        "dry_matter_fraction": 0.8,
        "tdn_fraction": 0.55,
        "crude_protein_fraction": 0.1,
        "bale_weight_lb": 1000,
        "storage": "barn",
    },
    "prices": {
        "labor_per_hour": 0,
        "diesel_per_gallon": 0,
        "bedding_per_ton": 0,
        "nitrogen_per_lb": 0,
        "p2o5_per_lb": 0,
        "k2o_per_lb": 0,
        "nutrient_value_counted": "none",
    },
    "finance": {"real_rate": 0.05, "horizon_years": 10},
    "baseline": "hay",
    "systems": {
        "hay": {"plan": [LOT], "margin": MARGIN},
        "grass": {"plan": [STOCKPILE, LOT]},
    },
    "assumptions": NOTHING_ELSE
    | {
        "intake.beef_cow.maintenance.average": 0.02,
        "hay_waste.ring_open": 0.2,
        "hay_storage_loss.barn": 0,
        "intake.beef_cow.maintenance.low": 0.02,
        "stockpile.tdn_fraction": 0.5,
        "stockpile.crude_protein_fraction": 0.1,
        "stockpile.standing_at_closing_lb_dm_per_acre": 1500,
        "stockpile.late_summer_utilization": 0.6,
        "stockpile.growth_lb_dm_per_acre_day": 40,
        "stockpile.winter_loss": 0.2,
        "stockpile.utilization.free_access": 0.625,
    },
}


def hand_farm(*changes: dict[str, Any]) -> dict[str, Any]:
    """Return a fresh document with members merged in; lists and plain values are replaced."""
    document = deepcopy(DOCUMENT)
    for change in changes:
        _merge(document, deepcopy(change))
    return document


def asked_of(document: dict[str, Any], **more: Any) -> Subject:
    """Return a document as what a question is asked of."""
    return Subject(document, scenario_of(document), scenario_of, **more)


def _merge(into: dict[str, Any], change: dict[str, Any]) -> None:
    for name, value in change.items():
        if isinstance(value, dict) and isinstance(into.get(name), dict):
            _merge(into[name], value)
        else:
            into[name] = value
