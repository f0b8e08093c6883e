"""The morning card: the demo farm by hand, and what a card may not say."""

from copy import deepcopy
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.caution_table import caution_table
from service.costing.methods import METHODS
from service.costing.units import STATES
from service.demo import demo_document
from service.season.plan.card import card_of, ground_cards
from service.season.plan.card_records import Rule
from service.season.plan.card_stops import Steps, keeps_of, stops_of
from service.season.plan.card_words import FEED, GROUND, MORNING, PUT, TELL, who
from tests.season.plan.chosen import demo_subject, subject_of

SYSTEMS = tuple(demo_document()["systems"])
PAD = "Rock pad, rebuilt and enlarged"
AT_THE_GATE = "prints deeper than 2 in at the gate: to"
"""2 in is the model's own line between light and moderate damage: an assumption of ours."""


@cache
def demo_card(system):
    return card_of(demo_subject(system))


def lines(card, state):
    """Return who, where and the stop rules of each line on a state of the ground."""
    ground = next(ground for ground in card.grounds if ground.state == state)
    return [(step.who, step.where, [rule.sentence for rule in step.stop]) for step in ground.steps]


# The plan of the demo system, in words: Bench's 22 acres on frozen and firm days, then 132 bales on
# Ridge on frozen, snow and firm days, soft days on the pad; the sheep stay on Home Pasture.


@pytest.mark.parametrize("state", ["frozen", "firm"])
def test_grass_comes_first_then_bales_then_the_pad(state):
    assert lines(demo_card("by_the_ground"), state) == [
        ("all cattle", "Long Bench", [f"{AT_THE_GATE} {PAD}", "22 acres grazed off: to Ridge"]),
        ("all cattle", "Ridge", [f"{AT_THE_GATE} {PAD}", f"132 bales eaten: to {PAD}"]),
        ("all cattle", PAD, ["at the end of winter"]),
        ("all sheep", "Home Pasture", ["at the end of winter"]),
    ]


def test_what_is_not_for_a_ground_is_not_on_its_card():
    card = demo_card("by_the_ground")
    assert [where for _, where, _ in lines(card, "snow_covered")] == ["Ridge", PAD, "Home Pasture"]
    assert [where for _, where, _ in lines(card, "wet")] == [PAD, "Home Pasture"]


def test_the_pad_is_for_14_hours_and_the_mound_for_the_rest():
    # hours of the demo's plan
    step = demo_card("by_the_ground").grounds[-1].steps[0]
    assert [rule.sentence for rule in step.keep] == ["14 hours a day, then rest on Mound"]
    assert step.feed == "hay on the pad, in rings with a solid bottom"


def test_wet_grass_is_left_for_ground_that_is_given_up_not_for_more_wet_grass():
    stops = lines(demo_card("grass_first"), "wet")
    assert stops[0][2] == [f"{AT_THE_GATE} Barn Lot", "24 acres grazed off: to Ridge"]
    assert stops[1][2] == [f"{AT_THE_GATE} Barn Lot", "20 acres grazed off: to Barn Lot"]


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_card_has_the_lines_that_the_costing_serves(system):
    served = demo_subject(system).result["quantities"]["served_days"]
    for ground in demo_card(system).grounds:
        expected = [key for key, days in served.items() if days[ground.state] >= 0.05]
        assert [step.step for step in ground.steps] == expected


@pytest.mark.parametrize("system", SYSTEMS)
def test_hay_a_day_over_all_days_is_the_hay_of_the_costing(system):
    # conservation: eaten and wasted of the document, in tons of dry matter
    subject = demo_subject(system)
    quantities = subject.result["quantities"]
    hay = subject.scenario.hay
    pounds, weight = 0.0, 0.0
    for ground in demo_card(system).grounds:
        for step in ground.steps:
            days = quantities["served_days"][step.step][ground.state]
            daily = {one.unit: one.value for one in step.portions if one.days == 1}
            pounds += daily.get("lb", 0) * days
            weight += daily.get("bale", 0) * days * hay.bale_weight_lb
    offered = quantities["hay_eaten_ton_dm"] + quantities["hay_wasted_ton_dm"]
    assert pounds * hay.dry_matter_fraction / 2_000 == pytest.approx(offered)
    assert weight == pytest.approx(pounds)


@pytest.mark.parametrize(("group", "pounds"), [("all cattle", 2_130), ("all sheep", 320)])
def test_hay_a_day_is_near_what_the_herd_eats_by_hand(group, pounds):
    # the demo scenario's own hand check with ordinary intakes, in lb of dry matter; firm ground,
    # no mud and little cold; open rings waste by the edition's usual figure
    subject = demo_subject("lot_open_rings")
    ground = next(one for one in demo_card("lot_open_rings").grounds if one.state == "firm")
    step = next(one for one in ground.steps if one.who == group)
    way = {"all cattle": "ring_open", "all sheep": "sheep_rack"}[group]
    waste = subject.body["inputs_used"]["assumptions"][f"hay_waste.{way}"]
    daily = next(one.value for one in step.portions if one.unit == "lb")
    eaten = daily * subject.scenario.hay.dry_matter_fraction * (1 - waste)
    assert eaten == pytest.approx(pounds, rel=0.05)


def test_strips_of_grass_add_up_to_the_acres_that_were_shut():
    # grass_first eats all of its grass in each of the twelve winters
    subject = demo_subject("grass_first")
    served = subject.result["quantities"]["served_days"]
    for key, acres in (("bench_grass", 24), ("ridge_grass", 20)):
        grazed = sum(
            strip.value / strip.days * served[key][ground.state]
            for ground in demo_card("grass_first").grounds
            for step in ground.steps
            if step.step == key
            for strip in step.portions
        )
        assert grazed == pytest.approx(acres)


def test_bales_a_move_are_bales_a_day_times_its_days():
    step = demo_card("by_the_ground").grounds[0].steps[1]
    daily, moved = (
        next(one.value for one in step.portions if one.unit == "bale" and one.days == days)
        for days in (1, 4)
    )
    assert moved == pytest.approx(4 * daily)


def test_a_share_of_the_herd_takes_the_whole_bales_of_those_animals():
    document = demo_document()
    plan = document["systems"]["rock_pad"]["plan"]
    pad = next(step for step in plan if step["method"] == "feeding_pad")
    lot = {**deepcopy(pad), "method": "sacrifice_lot", "key": "rest", "field": "barn_lot"}
    for name in ("structure", "hours_on_method", "resting_place", "stocking"):
        lot.pop(name, None)
    pad["share_of_herd"] = 0.5
    plan.insert(plan.index(pad) + 1, lot)
    half = card_of(subject_of(document, "rock_pad"))
    firm = next(ground for ground in half.grounds if ground.state == "firm")
    whole = next(one for one in demo_card("rock_pad").grounds if one.state == "firm")
    on_pad, full = firm.steps[0], whole.steps[0]
    assert on_pad.who == "50 % of all cattle"
    # half the animals eat half of what all eat on the same floor
    assert on_pad.portions[0].value == pytest.approx(full.portions[0].value / 2)


# Rules, on made-up steps.

INPUTS = {
    "herd": {
        "cows": {"animal": "beef_cow", "title": "Cows"},
        "ewes": {"animal": "ewe", "title": "Ewes"},
    },
    "land": {"fields": {"hill": {"title": "Hill"}, "lot": {"title": "Lot"}}},
}
EVERY_DAY = dict.fromkeys(STATES, 5.0)


def steps_of(*plan):
    served = {step["key"]: EVERY_DAY for step in plan}
    return Steps(INPUTS, {"plan": list(plan), "structures": {"pad": {}}}, served)


def grass(**more):
    return {
        "key": "grass",
        "method": "stockpile_grazing",
        "field": "hill",
        "acres": 8,
        "groups": ["cows"],
        **more,
    }


def lot(**more):
    return {"key": "lot", "method": "sacrifice_lot", "field": "lot", **more}


def test_a_last_resort_ends_with_winter():
    steps = steps_of(lot())
    assert stops_of(steps, steps.plan[0], "wet") == (Rule("at the end of winter"),)


def test_grass_without_a_next_place_names_none():
    steps = steps_of(grass(), lot(groups=["ewes"]))
    assert stops_of(steps, steps.plan[0], "firm") == (Rule("8 acres grazed off"),)


def test_a_step_before_takes_the_animals_only_off_ground_not_meant_to_be_soft():
    pad = {"key": "pad", "method": "feeding_pad", "structure": "pad", "ground_states": ["wet"]}
    dry = grass(ground_states=["firm"])
    steps = steps_of(pad, dry)
    assert stops_of(steps, dry, "firm")[0] == Rule(AT_THE_GATE, "pad")
    assert stops_of(steps, pad, "wet") == (Rule("when the ground changes"),)
    any_ground = grass()
    assert stops_of(steps_of(pad, any_ground), any_ground, "firm") == (Rule("8 acres grazed off"),)


def test_a_lot_that_is_given_up_is_not_left_for_its_prints():
    first = lot(max_days=40)
    steps = steps_of(first, {"key": "pad", "method": "feeding_pad", "structure": "pad"})
    assert stops_of(steps, first, "wet") == (Rule("after 40 days in all: to", "pad"),)


def test_spells_too_short_go_to_the_next_step():
    first = grass(min_spell_days=3)
    steps = steps_of(first, lot())
    assert Rule("spells shorter than 3 days: to", "Lot") in stops_of(steps, first, "frozen")


def test_the_same_place_is_called_the_next_line():
    first = grass(field="lot")
    steps = steps_of(first, lot())
    assert Rule("8 acres grazed off: to the next line") in stops_of(steps, first, "firm")


def test_moves_and_rest_are_told():
    step = grass(days_per_move=1, hours_on_method=6.5, resting_place="pasture", resting_field="lot")
    assert keeps_of(steps_of(step), step) == (
        Rule("move the wire every day"),
        Rule("6.5 hours a day, then rest on", "Lot"),
    )
    alone = grass(hours_on_method=10)
    assert keeps_of(steps_of(alone), alone) == (Rule("10 hours a day, then back to rest"),)


@given(
    states=st.lists(st.sets(st.sampled_from(STATES)), min_size=1, max_size=5),
    groups=st.lists(st.sampled_from([None, ["cows"], ["ewes"]]), min_size=5, max_size=5),
    state=st.sampled_from(STATES),
)
def test_no_rule_sends_animals_to_a_step_that_is_not_theirs(states, groups, state):
    plan = [
        grass(key=f"step_{i}", field=f"field_{i}", ground_states=sorted(allowed) or None, groups=of)
        for i, (allowed, of) in enumerate(zip(states, groups, strict=False))
    ]
    steps = steps_of(*plan)
    for step in plan:
        mine = set(step["groups"] or INPUTS["herd"])
        for rule in stops_of(steps, step, state):
            if rule.place:
                to = plan[int(rule.place.removeprefix("field "))]
                assert to is not step
                assert mine & set(to["groups"] or INPUTS["herd"])


# Words.


def test_animals_are_called_by_their_kind_or_by_their_groups():
    herd = {**INPUTS["herd"], "bulls": {"animal": "bull"}, "rams": {"animal": "ram"}}
    assert who(herd, {}) == "all animals"
    assert who(herd, {"groups": ["cows", "bulls"]}) == "all cattle"
    assert who(herd, {"groups": ["ewes", "rams"]}) == "all sheep"
    assert who(herd, {"groups": ["cows", "rams"]}) == "Cows and rams"
    assert who({"ewes": herd["ewes"]}, {}) == "Ewes"


def test_every_method_presentation_and_ground_has_its_words():
    from typing import get_args  # noqa: PLC0415 - of one test

    from service.costing.methods.step import Presentation  # noqa: PLC0415 - of one test

    assert set(FEED) == set(METHODS)
    assert set(PUT) == set(get_args(Presentation))
    assert tuple(GROUND) == tuple(TELL) == STATES


def test_morning_cautions_are_cautions_there_are():
    assert set(MORNING) <= set(caution_table())


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_card_speaks_only_of_cautions_that_the_system_triggers(system):
    triggered = {one["caution"] for one in demo_subject(system).result["cautions"]}
    spoken = {one.caution for one in demo_card(system).cautions}
    assert spoken == triggered & set(MORNING)
    assert ("manure_gas" in spoken) == (system in {"roofed_pad", "pack_barn"})
    assert ("electric_fence" in spoken) == (system in {"grass_first", "by_the_ground"})


def test_rules_without_a_source_say_so():
    card = demo_card("by_the_ground")
    assert card.tell_mark == "common practice, no source"
    assert card.rules_mark == "assumption"


def test_without_the_engine_the_card_is_the_same_but_for_amounts():
    subject = demo_subject("by_the_ground")
    plain = ground_cards(subject.body, subject.result)
    full = demo_card("by_the_ground").grounds
    assert [one.state for one in plain] == [one.state for one in full]
    assert all(not step.portions for ground in plain for step in ground.steps)
    assert [[step.stop for step in one.steps] for one in plain] == [
        [step.stop for step in one.steps] for one in full
    ]
