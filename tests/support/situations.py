"""One small invented farm on edition 2026.1, with a system for each of the six feeding methods.

Every function returns a fresh document or part of one, so that a test may change what it likes.
"""

import json
from copy import deepcopy
from typing import Any

from pydantic import TypeAdapter

from service.costing.engine import Costing, cost
from service.costing.scenario import Scenario

SCENARIO = TypeAdapter(Scenario)

COWS, EWES = "cows", "ewes"
HAY = {
    "bale_grazing": {COWS: "bales_in_place", EWES: "sheep_rack"},
    "sacrifice_lot": {COWS: "ring_open", EWES: "sheep_rack"},
    "feeding_pad": {COWS: "ring_solid_bottom", EWES: "sheep_rack"},
    "bedded_pack": {COWS: "bunk", EWES: "sheep_rack"},
    "unrolled_hay": {COWS: "unrolled_daily", EWES: "sheep_rack"},
}


def cost_document(document: dict[str, Any], **how: Any) -> Costing:
    """Cost a document, as ``cost`` does a scenario."""
    return cost(SCENARIO.validate_json(json.dumps(document)), **how)


def farm(systems: dict[str, Any] | None = None, **parts: Any) -> dict[str, Any]:
    """Return a whole document; the first system is the baseline.

    Parameters
    ----------
    systems : dict, optional
        Systems by key; a system for each method where none are given.
    **parts : dict or str
        Parts of the document to put in place of the usual ones.
    """
    chosen = systems or all_systems()
    document = {
        "name": "Cinder Brook Farm",
        "reference_edition": "2026.1",
        "winter": three_winters(),
        "herd": {COWS: cows(), EWES: ewes()},
        "land": land(),
        "hay": hay(),
        "machines": machines(),
        "prices": prices(),
        "finance": {"real_rate": 0.045, "horizon_years": 15.0},
        "systems": chosen,
        "baseline": next(iter(chosen)),
    }
    return document | parts


def cows(head: float = 60.0) -> dict[str, Any]:
    """Return a group of spring-calving beef cows."""
    return {
        "animal": "beef_cow",
        "head": head,
        "body_weight_lb": 1250.0,
        "birth_starts": "03-10",
        "birth_season_days": 60.0,
    }


def ewes(head: float = 40.0) -> dict[str, Any]:
    """Return a group of ewes that lamb in April."""
    return {
        "animal": "ewe",
        "head": head,
        "body_weight_lb": 160.0,
        "birth_starts": "04-01",
        "birth_season_days": 30.0,
    }


def days(frozen: float, snow_covered: float, firm: float, wet: float) -> dict[str, float]:
    """Return the days of a winter in the four ground states."""
    return {"frozen": frozen, "snow_covered": snow_covered, "firm": firm, "wet": wet}


def winter(ground_days: dict[str, float] | None = None, **more: Any) -> dict[str, Any]:
    """Return a winter of 121 days, from December to March, as one row of counts."""
    return {
        "first_day": "12-01",
        "last_day": "03-31",
        "ground_days": ground_days or days(15.0, 10.0, 51.0, 45.0),
        "rain_in": 12.0,
        "spell_days": days(2.0, 3.0, 4.0, 3.0),
    } | more


def three_winters(**more: Any) -> dict[str, Any]:
    """Return three winters that differ in all that can differ between rows."""
    cold, mild, dry = (
        row("cold", days(40.0, 25.0, 31.0, 25.0), 2.0, temperature=12.0),
        row("mild", days(6.0, 2.0, 54.0, 59.0), 1.0, rain_in=18.0, temperature=34.0),
        row("dry", days(20.0, 8.0, 68.0, 25.0), 1.5, growth=0.4, hay=1.3, temperature=24.0),
    )
    shared = {key: value for key, value in winter().items() if key != "ground_days"}
    return shared | {"rows": [cold, mild, dry]} | more


def row(
    season: str,
    ground_days: dict[str, float],
    weight: float = 1.0,
    *,
    growth: float = 1.0,
    hay: float = 1.0,
    rain_in: float = 12.0,
    temperature: float | None = None,
) -> dict[str, Any]:
    """Return one winter of several."""
    known = {} if temperature is None else {"effective_temperature_f": _falling(temperature)}
    return {
        "season": season,
        "ground_days": ground_days,
        "weight": weight,
        "stockpile_growth_factor": growth,
        "hay_price_factor": hay,
        "rain_in": rain_in,
    } | known


def _falling(firm: float) -> dict[str, float]:
    return {"frozen": firm - 12.0, "snow_covered": firm - 8.0, "firm": firm, "wet": firm + 6.0}


def land(**more: Any) -> dict[str, Any]:
    """Return three fields of different drainage."""
    return {
        "forage_value_per_ton_dm": 50.0,
        "fields": {
            "creek_lot": field(6.0, "poor", grazed_in_late_summer=False),
            "hill_field": field(40.0, "moderate"),
            "long_meadow": field(60.0, "well"),
        },
    } | more


def field(acres: float, drainage: str, **more: Any) -> dict[str, Any]:
    """Return one field."""
    return {"acres": acres, "drainage": drainage, "forage_yield_ton_dm_per_acre": 2.5} | more


def hay(**more: Any) -> dict[str, Any]:
    """Return hay of average quality in bales of 1,000 lb."""
    return {
        "price_per_ton": 110.0,
        "dry_matter_fraction": 0.87,
        "tdn_fraction": 0.55,
        "crude_protein_fraction": 0.10,
        "bale_weight_lb": 1000.0,
        "bales_on_hand": 100.0,
        "storage": "ground_uncovered",
        "home_grown_fraction": 0.4,
        "cost_to_sell_per_ton": 12.0,
    } | more


def machines() -> dict[str, Any]:
    """Return a tractor of the farm's own and two machines at a custom rate."""
    return {
        "tractor": {
            "class": "tractor_under_80",
            "list_price": 52_000.0,
            "price": 22_000.0,
            "age_years": 14.0,
            "years_kept": 6.0,
            "hours_per_year": 300.0,
            "hours_so_far": 6_000.0,
            "pto_hp": 70.0,
        },
        "loader": {"custom_rate_per_hour": 55.0},
        "spreader": {
            "custom_rate_per_hour": 95.0,
            "includes_operator": True,
            "least_charge": 150.0,
        },
    }


def prices(**more: Any) -> dict[str, Any]:
    """Return prices with every nutrient counted."""
    return {
        "labor_per_hour": 20.0,
        "diesel_per_gallon": 3.4,
        "bedding_per_ton": 80.0,
        "nitrogen_per_lb": 0.6,
        "p2o5_per_lb": 0.55,
        "k2o_per_lb": 0.4,
        "nutrient_value_counted": "full",
    } | more


def step(method: str, **more: Any) -> dict[str, Any]:
    """Return a step of a method, complete but for its place."""
    fed = {"presentation": dict(HAY[method])} if method in HAY else {}
    return {"method": method} | fed | more


def on_lot(**more: Any) -> dict[str, Any]:
    """Return a step that takes all that is left on the creek lot."""
    return step("sacrifice_lot", field="creek_lot", **more)


def on_grass(**more: Any) -> dict[str, Any]:
    """Return a step on stockpiled grass, closed on 1 August."""
    usual = {
        "field": "long_meadow",
        "ground_states": ["frozen", "snow_covered", "firm"],
        "acres": 30.0,
        "closing_date": "08-01",
        "dormancy_date": "11-10",
        "nitrogen_lb_per_acre": 40.0,
        "days_per_move": 3.0,
    }
    return step("stockpile_grazing", **(usual | more))


def on_bales(**more: Any) -> dict[str, Any]:
    """Return a step on bales set out on the hill."""
    usual = {
        "field": "hill_field",
        "ground_states": ["frozen", "snow_covered", "firm"],
        "bales_set_out": 110.0,
        "spacing_ft": 60.0,
        "days_per_move": 4.0,
        "years_between_uses": 3.0,
    }
    return step("bale_grazing", **(usual | more))


def on_pad(**more: Any) -> dict[str, Any]:
    """Return a step on a pad for ten hours of the day, with rest on pasture."""
    usual = {
        "structure": "pad",
        "hours_on_method": 10.0,
        "resting_place": "pasture",
        "resting_field": "hill_field",
    }
    return step("feeding_pad", **(usual | more))


def pad(kind: str = "gravel_pad", **more: Any) -> dict[str, Any]:
    """Return a pad on the hill field, sized by rule."""
    return {"kind": kind, "field": "hill_field", "contingency_fraction": 0.1} | more


def all_systems() -> dict[str, Any]:
    """Return a system for each method, most of them mixed, with structures of every family."""
    rings = {"rings": {"kind": "feeder"}}
    systems = {
        "lot": {"plan": [on_lot()], "structures": rings},
        "grass": {
            "plan": [on_grass(), on_lot()],
            "structures": rings | {"wire": {"kind": "fence", "length_ft": 2500.0, "price": 900.0}},
        },
        "bales": {"plan": [on_bales(), on_lot()], "structures": {}},
        "pad": {
            "plan": [on_pad()],
            "structures": rings
            | {
                "pad": pad(cost_share={"rate": 0.5, "cap": 6_000.0}),
                "drinker": {"kind": "waterer"},
                "pipe": {"kind": "pipeline", "length_ft": 500.0},
                "strip": {"kind": "treatment_strip"},
            },
        },
        "barn": {
            "plan": [step("bedded_pack", structure="barn")],
            "structures": {
                "barn": {"kind": "pack_floor", "engineering_cost": 2_000.0},
                "store": {"kind": "manure_storage", "storage_days": 120.0},
            },
        },
        "unrolled": {
            "plan": [
                step(
                    "unrolled_hay",
                    field="hill_field",
                    ground_states=["frozen", "snow_covered", "firm"],
                ),
                on_lot(),
            ],
            "structures": {"shed": {"kind": "hay_storage"}},
        },
    }
    return deepcopy(systems)
