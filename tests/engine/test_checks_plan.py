"""Faults of the steps of a plan."""

import pytest

from service.costing.checks import faults_of
from tests.engine.test_checks import (
    EDGES,
    ONE_ROW,
    ROWS,
    Case,
    assert_fault,
    both,
    drop,
    put,
    scenario_of,
)

LOT = "systems/rings/plan/0"
PAD = "systems/bales_and_pad/plan/1"
GRASS = "systems/stockpile_first/plan/0"
LOT_PATH = "systems.rings.plan.sacrifice_lot"
PAD_PATH = "systems.bales_and_pad.plan.feeding_pad"
GRASS_PATH = "systems.stockpile_first.plan.stockpile_grazing"
PACK_PATH = "systems.barn.plan.bedded_pack"

STEPS: list[Case] = [
    (
        "a group that there is not",
        ONE_ROW,
        put(f"{LOT}/groups", ["cow"]),
        f"{LOT_PATH}.groups",
        ("did you mean cows",),
    ),
    (
        "a group named twice",
        ONE_ROW,
        put(f"{LOT}/groups", ["cows", "cows"]),
        f"{LOT_PATH}.groups",
        ("2 times",),
    ),
    ("no group", ONE_ROW, put(f"{LOT}/groups", []), f"{LOT_PATH}.groups", ("empty",)),
    (
        "no ground state",
        ONE_ROW,
        put(f"{LOT}/ground_states", []),
        f"{LOT_PATH}.ground_states",
        ("empty",),
    ),
    (
        "a ground state named twice",
        ONE_ROW,
        put(f"{LOT}/ground_states", ["wet", "firm", "wet"]),
        f"{LOT_PATH}.ground_states",
        ("'wet'",),
    ),
    (
        "a field that there is not",
        ONE_ROW,
        put(f"{LOT}/field", "crek_lot"),
        f"{LOT_PATH}.field",
        ("did you mean creek_lot",),
    ),
    (
        "no field where one is needed",
        ONE_ROW,
        drop(f"{LOT}/field"),
        f"{LOT_PATH}.field",
        ("hill_field",),
    ),
    (
        "a structure that there is not",
        ONE_ROW,
        put("systems/barn/plan/1/structure", "shed"),
        f"{PACK_PATH}.structure",
        ("barn",),
    ),
    (
        "a structure of another kind",
        ONE_ROW,
        put("systems/barn/plan/1/structure", "storage"),
        f"{PACK_PATH}.structure",
        ("manure_storage", "pack_floor", "barn"),
    ),
    (
        "hay without a presentation",
        ONE_ROW,
        drop(f"{LOT}/presentation"),
        f"{LOT_PATH}.presentation",
        ("hay", "ring_open"),
    ),
    (
        "hay without a presentation for a group",
        EDGES,
        drop("systems/lot/plan/0/presentation/cows"),
        "systems.lot.plan.sacrifice_lot.presentation.cows",
        ("feeds hay to cows",),
    ),
    (
        "a presentation for a group that there is not",
        EDGES,
        put("systems/lot/plan/0/presentation/cow", "bunk"),
        "systems.lot.plan.sacrifice_lot.presentation.cow",
        ("did you mean cows",),
    ),
    (
        "a presentation on grass for a group that there is not",
        ONE_ROW,
        put(f"{GRASS}/presentation", {"ewes": "bunk"}),
        f"{GRASS_PATH}.presentation.ewes",
        ("cows",),
    ),
    (
        "fewer hours and no resting place",
        ONE_ROW,
        put(f"{LOT}/hours_on_method", 8),
        f"{LOT_PATH}.resting_place",
        ("pasture", "8 hours"),
    ),
    (
        "a resting place and 24 hours",
        ONE_ROW,
        drop(f"{PAD}/hours_on_method"),
        f"{PAD_PATH}.hours_on_method",
        ("24 hours", "less than 24"),
    ),
    (
        "rest on pasture and no field",
        ONE_ROW,
        drop(f"{PAD}/resting_field"),
        f"{PAD_PATH}.resting_field",
        ("long_meadow",),
    ),
    (
        "rest on a field that there is not",
        ONE_ROW,
        put(f"{PAD}/resting_field", "meadow"),
        f"{PAD_PATH}.resting_field",
        ("did you mean long_meadow",),
    ),
    (
        "rest on a place that there is not",
        ONE_ROW,
        put(f"{PAD}/resting_place", "pastures"),
        f"{PAD_PATH}.resting_place",
        ("did you mean pasture",),
    ),
    (
        "rest on what is no floor",
        ONE_ROW,
        put(f"{PAD}/resting_place", "lane"),
        f"{PAD_PATH}.resting_place",
        ("access_lane", "floor"),
    ),
    (
        "rest on the floor they feed on",
        ONE_ROW,
        put(f"{PAD}/resting_place", "pad"),
        f"{PAD_PATH}.resting_place",
        ("rest on it too",),
    ),
    (
        "a resting field without a resting place",
        ONE_ROW,
        put(f"{LOT}/resting_field", "hill_field"),
        f"{LOT_PATH}.resting_field",
        ("resting_place",),
    ),
    (
        "a shortest spell where spells are not known",
        ONE_ROW,
        put(f"{LOT}/min_spell_days", 3),
        f"{LOT_PATH}.min_spell_days",
        ("winter.spell_days.frozen", "day"),
    ),
    (
        "a shortest spell where one row does not know them",
        ROWS,
        drop("winter/spell_days/firm"),
        "systems.by_the_ground.plan.grass.min_spell_days",
        ("mean spell of firm",),
    ),
    (
        "two steps of one key",
        ROWS,
        put("systems/by_the_ground/plan/1/key", "grass"),
        "systems.by_the_ground.plan.grass.key",
        ("2 steps",),
    ),
    (
        "a step whose key is the name of another",
        ONE_ROW,
        put("systems/barn/plan/0/key", "bedded_pack"),
        f"{PACK_PATH}.key",
        ("2 steps",),
    ),
    (
        "grass shut and dormant on one day",
        ONE_ROW,
        put(f"{GRASS}/dormancy_date", "08-12"),
        f"{GRASS_PATH}.dormancy_date",
        ("0 days",),
    ),
    (
        "dates of closing and dormancy swapped",
        ONE_ROW,
        both(put(f"{GRASS}/closing_date", "11-12"), put(f"{GRASS}/dormancy_date", "08-12")),
        f"{GRASS_PATH}.dormancy_date",
        ("at most 250",),
    ),
    (
        "more acres shut than the field has",
        ONE_ROW,
        put(f"{GRASS}/acres", 62),
        f"{GRASS_PATH}.acres",
        ("has 61", "acre"),
    ),
    (
        "more acres shut by two steps than the field has",
        ROWS,
        both(
            put("systems/by_the_ground/plan/3/field", "knoll"),
            put("systems/by_the_ground/plan/3/acres", 25),
        ),
        "systems.by_the_ground.plan.ewes_grass.acres",
        ("grass and ewes_grass", "44", "43", "at most 24"),
    ),
]


@pytest.mark.parametrize("case", STEPS, ids=[case[0] for case in STEPS])
def test_a_step_cannot_have(case):
    assert_fault(case)


def test_a_spell_is_asked_for_only_in_the_ground_states_of_the_step():
    spoil = both(
        put("winter/spell_days", {"frozen": 3.0}),
        put("systems/barn/plan/0/ground_states", ["frozen"]),
        put("systems/barn/plan/0/min_spell_days", 2),
    )
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []
