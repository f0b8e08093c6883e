"""What is offered can be taken over as it stands; what tells nothing is left out and says why."""

import json

import pytest

from service.costing.averages import number
from service.costing.engine import cost
from service.costing.quantities import acres_damaged_by_draw
from service.demo import demo_document
from service.scenarios.merge_patch import patched
from service.season.figures import figure_of
from service.season.own_figures.document import own_figures_document
from service.season.own_figures.offered import rounded
from service.season.own_figures.records import LeftOut
from service.season.own_figures.waste import NOT_ENOUGH, TOO_LITTLE, TOO_MUCH
from service.web.reading import scenario_of
from tests.season.own_figures.made_record import (
    LOT,
    OPEN_RING,
    cattle,
    cattle_alone,
    figure,
    firm,
    lived,
    minutes_times,
    noted,
    offered,
    record,
    table,
    times,
    value_of,
    whole_farm,
)

KINDS = ["waste", "minutes", "damage"]
TRUTH = {OPEN_RING: 0.30, **minutes_times(1.4), **times(0.7, "trampling.sqft_per_au_day.")}
NAMES = ("2014-15", "2017-18", "2021-22", "2025-26")


def acres(costing):
    return {
        key: number(acres_damaged_by_draw(costing, system).sum(axis=0))
        for key, system in costing.systems.items()
    }


def why(found, kind):
    return [left.why for left in figure(found, kind).left_out]


def test_the_patch_gives_a_scenario_that_costs_with_what_was_offered():
    farm = cattle()
    found = offered(farm, [record(farm, name, TRUTH) for name in NAMES])
    scenario = scenario_of(patched(cattle_alone(), found.patch))
    assert cost(scenario).case.value(OPEN_RING) == pytest.approx(
        value_of(figure(found, "waste"), OPEN_RING), rel=5e-4
    )
    assert set(found.patch) == {"assumptions"}
    assert [item.kind for item in found.figures] == KINDS
    assert set(found.patch["assumptions"]) == {
        value.path.removeprefix("assumptions.") for item in found.figures for value in item.values
    }


def test_winters_taken_over_once_do_not_count_twice():
    farm = cattle()
    first = offered(farm, [record(farm, name, TRUTH) for name in NAMES])
    accepted = scenario_of(patched(cattle_alone(), first.patch))
    second = offered(accepted, [record(accepted, name, TRUTH) for name in NAMES])
    assert second.patch["assumptions"] == pytest.approx(first.patch["assumptions"], rel=1e-3)
    assert "Your scenario has" in figure(second, "waste").words


def test_values_have_four_significant_figures_in_the_patch_alone():
    farm = cattle()
    found = offered(farm, [record(farm, "2014-15", TRUTH)])
    own = value_of(figure(found, "waste"), OPEN_RING)
    assert found.patch["assumptions"][OPEN_RING] == float(f"{own:.4g}") != own
    assert [rounded(value) for value in (0.0, 0.0123456, 98.7654, 1234.56)] == [
        0.0,
        0.01235,
        98.77,
        1235.0,
    ]


def test_acres_remembered_are_carried_by_the_values_and_leave_the_scenario():
    document = patched(demo_document(), {"land": {"acres_repaired_last_spring": 4.0}})
    farm = scenario_of(document)
    before = cost(farm)
    scale = number(before.scale.value)
    assert scale < 0.9
    winters = [noted(farm, name, acres_to_fix=lived(farm, name, {}).acres_in_all) for name in NAMES]
    found = offered(farm, winters)
    assert figure(found, "damage").ratio == pytest.approx(1)
    after = cost(scenario_of(patched(document, found.patch)))
    assert after.case.scenario.land.acres_repaired_last_spring is None
    assert acres(after) == pytest.approx(acres(before), rel=1e-3)
    assert "repaired last spring" in figure(found, "damage").words
    plain = patched(document, {"land": {"acres_repaired_last_spring": None}})
    assert acres(cost(scenario_of(plain))) != pytest.approx(acres(before), rel=1e-3)


def test_without_damage_to_offer_the_acres_remembered_stay():
    farm = scenario_of(patched(demo_document(), {"land": {"acres_repaired_last_spring": 4.0}}))
    found = offered(farm, [noted(farm, "2014-15", labor_hours=300)])
    assert "land" not in found.patch


def test_nothing_recorded_offers_nothing_and_says_so():
    found = offered(cattle(), [])
    assert found.patch == {}
    for item in found.figures:
        assert (item.values, item.winters, item.mean_ratio, item.weight) == ((), (), None, 0)
        assert item.words.startswith("No recorded winter tells")
        assert item.low < 1 < item.high


def test_a_winter_of_which_nothing_was_written_down_is_left_out_of_all_three():
    farm = cattle()
    found = offered(farm, [noted(farm, "2014-15")])
    assert [why(found, kind) for kind in KINDS] == [
        ["the bales fed were not written down"],
        ["neither hours nor minutes a day were written down"],
        ["the acres to fix were not written down"],
    ]


def test_bales_that_cannot_be_are_left_out_with_the_reason():
    farm = cattle()
    eaten = lived(farm, "2014-15", {OPEN_RING: 0.0}).hay_offered_lb / (1050 * 0.87)
    found = offered(
        farm,
        [
            noted(farm, "2014-15", bales_fed=eaten * 0.95),
            noted(farm, "2017-18", bales_fed=eaten * 50),
        ],
    )
    assert figure(found, "waste").left_out == (
        LeftOut("2014-15", TOO_LITTLE),
        LeftOut("2017-18", TOO_MUCH),
    )
    kept = offered(
        farm,
        [
            noted(farm, "2014-15", bales_fed=eaten * 0.95),
            record(farm, "2017-18", TRUTH),
        ],
    )
    assert "2014-15 was left out" in figure(kept, "waste").words


def test_hardly_any_waste_counts_as_a_tenth_of_the_tables():
    farm = cattle()
    winter = record(farm, "2014-15", {OPEN_RING: 0.002})
    found = figure(offered(farm, [winter]), "waste")
    assert found.winters[0].ratio == figure_of("own.least_ratio").usual
    assert "counts as 0.1 times" in found.words


def test_waste_with_which_the_hay_of_the_plan_would_not_last_is_left_out():
    document = cattle_alone()
    lot = {**document["systems"][LOT]["plan"][0], "max_days": 30}
    bales = {
        "method": "bale_grazing",
        "presentation": "bales_in_place",
        "field": "ridge",
        "bales_set_out": 350,
        "spacing_ft": 50,
    }
    document["systems"][LOT]["plan"] = [bales, lot]
    farm = scenario_of(document)
    found = offered(farm, [noted(farm, "2014-15", bales_fed=480)])
    assert why(found, "waste") == [NOT_ENOUGH]


def test_hours_that_cannot_be_are_left_out():
    farm = cattle()
    found = offered(
        farm,
        [noted(farm, "2014-15", labor_hours=30_000), noted(farm, "2017-18", labor_hours=0)],
    )
    first, second = why(found, "minutes")
    assert "slip of the pen" in first
    assert second == "no hours of people to hold against the tables"


def test_more_acres_than_there_are_and_winters_that_hurt_nothing_are_left_out():
    farm = cattle()
    found = offered(
        farm,
        [
            noted(farm, "2014-15", acres_to_fix=9),
            noted(farm, "2017-18", ground_days=firm(4), acres_to_fix=0),
        ],
    )
    first, second = why(found, "damage")
    assert "more than the plan's ground" in first
    assert "under 0.25 acre is expected" in second


def test_no_acres_count_as_a_small_area():
    farm = cattle()
    winters = [noted(farm, "2014-15", acres_to_fix=acres) for acres in (0, 0.25)]
    none, small = figure(offered(farm, winters), "damage").winters
    assert none.ratio == small.ratio < 0.3
    assert none.recorded == 0


def test_a_winter_whose_ground_is_not_known_tells_of_waste_and_time_but_not_of_damage():
    farm = cattle()
    was = lived(farm, "2030-31", TRUTH)
    winter = noted(
        farm,
        "2030-31",
        bales_fed=was.hay_offered_lb / (1050 * 0.87),
        labor_hours=was.labor_hours,
        acres_to_fix=3,
    )
    found = offered(farm, [winter])
    assert figure(found, "waste").winters[0].ratio * table(OPEN_RING) == pytest.approx(0.30)
    assert figure(found, "minutes").winters[0].ratio == pytest.approx(1.4)
    assert figure(found, "damage").winters == ()
    assert "ground in that winter are not known" in why(found, "damage")[0]


def test_only_what_was_in_use_is_offered_to_another_system():
    farm = whole_farm()
    winter = record(farm, "2014-15", times(1.5, "hay_waste."))
    found = figure(offered(farm, [winter], "lot_better_feeders"), "waste")
    assert [value.path for value in found.values] == ["assumptions.hay_waste.sheep_rack"]
    lone = cattle()
    away = offered(farm, [record(lone, "2014-15", TRUTH)], "roofed_pad")
    assert why(away, "waste") == ["nothing that this system uses was in use that winter"]


def test_a_winter_that_the_plan_does_not_fit_is_left_out_of_all_three():
    document = cattle_alone()
    document["systems"][LOT]["plan"][0]["max_days"] = 140
    farm = scenario_of(document)
    winter = noted(farm, "2014-15", ground_days=firm(200), bales_fed=600, labor_hours=200)
    found = offered(farm, [winter])
    for kind in KINDS:
        assert why(found, kind)[0].startswith("the plan does not fit that winter:")


def test_a_scenario_that_takes_nothing_from_the_tables_is_offered_nothing():
    document = cattle_alone()
    used = cost(cattle()).case.used
    document["assumptions"] = {**used, **document["assumptions"]}
    document["reference_edition"] = "none"
    farm = scenario_of(document)
    assert offered(farm, [record(farm, "2014-15", {OPEN_RING: 0.3})]).patch == {}


def test_values_are_held_inside_their_range_and_say_so():
    document = cattle_alone()
    plan = document["systems"][LOT]["plan"][0]
    ways = ("ring_open", "no_feeder")
    rings, ground = (
        scenario_of(
            patched(document, {"systems": {LOT: {"plan": [{**plan, "presentation": way}]}}})
        )
        for way in ways
    )
    both = {group: ways[group == "bulls"] for group in document["herd"]}
    mixed = {"systems": {LOT: {"plan": [{**plan, "presentation": both}]}}}
    winters = [record(rings, name, {OPEN_RING: 0.85}) for name in NAMES]
    winters += [record(ground, "2014-15", {"hay_waste.no_feeder": 0.70})]
    found = offered(scenario_of(patched(document, mixed)), winters)
    waste = figure(found, "waste")
    # wet ground adds 0.15 to hay without a feeder, and no more than 0.9 can be wasted
    held = value_of(waste, "hay_waste.no_feeder")
    assert held == pytest.approx(0.75)
    assert held < table("hay_waste.no_feeder") * waste.ratio
    assert "Held at the most that the tables allow: assumptions.hay_waste.no_feeder" in waste.words
    cost(scenario_of(patched(patched(document, mixed), found.patch)))


def test_the_words_tell_winters_tables_weight_and_range():
    farm = cattle()
    found = figure(offered(farm, [record(farm, name, TRUTH) for name in NAMES]), "waste")
    value = found.values[0]
    assert found.words == (
        f"Four winters say 0.30 of the hay put in open rings is wasted; the tables say 0.18. With "
        f"four winters your own count for {found.weight * 100:.0f} %, so {value.own:.2f} is "
        f"offered, likely between {value.low:.2f} and {value.high:.2f}."
    )


def test_the_document_is_plain_json_and_gives_reasons_by_season():
    farm = cattle()
    found = offered(farm, [record(farm, "2014-15", TRUTH), noted(farm, "2017-18")])
    body = json.loads(json.dumps(own_figures_document(found), allow_nan=False))
    assert list(body) == ["figures", "patch", "method"]
    waste = body["figures"][0]
    assert waste["left_out"] == [
        {"season": "2017-18", "why": "the bales fed were not written down"}
    ]
    assert waste["winters"][0]["season"] == "2014-15"
    assert waste["values"][0]["path"] == f"assumptions.{OPEN_RING}"
