"""Reviews of the demo farm: what each fact does, and what is said for want of it."""

import json
from dataclasses import fields

import pytest

from service.costing.lines import LINES
from service.costing.winter import GroundDays
from service.demo import demo_document
from service.season.facts import PricesPaid, WinterFacts
from service.season.review.document import REVIEW_COLUMNS, review_document, review_rows
from service.season.review.game import AS_BUILT, LINE_KEYS, play
from service.season.review.records import LineReview, QuantityReview, Review, Unknown
from service.season.review.reviewed import reviewed
from tests.engine.small_farm import LOT as YARD
from tests.engine.small_farm import SYSTEM, changed, plan
from tests.season.review.small_winter import (
    AS_PLANNED,
    LONGER,
    facts_unknown,
    line_of,
    plan_of,
    review_of,
    shares,
)
from tests.support import situations

WET = GroundDays(frozen=10, snow_covered=5, firm=41, wet=76)
"""132 days."""


def demo_review(system, season="2026-27", **facts):
    return reviewed(plan_of(demo_document(), system, season), WinterFacts(**facts))


def quantity_of(review, key):
    return next(item for item in review.quantities if item.quantity == key)


def test_bedding_beyond_that_of_such_a_winter_costs_its_price():
    review = demo_review("pack_barn", ground_days=WET, bedding_ton=60)
    more = 60 - quantity_of(review, "bedding_ton").expected
    price = demo_document()["prices"]["bedding_per_ton"]
    assert line_of(review, "bedding").practice == pytest.approx(more * price)
    assert line_of(review, "bedding").actual == pytest.approx(60 * price)


def test_twice_the_loads_are_twice_the_cost_of_hauling():
    usual = demo_review("pack_barn", ground_days=WET)
    loads = 2 * quantity_of(usual, "manure_loads").expected
    doubled = demo_review("pack_barn", ground_days=WET, manure_loads=loads)
    line = line_of(doubled, "manure_handling")
    assert line.actual == pytest.approx(2 * line_of(usual, "manure_handling").actual)
    assert line.weather == pytest.approx(line_of(usual, "manure_handling").weather)


def test_loads_where_the_plan_hauls_none_are_told_and_not_in_money():
    review = demo_review("lot_open_rings", ground_days=WET, manure_loads=12)
    assert not line_of(review, "manure_handling").recorded
    assert quantity_of(review, "manure_loads").actual == 12
    assert "manure_loads" in facts_unknown(review)


def test_fuel_is_held_against_what_the_machines_burn_without_their_oil():
    review = demo_review("lot_open_rings", ground_days=WET, fuel_gallon=300)
    more = 300 - quantity_of(review, "fuel_gallon").expected
    price = demo_document()["prices"]["diesel_per_gallon"]
    assert line_of(review, "machinery").practice == pytest.approx(more * price)


def test_fuel_of_machines_at_custom_rates_is_held_against_nothing():
    review = reviewed(
        plan_of(changed(plan(YARD)), SYSTEM),
        WinterFacts(ground_days=GroundDays(firm=100), fuel_gallon=80),
    )
    assert shares(review, "machinery") == (0, 0, 0, 0)
    assert line_of(review, "machinery").planned > 0
    assert not line_of(review, "machinery").recorded
    assert "fuel_gallon" in facts_unknown(review)
    assert quantity_of(review, "fuel_gallon").actual == 80


def test_what_is_built_stands_as_planned_though_its_rule_would_move_with_the_winter():
    planned = plan_of(situations.farm(), "unrolled")
    facts = WinterFacts(ground_days=GroundDays(firm=20, wet=150), bales_fed=300)
    built = [LINE_KEYS.index(line) for line in AS_BUILT]
    game = play(planned, facts)
    assert (game.as_it_was.lines[built] != game.plan.lines[built]).any()
    review = reviewed(planned, facts)
    for key in AS_BUILT:
        line = line_of(review, key)
        assert line.actual == line.planned
        assert shares(review, key) == (0, 0, 0, 0)


def test_a_winter_that_the_scenario_has_needs_no_days():
    review = demo_review("by_the_ground", "2022-23")
    assert review.weather_from == "scenario"
    assert quantity_of(review, "wet_days").actual == 57
    assert "ground_days" not in facts_unknown(review)
    assert review.total.weather != 0
    # Its hay cost 1.449 times the usual.
    assert line_of(review, "hay_eaten").price > 0


def test_turnout_on_the_planned_day_changes_next_to_nothing():
    # Rows of 131 and of 132 days: the winter ends on 10 April, so turnout on the 11th is 131 days.
    review = demo_review("grass_first", turnout_date="2027-04-11")
    assert review.weather_from == "length"
    lost = 131.25 - 131
    one_day = review.total.planned / 131
    assert -one_day * lost * 2 < review.total.weather <= 0


def test_days_as_in_the_calendar_may_be_any_in_a_leap_year():
    review = demo_review("grass_first", "2027-28", turnout_date="2028-04-20")
    assert quantity_of(review, "days").actual == 141
    assert review.total.weather > 0


def test_a_poor_autumn_alone_is_weather():
    review = demo_review("grass_first", stockpile_growth_factor=0.4)
    assert review.weather_from == "none"
    assert line_of(review, "hay_eaten").weather > 0
    assert "autumn growth 0.4 times the usual" in review.sentences[1]


def test_steps_that_were_left_sooner_are_practice():
    review = demo_review("grass_first", ground_days=WET, days_by_method={"ridge_grass": 4})
    days = quantity_of(review, "days.ridge_grass")
    assert days.actual == 4 < days.expected
    assert line_of(review, "hay_eaten").practice > 0


def test_animals_lost_are_counted_and_not_in_money():
    review = demo_review("grass_first", animals_lost={"cows": 2})
    assert quantity_of(review, "animals_lost.cows").actual == 2
    assert review.total.actual == review.total.planned
    assert "animals_lost" in facts_unknown(review)


def test_a_price_that_was_not_told_is_the_plans_and_said():
    review = demo_review("lot_open_rings", ground_days=WET, bales_fed=600, labor_hours=250)
    for key in ("hay_eaten", "hay_wasted", "labor"):
        assert line_of(review, key).price == 0
    assert {"prices.hay_per_ton", "prices.labor_per_hour"} <= facts_unknown(review)


def test_a_quantity_that_was_not_recorded_is_named_with_its_lines():
    words = {item.fact: item.words for item in demo_review("pack_barn").unknown}
    assert "hay eaten, hay wasted and hay lost in storage" in words["bales_fed"]
    assert "manure handling" in words["manure_loads"]
    assert "bedding" in words["bedding_ton"]


def test_equal_scenarios_are_costed_once():
    game = play(plan_of(demo_document(), "grass_first"), WinterFacts(ground_days=WET))
    assert len({id(played) for played in game.corners.values()}) == 2


def test_the_first_sentence_says_what_the_winter_cost_against_the_plan():
    review = review_of(ground_days=LONGER, bales_fed=150, prices=PricesPaid(hay_per_ton=96))
    assert review.sentences == (
        "The winter of 2026-27 cost 7,200 USD with hay: 1,200 USD more than the 6,000 USD planned.",
        "Weather cost 1,200 USD (50 wet days against 40 planned; 20 days longer).",
        "The largest difference is in hay eaten: 960 USD more than planned.",
    )


def test_what_was_saved_and_what_was_not_recorded_is_said():
    review = review_of(ground_days=AS_PLANNED, prices=PricesPaid(hay_per_ton=80))
    cost, why, lacking = review.sentences
    assert cost == (
        "The winter of 2026-27 cost 5,000 USD with hay: 1,000 USD less than the 6,000 USD planned; "
        "no quantity of it was written down, so it is what such a winter takes by the plan's "
        "figures."
    )
    assert why == "Prices saved 1,000 USD."
    assert lacking == (
        "The largest difference is in hay eaten: 800 USD less than planned; "
        "not written down: bales fed."
    )


def test_what_cannot_be_split_is_said_in_the_second_sentence():
    review = review_of(bales_fed=150, prices=PricesPaid(hay_per_ton=120))
    # 1,200 + 450 of price; 1,350 that cannot be told apart.
    assert review.sentences[1] == (
        "Prices cost 1,600 USD, and weather and how you fed, which cannot be told apart here, "
        "cost 1,400 USD."
    )


def test_a_review_as_a_document_has_the_members_of_its_records():
    review = demo_review("by_the_ground", ground_days=WET, bales_fed=470)
    document = json.loads(json.dumps(review_document(review)))
    assert set(document) == {field.name for field in fields(Review)}
    for name, record in (
        ("lines", LineReview),
        ("quantities", QuantityReview),
        ("unknown", Unknown),
    ):
        assert set(document[name][0]) == {field.name for field in fields(record)}
    assert [line["line"] for line in document["lines"]] == list(LINES)
    assert document["total"]["actual"] == review.total.actual


def test_rows_are_lines_alone_so_that_a_column_adds_up_to_the_total():
    review = demo_review("by_the_ground", ground_days=WET, bales_fed=470)
    rows = review_rows(review)
    assert [row["line"] for row in rows] == list(LINES)
    assert all(tuple(row) == REVIEW_COLUMNS for row in rows)
    for name in ("planned", "actual", "weather", "price", "practice", "not_split"):
        assert sum(row[name] for row in rows) == pytest.approx(getattr(review.total, name))
