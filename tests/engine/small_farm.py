"""An invented farm that triggers next to nothing, and changes to it.

Grass lasts all winter; hay stands by and is not fed.
"""

import json
from copy import deepcopy
from typing import Any

from pydantic import TypeAdapter

from service.costing.engine import Costing, SystemCosting, cost
from service.costing.scenario import Scenario

SYSTEM = "one"
READER = TypeAdapter(Scenario)

GRASS: dict[str, Any] = {
    "method": "stockpile_grazing",
    "field": "hill",
    "acres": 200,
    "closing_date": "08-10",
    "dormancy_date": "11-10",
}
UNROLLED = {"method": "unrolled_hay", "field": "hill", "presentation": "unrolled_daily"}

QUIET: dict[str, Any] = {
    "reference_edition": "2026.1",
    "winter": {
        "first_day": "12-01",
        "last_day": "03-10",
        "rain_in": 10,
        "ground_days": {"firm": 100},
    },
    "herd": {
        "cows": {
            "animal": "beef_cow",
            "head": 20,
            "body_weight_lb": 1250,
            "stage": "maintenance",
        }
    },
    "land": {
        "fields": {
            "hill": {
                "acres": 400,
                "drainage": "well",
                "forage_yield_ton_dm_per_acre": 2.5,
                "slope_percent": 3,
                "distance_to_water_ft": 1500,
            },
            "yard": {
                "acres": 4,
                "drainage": "moderate",
                "forage_yield_ton_dm_per_acre": 2,
                "slope_percent": 3,
                "distance_to_water_ft": 1500,
            },
        },
        "forage_value_per_ton_dm": 50,
    },
    "hay": {
        "price_per_ton": 100,
        "dry_matter_fraction": 0.87,
        "tdn_fraction": 0.58,
        "crude_protein_fraction": 0.12,
        "bale_weight_lb": 50,
        "storage": "barn",
        "home_grown_fraction": 1,
    },
    "machines": {
        "tractor": {"custom_rate_per_hour": 60},
        "loader": {"custom_rate_per_hour": 60},
        "spreader": {"custom_rate_per_hour": 90},
    },
    "prices": {
        "labor_per_hour": 18,
        "diesel_per_gallon": 3.5,
        "bedding_per_ton": 80,
        "nitrogen_per_lb": 0.6,
        "p2o5_per_lb": 0.6,
        "k2o_per_lb": 0.4,
    },
    "finance": {"real_rate": 0.05, "horizon_years": 15},
    "baseline": SYSTEM,
    "systems": {
        SYSTEM: {
            "plan": [GRASS, UNROLLED],
            "structures": {},
        }
    },
}

LOT = {"method": "sacrifice_lot", "field": "yard", "presentation": "ring_open"}
PAD = {"method": "feeding_pad", "structure": "pad", "presentation": "ring_open"}
PACK = {"method": "bedded_pack", "structure": "barn", "presentation": "bunk"}
BALES = {
    "method": "bale_grazing",
    "field": "hill",
    "presentation": "bales_in_place",
    "bales_set_out": 5000,
    "spacing_ft": 50,
}


def changed(*changes: dict[str, Any]) -> dict[str, Any]:
    """Return the quiet farm with members merged in; lists and plain values are replaced."""
    document = deepcopy(QUIET)
    for change in changes:
        merge(document, deepcopy(change))
    return document


def merge(into: dict[str, Any], change: dict[str, Any]) -> None:
    for name, value in change.items():
        if isinstance(value, dict) and isinstance(into.get(name), dict):
            merge(into[name], value)
        else:
            into[name] = value


def plan(*steps: dict[str, Any], **structures: dict[str, Any]) -> dict[str, Any]:
    """Return the change that gives the system another plan and structures."""
    return {"systems": {SYSTEM: {"plan": list(steps), "structures": structures}}}


def costed(*changes: dict[str, Any]) -> tuple[Costing, SystemCosting]:
    """Return the changed farm costed, and its one system."""
    costing = cost(READER.validate_json(json.dumps(changed(*changes))))
    return costing, costing.systems[SYSTEM]
