"""What herd sizes leave, against sums worked by hand on the farm of `hand_farm`.

That a margin is the return above all other costs, that a cost linear in head puts the best herd at
an edge, and that a break-even price is costs over weight sold is common practice, no source.
"""

import pytest

from service.costing.engine import cost
from service.costing.formulas.time_value import capital_recovery_factor
from service.costing.margin import farm_margin
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.analysis.hand_farm import (
    BEFORE_WINTER,
    GRASS,
    HAY,
    HEAD,
    MARGIN,
    OTHER_COSTS,
    SOLD_LB,
    hand_farm,
)
from tests.analysis.herd_sizes import ask, margins

CLOSE = 1e-9
PAYS = "The larger herd leaves more at any price."


def named(points):
    return [point["head"] for point in points]


# The closed form: hay alone.


def test_on_hay_alone_every_head_leaves_its_return_less_its_hay():
    found = margins(ask(hand_farm(), "hay", [1, 40, 125.5]))
    each = BEFORE_WINTER - HAY
    assert found == pytest.approx({1: each, 40: 40 * each, 125.5: 125.5 * each})


@pytest.mark.parametrize(
    ("return_per_head", "best", "edge"),
    [
        (OTHER_COSTS + HAY + 1, 50.0, "most head"),
        (OTHER_COSTS + HAY - 1, 30.0, "fewest head"),
    ],
)
def test_a_cost_linear_in_head_puts_the_best_herd_at_an_edge(return_per_head, best, edge):
    answer = ask(hand_farm(), "hay", return_per_head=return_per_head)
    assert answer["best"]["head"] == best
    assert answer["at_edge"]
    assert answer["edges"] == [edge]
    assert any(edge in warning for warning in answer["warnings"])


def test_the_price_of_one_head_more_on_hay_is_hay_and_other_costs_over_the_weight_sold():
    prices = ask(hand_farm(), "hay")["break_even_price_per_lb"]
    expected = (HAY + OTHER_COSTS) / SOLD_LB
    for name in ("margin_zero", "today_against_fewer", "today_against_more", "today_against_best"):
        assert prices[name]["price_per_lb"] == pytest.approx(expected), name
        assert prices[name]["reason"] is None
    assert prices["today_against_fewer"]["head"] == 30
    assert prices["today_against_more"]["head"] == 50


def test_questions_may_give_what_an_animal_earns():
    answer = ask(hand_farm(), "hay", [10, 20], return_per_head=1150.0, other_costs_per_head=520.0)
    assert margins(answer) == pytest.approx({10: 10 * (630 - HAY), 20: 20 * (630 - HAY)})
    assert answer["present_price_per_lb"] == pytest.approx(1150 / SOLD_LB)


# The closed form: grass for forty, hay for those above.


def test_the_margin_has_its_kink_where_the_grass_runs_out():
    answer = ask(hand_farm(), values=[30, 39, 40, 41, 50])
    fixed = HEAD * GRASS
    assert margins(answer) == pytest.approx(
        {
            head: head * BEFORE_WINTER - fixed - max(0, head - HEAD) * HAY
            for head in (30, 39, 40, 41, 50)
        }
    )
    assert answer["best"] == {"head": HEAD, "farm_margin": pytest.approx(2400)}
    assert not answer["at_edge"]
    assert answer["edges"] == []


def test_the_plateau_is_what_lies_within_two_percent_of_the_best():
    # 2 % of 2,400 is 48: one head less loses 100, one head more 50, nine tenths of one more 45
    answer = ask(hand_farm(), values=[39, 40, 40.9, 41, 50])
    assert named(answer["plateau"]) == [40.9]


def test_the_plateau_of_a_loss_is_two_percent_of_its_size():
    # on hay alone each head loses 50: 40 head lose 2,000, and 2 % of it is 40, less than a head
    answer = ask(hand_farm(), "hay", values=[40, 40.7, 41])
    assert answer["best"]["farm_margin"] == pytest.approx(-2000)
    assert named(answer["plateau"]) == [40.7]


def test_prices_at_which_one_size_leaves_what_another_does():
    prices = ask(hand_farm())["break_even_price_per_lb"]
    fixed = HEAD * GRASS
    assert prices["margin_zero"]["price_per_lb"] == pytest.approx(
        (fixed / HEAD + OTHER_COSTS) / SOLD_LB
    )
    # fewer than forty save no hay, so their other costs alone decide; more are fed on hay
    assert prices["today_against_fewer"]["price_per_lb"] == pytest.approx(OTHER_COSTS / SOLD_LB)
    assert prices["today_against_more"]["price_per_lb"] == pytest.approx(
        (HAY + OTHER_COSTS) / SOLD_LB
    )
    assert prices["today_against_best"] == {
        "price_per_lb": None,
        "head": HEAD,
        "reason": "This is today's herd.",
    }


@pytest.mark.parametrize("name", ["margin_zero", "today_against_fewer", "today_against_more"])
def test_at_its_price_a_herd_leaves_what_it_is_held_against(name):
    prices = ask(hand_farm(), values=[25, 55])["break_even_price_per_lb"]
    document = hand_farm()
    document["systems"]["hay"]["margin"]["cows"]["price_per_lb"] = prices[name]["price_per_lb"]
    answer = ask(document, values=[prices[name]["head"]])
    against = 0 if name == "margin_zero" else answer["today"]["farm_margin"]
    assert answer["points"][0]["farm_margin"] == pytest.approx(against, abs=1e-6)


def test_acres_are_best_where_they_just_feed_the_herd():
    answer = ask(hand_farm(), values=[40], acres=[0, 20, 40, 60])
    assert margins(answer) == pytest.approx(
        {
            (HEAD, acres): HEAD * BEFORE_WINTER - acres * GRASS - max(0, HEAD - acres) * HAY
            for acres in (0, 20, 40, 60)
        }
    )
    assert answer["best"]["acres"] == 40
    assert not answer["at_edge"]


def test_a_best_point_at_the_edge_of_one_axis_is_no_optimum():
    answer = ask(hand_farm(), values=[30, 40, 50], acres=[10, 50, 90])
    assert (answer["best"]["head"], answer["best"]["acres"]) == (50, 50)
    assert answer["edges"] == ["most head"]


def test_one_point_alone_is_no_optimum():
    assert ask(hand_farm(), values=[40])["at_edge"]


def test_prices_hold_the_acres_as_they_are_today():
    prices = ask(hand_farm(), values=[30, 50], acres=[0, 90])["break_even_price_per_lb"]
    assert prices["today_against_more"]["price_per_lb"] == pytest.approx(
        (HAY + OTHER_COSTS) / SOLD_LB
    )


def test_nothing_shut_and_no_other_step_feeds_nobody():
    document = hand_farm()
    document["systems"]["grass"]["plan"] = document["systems"]["grass"]["plan"][:1]
    nothing, enough = ask(document, values=[40], acres=[0, 50])["points"]
    assert (nothing["fed"], nothing["days_unfed"]) == (False, pytest.approx(100))
    assert enough["fed"]


# Animals bought and sold.


def test_animals_bought_and_sold_count_at_their_price_by_the_year():
    # A/P at 5 % for 10 years is 0.1295: compound interest tables, from memory
    document = hand_farm(
        {"systems": {"grass": {"herd_change": {"cows": {"head": -10, "price_per_head": 1500}}}}}
    )
    answer = ask(document, values=[-10, 0, 5], path="systems.grass.herd_change.cows.head")
    a_year = 1500 * float(capital_recovery_factor(0.05, 10))
    assert a_year / 1500 == pytest.approx(0.1295, abs=5e-5)
    assert margins(answer) == pytest.approx(
        {30: 1400 + 10 * a_year, 40: 2400, 45: 2400 - 5 * (HAY - BEFORE_WINTER) - 5 * a_year}
    )
    assert [point["bought"] for point in answer["points"]] == [-10, 0, 5]
    assert answer["today"]["head"] == 30
    assert answer["head"]["present"] == -10


def test_the_margin_of_today_is_the_costings_own():
    document = hand_farm(
        {
            "systems": {
                "grass": {
                    "herd_change": {"cows": {"head": 7, "price_per_head": 2100}},
                    "margin": {"cows": MARGIN["cows"] | {"price_per_lb": 2.4}},
                }
            }
        }
    )
    costing = cost(scenario_of(document))
    answer = ask(document, values=[40, 60])
    assert answer["today"]["farm_margin"] == pytest.approx(farm_margin(costing, "grass"), rel=CLOSE)
    # and a herd of sixty, seven of them bought
    larger = cost(scenario_of(hand_farm(document, {"herd": {"cows": {"head": 60}}})))
    assert answer["points"][1]["head"] == 67
    assert margins(answer)[67] == pytest.approx(farm_margin(larger, "grass"), rel=CLOSE)


# Prices that cannot be told.


def test_without_a_margin_there_is_no_price_and_the_reason_is_said():
    document = hand_farm()
    del document["systems"]["hay"]["margin"]
    answer = ask(document, return_per_head=800.0, other_costs_per_head=700.0)
    price = answer["break_even_price_per_lb"]["margin_zero"]
    assert price["price_per_lb"] is None
    assert "weight sold" in price["reason"]
    assert answer["present_price_per_lb"] is None


def test_where_no_young_are_sold_no_price_decides():
    margin = {"cows": MARGIN["cows"] | {"sold_per_head": 0}}
    price = ask(hand_farm({"systems": {"hay": {"margin": margin}}}))["break_even_price_per_lb"]
    assert price["margin_zero"]["price_per_lb"] is None
    assert "No young are sold" in price["margin_zero"]["reason"]


def test_a_herd_that_pays_at_any_price_has_no_break_even():
    # potash in hay is worth more here than hay and all other costs: each head more is a gain
    margin = {"cows": MARGIN["cows"] | {"other_costs_per_head": 0}}
    worth = {f"nutrient.usable_fraction.{name}": 1 for name in ("n", "p2o5", "k2o")}
    document = hand_farm(
        {
            "systems": {"hay": {"margin": margin}},
            "prices": {"nutrient_value_counted": "full", "k2o_per_lb": 20},
            "assumptions": worth,
        }
    )
    answer = ask(document, "hay")
    assert answer["today"]["winter_cost"] < 0
    price = answer["break_even_price_per_lb"]["today_against_more"]
    assert price == {"price_per_lb": None, "head": 50, "reason": PAYS}


def test_no_larger_herd_asked_for_is_said():
    prices = ask(hand_farm(), values=[20, 30])["break_even_price_per_lb"]
    assert "more animals" in prices["today_against_more"]["reason"]
    assert prices["today_against_fewer"]["head"] == 30


def test_on_the_demo_farm_selling_twelve_cows_breaks_even_near_two_dollars_twenty():
    # hand calculation in the notes of the demo farm, done apart from the engine: "near $2.20"
    document = demo_document()
    document["systems"]["grass_first"]["margin"] = {
        "cows": {
            "sold_per_head": 0.88,
            "weight_lb": 535,
            "price_per_lb": 3.95,
            "other_costs_per_head": 720,
        }
    }
    answer = ask(document, "grass_first", [50, 62])
    assert margins(answer)[50] < margins(answer)[62]
    price = answer["break_even_price_per_lb"]["today_against_fewer"]
    assert price["head"] == 50
    assert price["price_per_lb"] == pytest.approx(2.20, abs=0.1)
