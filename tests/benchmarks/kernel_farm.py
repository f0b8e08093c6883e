"""An invented farm that both the engine and the hand-written kernel cost.

One group of cows, seven systems on lots, on unrolled hay and on pads, twelve winters that differ
in days, temperatures, rain and the hay price, fifteen years. Its figures are made up.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from service.costing.case import Picks
from service.costing.units import Array

EDITION = "2026.1"
WINTERS = 12
STATES = ("frozen", "snow_covered", "firm", "wet")

FEEDERS: dict[str, Any] = {"feeders": {"kind": "feeder"}}
OLD_FEEDERS = {"feeders": {"kind": "feeder", "existing": True, "remaining_life_years": 3}}
SHED = {"shed": {"kind": "hay_storage"}}
DRINKER = {"drinker": {"kind": "waterer"}}
SHARE = {"rate": 0.5, "cap": 6000, "payment_year": 1, "status": "applied"}
GRAVEL = {"pad": {"kind": "gravel_pad", "field": "hill", "cost_share": SHARE}}
CONCRETE = {"pad": {"kind": "concrete_pad", "field": "hill", "contingency_fraction": 0.1}}


def lot(presentation: str) -> dict[str, Any]:
    """Return a step on the lot."""
    return {"method": "sacrifice_lot", "field": "yard", "presentation": presentation}


def unrolled(presentation: str, **more: Any) -> dict[str, Any]:
    """Return a step of unrolled hay on the hill."""
    return {"method": "unrolled_hay", "field": "hill", "presentation": presentation, **more}


def pad(presentation: str, **more: Any) -> dict[str, Any]:
    """Return a step on the pad of its system."""
    return {"method": "feeding_pad", "structure": "pad", "presentation": presentation, **more}


BY_DAY = {"hours_on_method": 9, "resting_place": "pasture", "resting_field": "hill"}
SYSTEMS: dict[str, Any] = {
    "open_rings": {"plan": [lot("ring_open")], "structures": OLD_FEEDERS},
    "cones_kept_dry": {
        "plan": [lot("ring_cone")],
        "structures": FEEDERS | SHED,
        "hay_storage": "barn",
    },
    "no_feeder": {"plan": [lot("no_feeder")], "structures": {}},
    "rolled_daily": {"plan": [unrolled("unrolled_daily")], "structures": {}},
    "rolled_ahead": {"plan": [unrolled("unrolled_several_days")], "structures": {}},
    "concrete": {"plan": [pad("bunk")], "structures": CONCRETE | DRINKER},
    "by_the_ground": {
        "plan": [
            unrolled("unrolled_daily", ground_states=["frozen", "snow_covered"]),
            pad("ring_solid_bottom", **BY_DAY),
        ],
        "structures": GRAVEL | DRINKER | FEEDERS,
    },
}


def winter_row(number: int) -> dict[str, Any]:
    """Return one of the twelve winters; each has 131 days."""
    frozen, snow, wet = 6 + 2 * (number * 5 % 12), 3 + number * 7 % 12, 35 + 3 * (number * 11 % 12)
    return {
        "season": f"winter {number + 1}",
        "weight": 1 + number % 3 / 4,
        "rain_in": 9.0 + number * 7 % 12,
        "hay_price_factor": 0.9 + 0.04 * (number * 5 % 12),
        "ground_days": {
            "frozen": frozen,
            "snow_covered": snow,
            "firm": 131 - frozen - snow - wet,
            "wet": wet,
        },
        "effective_temperature_f": {
            "frozen": 14.0 + number,
            "snow_covered": 18.0 - number / 2,
            "firm": 41.0 + number / 3,
            "wet": 37.0 + number / 2,
        },
    }


def kernel_farm() -> dict[str, Any]:
    """Return the document of the farm."""
    field = {"slope_percent": 3, "distance_to_water_ft": 900}
    return {
        "reference_edition": EDITION,
        "winter": {
            "first_day": "12-01",
            "last_day": "04-10",
            "spell_days": {"frozen": 2.1, "snow_covered": 2.4, "firm": 3.4, "wet": 3.1},
            "rows": [winter_row(number) for number in range(WINTERS)],
        },
        "herd": {
            "cows": {
                "animal": "beef_cow",
                "head": 80,
                "body_weight_lb": 1250,
                "stage": "maintenance",
            }
        },
        "land": {
            "fields": {
                "hill": field
                | {"acres": 30, "drainage": "moderate", "forage_yield_ton_dm_per_acre": 2.5},
                "yard": field
                | {"acres": 6, "drainage": "poor", "forage_yield_ton_dm_per_acre": 1.8},
            },
            "forage_value_per_ton_dm": 50,
        },
        "hay": {
            "price_per_ton": 98,
            "dry_matter_fraction": 0.87,
            "tdn_fraction": 0.55,
            "crude_protein_fraction": 0.095,
            "bale_weight_lb": 1050,
            "storage": "ground_uncovered",
        },
        "machines": {
            "tractor": {"custom_rate_per_hour": 55},
            "loader": {"custom_rate_per_hour": 60},
            "spreader": {"custom_rate_per_hour": 70},
        },
        "prices": {
            "labor_per_hour": 20,
            "own_labor_fraction": 0.8,
            "diesel_per_gallon": 3.3,
            "bedding_per_ton": 78,
            "nitrogen_per_lb": 0.62,
            "p2o5_per_lb": 0.66,
            "k2o_per_lb": 0.38,
            "nutrient_value_counted": "full",
        },
        "finance": {"real_rate": 0.05, "horizon_years": 15},
        "baseline": "open_rings",
        "systems": SYSTEMS,
    }


VARIED: Mapping[str, tuple[float, float, float]] = {
    "hay.price_per_ton": (70, 140, 98),
    "prices.labor_per_hour": (14, 28, 20),
    "prices.bedding_per_ton": (50, 110, 78),
    "prices.k2o_per_lb": (0.25, 0.6, 0.38),
    "machines.tractor.custom_rate_per_hour": (45, 75, 55),
    "land.forage_value_per_ton_dm": (30, 80, 50),
    "land.fields.hill.forage_yield_ton_dm_per_acre": (1.5, 3.5, 2.5),
    "assumptions.hay_waste.ring_open": (0.04, 0.3, 0.15),
    "assumptions.hay_waste.unrolled_daily": (0.05, 0.3, 0.12),
    "assumptions.hay_waste_added.unrolled_daily.wet": (0.0, 0.2, 0.1),
    "assumptions.hay_waste.ring_solid_bottom": (0.03, 0.15, 0.08),
    "assumptions.bedding.fraction_of_body_weight.gravel_pad.wet": (0.0, 0.01, 0.0),
    "assumptions.hay_storage_loss.ground_uncovered": (0.08, 0.4, 0.2),
}
"""Low, high and base of what differs from draw to draw: prices, yields and waste."""


def draws_of(count: int, seed: int = 0) -> tuple[dict[str, Array], Picks]:
    """Return values of what differs, the base last, and the winter of each draw."""
    rng = np.random.default_rng(seed)
    varied = {
        path: np.append(rng.uniform(low, high, count), base)
        for path, (low, high, base) in VARIED.items()
    }
    return varied, rng.integers(0, WINTERS, count)
