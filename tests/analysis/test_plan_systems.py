"""The plans of a search as systems of the scenario: each can be put into it as it stands.

Every figure of a plan is held against a costing of the scenario with that plan in it.
"""

import pytest

from service.analysis.plan_documents import Writer
from service.analysis.plan_runs import Runner, Shape
from service.analysis.plan_space import numbers_of, settings_in
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.result import costing_document
from service.scenarios.merge_patch import patched
from service.web.reading import scenario_of
from tests.analysis.plan_searches import (
    CLOSE,
    WORKED,
    costed_alone,
    farm,
    figures_in,
    search,
    searched,
    shown,
)

SEARCHES = {
    "demo": ("by_the_ground", {"most_plans": 300}),
    "worked_farm": ("bales_and_pad", {"most_plans": 300}),
    "worked_farm_rows": ("by_the_ground", {"most_plans": 200}),
    "worked_farm_edges": ("shed_and_slab", {"most_plans": 200}),
}


@pytest.mark.parametrize("name", SEARCHES)
def test_the_patch_gives_a_scenario_that_costs_what_was_said(name):
    start, more = SEARCHES[name]
    document = {**farm(name), "reference_edition": "2026.1"}
    answer = searched(document, start, **more)
    assert answer["plans"]
    assert answer["skipped_because"]["not_valid"] == 0
    for plan in answer["plans"]:
        changed = patched(document, plan["patch"])
        [key] = changed["systems"].keys() - document["systems"].keys()
        assert changed["systems"][key] == plan["system"]
        found = figures_in(costing_document(cost(scenario_of(changed))), key)
        assert shown(plan) == pytest.approx(found, rel=CLOSE, abs=CLOSE)
    known = figures_in(costing_document(cost(scenario_of(document))), start)
    assert shown(answer["start_from"]) == pytest.approx(known, rel=CLOSE, abs=CLOSE)


def with_old_floor_under_hay():
    """Return the demo with a hay floor that is there already, and large enough for some plans."""
    document = farm("demo")
    for system in document["systems"].values():
        if "hay_floor" in system["structures"]:
            system["structures"]["hay_floor"] = {
                "kind": "hay_storage",
                "existing_area_sqft": 4_680,
                "remaining_life_years": 9,
                "permit_cost": 900,
            }
    return document


def with_shared_mound():
    """Return a farm where parts of the herd rest on one mound from two steps."""
    mound = {"resting_place": "mound", "hours_on_method": 10}
    lot = {"method": "sacrifice_lot", "presentation": "ring_open", "field": "creek_lot"}
    rolled = {"method": "unrolled_hay", "presentation": "unrolled_daily", "field": "hill_field"}
    plan = [
        {**rolled, **mound, "share_of_herd": 0.4},
        {**lot, **mound, "field": "long_meadow", "share_of_herd": 0.5},
        lot,
    ]
    structures = {"mound": {"kind": "mound"}}
    return {
        **WORKED,
        "baseline": "mound",
        "systems": {"mound": {"plan": plan, "structures": structures}},
    }


@pytest.mark.parametrize(
    ("document", "start", "methods", "steps"),
    [
        (with_old_floor_under_hay(), "by_the_ground", ("bale_grazing", "feeding_pad"), 2),
        (with_shared_mound(), "mound", ("sacrifice_lot", "unrolled_hay"), 3),
        ({**farm("worked_farm_rows"), "reference_edition": "2026.1"}, "by_the_ground", None, 3),
    ],
    ids=["floor under hay", "shared mound", "acres remembered"],
)
def test_every_choice_of_numbers_comes_to_what_it_comes_to_alone(document, start, methods, steps):
    allow = {"methods": methods, "structures": ()}
    work = search(document, start, allow=allow, max_steps=steps)
    writer = Writer(work.sources, work.gear)
    layouts = [work.space.layout(number) for number in range(work.space.layouts)]
    several = sorted(layouts, key=lambda layout: -settings_in(numbers_of(layout)))
    shapes = [
        Shape(layout, range(settings_in(numbers_of(layout))))
        for layout in several[:: max(1, len(several) // 5)]
    ]
    for shape, found in zip(shapes, Runner(work.subject, writer).figures(shapes), strict=True):
        assert found is not None
        for place, values in enumerate(shape.choices):
            system = writer.titled(shape.layout, values)
            if found.unfed[place]:
                with pytest.raises(InputError, match="nowhere to feed"):
                    costed_alone(document, system)
                continue
            alone = costed_alone(document, system)
            here = {name: float(array[place]) for name, array in found.values.items()}
            assert here == pytest.approx(alone, rel=CLOSE, abs=CLOSE)


def test_what_is_allowed_to_be_left_out_is_left_out_and_told_of():
    answer = searched(
        WORKED, "stockpile_first", allow={"structures": ("fence",)}, max_steps=2, top=20
    )
    on_grass = [
        plan["system"]["structures"]
        for plan in answer["plans"]
        if "stockpile_grazing" in {step["method"] for step in plan["system"]["plan"]}
    ]
    assert {"wire" in structures for structures in on_grass} == {True, False}
    assert any("what is lost without fence" in warning for warning in answer["warnings"])
    kept = searched(WORKED, "stockpile_first", allow={"structures": ()}, max_steps=2, top=20)
    assert all(
        "wire" in plan["system"]["structures"]
        for plan in kept["plans"]
        if "stockpile_grazing" in {step["method"] for step in plan["system"]["plan"]}
    )


def test_a_mound_may_be_there_or_not():
    allow = {"methods": ("feeding_pad",), "structures": ("mound", "roof")}
    plans = searched(farm("demo"), "by_the_ground", allow=allow, max_steps=1, top=20)["plans"]
    for plan in plans:
        step, structures = plan["system"]["plan"][0], plan["system"]["structures"]
        assert ("mound" in structures) == (step.get("resting_place") == "mound")
        assert ("resting_place" in step) == (step.get("hours_on_method", 24) < 24)
    gravel = [
        p["system"]["structures"]
        for p in plans
        if p["system"]["structures"]["pad"]["kind"] == "gravel_pad"
    ]
    concrete = [
        p["system"]["structures"]
        for p in plans
        if p["system"]["structures"]["pad"]["kind"] == "concrete_pad"
    ]
    assert {"mound" in structures for structures in gravel} == {True, False}
    assert {"roof" in structures for structures in concrete} == {True, False}


def test_steps_of_other_groups_stay_as_they_are():
    document = farm("demo")
    answer = searched(document, "by_the_ground", most_plans=100, top=20)
    [sheep] = [
        step for step in document["systems"]["by_the_ground"]["plan"] if step["key"] == "sheep"
    ]
    for plan in answer["plans"]:
        *others, last = plan["system"]["plan"]
        assert last == sheep
        assert all(
            step["groups"] == ["cows", "bred_heifers", "heifers", "bulls"] for step in others
        )
        assert plan["system"]["structures"].keys() >= {"racks", "drinker"}
    assert any("Ewes and Rams stay" in warning for warning in answer["warnings"])


def test_feeders_and_storage_come_and_go_with_what_they_are_for():
    document = farm("demo")
    built = document["systems"]["by_the_ground"]["structures"]
    open_rings = document["systems"]["lot_open_rings"]["structures"]["rings"]
    for plan in searched(document, "by_the_ground", most_plans=400, top=20)["plans"]:
        system = plan["system"]
        words = {step.get("presentation") for step in system["plan"]}
        feeders = [item for item in system["structures"].values() if item["kind"] == "feeder"]
        assert (built["rings"] in feeders) == ("ring_solid_bottom" in words)
        assert (open_rings in feeders) == ("ring_open" in words)
        assert ("hay_floor" in system["structures"]) == (
            system.get("hay_storage") == "raised_covered"
        )


def test_the_last_step_takes_all_that_is_left():
    for plan in searched(farm("demo"), "by_the_ground", most_plans=200, top=20)["plans"]:
        last = plan["system"]["plan"][-2]
        assert not last.keys() & {"ground_states", "max_days", "min_spell_days", "share_of_herd"}


def test_storage_for_manure_comes_with_floors_alone():
    document = {**WORKED, "systems": {"barn": WORKED["systems"]["barn"]}, "baseline": "barn"}
    document["systems"] |= {"rings": WORKED["systems"]["rings"]}
    answer = searched(document, "barn", top=20)
    assert answer["skipped"] == 0
    for plan in answer["plans"]:
        kinds = {item["kind"] for item in plan["system"]["structures"].values()}
        assert ("manure_storage" in kinds) == ("pack_floor" in kinds)
