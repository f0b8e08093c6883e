"""Warnings, shortfalls and notes of a system."""

import json
import math
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from service.costing.alerts import notes_of, shortfalls_of, unusual_values, warnings_of
from service.costing.cautions import cautions_of
from service.costing.companions import companions_of
from service.costing.engine import cost
from service.costing.scenario import Scenario
from tests.engine.small_farm import (
    BALES,
    GRASS,
    LOT,
    PAD,
    UNROLLED,
    costed,
    plan,
)
from tests.formulas.precision import EXACT, SIX_FIGURES

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
NAMES = ("worked_farm", "worked_farm_edges", "worked_farm_rows")
IN_WORKED_FARMS = (
    "bale_grazing_hay_per_acre",
    "bale_grazing_nitrogen_per_acre",
    "gravel_pad_cleanings",
)
ABOUT = ("step", "structure", "group", "input", "field")

CALVING = {"herd": {"cows": {"stage": None, "birth_starts": "01-10", "birth_season_days": 40}}}
POOR_HAY = {"hay": {"tdn_fraction": 0.5, "crude_protein_fraction": 0.07}}
SOY = {
    "supplement": {
        "price_per_ton": 300,
        "dry_matter_fraction": 0.9,
        "tdn_fraction": 0.8,
        "crude_protein_fraction": 0.4,
    }
}
COLD = {
    "winter": {
        "ground_days": {"firm": 0, "wet": 100},
        "effective_temperature_f": {"wet": 15},
    }
}
ROCK = {"kind": "gravel_pad", "field": "yard"}
RENTED = {"land": {"fields": {"yard": {"tenure": "rented", "lease_years_left": 5}}}}
HAULED = {"land": {"fields": {"yard": {"winter_water": "hauled"}}}}
TWO_WINTERS = {
    "winter": {
        "ground_days": None,
        "rows": [
            {"season": "2021-22", "ground_days": {"firm": 100}},
            {"season": "2022-23", "ground_days": {"firm": 101}, "stockpile_growth_factor": 0.3},
        ],
    }
}


def worked(name):
    text = (FARMS / f"{name}.json").read_text()
    return cost(TypeAdapter(Scenario).validate_json(text))


def warnings(*changes):
    costing, system = costed(*changes)
    return {item["warning"]: item for item in warnings_of(costing, system)}


def shortfalls(*changes):
    costing, system = costed(*changes)
    return {item["shortfall"]: item for item in shortfalls_of(costing, system)}


def notes(*changes):
    costing, system = costed(*changes)
    return {item["note"]: item for item in notes_of(costing, system)}


@pytest.mark.parametrize("name", NAMES)
def test_warnings_of_the_worked_farms_are_those_of_the_independent_calculation(name):
    costing = worked(name)
    answer = json.loads((FARMS / f"{name}_result.json").read_text())
    for expected in answer["systems"]:
        got = [
            item
            for item in warnings_of(costing, costing.systems[expected["system"]])
            if item["warning"] in IN_WORKED_FARMS
        ]
        assert len(got) == len(expected["warnings"])
        for item, wanted in zip(got, expected["warnings"], strict=True):
            assert item["warning"] == wanted["warning"]
            about = "structure" if "structure" in wanted else "step"
            assert item[about] == wanted[about]
            assert item["value"] == pytest.approx(wanted["value"], rel=SIX_FIGURES)
            assert item["value"] > item["limit"]


@pytest.mark.parametrize("name", NAMES)
def test_all_that_is_said_of_the_worked_farms_is_plain_and_finite(name):
    costing = worked(name)
    for system in costing.systems.values():
        for found in (warnings_of, shortfalls_of, notes_of, cautions_of, companions_of):
            items = found(costing, system)
            assert json.loads(json.dumps(items, allow_nan=False)) == items
            for item in items:
                text = item.get("sentence") or item["meaning"]
                assert text.endswith(".")
                assert text[0].isupper() or text[0].isdigit()
                for value in item.values():
                    assert type(value) in {str, float}
                    assert isinstance(value, str) or math.isfinite(value)


@pytest.mark.parametrize("name", NAMES)
def test_asking_for_alerts_does_not_change_what_a_costing_used(name):
    costing = worked(name)
    used = dict(costing.case.used)
    for system in costing.systems.values():
        for found in (warnings_of, shortfalls_of, notes_of, cautions_of, companions_of):
            found(costing, system)
    assert costing.case.used == used
    assert not costing.case.missing


def test_bales_set_close_are_warned_of_and_bales_set_apart_are_not():
    # University of Kentucky (Halich): not over 2 tons of hay an acre in mild, wet winters
    near = warnings(plan({**BALES, "spacing_ft": 20}))
    assert near["bale_grazing_hay_per_acre"]["step"] == "bale_grazing"
    tons = 50 * 0.87 / 2000 * 43560 / 20**2
    assert near["bale_grazing_hay_per_acre"]["value"] == pytest.approx(tons, rel=EXACT)
    far = warnings(plan({**BALES, "spacing_ft": 30}))
    assert "bale_grazing_hay_per_acre" not in far


def test_bale_ground_used_again_within_two_years_is_warned_of():
    assert "bale_ground_reused_early" in warnings(plan({**BALES, "years_between_uses": 1}))
    assert "bale_ground_reused_early" not in warnings(plan({**BALES, "years_between_uses": 2}))


def test_bales_set_out_and_not_used_are_counted():
    # 20 cows x 1,250 lb x 2 % x 100 days / 0.8 are offered, in bales of 50 x 0.87 lb dry matter
    given = {
        "assumptions": {
            "intake.beef_cow.maintenance.average": 0.02,
            "hay_waste.bales_in_place": 0.2,
            "hay_waste_added.bales_in_place.firm": 0,
        }
    }
    left = warnings(given, plan(BALES))["bales_set_out_not_used"]["value"]
    assert left == pytest.approx(5000 - 20 * 1250 * 0.02 * 100 / 0.8 / (50 * 0.87), rel=EXACT)
    few = plan({**BALES, "bales_set_out": 100}, UNROLLED)
    assert "bales_set_out_not_used" not in warnings(given, few)


def test_cold_that_animals_cannot_eat_against_is_warned_of_by_group():
    item = warnings(COLD, plan(LOT))["energy_short"]
    assert item["group"] == "cows"
    assert item["value"] > 0
    assert "not in the money" in item["sentence"]
    counted = {"animal_losses": {"cows": {"condition_value_per_lb": 1.0}}}
    assert "not in the money" not in warnings(COLD, counted, plan(LOT))["energy_short"]["sentence"]
    assert "energy_short" not in warnings()


def test_what_hay_lacks_is_warned_of_where_no_supplement_is_named():
    found = warnings(CALVING, POOR_HAY, plan(UNROLLED))
    for name in ("supplement_gap_tdn", "supplement_gap_protein"):
        assert found[name]["group"] == "cows"
        assert "lactation" in found[name]["sentence"]
    assert not any(
        name.startswith("supplement_gap") for name in warnings(CALVING, POOR_HAY, SOY, plan(LOT))
    )


def test_the_gap_is_intake_times_what_the_feed_lacks():
    # requirement and intake given here, so that the answer is arithmetic: 1,250 lb x 2 % x 5 points
    given = {
        "assumptions": {
            "intake.beef_cow.maintenance.low": 0.02,
            "requirement.tdn_fraction.beef_cow.maintenance": 0.55,
            "requirement.crude_protein_fraction.beef_cow.maintenance": 0.06,
        }
    }
    found = warnings(given, POOR_HAY, plan(UNROLLED))
    assert found["supplement_gap_tdn"]["value"] == pytest.approx(1.25, rel=EXACT)
    assert "supplement_gap_protein" not in found


def test_tight_stocking_is_said_where_it_is_used():
    small = plan({**PAD, "stocking": "tight"}, LOT, pad={**ROCK, "area_sqft": 1100})
    item = warnings(small, {"assumptions": {"space.gravel_pad.beef_cow": 70}})["tight_stocking"]
    assert item["structure"] == "pad"
    assert item["value"] < item["limit"]
    roomy = plan({**PAD, "stocking": "tight"}, pad={**ROCK, "area_sqft": 5000})
    assert "tight_stocking" not in warnings(roomy)
    usual = plan(PAD, LOT, pad={**ROCK, "area_sqft": 1100})
    assert "tight_stocking" not in warnings(usual)


def test_a_lease_shorter_than_what_is_built_on_it_is_warned_of():
    item = warnings(RENTED, plan(PAD, pad=ROCK))["lease_shorter_than_life"]
    assert (item["structure"], item["value"]) == ("pad", 5)
    assert "lease_shorter_than_life" not in warnings(plan(PAD, pad=ROCK))
    old = {**ROCK, "existing": True, "remaining_life_years": 4, "area_sqft": 5000}
    assert "lease_shorter_than_life" not in warnings(RENTED, plan(PAD, pad=old))


def test_a_value_outside_the_usual_range_is_warned_of_with_range_and_source():
    unusual = {"assumptions": {"hay_waste.ring_open": 0.6}}
    costing, system = costed(unusual, plan(LOT))
    row = costing.case.edition.rows["hay_waste.ring_open"]
    (item,) = [w for w in warnings_of(costing, system) if w["warning"] == "unusual_value"]
    assert item["input"] == "assumptions.hay_waste.ring_open"
    assert (item["value"], item["limit"], item["unit"]) == (0.6, row.high, row.unit)
    assert f"{row.low:g} to {row.high:g}" in item["sentence"]
    assert costing.case.edition.sources[row.source].author in item["sentence"]
    assert "unusual_value" not in warnings(
        {"assumptions": {"hay_waste.ring_open": row.high}}, plan(LOT)
    )


def test_an_unusual_value_is_said_of_the_systems_that_it_can_be_about():
    unusual = {"assumptions": {"space.gravel_pad.beef_cow": 300}}
    assert "unusual_value" in warnings(unusual, plan(PAD, pad=ROCK))
    assert "unusual_value" not in warnings(unusual, plan(LOT))
    costing, _ = costed(unusual, plan(LOT))
    assert len(list(unusual_values(costing.case))) == 1


def test_bales_short_are_named_with_the_worst_winter():
    item = shortfalls(TWO_WINTERS, plan(UNROLLED), {"hay": {"bales_on_hand": 100}})["bales"]
    assert item["worst_season"] == "2022-23"
    # the winters differ in days alone: 100 and 101; 100 bales are on hand in both
    assert (item["worst"] + 100) / (item["value"] + 100) == pytest.approx(101 / 100.5, rel=EXACT)
    assert "bales" not in shortfalls(plan(UNROLLED), {"hay": {"bales_on_hand": 5000}})


def test_late_summer_hay_is_a_shortfall_with_days():
    closed = {"land": {"fields": {"hill": {"acres": 210}}}}
    item = shortfalls(TWO_WINTERS, closed)["late_summer_hay"]
    assert item["worst_season"] == "2022-23"
    assert 0 < item["value"] < item["worst"]
    assert item["worst_days"] > 0
    assert "late_summer_hay" not in shortfalls()


def test_a_pad_too_small_for_the_plan_is_a_shortfall_of_space():
    space = {"assumptions": {"space.gravel_pad.beef_cow": 100}}
    small = {**ROCK, "area_sqft": 500}
    item = shortfalls(space, plan(PAD, LOT, pad=small))["space"]
    assert item["value"] == pytest.approx(500 / (20 * 100), rel=EXACT)
    assert (item["structure"], item["step"]) == ("pad", "feeding_pad")
    quarter = {**PAD, "share_of_herd": 0.25}
    assert "space" not in shortfalls(space, plan(quarter, LOT, pad=small))
    assert "space" not in shortfalls(space, plan(PAD, pad=ROCK))


@pytest.mark.parametrize("kind", ["waterer", "feeder"])
def test_too_few_waterers_or_feeders_are_a_shortfall(kind):
    space = {"assumptions": {f"space.{kind}.beef_cow": 0.1}}
    item = shortfalls(space, plan(UNROLLED, thing={"kind": kind, "count": 1}))[f"{kind}s"]
    assert (item["value"], item["size"], item["size_by_rule"]) == (1, 1, 2)
    two = plan(UNROLLED, thing={"kind": kind, "count": 1}, another={"kind": kind, "count": 1})
    assert f"{kind}s" not in shortfalls(space, two)


def test_a_feeding_field_without_winter_water_is_a_shortfall():
    item = shortfalls(HAULED, plan(LOT))["winter_water"]
    assert (item["field"], item["value"], item["unit"]) == ("yard", 100, "day")
    drinker = {"kind": "waterer", "field": "yard"}
    assert "winter_water" not in shortfalls(HAULED, plan(LOT, drinker=drinker))
    assert "winter_water" not in shortfalls(HAULED, plan(UNROLLED))


def test_manure_storage_smaller_than_the_rule_is_a_shortfall():
    store = {"kind": "manure_storage", "storage_days": 60}
    small = plan(PAD, pad=ROCK, store={**store, "volume_cuft": 10})
    item = shortfalls(small)["manure_storage"]
    assert item["value"] == pytest.approx(item["size_by_rule"] - 10, rel=EXACT)
    assert "manure_storage" not in shortfalls(plan(PAD, pad=ROCK, store=store))


def test_notes_say_what_closing_grass_leaves():
    item = notes(TWO_WINTERS, {"land": {"fields": {"hill": {"acres": 210}}}})["closing_leaves"]
    assert item["value"] == pytest.approx(210 + 4 - 200, rel=EXACT)
    assert item["days_of_hay"] > 0
    assert "2022-23" in item["sentence"]
    assert "closing_leaves" not in notes(plan(UNROLLED))


def test_notes_say_that_losses_are_left_out_unless_they_are_given():
    given = {"animal_losses": {"cows": {"condition_value_per_lb": 1.0}}}
    assert "animal_losses_not_counted" in notes()
    assert "animal_losses_not_counted" not in notes(given)


def test_notes_say_how_long_the_grass_lasts():
    item = notes(plan({**GRASS, "acres": 10}, UNROLLED))["grass_lasts"]
    assert item["step"] == "stockpile_grazing"
    assert 0 < item["value"] < 100


def test_every_warning_says_what_it_is_about():
    costing, system = costed(
        COLD, CALVING, POOR_HAY, RENTED, plan({**BALES, "spacing_ft": 12}, PAD, pad=ROCK)
    )
    items = warnings_of(costing, system)
    assert items
    for item in items:
        assert any(name in item for name in ABOUT)
        assert {"warning", "value", "limit", "unit", "sentence"} <= item.keys()
