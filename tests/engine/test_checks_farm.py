"""Faults of herd, land, hay, finance and machines."""

from typing import Any

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

OWNED = {
    "class": "tractor_under_80",
    "list_price": 58_000,
    "price": 27_500,
    "age_years": 11,
    "years_kept": 8,
    "hours_per_year": 260,
    "hours_so_far": 3_900,
    "pto_hp": 62,
}


def _without(name: str) -> dict[str, Any]:
    return {key: value for key, value in OWNED.items() if key != name}


HERD_AND_LAND: list[Case] = [
    (
        "births without the days they last",
        ONE_ROW,
        drop("herd/cows/birth_season_days"),
        "herd.cows.birth_season_days",
        ("birth_starts", "day"),
    ),
    (
        "days of birth without their start",
        ONE_ROW,
        drop("herd/cows/birth_starts"),
        "herd.cows.birth_starts",
        ("birth_season_days",),
    ),
    (
        "a bull that gives birth",
        ONE_ROW,
        put("herd/cows/animal", "bull"),
        "herd.cows.birth_starts",
        ("bull", "ewe"),
    ),
    (
        "a stage beside the date of births",
        ONE_ROW,
        put("herd/cows/stage", "maintenance"),
        "herd.cows.stage",
        ("birth_starts",),
    ),
    (
        "a lease that ended",
        ROWS,
        put("land/fields/tollgate/lease_years_left", 0),
        "land.fields.tollgate.lease_years_left",
        ("lease on tollgate has ended", "year"),
    ),
    (
        "a lease on ground that is owned",
        ROWS,
        put("land/fields/tollgate/tenure", "owned"),
        "land.fields.tollgate.lease_years_left",
        ("tollgate is owned",),
    ),
    (
        "losses of a group that there is not",
        ONE_ROW,
        put("animal_losses/cow", {}),
        "animal_losses.cow",
        ("did you mean cows",),
    ),
    (
        "more young lost than there are head",
        ONE_ROW,
        put("animal_losses/cows", {"young_lost_per_head_mud_day": 0.01}),
        "animal_losses.cows.young_lost_per_head_mud_day",
        ("1.37", "at most 0.0073"),
    ),
    (
        "young lost of animals that have none",
        ROWS,
        put("animal_losses/heifers", {"young_lost_per_head_mud_day": 0.001}),
        "animal_losses.heifers.young_lost_per_head_mud_day",
        ("no young",),
    ),
]

HAY_AND_MONEY: list[Case] = [
    ("hay without a price", ONE_ROW, drop("hay/price_per_ton"), "hay.price_per_ton", ("no price",)),
    (
        "hay with two prices",
        ONE_ROW,
        put("hay/price_per_bale", 60),
        "hay.price_per_bale",
        ("two prices",),
    ),
    (
        "hay valued at a cost that is not given",
        EDGES,
        drop("hay/cost_to_make_per_ton"),
        "hay.cost_to_make_per_ton",
        ("market_less_selling", "currency/ton"),
    ),
    ("no rate of interest", ONE_ROW, drop("finance/real_rate"), "finance.real_rate", ("rate",)),
    (
        "a real and a nominal rate",
        ONE_ROW,
        put("finance/nominal_rate", 0.07),
        "finance.real_rate",
        ("nominal_rate",),
    ),
    (
        "a nominal rate without inflation",
        ROWS,
        drop("finance/inflation"),
        "finance.inflation",
        ("nominal_rate is given",),
    ),
    (
        "inflation without a nominal rate",
        ROWS,
        drop("finance/nominal_rate"),
        "finance.nominal_rate",
        ("inflation is given",),
    ),
    (
        "a rate far below inflation",
        ROWS,
        put("finance/inflation", 2),
        "finance.nominal_rate",
        ("-0.642",),
    ),
]

MACHINES: list[Case] = [
    (
        "a machine without a cost",
        ONE_ROW,
        put("machines/tractor", {}),
        "machines.tractor.custom_rate_per_hour",
        ("class", "pto_hp"),
    ),
    (
        "a machine that is owned and hired",
        ONE_ROW,
        put("machines/tractor", {**OWNED, "custom_rate_per_hour": 50}),
        "machines.tractor.custom_rate_per_hour",
        ("keep one",),
    ),
    *(
        (
            f"a machine that is owned and has no {name}",
            ONE_ROW,
            put("machines/tractor", _without(name)),
            f"machines.tractor.{name}",
            (f"{name} is missing",),
        )
        for name in OWNED
    ),
    (
        "a class of machine without coefficients",
        ONE_ROW,
        put("machines/tractor", {**OWNED, "class": "tractor_under_90"}),
        "machines.tractor.class",
        ("did you mean tractor_under_80",),
    ),
    (
        "a least charge of a machine that is owned",
        ONE_ROW,
        put("machines/tractor", {**OWNED, "least_charge": 80}),
        "machines.tractor.least_charge",
        ("custom rate",),
    ),
    (
        "a machine called none",
        ONE_ROW,
        put("machines/none", {"custom_rate_per_hour": 50}),
        "machines.none",
        ("Call it something else",),
    ),
    (
        "a machine that a task of a method takes",
        ONE_ROW,
        drop("machines/tractor"),
        "machines.tractor",
        ("work.sacrifice_lot.set_bale", "assumptions.work.", "loader, spreader, none"),
    ),
    (
        "a machine that a task of a floor takes",
        ONE_ROW,
        drop("machines/spreader"),
        "machines.spreader",
        ("work.gravel_pad.spread_manure", "bales_and_pad"),
    ),
    (
        "a machine that hauling water takes",
        ROWS,
        put("assumptions/work.water_hauled.haul.machine", "water_truck"),
        "machines.water_truck",
        ("work.water_hauled.haul", "by_the_ground"),
    ),
]

CASES = [*HERD_AND_LAND, *HAY_AND_MONEY, *MACHINES]


@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_a_farm_cannot_have(case):
    assert_fault(case)


def test_a_machine_is_not_asked_for_by_a_task_that_is_not_done():
    # The scraper of a pad that no step uses, and the wire that is not moved.
    spoil = both(
        drop("machines/spreader"),
        drop("systems/bales_and_pad"),
        drop("systems/barn"),
        put(
            "systems/rings/structures/apron",
            {"kind": "gravel_pad", "area_sqft": 900, "field": "hill_field"},
        ),
    )
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []
