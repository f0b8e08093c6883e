"""Two systems cost the same at every root that is told, and at none that is not."""

import json
import math
from itertools import pairwise

import numpy as np
import pytest

from service.analysis.break_even import break_even
from service.analysis.questions import BreakEven
from service.costing.errors import InputError
from service.costing.margin import farm_margin
from service.demo import demo_document
from tests.analysis.two_systems import (
    ACRES,
    FENCE,
    HAY,
    STOCKPILE,
    WIRE,
    annual_with,
    costed_with,
    crossing,
    subject_of,
    two_systems,
)
from tests.engine.small_farm import GRASS, UNROLLED

SAME = 1e-9
DEMO = demo_document()
PAIR = ("lot_better_feeders", "grass_first")
LOT = {"method": "sacrifice_lot", "field": "yard", "presentation": "ring_open"}
PRICE = "hay.price_per_ton"
HEAD = "herd.cows.head"


def refused(document, **asked):
    question = {"input": PRICE, "low": 10, "high": 200, "systems": (HAY, STOCKPILE)} | asked
    with pytest.raises(InputError) as error:
        break_even(subject_of(document), BreakEven(**question))
    return {fault.input: fault for fault in error.value.faults}


def holds_at_every_root(document, path, answer):
    """Cost both systems at each root in a run of its own."""
    for point in answer["points"]:
        first, second = answer["at_low"]
        costs = annual_with(document, path, point["value"])
        assert costs[first] == pytest.approx(costs[second], rel=SAME)
        assert point["annual_equivalent_cost"] == pytest.approx(costs[first], rel=SAME)


def test_two_cost_lines_cross_where_the_textbook_says():
    # textbook: lines F + v x cross at (F of B - F of A) / (v of A - v of B); F and v from two
    # costings. Both costs of the demo are linear in the price of hay.
    costs = {price: annual_with(DEMO, PRICE, price) for price in (50, 150)}
    slope = {key: (costs[150][key] - costs[50][key]) / 100 for key in PAIR}
    fixed = {key: costs[50][key] - slope[key] * 50 for key in PAIR}
    first, second = PAIR
    expected = (fixed[second] - fixed[first]) / (slope[first] - slope[second])
    answer = crossing(DEMO, PRICE, 40, 400, PAIR)
    [point] = answer["points"]
    assert point["value"] == pytest.approx(expected, rel=SAME)
    assert point["annual_equivalent_cost"] == pytest.approx(
        fixed[first] + slope[first] * expected, rel=SAME
    )
    assert (point["cheaper_below"], point["cheaper_above"]) == PAIR
    assert answer["cheaper_throughout"] is None
    assert answer["unit"] == "USD/ton"
    assert answer["base"] == 98
    holds_at_every_root(DEMO, PRICE, answer)


def test_costs_at_the_ends_and_at_base_are_those_of_costings():
    answer = crossing(DEMO, PRICE, 40, 400, PAIR)
    for member, price in (("at_low", 40), ("at_base", 98), ("at_high", 400)):
        costs = annual_with(DEMO, PRICE, price)
        assert answer[member] == pytest.approx({key: costs[key] for key in PAIR}, rel=SAME)


def test_a_farm_whose_costs_bend_has_two_roots():
    # made so: a fence that few acres do not pay for, hay saved up to what is eaten, and forage
    # forgone on acres that nobody eats
    document = two_systems()
    answer = crossing(document, ACRES, 1, 1200)
    assert [(p["cheaper_below"], p["cheaper_above"]) for p in answer["points"]] == [
        (HAY, STOCKPILE),
        (STOCKPILE, HAY),
    ]
    holds_at_every_root(document, ACRES, answer)
    few, many = (point["value"] for point in answer["points"])
    for acres in np.linspace(1, 1200, 41):
        costs = annual_with(document, ACRES, float(acres))
        assert (costs[STOCKPILE] < costs[HAY]) == (few < acres < many)


def test_two_roots_closer_than_the_points_looked_at_are_both_found():
    # made so: the fence costs all but a sliver of what grass saves at its best acreage
    document = two_systems()
    grid = [annual_with(document, ACRES, float(acres)) for acres in range(60, 260, 4)]
    best = max(costs[HAY] - costs[STOCKPILE] for costs in grid)
    dearer = {name: annual_with(document, FENCE, price) for name, price in (("a", 0), ("b", 1000))}
    per_unit = (dearer["b"][STOCKPILE] - dearer["a"][STOCKPILE]) / 1000
    document["systems"][STOCKPILE]["structures"]["wire"]["price"] = 6000 + (best - 20) / per_unit
    answer = crossing(document, ACRES, 1, 1200)
    low, high = (point["value"] for point in answer["points"])
    assert high - low < 1199 / 128
    holds_at_every_root(document, ACRES, answer)


def test_where_one_system_is_cheaper_throughout_it_is_named():
    answer = crossing(two_systems(), ACRES, 50, 200)
    assert answer["points"] == answer["jumps"] == answer["equal_between"] == []
    assert answer["cheaper_throughout"] == STOCKPILE
    assert not answer["same_throughout"]


def test_an_input_that_moves_both_alike_has_no_point():
    document = two_systems(twin={"plan": [UNROLLED], "structures": {"wire": WIRE}})
    answer = crossing(document, PRICE, 10, 200, (HAY, "twin"))
    costs = [answer["at_high"][key] - answer["at_low"][key] for key in (HAY, "twin")]
    assert costs[0] > 0
    assert costs[0] == pytest.approx(costs[1], rel=SAME)
    assert answer["points"] == []
    assert answer["cheaper_throughout"] == HAY


def test_systems_that_are_the_same_are_said_to_be_the_same():
    twin = two_systems()["systems"][STOCKPILE]
    answer = crossing(two_systems(twin=twin), PRICE, 10, 200, ("twin", STOCKPILE))
    assert answer["same_throughout"]
    assert answer["cheaper_throughout"] is None
    assert answer["points"] == []
    assert [(s["low"], s["high"]) for s in answer["equal_between"]] == [(10, 200)]


def test_a_limit_that_no_longer_binds_leaves_a_stretch_of_the_same_cost():
    capped = {"plan": [GRASS | {"key": "grass", "acres": 20, "max_days": 5}, UNROLLED]}
    document = two_systems(capped=capped | {"structures": {"wire": WIRE}})
    path = "systems.capped.plan.grass.max_days"
    answer = crossing(document, path, 1, 100, ("capped", STOCKPILE))
    grass = costed_with(document, path, 5).systems[STOCKPILE].run.steps[0]
    days = float(grass.served.value.sum(axis=-3)[0, 0, 0])
    [stretch] = answer["equal_between"]
    assert stretch["low"] == pytest.approx(days, rel=1e-6)
    assert stretch["high"] == 100
    assert (stretch["cheaper_below"], stretch["cheaper_above"]) == (STOCKPILE, None)


def test_where_feeders_are_counted_whole_the_cost_jumps_and_no_root_is_told():
    # made so: rings by rule against one ring at a price between what one and two rings cost
    ruled = {"plan": [LOT], "structures": {"rings": {"kind": "feeder"}}}
    fixed = {"plan": [LOT], "structures": {"rings": {"kind": "feeder", "count": 1, "price": 0}}}
    document = two_systems(ruled=ruled, fixed=fixed)
    path = "systems.fixed.structures.rings.price"
    nothing, thousand = (annual_with(document, path, price)["fixed"] for price in (0, 1000))
    few, many = (annual_with(document, HEAD, head) for head in (10, 60))
    gaps = [costs["ruled"] - costs["fixed"] for costs in (few, many)]
    price = sum(gaps) / 2 / ((thousand - nothing) / 1000)
    document["systems"]["fixed"]["structures"]["rings"]["price"] = price
    answer = crossing(document, HEAD, 10, 60, ("ruled", "fixed"))
    assert answer["points"] == []
    [jump] = answer["jumps"]
    assert (jump["cheaper_below"], jump["cheaper_above"]) == ("ruled", "fixed")
    assert f"{jump['value']:.10g}" in jump["sentence"]
    for head, cheaper in ((jump["value"] - 1e-6, "ruled"), (jump["value"] + 1e-6, "fixed")):
        costs = annual_with(document, HEAD, head)
        assert min(("ruled", "fixed"), key=costs.__getitem__) == cheaper


def test_whole_numbers_are_looked_at_one_by_one():
    # made so: a fence that is dear over few years and pays over many
    document = two_systems()
    document["systems"][STOCKPILE]["structures"]["wire"]["price"] = 22500
    path = "finance.horizon_years"
    years = range(1, 41)
    dearer = {n: (c := annual_with(document, path, n))[STOCKPILE] - c[HAY] for n in years}
    turns = [n for before, n in pairwise(years) if dearer[before] * dearer[n] < 0]
    assert len(turns) == 1
    answer = crossing(document, path, 1, 40)
    assert answer["points"] == []
    [jump] = answer["jumps"]
    assert jump["value"] == turns[0]
    assert "whole numbers" in jump["sentence"]


def test_an_input_that_takes_a_run_for_each_value_says_so_and_has_the_same_roots():
    # a roof over the pad keeps rain off it: the more rain, the more manure water without one
    roof = {"kind": "roof", "over": "pad", "price": 3000}
    pad = {"kind": "concrete_pad", "price": 9000}
    store = {"kind": "manure_storage", "storage_days": 90}
    plan = [{"method": "feeding_pad", "structure": "pad", "presentation": "ring_open"}]
    document = two_systems(
        open={"plan": plan, "structures": {"pad": pad, "storage": store}},
        roofed={"plan": plan, "structures": {"pad": pad, "storage": store, "roof": roof}},
    )
    path = "winter.rain_in"
    answer = crossing(document, path, 0, 100, ("open", "roofed"))
    assert any("run of its own" in warning for warning in answer["warnings"])
    [point] = answer["points"]
    assert (point["cheaper_below"], point["cheaper_above"]) == ("open", "roofed")
    holds_at_every_root(document, path, answer)


def test_a_value_that_leaves_animals_unfed_is_not_taken_for_cheap_in_silence():
    document = two_systems(short={"plan": [UNROLLED | {"key": "hay"}], "structures": {}})
    path = "systems.short.plan.hay.max_days"
    answer = crossing(document, path, 1, 120, ("short", HAY))
    assert answer["base"] is None
    assert answer["at_base"] is None
    [warning] = [text for text in answer["warnings"] if "unfed" in text]
    assert warning.startswith("short leaves animals unfed")
    assert "from 1 to" in warning


def test_an_input_that_moves_neither_cost_is_said_to():
    # rings at a price of their own cost the same however many they are
    document = two_systems()
    rings = {"kind": "feeder", "count": 4, "price": 900}
    document["systems"][STOCKPILE]["structures"]["rings"] = rings
    answer = crossing(document, f"systems.{STOCKPILE}.structures.rings.count", 1, 9)
    assert answer["at_low"] == answer["at_high"]
    assert any("moves neither" in text for text in answer["warnings"])


def test_an_input_that_is_not_given_is_varied_as_if_it_were():
    document = two_systems()
    path = f"systems.{STOCKPILE}.plan.grass.max_days"
    answer = crossing(document, path, 1, 15)
    holds_at_every_root(document, path, answer)
    costs = annual_with(document, path, 15)
    assert answer["at_high"] == pytest.approx(costs, rel=SAME)


def test_systems_with_different_herds_break_even_by_what_the_farm_earns():
    margin = {"cows": {"sold_per_head": 0.9, "weight_lb": 520, "price_per_lb": 2}}
    document = two_systems(**{HAY: {"margin": margin}})
    document["systems"][STOCKPILE]["herd_change"] = {"cows": {"head": -8, "price_per_head": 1500}}
    path = f"systems.{HAY}.margin.cows.price_per_lb"
    answer = crossing(document, path, 0.1, 6)
    assert answer["ranked_by"] == "farm_margin"
    [point] = answer["points"]
    assert point["annual_equivalent_cost"] is None
    value = point["value"]
    costing = costed_with(document, path, value)
    # by hand: head x (sold x weight x price) less the winter, and cows sold spread over the years
    rate, years = 0.05, 15
    recovery = rate / (1 - (1 + rate) ** -years)
    winter = {
        key: float(s.account.annual_equivalent.value[0, 0]) for key, s in costing.systems.items()
    }
    keeps = 20 * 0.9 * 520 * value - winter[HAY]
    sells = 12 * 0.9 * 520 * value - winter[STOCKPILE] + 8 * 1500 * recovery
    assert keeps == pytest.approx(sells, rel=SAME)
    assert point["farm_margin"] == pytest.approx(keeps, rel=SAME)
    assert point["costs"] == pytest.approx(winter, rel=SAME)
    assert (point["cheaper_below"], point["cheaper_above"]) == (STOCKPILE, HAY)


def test_what_a_third_system_says_of_earnings_counts_for_two_that_do_not():
    margin = {"cows": {"sold_per_head": 0.9, "weight_lb": 520, "price_per_lb": 2}}
    smaller = {
        "plan": [UNROLLED],
        "structures": {},
        "herd_change": {"cows": {"head": -8, "price_per_head": 1500}},
    }
    document = two_systems(third={"plan": [UNROLLED], "margin": margin}, smaller=smaller)
    answer = crossing(document, PRICE, 10, 300, ("smaller", STOCKPILE))
    for member, price in (("at_low", 10), ("at_high", 300)):
        costing = costed_with(document, PRICE, price)
        margins = {key: farm_margin(costing, key) for key in ("smaller", STOCKPILE)}
        assert answer[member] == pytest.approx(margins, rel=SAME)
    path = "systems.third.margin.cows.price_per_lb"
    [point] = crossing(document, path, 0.1, 6, ("smaller", STOCKPILE))["points"]
    costing = costed_with(document, path, point["value"])
    earned = farm_margin(costing, "smaller")
    assert farm_margin(costing, STOCKPILE) == pytest.approx(earned, rel=SAME)


def test_herds_of_other_sizes_say_what_is_taken_for_granted_of_damage():
    document = two_systems({"land": {"acres_repaired_last_spring": 2}})
    document["systems"][HAY]["plan"] = [LOT]
    assert any("acres repaired" in text for text in crossing(document, HEAD, 10, 30)["warnings"])


def test_an_answer_is_plain_json_without_infinities():
    for answer in (crossing(DEMO, PRICE, 40, 400, PAIR), crossing(two_systems(), ACRES, 1, 1200)):
        assert json.loads(json.dumps(answer, allow_nan=False)) == answer


def test_an_input_that_neither_system_uses_is_refused():
    faults = refused(DEMO, input="systems.rock_pad.structures.pad.price", high=9000, systems=PAIR)
    assert "Neither lot_better_feeders nor grass_first uses" in faults["input"].detail
    faults = refused(two_systems(), input="prices.bedding_per_ton")
    assert "Neither" in faults["input"].detail
    faults = refused(two_systems(), input="assumptions.hay_waste.ring_cone", low=0, high=0.1)
    assert "No system uses" in faults["input"].detail


@pytest.mark.parametrize(
    ("low", "high", "member", "word"),
    [
        (200, 10, "low", "upside down"),
        (10, 10, "low", "empty"),
        (-1, 10, "low", "out of the range"),
        (10, 1e9, "high", "out of the range"),
        (math.nan, 10, "low", "finite"),
        (10, math.inf, "high", "finite"),
    ],
)
def test_a_range_that_is_none_is_refused_at_the_end_that_is_wrong(low, high, member, word):
    assert word in refused(two_systems(), low=low, high=high)[member].detail


@pytest.mark.parametrize(
    ("path", "said", "suggestion"),
    [
        ("hay.pric_per_ton", "did you mean hay.price_per_ton", PRICE),
        ("hay", "is not one value", None),
        ("assumptions.hay_wast.ring_open", "no reference value", "assumptions.hay_waste.ring_open"),
        ("hay.storage", "no number", None),
        ("winter.first_day", "no number", None),
        ("prices.nutrients_bought.n", "no number", None),
        ("assumptions.resting.drainage", "no reference value", None),
        ("hay.price_per_ton,prices.diesel_per_gallon", "one at a time", None),
        ("prices.*", "one at a time", None),
        ("x" * 5000, "no ", None),
        ("", "", None),
    ],
)
def test_a_path_that_leads_to_no_single_number_is_refused(path, said, suggestion):
    fault = refused(two_systems(), input=path)["input"]
    assert said in fault.detail
    if suggestion:
        assert fault.suggestion == suggestion
    assert len(fault.detail) < 800


def test_systems_that_are_unknown_or_one_and_the_same_are_refused():
    fault = refused(two_systems(), systems=("hay_alon", STOCKPILE))["systems"]
    assert fault.suggestion == HAY
    assert "both are the same" in refused(two_systems(), systems=(HAY, HAY))["systems"].detail


def test_too_many_whole_numbers_are_refused_and_so_is_half_of_one():
    path = "systems.grass_first.structures.rings.count"
    document = two_systems()
    document["systems"][STOCKPILE]["structures"]["rings"] = {"kind": "feeder", "count": 4}
    assert "at most 200" in refused(document, input=path, low=1, high=500)["high"].detail
    assert "whole" in refused(document, input=path, low=1.5, high=9)["low"].detail


def test_an_end_with_which_nothing_can_be_costed_is_refused_with_the_reason():
    fault = refused(two_systems(), input=ACRES, low=1, high=3000)["high"]
    assert "cannot be costed" in fault.detail
    fault = refused(two_systems(), input="hay.price_per_bale", low=10, high=90)["input"]
    assert "two prices" in fault.detail


def test_all_faults_are_told_at_once():
    faults = refused(two_systems(), input="hay.pric", low=5, high=1, systems=("a", HAY))
    assert faults.keys() == {"input", "low", "systems"}
