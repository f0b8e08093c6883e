"""Plans within limits, against sums worked by hand and against every plan costed one by one.

That a search that looks at all plans finds what trying all of them finds is its own check: the
loops below write the plans down apart from the search, from the documents of the farm.
"""

import itertools

import pytest

from service.costing.engine import cost
from service.costing.errors import InputError
from service.web.reading import scenario_of
from tests.analysis.hand_farm import GRASS, HAY, HEAD, hand_farm
from tests.analysis.plan_searches import (
    CLOSE,
    FIGURES,
    WORKED,
    costed_alone,
    search,
    searched,
    shown,
)

HARD = ["frozen", "snow_covered"]
BEARS = [*HARD, "firm"]
THAWED = ["firm", "wet"]


# By hand: an acre of grass is the winter of one animal and costs 40, its hay costs 150.


def grass(acres, most_days_share=1.0):
    """Return the cost of so many acres shut, and hay for what they do not feed."""
    fed = min(acres, HEAD * most_days_share)
    return acres * GRASS + (HEAD - fed) * HAY


def test_hay_and_grass_are_ranked_as_worked_by_hand():
    answer = searched(hand_farm(), "grass", top=20)
    on_all, on_firm = ([grass(acres, days) for acres in (20, 40, 60)] for days in (1.0, 0.6))
    expected = sorted([HEAD * HAY, *on_all, *on_firm])
    assert [plan["annual_equivalent_cost"] for plan in answer["plans"]] == pytest.approx(expected)
    assert answer["searched"] == answer["plans_in_all"] == answer["feasible"] == len(expected)
    assert answer["exhaustive"]
    assert answer["plans"][0]["system"]["plan"][0]["acres"] == HEAD


def test_a_limit_on_cash_leaves_what_buys_little_hay():
    answer = searched(hand_farm(), "hay", limits={"first_year_cash": 2_400.001}, top=20)
    hay = [(HEAD - min(acres, HEAD * days)) * HAY for acres in (20, 40, 60) for days in (1.0, 0.6)]
    within = sorted(bought for bought in [*hay, HEAD * HAY] if bought <= 2_400.001)
    found = sorted(plan["first_year_cash"] for plan in answer["plans"])
    assert found == pytest.approx(within, abs=1e-6)
    assert answer["start_from"]["misses"]["first_year_cash"] == pytest.approx(HEAD * HAY - 2_400)


def test_grass_is_never_shut_on_more_than_the_field():
    document = hand_farm({"land": {"fields": {"meadow": {"acres": 45}}}})
    answer = searched(document, "grass", top=20)
    acres = {plan["system"]["plan"][0].get("acres") for plan in answer["plans"]}
    assert acres == {None, 20, 40, 45}


def test_a_plan_that_leaves_animals_unfed_is_no_plan():
    document = hand_farm(
        {"systems": {"grass": {"plan": [dict(hand_farm()["systems"]["grass"]["plan"][0])]}}}
    )
    answer = searched(document, "grass", top=20)
    too_little = {**document["systems"]["grass"]["plan"][0], "acres": 20}
    with pytest.raises(InputError, match="nowhere to feed"):
        cost(
            scenario_of(
                {**document, "systems": {**document["systems"], "x": {"plan": [too_little]}}}
            )
        )
    alone = [plan for plan in answer["plans"] if len(plan["system"]["plan"]) == 1]
    assert {plan["system"]["plan"][0].get("acres") for plan in alone} == {None, 40, 60}
    assert answer["skipped_because"]["animals_unfed"] > 0
    assert any("nowhere to feed" in warning for warning in answer["warnings"])


# Every plan of a small space, written down apart from the search.

ALLOW = {
    "methods": ("bale_grazing", "feeding_pad", "sacrifice_lot"),
    "presentations": ("bales_in_place", "ring_open", "ring_solid_bottom"),
    "structures": (),
}


def every_plan():
    """Yield each system of at most two steps that the words above allow."""
    own = WORKED["systems"]["bales_and_pad"]
    bale, pad = own["plan"]
    lot = WORKED["systems"]["rings"]["plan"][0]
    pieces = own["structures"]
    with_bales = {name: pieces[name] for name in ("lane", "drinker", "pipe")}
    with_pad = {**with_bales, "pad": pieces["pad"]}
    rings = {"rings": pieces["rings"]}
    pads = [
        ({**pad, "presentation": word}, with_pad | rings) for word in ALLOW["presentations"][1:]
    ]
    lots = [({**lot, "presentation": word}, rings) for word in ALLOW["presentations"][1:]]
    bales = []
    for states, set_out in itertools.product((None, BEARS, HARD), (102, 205, 308)):
        step = {**bale, "bales_set_out": set_out}
        del step["ground_states"]
        bales.append((step | ({"ground_states": states} if states else {}), with_bales))
    for last in (*pads, *lots):
        yield [last]
        yield from ([first, last] for first in bales)
    for states in (["wet"], THAWED):
        for one, other in (*itertools.product(pads, lots), *itertools.product(lots, pads)):
            yield [({**one[0], "ground_states": states}, one[1]), other]


def systems():
    for steps in every_plan():
        plan = [{**step, "key": f"step_{number}"} for number, (step, _) in enumerate(steps)]
        yield {"plan": plan, "structures": {k: v for _, part in steps for k, v in part.items()}}


@pytest.fixture(scope="module")
def tried():
    """All plans costed one by one, the cheapest first."""
    figures = [costed_alone(WORKED, system) for system in systems()]
    return sorted(figures, key=lambda item: item["annual_equivalent_cost"])


def asked(**more):
    return searched(WORKED, "bales_and_pad", allow=ALLOW, max_steps=2, top=20, **more)


def within(tried, **limits):
    return [item for item in tried if all(item[name] <= most for name, most in limits.items())]


def same(plans, tried):
    for plan, item in zip(plans, tried, strict=True):
        assert shown(plan) == pytest.approx(item, rel=CLOSE, abs=CLOSE)


def test_the_search_finds_what_trying_every_plan_finds(tried):
    answer = asked()
    assert answer["exhaustive"]
    assert answer["searched"] == len(tried)
    same(answer["plans"], tried[:20])


@pytest.mark.parametrize("limit", FIGURES[1:])
@pytest.mark.parametrize("part", [0.3, 0.6])
def test_under_a_limit_too(tried, limit, part):
    values = sorted({round(item[limit], 6) for item in tried})
    most = values[int(part * (len(values) - 1))] + 1e-6
    meets = within(tried, **{limit: most})
    answer = asked(limits={limit: most})
    assert answer["feasible"] == len(meets)
    same(answer["plans"], meets[:20])
    excludes = tried[0][limit] > most
    assert answer["binding"] == ([limit] if excludes else [])


def test_limits_are_held_together(tried):
    held = tried[len(tried) // 2]
    names = ("labor_hours", "acres_damaged", "money_up_front")
    limits = {name: held[name] + 1e-6 for name in names}
    meets = within(tried, **limits)
    assert 0 < len(meets) < len(tried)
    answer = asked(limits=limits)
    same(answer["plans"], meets[:20])
    cheaper = [
        item
        for item in tried
        if item["annual_equivalent_cost"] < meets[0]["annual_equivalent_cost"]
    ]
    excluding = {
        name for name, most in limits.items() if any(item[name] > most for item in cheaper)
    }
    assert set(answer["binding"]) == excluding


def test_where_none_meets_the_limits_those_that_come_nearest_are_shown(tried):
    limits = {"labor_hours": 0.0, "acres_damaged": 0.0, "money_up_front": 10.0}
    answer = asked(limits=limits)
    assert answer["plans"] == []
    assert answer["feasible"] == 0
    assert {item["limit"] for item in answer["nearest"]} == limits.keys()
    for item in answer["nearest"]:
        name = item["limit"]
        assert item[name] == pytest.approx(min(each[name] for each in tried), rel=CLOSE)
        missed = {key: item[key] - most for key, most in limits.items() if item[key] > most}
        assert item["misses"] == pytest.approx(missed)
    assert any("No plan meets" in warning for warning in answer["warnings"])


def test_plans_whose_figures_nobody_gives_are_skipped_and_counted(tried):
    document = {**WORKED, "reference_edition": "none"}
    possible = []
    for system in systems():
        try:
            possible.append(costed_alone(document, system))
        except InputError:
            continue
    answer = searched(document, "bales_and_pad", allow=ALLOW, max_steps=2, top=20)
    assert 0 < len(possible) < len(tried)
    assert answer["skipped"] == answer["skipped_because"]["not_valid"]
    assert answer["skipped"] == len(tried) - len(possible)
    possible.sort(key=lambda item: item["annual_equivalent_cost"])
    same(answer["plans"], possible[:20])


# The same question has the same answer.


def test_parts_come_to_the_same_in_any_order_and_by_any_worker():
    def ask():
        return search(WORKED, "bales_and_pad", most_plans=1_000, seed=4)

    work, other = ask(), ask()
    assert work.total > 1
    backwards = {number: other.part(number) for number in reversed(range(other.total))}
    parts = [work.part(number) for number in range(work.total)]
    assert parts == [backwards[number] for number in range(work.total)]
    assert work.result(parts) == other.result(parts)


def test_plans_that_are_not_looked_at_are_told_of():
    answer = asked(most_plans=11)
    assert answer["searched"] == 11
    assert not answer["exhaustive"]
    assert answer["plans_in_all"] > 11
    assert f"{answer['plans_in_all']:,} plans, and 11 were looked at" in answer["warnings"][0]
    assert asked(most_plans=11) == answer


def test_another_seed_picks_other_plans():
    found = [
        [plan["title"] for plan in asked(most_plans=11, seed=seed)["plans"]] for seed in (1, 2)
    ]
    assert found[0] != found[1]


def test_more_room_never_costs_more():
    costs = [
        asked(limits={"acres_damaged": acres})["plans"][0]["annual_equivalent_cost"]
        for acres in (2.5, 3.0, 4.0, 6.0)
    ]
    assert costs == sorted(costs, reverse=True)


def test_a_plan_is_called_what_it_does():
    titles = [plan["title"] for plan in asked()["plans"]]
    assert titles[0] == "The lot on Creek lot (solid-bottom rings)"
    assert titles[1] == (
        "205 bales set out on Hill field on frozen, snow-covered and firm ground, then the gravel "
        "pad by day (solid-bottom rings)"
    )
