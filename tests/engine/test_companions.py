"""What goes with a feeding pad: there, missing, or not needed for a reason.

The seven practices are those that a planner looks for beside NRCS practice 561, heavy use area
protection (common practice, no single source).
"""

import pytest

from service.costing.companions import MISSING, NOT_NEEDED, PRESENT, companions_of
from tests.engine.small_farm import GRASS, LOT, PACK, PAD, UNROLLED, costed, plan

PRACTICES = (
    "water",
    "lane",
    "mound_or_roof",
    "bedding",
    "manure_storage",
    "runoff_treatment",
    "fence",
)
ROCK = {"kind": "gravel_pad", "field": "yard"}
HAULED = {"land": {"fields": {"yard": {"winter_water": "hauled"}}}}
DRY_DAYS = {"ground_states": ["frozen", "firm"]}
PART_DAY = {"hours_on_method": 8, "resting_place": "pasture", "resting_field": "hill"}
NO_BEDDING = {
    "assumptions": {
        f"bedding.fraction_of_body_weight.gravel_pad.{state}": 0
        for state in ("frozen", "snow_covered", "firm", "wet")
    }
}
NOT_SCRAPED = {
    "assumptions": {
        "manure.collected_fraction.gravel_pad": 0,
        "manure.rain_kept_fraction.gravel_pad": 0,
    }
}

# practice: (changes with it, changes that lack it, changes that need none)
CASES = {
    "water": (
        [HAULED, plan(PAD, pad=ROCK, drinker={"kind": "waterer", "field": "yard"})],
        [HAULED, plan(PAD, pad=ROCK, drinker={"kind": "waterer", "field": "hill"})],
        None,
    ),
    "lane": (
        [plan(PAD, pad=ROCK, lane={"kind": "access_lane", "length_ft": 200})],
        [plan(PAD, pad=ROCK)],
        [plan({**PAD, **DRY_DAYS}, UNROLLED, pad=ROCK)],
    ),
    "mound_or_roof": (
        [plan(PAD, pad=ROCK, cover={"kind": "roof", "over": "pad"})],
        [plan(PAD, pad=ROCK, bed={"kind": "mound", "area_sqft": 900})],
        [plan({**PAD, **DRY_DAYS}, UNROLLED, pad=ROCK)],
    ),
    "bedding": (
        [
            plan(
                {**PAD, "hours_on_method": 8, "resting_place": "bed"},
                pad=ROCK,
                bed={"kind": "mound"},
            )
        ],
        [NO_BEDDING, plan(PAD, pad=ROCK)],
        [NO_BEDDING, plan({**PAD, **PART_DAY}, pad=ROCK)],
    ),
    "manure_storage": (
        [plan(PAD, pad=ROCK, store={"kind": "manure_storage", "storage_days": 60})],
        [plan(PAD, pad=ROCK)],
        [NOT_SCRAPED, plan(PAD, pad=ROCK)],
    ),
    "runoff_treatment": (
        [plan(PAD, pad=ROCK, strip={"kind": "treatment_strip"})],
        [plan(PAD, pad=ROCK)],
        [plan(PAD, pad=ROCK, cover={"kind": "roof", "over": "pad"})],
    ),
    "fence": (
        [plan(PAD, pad=ROCK, wire={"kind": "fence", "length_ft": 400})],
        [plan(PAD, pad=ROCK)],
        [plan({**PAD, **PART_DAY}, pad=ROCK)],
    ),
}


def found(*changes):
    costing, system = costed(*changes)
    return companions_of(costing, system)


def status(practice, changes):
    by_practice = {item["practice"]: item for item in found(*changes)}
    return by_practice[practice]["status"]


@pytest.mark.parametrize("practice", CASES)
def test_a_practice_is_present_missing_or_not_needed(practice):
    there, lacking, needless = CASES[practice]
    assert status(practice, there) == PRESENT
    assert status(practice, lacking) == MISSING
    if needless is not None:
        assert status(practice, needless) == NOT_NEEDED


def test_every_pad_in_use_has_each_practice_once_with_a_sentence():
    slab = {"kind": "concrete_pad", "field": "yard"}
    items = found(
        plan(
            {**PAD, **DRY_DAYS},
            {**PAD, "key": "slab", "structure": "slab"},
            pad=ROCK,
            slab=slab,
        ),
        {"winter": {"ground_days": {"firm": 50, "wet": 50}}},
    )
    assert [(item["structure"], item["practice"]) for item in items] == [
        (pad, practice) for pad in ("pad", "slab") for practice in PRACTICES
    ]
    for item in items:
        assert item["meaning"].endswith(".")
        assert item["status"] in {PRESENT, MISSING, NOT_NEEDED}


def test_a_field_with_winter_water_waters_its_pad():
    assert status("water", [plan(PAD, pad=ROCK)]) == PRESENT


def test_a_mound_that_animals_rest_on_is_a_dry_place_to_lie():
    resting = {"hours_on_method": 8, "resting_place": "bed"}
    change = plan({**PAD, **resting}, pad=ROCK, bed={"kind": "mound"})
    assert status("mound_or_roof", [change]) == PRESENT


@pytest.mark.parametrize(
    "change",
    [
        plan(LOT),
        plan(PACK, barn={"kind": "pack_floor"}),
        plan(GRASS, UNROLLED, pad={**ROCK, "area_sqft": 2000}),
        plan(GRASS, PAD, pad=ROCK),
    ],
    ids=["lot", "barn", "pad in no step", "pad in a step that never runs"],
)
def test_without_a_pad_in_use_there_are_no_companions(change):
    assert found(change) == []
