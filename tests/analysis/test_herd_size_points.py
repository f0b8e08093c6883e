"""Each herd size against the costing of it by itself; ground, and animals that are not fed."""

import copy

import pytest

from service.analysis.herd_size import herd_size
from service.analysis.questions import Axis, HerdSize
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.costing.comparison import annual
from service.costing.engine import cost
from service.web.reading import scenario_of
from tests.analysis.hand_farm import HAY, STATES, asked_of, hand_farm
from tests.analysis.herd_sizes import COWS, ask, margins
from tests.support import situations as of

CLOSE = 1e-9


@pytest.mark.parametrize("system", list(of.all_systems()))
def test_each_point_costs_what_its_own_costing_says(system):
    document = of.farm()
    heads = [35.0, 60.0, 71.0]
    answer = ask(document, system, heads, return_per_head=900.0, other_costs_per_head=300.0)
    for head, point in zip(heads, answer["points"], strict=True):
        alone = asked_of(document).changed({COWS: head})
        expected = annual(cost(alone.scenario).systems[system])
        assert point["fed"]
        assert point["winter_cost"] == pytest.approx(expected, rel=CLOSE)
        assert point["farm_margin"] == pytest.approx(head * 600 - expected, rel=CLOSE)


def test_each_point_serves_the_whole_winter():
    document = of.farm()
    days = sum(
        row["weight"] * sum(row["ground_days"].values()) for row in document["winter"]["rows"]
    ) / sum(row["weight"] for row in document["winter"]["rows"])
    for system in ("grass", "bales", "unrolled"):
        answer = ask(document, system, [20, 60, 300], return_per_head=1.0, other_costs_per_head=0.0)
        for point in answer["points"]:
            assert sum(point["served_days"].values()) == pytest.approx(days), system


def test_nothing_shut_costs_what_the_plan_without_its_step_costs():
    document = of.farm()
    without = copy.deepcopy(document)
    del without["systems"]["grass"]["plan"][0]
    answer = ask(document, values=[60], acres=[0, 30], return_per_head=1.0, other_costs_per_head=0)
    expected = annual(cost(scenario_of(without)).systems["grass"])
    assert answer["points"][0]["winter_cost"] == pytest.approx(expected, rel=CLOSE)
    assert answer["points"][0]["served_days"]["stockpile_grazing"] == 0
    assert answer["points"][1]["served_days"]["stockpile_grazing"] > 0


def test_many_winters_alike_are_worked_in_parts_and_cost_what_one_does():
    winter = hand_farm()["winter"]
    row = {"ground_days": winter.pop("ground_days")}
    document = hand_farm() | {"winter": winter | {"rows": [row] * 2_000}}
    heads = [float(head) for head in range(21, 61)]
    question = HerdSize(system="grass", head=Axis(input=COWS, values=tuple(heads)))
    work = herd_size(asked_of(document), question)
    assert work.total > 1
    backwards = {number: work.part(number) for number in reversed(range(work.total))}
    answer = work.result(backwards[number] for number in range(work.total))
    one = ask(hand_farm(), values=heads)
    assert margins(answer) == pytest.approx(margins(one))
    assert answer["break_even_price_per_lb"]["today_against_more"]["head"] == 41


# Ground, and animals that are not fed.


def test_the_memory_of_last_spring_is_of_todays_herd():
    # 3 acres repaired by 40 head at $100 an acre: 20 head damage 1.5 acres, 80 head 6
    damage = {
        f"trampling.{what}.sacrifice_lot.well.{state}": value
        for what, value in (("severity", "severe"), ("sqft_per_au_day", 40))
        for state in STATES
    }
    document = hand_farm(
        {
            "land": {"acres_repaired_last_spring": 3, "forage_value_per_ton_dm": 0},
            "assumptions": damage
            | {"restoration.cost_per_acre.severe": 100}
            | {f"restoration.forage_loss.severe.{year}": 0 for year in (1, 2, 3)},
        }
    )
    answer = ask(document, "hay", [20, 40, 80])
    repair = [point["winter_cost"] - point["head"] * HAY for point in answer["points"]]
    assert repair == pytest.approx([150, 300, 600])
    assert any("last spring" in warning for warning in answer["warnings"])


def crowded():
    """Return a farm whose pad has room for sixty cows at 100 sq ft, and no step after it."""
    plan = [of.on_pad(presentation="ring_solid_bottom")]
    pad = {"pad": of.pad(area_sqft=6_000.0)}
    return of.farm(
        {"pad": {"plan": plan, "structures": pad}},
        herd={"cows": of.cows(50.0)},
        assumptions={"space.gravel_pad.beef_cow": 100.0},
    )


def test_a_herd_that_is_not_fed_never_wins():
    answer = ask(
        crowded(), "pad", [40, 60, 80, 120], return_per_head=2000.0, other_costs_per_head=0.0
    )
    fed = {point["head"]: point["fed"] for point in answer["points"]}
    assert fed == {40: True, 60: True, 80: False, 120: False}
    assert answer["best"]["head"] == 60
    assert answer["edges"] == ["most head that can be fed"]
    # of 80 cows a quarter has no room, through 121 days of winter; of 120 a half
    days = {point["head"]: point["days_unfed"] for point in answer["points"]}
    assert days == pytest.approx({40: 0, 60: 0, 80: 121 / 4, 120: 121 / 2})
    unfed = answer["points"][2]
    assert unfed["farm_margin"] is None
    assert unfed["winter_cost"] is None
    assert any("2 of 4 points" in warning for warning in answer["warnings"])


def test_where_no_herd_is_fed_there_is_no_best():
    answer = ask(crowded(), "pad", [80, 90], return_per_head=2000.0, other_costs_per_head=0.0)
    assert answer["best"] is None
    assert answer["at_edge"] is None
    assert answer["plateau"] == []
    assert answer["break_even_price_per_lb"]["today_against_best"]["price_per_lb"] is None
    assert "cannot be fed" in answer["break_even_price_per_lb"]["today_against_more"]["reason"]


def test_what_other_groups_earn_is_left_out_and_said():
    answer = ask(of.farm(), "lot", return_per_head=900.0, other_costs_per_head=300.0)
    assert any("ewes" in warning for warning in answer["warnings"])


def test_a_question_leaves_its_subject_as_it_was():
    document = hand_farm()
    subject = Subject(document, scenario_of(document), scenario_of)
    question = HerdSize(system="grass", head=Axis(input=COWS, values=(30.0, 50.0)))
    first, second = (answered(herd_size(subject, question)) for _ in range(2))
    assert first == second
    assert document == hand_farm()
