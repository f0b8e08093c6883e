"""Faults of structures: sizes, roofs, what exists, cost-share and rented ground."""

from typing import Any

import pytest

from service.costing.checks import faults_of
from tests.engine.test_checks import (
    ONE_ROW,
    ROWS,
    Case,
    assert_fault,
    drop,
    put,
    scenario_of,
)

BUILT = "systems/rings/structures"
BUILT_PATH = "systems.rings.structures"
SHARE = {"rate": 0.5}
ENDS_IN_4 = {"remaining_life_years": 4}


def _built(sentence: str, structure: dict[str, Any], name: str, *words: str) -> Case:
    """Return the case of a structure added to a system that feeds on a lot."""
    return (sentence, ONE_ROW, put(f"{BUILT}/new", structure), f"{BUILT_PATH}.new{name}", words)


STRUCTURES: list[Case] = [
    _built(
        "a pad that no step uses and no size",
        {"kind": "gravel_pad"},
        ".area_sqft",
        "No step uses",
        "sq ft",
    ),
    _built("a fence without length or price", {"kind": "fence"}, ".length_ft", "length", "ft"),
    _built("a pipeline without length or price", {"kind": "pipeline"}, ".length_ft", "length"),
    _built("a lane without length or price", {"kind": "access_lane"}, ".length_ft", "length"),
    _built("equipment without a price", {"kind": "equipment"}, ".price", "price", "currency"),
    _built(
        "a manure storage without a floor or a size",
        {"kind": "manure_storage", "storage_days": 90},
        ".volume_cuft",
        "cu ft",
    ),
    _built(
        "a treatment strip without a pad or a size",
        {"kind": "treatment_strip"},
        ".area_sqft",
        "open pad",
    ),
    _built("a roof over nothing", {"kind": "roof", "over": "nowhere"}, ".over", "nowhere"),
    _built(
        "a roof over what is no floor",
        {"kind": "roof", "over": "rings"},
        ".over",
        "feeder, which is no floor",
    ),
    (
        "a roof over a barn",
        ONE_ROW,
        put("systems/barn/structures/new", {"kind": "roof", "over": "barn"}),
        "systems.barn.structures.new.over",
        ("roof of its own",),
    ),
    (
        "two roofs over one floor",
        ROWS,
        put("systems/mound_and_pad/structures/second", {"kind": "roof", "over": "pad"}),
        "systems.mound_and_pad.structures.second.over",
        ("cover stands over pad",),
    ),
    (
        "a floor that is called pasture",
        ONE_ROW,
        put(f"{BUILT}/pasture", {"kind": "mound", "area_sqft": 900}),
        f"{BUILT_PATH}.pasture",
        ("'pasture'",),
    ),
    _built(
        "something existing and no word of its life",
        {"kind": "feeder", "existing": True},
        ".remaining_life_years",
        "year",
    ),
    _built(
        "an existing size and no word of its life",
        {"kind": "fence", "existing_length_ft": 900},
        ".remaining_life_years",
        "year",
    ),
    _built(
        "a remaining life of what is new",
        {"kind": "feeder", **ENDS_IN_4},
        ".remaining_life_years",
        "existing_count",
    ),
    _built(
        "a tie-in to nothing",
        {"kind": "feeder", "tie_in_cost": 400},
        ".tie_in_cost",
        "existing_count",
    ),
    _built(
        "a quote on a day that there is not",
        {"kind": "feeder", "quote_date": "2026-02-30"},
        ".quote_date",
        "2026-02-30",
    ),
    _built(
        "cost-share on what exists",
        {"kind": "feeder", "existing": True, **ENDS_IN_4, "cost_share": SHARE},
        ".cost_share",
        "exists already",
    ),
    _built(
        "cost-share on what is large enough already",
        {
            "kind": "fence",
            "length_ft": 500,
            "existing_length_ft": 900,
            **ENDS_IN_4,
            "cost_share": SHARE,
        },
        ".cost_share",
        "length_ft",
    ),
    _built(
        "cost-share without terms",
        {"kind": "feeder", "cost_share": {"cap": 5_000}},
        ".cost_share.rate",
        "per_unit",
    ),
    _built(
        "cost-share by the foot of an unknown length",
        {"kind": "fence", "price": 900, "cost_share": {"per_unit": 2}},
        ".cost_share.per_unit",
        "length_ft",
    ),
    _built(
        "cost-share paid after the horizon",
        {"kind": "feeder", "cost_share": {**SHARE, "payment_year": 15}},
        ".cost_share.payment_year",
        "at most 14",
        "year",
    ),
    _built(
        "a structure on a field that there is not",
        {"kind": "feeder", "field": "hil_field"},
        ".field",
        "did you mean hill_field",
    ),
    _built(
        "a value left on owned ground",
        {"kind": "feeder", "field": "hill_field", "left_value_agreed": 900},
        ".left_value_agreed",
        "hill_field is owned",
    ),
    _built(
        "a value left on no ground",
        {"kind": "feeder", "left_value_agreed": 900},
        ".left_value_agreed",
        "no field",
    ),
    (
        "a structure on rented ground without a lease",
        ROWS,
        drop("land/fields/tollgate/lease_years_left"),
        "land.fields.tollgate.lease_years_left",
        ("drinker of system bigger_pad", "year"),
    ),
]


@pytest.mark.parametrize("case", STRUCTURES, ids=[case[0] for case in STRUCTURES])
def test_a_structure_cannot_be(case):
    assert_fault(case)


ALLOWED = {
    "a fence at its price": {"kind": "fence", "price": 900},
    "a pump, which counts one": {"kind": "pump"},
    "equipment that exists, at the price of the next": {
        "kind": "equipment",
        "price": 900,
        "existing": True,
        "remaining_life_years": 3,
    },
    "a fence to be made longer": {
        "kind": "fence",
        "length_ft": 1_500,
        "existing_length_ft": 900,
        "remaining_life_years": 4,
        "cost_share": SHARE,
        "tie_in_cost": 50,
    },
    "a strip of a given size": {"kind": "treatment_strip", "area_sqft": 4_000},
    "a floor of a given size that no step uses": {"kind": "concrete_pad", "area_sqft": 600},
    "a storage of a given size": {
        "kind": "manure_storage",
        "storage_days": 90,
        "volume_cuft": 4_000,
    },
}


@pytest.mark.parametrize("structure", ALLOWED.values(), ids=ALLOWED)
def test_a_structure_may_be(structure):
    assert faults_of(scenario_of(ONE_ROW, put(f"{BUILT}/new", structure))) == []
