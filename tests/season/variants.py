"""Two small farms, invented like the demo farm: place, animals, prices and winters.

Thimble Creek Flock: ewes alone, all ground rented, no tractor, small square bales. Eleven Cows:
part bales, a neighbor who feeds for pay, all hay bought by the bale.
"""

from copy import deepcopy
from typing import Any

from service.costing.engine import cost
from service.costing.result import costing_document
from service.season.dates import season_from
from service.season.subject import SeasonSubject
from service.web.reading import scenario_of

Document = dict[str, Any]

_THIMBLE_CREEK: Document = {
    "name": "Thimble Creek Flock",
    "currency": "USD",
    "price_year": 2026,
    "reference_edition": "2026.1",
    # 11 + 31 + 31 + 28 + 31 + 5 = 137 days
    "winter": {
        "first_day": "11-20",
        "last_day": "04-05",
        "ground_days": {"frozen": 22, "snow_covered": 15, "firm": 50, "wet": 50},
        "rain_in": 16,
    },
    "herd": {
        "ewes": {
            "title": "Ewes",
            "animal": "ewe",
            "head": 34,
            "body_weight_lb": 155,
            "birth_starts": "03-18",
            "birth_season_days": 35,
        }
    },
    "land": {
        "fields": {
            "near": {
                "title": "Near Field",
                "acres": 7,
                "drainage": "moderate",
                "slope_percent": 6,
                "distance_to_water_ft": 400,
                "forage_yield_ton_dm_per_acre": 2.2,
                "tenure": "rented",
                "lease_years_left": 3,
            },
            "far": {
                "title": "Far Field",
                "acres": 12,
                "drainage": "well",
                "slope_percent": 8,
                "distance_to_water_ft": 900,
                "forage_yield_ton_dm_per_acre": 2.4,
                "tenure": "rented",
                "lease_years_left": 3,
            },
        },
        "forage_value_per_ton_dm": 50,
    },
    "hay": {
        "price_per_bale": 6.75,
        "bale_weight_lb": 48,
        "dry_matter_fraction": 0.88,
        "tdn_fraction": 0.56,
        "crude_protein_fraction": 0.11,
        "bales_on_hand": 200,
        "storage": "barn",
    },
    "prices": {
        "labor_per_hour": 18,
        "own_labor_fraction": 1.0,
        "diesel_per_gallon": 3.6,
        "bedding_per_ton": 90,
        "nitrogen_per_lb": 0.65,
        "p2o5_per_lb": 0.7,
        "k2o_per_lb": 0.4,
    },
    "finance": {"real_rate": 0.05, "horizon_years": 10, "machine_costing": "operating_only"},
    "systems": {
        "racks": {
            "title": "Today: racks in the Near Field",
            "plan": [
                {
                    "key": "lot",
                    "method": "sacrifice_lot",
                    "presentation": "sheep_rack",
                    "field": "near",
                }
            ],
            "structures": {
                "racks": {
                    "kind": "feeder",
                    "title": "Racks",
                    "count": 4,
                    "existing": True,
                    "remaining_life_years": 6,
                }
            },
        },
        "grass_and_pad": {
            "title": "Grass first, then racks on a pad",
            "plan": [
                {
                    "key": "grass",
                    "method": "stockpile_grazing",
                    "field": "far",
                    "acres": 6,
                    "closing_date": "08-20",
                    "dormancy_date": "11-08",
                    "days_per_move": 7,
                },
                {
                    "key": "pad",
                    "method": "feeding_pad",
                    "structure": "pad",
                    "presentation": "sheep_rack",
                    "hours_on_method": 12,
                    "resting_place": "pasture",
                    "resting_field": "near",
                },
            ],
            "structures": {
                "pad": {
                    "kind": "gravel_pad",
                    "title": "Small rock pad",
                    "area_sqft": 700,
                    "field": "near",
                    "price": 2300,
                    "quote_date": "2026-02-10",
                },
                "netting": {
                    "kind": "fence",
                    "title": "Netting and energizer",
                    "length_ft": 1300,
                    "price": 900,
                },
                "racks": {
                    "kind": "feeder",
                    "title": "Racks",
                    "count": 4,
                    "existing": True,
                    "remaining_life_years": 6,
                },
            },
        },
    },
    "baseline": "racks",
    # All is done by hand.
    "assumptions": {
        "work.sacrifice_lot.set_bale.machine": "none",
        "work.feeding_pad.set_bale.machine": "none",
        "work.feeder.gather_and_mend.machine": "none",
        "work.gravel_pad.bed.machine": "none",
        "work.gravel_pad.scrape.machine": "none",
        "work.gravel_pad.spread_manure.machine": "none",
    },
}

_ELEVEN_COWS: Document = {
    "name": "Eleven Cows",
    "currency": "USD",
    "price_year": 2026,
    "reference_edition": "2026.1",
    # 22 + 31 + 28 + 31 + 5 = 117 days
    "winter": {
        "first_day": "12-10",
        "last_day": "04-05",
        "ground_days": {"frozen": 20, "snow_covered": 12, "firm": 45, "wet": 40},
        "rain_in": 13,
        "spell_days": {"frozen": 2.5, "snow_covered": 2.5, "firm": 3.5, "wet": 3.0},
    },
    "herd": {
        "cows": {
            "title": "Cows",
            "animal": "beef_cow",
            "head": 11,
            "body_weight_lb": 1180,
            "birth_starts": "04-01",
            "birth_season_days": 50,
        }
    },
    "land": {
        "fields": {
            "home": {
                "title": "Home Field",
                "acres": 9,
                "drainage": "poor",
                "slope_percent": 3,
                "distance_to_water_ft": 250,
                "forage_yield_ton_dm_per_acre": 2.0,
            },
            "hill": {
                "title": "Hill Field",
                "acres": 24,
                "drainage": "well",
                "slope_percent": 7,
                "distance_to_water_ft": 800,
                "forage_yield_ton_dm_per_acre": 2.6,
            },
        },
        "forage_value_per_ton_dm": 50,
    },
    "hay": {
        "price_per_bale": 60,
        "bale_weight_lb": 1000,
        "dry_matter_fraction": 0.87,
        "tdn_fraction": 0.54,
        "crude_protein_fraction": 0.095,
        "bales_on_hand": 0,
        "storage": "ground_uncovered",
    },
    "machines": {
        "tractor": {
            "custom_rate_per_hour": 65,
            "includes_operator": True,
            "least_charge": 25,
        },
        "loader": {
            "custom_rate_per_hour": 65,
            "includes_operator": True,
            "least_charge": 25,
        },
        "spreader": {
            "custom_rate_per_hour": 80,
            "includes_operator": True,
            "least_charge": 60,
        },
    },
    "prices": {
        "labor_per_hour": 20,
        "own_labor_fraction": 1.0,
        "diesel_per_gallon": 3.5,
        "bedding_per_ton": 85,
        "nitrogen_per_lb": 0.62,
        "p2o5_per_lb": 0.66,
        "k2o_per_lb": 0.38,
    },
    "finance": {"real_rate": 0.05, "horizon_years": 10, "machine_costing": "full"},
    "systems": {
        "ring": {
            "title": "Today: a ring in the Home Field",
            "plan": [
                {
                    "key": "lot",
                    "method": "sacrifice_lot",
                    "presentation": "ring_open",
                    "field": "home",
                }
            ],
            "structures": {
                "ring": {
                    "kind": "feeder",
                    "title": "Ring",
                    "count": 1,
                    "existing": True,
                    "remaining_life_years": 5,
                }
            },
        },
        "hill": {
            "title": "Grass and bales on the Hill Field",
            "plan": [
                {
                    "key": "grass",
                    "method": "stockpile_grazing",
                    "field": "hill",
                    "acres": 8,
                    "closing_date": "08-10",
                    "dormancy_date": "11-12",
                    "nitrogen_lb_per_acre": 40,
                    "days_per_move": 3,
                },
                {
                    "key": "bales",
                    "method": "bale_grazing",
                    "ground_states": ["frozen", "snow_covered", "firm"],
                    "presentation": "bales_in_place",
                    "field": "hill",
                    "bales_set_out": 20,
                    "spacing_ft": 60,
                    "days_per_move": 4,
                },
                {
                    "key": "lot",
                    "method": "sacrifice_lot",
                    "presentation": "ring_open",
                    "field": "home",
                },
            ],
            "structures": {
                "ring": {
                    "kind": "feeder",
                    "title": "Ring",
                    "count": 1,
                    "existing": True,
                    "remaining_life_years": 5,
                },
                "wire": {
                    "kind": "fence",
                    "title": "Energizer and wire",
                    "length_ft": 2600,
                    "price": 700,
                },
            },
        },
    },
    "baseline": "ring",
}


def thimble_creek() -> Document:
    """Return the document of Thimble Creek Flock."""
    return deepcopy(_THIMBLE_CREEK)


def eleven_cows() -> Document:
    """Return the document of Eleven Cows."""
    return deepcopy(_ELEVEN_COWS)


def subject_of(document: Document, system: str, year: int = 2026) -> SeasonSubject:
    """Return a system of a document for the winter that begins in a year."""
    scenario = scenario_of(document)
    costing = cost(scenario)
    body = costing_document(costing, given=document)
    season = season_from(scenario.winter.first_day, scenario.winter.last_day, year)
    return SeasonSubject(costing, body, system, season)
