"""A farm on which nothing costs anything, and values that take no part in a result.

A case adds to it what its source prints. The document takes nothing from the tables
(``reference_edition: none``), so nothing of ours can slip in: the engine names each reference
value that it needs and nobody gives, and only the neutral ones below are then filled in.
"""

import copy
import re
from typing import Any

Document = dict[str, Any]

NEUTRAL: tuple[tuple[str, float | str], ...] = (
    (r"mud_level\..*", "none"),
    (r"trampling\.severity\..*", "none"),
    (r"trampling\.sqft_per_au_day\..*", 0),
    (r"trampling\.pad_edge_width_ft", 0),
    (r"restoration\..*", 0),
    (r"energy\.mud_fraction\..*", 0),
    (r"energy\.extra_intake_limit", 0),
    (r"energy\.tdn_lb_per_lb_of_weight\..*", 5),
    (r"energy\.lower_critical_temperature_f\..*", -60),
    (r"energy\.cold_fraction_per_degree_f\..*", 0),
    (r"hay_waste\..*", 0),
    (r"hay_waste_added\..*", 0),
    (r"hay_storage_loss\..*", 0),
    (r"stockpile\.growth_lb_dm_per_acre_day", 0),
    (r"stockpile\.nitrogen_response", 0),
    (r"stockpile\.winter_loss", 0),
    (r"stockpile\.utilization\..*", 1),
    (r"stockpile\.tdn_fraction", 0.6),
    (r"stockpile\.crude_protein_fraction", 0.1),
    (r"stockpile\.spreading_cost_per_acre", 0),
    (r"stockpile\.standing_at_closing_lb_dm_per_acre", 0),
    (r"stockpile\.late_summer_utilization", 0),
    (r"requirement\..*", 0),
    (r"nutrient\.usable_fraction\..*", 0),
    (r"nutrient\.excreted_fraction\..*", 0),
    (r"nutrient\.in_hay_lb_per_ton_dm\..*", 0),
    (r"nutrient_kept\..*", 0),
    (r"manure\.lb_per_au_day\..*", 0),
    (r"manure\.collected_fraction\..*", 0),
    (r"manure\.rain_kept_fraction\..*", 0),
    (r"manure\.days_between_scrapings\..*", 400),
    (r"manure\.lb_per_cu_ft", 60),
    (r"manure\.bedding_volume_fraction", 0),
    (r"manure\.spreader_load_ton", 1),
    (r"bedding\.fraction_of_body_weight\..*", 0),
    (r"bedding\.lb_per_cu_ft", 10),
    (r"bale_grazing\.hay_limit_ton_per_acre", 100),
    (r"bale_grazing\.nitrogen_limit_lb_per_acre", 2000),
    (r"structure\..*\.salvage_fraction", 0),
    (r"structure\..*\.upkeep_fraction", 0),
    (r"structure\.gravel_pad\.resurface_years", 100),
    (r"structure\.gravel_pad\.resurface_unit_cost", 0),
    (r"structure\.gravel_pad\.most_cleanings_per_winter", 400),
)
"""Reference values that a case may leave out, by pattern, and what stands in for them.

What animals eat, and all that is built, has no neutral value: a case must give it.
"""


def farm(days: int, *, head: float, **parts: Any) -> Document:
    """Return a document of firm ground, one field to feed on, and all prices zero.

    Parameters
    ----------
    days : int
        Length of winter, from 1 November [day].
    head : float
        Cows of 1,000 lb at maintenance, unless ``parts`` has a herd [head].
    **parts
        Members of the document in the place of those here; members of an object are put over the
        ones here, one level deep.
    """
    document: Document = {
        "name": "Case",
        "currency": "USD",
        "price_year": 2020,
        "reference_edition": "none",
        "winter": winter(days),
        "herd": {
            "cows": {
                "animal": "beef_cow",
                "head": head,
                "body_weight_lb": 1000,
                "stage": "maintenance",
            }
        },
        "land": {
            "fields": {
                "field": {
                    "acres": 100_000,
                    "drainage": "moderate",
                    "forage_yield_ton_dm_per_acre": 0,
                    "grazed_in_late_summer": False,
                }
            },
            "forage_value_per_ton_dm": 0,
        },
        "hay": {
            "price_per_ton": 0,
            "dry_matter_fraction": 1,
            "tdn_fraction": 0.55,
            "crude_protein_fraction": 0.1,
            "bale_weight_lb": 1000,
            "storage": "barn",
        },
        "machines": {},
        "prices": {
            "labor_per_hour": 0,
            "diesel_per_gallon": 0,
            "bedding_per_ton": 0,
            "nitrogen_per_lb": 0,
            "p2o5_per_lb": 0,
            "k2o_per_lb": 0,
        },
        "finance": {"real_rate": 0, "horizon_years": 1},
        "systems": {},
        "assumptions": {},
    }
    for name, part in parts.items():
        both = isinstance(part, dict) and isinstance(document.get(name), dict)
        document[name] = document[name] | part if both and name != "herd" else part
    return document


def winter(days: int) -> Document:
    """Return a winter of firm ground from 1 November [day]."""
    # 1 November is day 305 of a year of 365 days.
    months = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    last = (304 + days - 1) % 365
    month = 0
    while last >= months[month]:
        last -= months[month]
        month += 1
    return {
        "first_day": "11-01",
        "last_day": f"{month + 1:02d}-{last + 1:02d}",
        "ground_days": {"firm": days},
    }


def intake(lb_per_day: float, *, body_weight_lb: float = 1000) -> dict[str, float]:
    """Return the assumptions that make a cow at maintenance eat so much dry matter [lb DM/day]."""
    rate = lb_per_day / body_weight_lb
    return {
        f"intake.beef_cow.maintenance.{quality}": rate for quality in ("low", "average", "high")
    }


def filled(document: Document, missing: list[str]) -> Document:
    """Return a document with a neutral value for each missing reference value that has one.

    Raises
    ------
    LookupError
        If the engine needs a value that no pattern calls neutral: the case must give it.
    """
    more = copy.deepcopy(document)
    for key in missing:
        value = next((value for pattern, value in NEUTRAL if re.fullmatch(pattern, key)), None)
        if value is None:
            message = f"{key} takes part in the result: the case must give it"
            raise LookupError(message)
        more["assumptions"][key] = value
    return more
