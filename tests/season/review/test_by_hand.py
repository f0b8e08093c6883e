"""Reviews of a small farm, each share worked by hand from the figures in `small_winter`."""

import pytest

from service.costing.errors import InputError
from service.season.facts import AcresToFix, PricesPaid
from tests.analysis.hand_farm import LOT, STOCKPILE
from tests.season.review.small_winter import (
    AS_PLANNED,
    DAMAGE,
    LONGER,
    WORK,
    facts_unknown,
    line_of,
    review_of,
    shares,
)

AT_120 = PricesPaid(hay_per_ton=120)
"""A pound at $0.075 instead of $0.06."""


def near(*values):
    return pytest.approx(values, rel=1e-9, abs=1e-6)


def test_dearer_hay_alone_is_all_price():
    review = review_of(prices=AT_120)
    assert line_of(review, "hay_eaten").planned == pytest.approx(4_800)
    assert shares(review, "hay_eaten") == near(0, 1_200, 0, 0)
    assert shares(review, "hay_wasted") == near(0, 300, 0, 0)
    assert review.total.actual == pytest.approx(7_500)


def test_a_price_by_the_bale_is_one_by_the_ton_of_the_bales_that_were_weighed():
    # $60 for a bale of 1,000 lb is $120 a ton; for one of 1,250 lb it is $96.
    assert shares(review_of(prices=PricesPaid(hay_per_bale=60)), "hay_eaten") == near(
        0, 1_200, 0, 0
    )
    heavy = review_of(prices=PricesPaid(hay_per_bale=60), bale_weight_lb=1_250)
    assert shares(heavy, "hay_eaten") == near(0, 0, 0, 0)


def test_twenty_days_more_alone_are_all_weather():
    review = review_of(ground_days=LONGER)
    assert shares(review, "hay_eaten") == near(960, 0, 0, 0)
    assert shares(review, "hay_wasted") == near(240, 0, 0, 0)


def test_more_bales_than_such_a_winter_takes_are_practice_and_waste():
    # 150 bales hold 120,000 lb; 80,000 are eaten, so 40,000 are wasted instead of 20,000.
    review = review_of(ground_days=AS_PLANNED, bales_fed=150)
    assert shares(review, "hay_eaten") == near(0, 0, 0, 0)
    assert shares(review, "hay_wasted") == near(0, 0, 1_200, 0)


def test_fewer_bales_than_the_herd_eats_are_all_eaten():
    # 90 bales hold 72,000 lb, 8,000 less than would be eaten, and none is wasted.
    review = review_of(ground_days=AS_PLANNED, bales_fed=90)
    assert shares(review, "hay_eaten") == near(0, 0, -480, 0)
    assert shares(review, "hay_wasted") == near(0, 0, -1_200, 0)


def test_bales_are_counted_at_the_weight_that_was_weighed():
    # 125 bales of 1,200 lb are 150 of 1,000 lb.
    review = review_of(ground_days=AS_PLANNED, bales_fed=125, bale_weight_lb=1_200)
    assert shares(review, "hay_wasted") == near(0, 0, 1_200, 0)


def test_hay_lost_in_storage_goes_with_the_hay_that_is_offered():
    # With a fifth lost, 100,000 lb offered are 125,000 stored; half as many bales again lose half
    # as much again: 12,500 lb more at $0.06.
    review = review_of(
        {"assumptions": {"hay_storage_loss.barn": 0.2}}, ground_days=AS_PLANNED, bales_fed=187.5
    )
    assert line_of(review, "hay_lost_in_storage").planned == pytest.approx(1_500)
    assert shares(review, "hay_lost_in_storage") == near(0, 0, 750, 0)


def test_weather_price_and_practice_together_are_the_mean_of_six_orders():
    # 120 days take 24,000 lb of waste; 180 bales hold 144,000 lb, 96,000 are eaten: 48,000 wasted,
    # so practice adds 24,000 lb. Cost of hay wasted with each of (weather, price, practice):
    nothing = 20_000 * 0.06
    weather = 24_000 * 0.06
    price = 20_000 * 0.075
    practice = 44_000 * 0.06
    weather_price = 24_000 * 0.075
    weather_practice = 48_000 * 0.06
    price_practice = 44_000 * 0.075
    everything = 48_000 * 0.075
    orders = [  # what weather, price and practice add
        (weather - nothing, weather_price - weather, everything - weather_price),
        (weather - nothing, everything - weather_practice, weather_practice - weather),
        (weather_price - price, price - nothing, everything - weather_price),
        (everything - price_practice, price - nothing, price_practice - price),
        (weather_practice - practice, everything - weather_practice, practice - nothing),
        (everything - price_practice, price_practice - practice, practice - nothing),
    ]
    expected = [sum(added) / 6 for added in zip(*orders, strict=True)]
    assert expected == pytest.approx([270, 510, 1_620])
    review = review_of(ground_days=LONGER, bales_fed=180, prices=AT_120)
    assert shares(review, "hay_wasted") == near(*expected, 0)
    assert line_of(review, "hay_wasted").actual == pytest.approx(3_600)


def test_hours_at_another_wage_are_split_between_price_and_practice():
    # 25 hours at $20 planned, 40 at $25 as it was. Price: the mean of 25 x $5 and 40 x $5;
    # practice: the mean of 15 x $20 and 15 x $25.
    review = review_of(
        WORK, ground_days=AS_PLANNED, labor_hours=40, prices=PricesPaid(labor_per_hour=25)
    )
    assert line_of(review, "labor").planned == pytest.approx(500)
    assert shares(review, "labor") == near(0, 162.5, 337.5, 0)


def test_minutes_of_an_ordinary_day_are_hours_over_the_winter():
    # 24 minutes on 100 days are 40 hours, 15 more than planned.
    review = review_of(WORK, ground_days=AS_PLANNED, minutes_per_day=24)
    assert shares(review, "labor") == near(0, 0, 300, 0)
    assert "minutes_per_day" in facts_unknown(review)


def test_bedding_and_supplement_that_the_plan_has_not_cost_what_was_paid():
    paid = PricesPaid(bedding_per_ton=90, supplement_per_ton=300)
    review = review_of(
        {"prices": {"bedding_per_ton": 70}},
        ground_days=AS_PLANNED,
        bedding_ton=10,
        supplement_ton=2,
        prices=paid,
    )
    # 10 tons x the mean of $70 and $90, and 10 tons x half of the $20 between them.
    assert shares(review, "bedding") == near(0, 100, 800, 0)
    assert shares(review, "supplement") == near(0, 0, 600, 0)


def test_supplement_without_any_price_is_told_and_not_in_money():
    review = review_of(ground_days=AS_PLANNED, supplement_ton=2)
    assert shares(review, "supplement") == near(0, 0, 0, 0)
    assert not line_of(review, "supplement").recorded
    assert "prices.supplement_per_ton" in facts_unknown(review)


def test_acres_by_severity_cost_their_repair_and_their_grass():
    # Planned 1 acre moderate: $100 and 0.7 x $40 = $28. As it was 3 moderate and 1 severe: $600,
    # and 3 x 0.7 + 1.4 = 3.5 years of an acre, five times the planned.
    review = review_of(
        DAMAGE, ground_days=AS_PLANNED, acres_by_severity=AcresToFix(moderate=3, severe=1)
    )
    assert line_of(review, "ground_restoration").planned == pytest.approx(100)
    assert line_of(review, "forage_lost").planned == pytest.approx(28)
    assert shares(review, "ground_restoration") == near(0, 0, 500, 0)
    assert shares(review, "forage_lost") == near(0, 0, 112, 0)


def test_acres_in_all_are_as_badly_damaged_as_such_a_winter_damages_them():
    # All of it moderate: 4 acres are four times the planned.
    review = review_of(DAMAGE, ground_days=AS_PLANNED, acres_to_fix=4)
    assert shares(review, "ground_restoration") == near(0, 0, 300, 0)
    assert shares(review, "forage_lost") == near(0, 0, 84, 0)


def test_acres_where_the_plan_damages_none_are_taken_as_moderate():
    steady = {
        **DAMAGE["assumptions"],
        "trampling.severity.sacrifice_lot.well.wet": "none",
    }
    review = review_of({"assumptions": steady}, ground_days=AS_PLANNED, acres_to_fix=2)
    assert shares(review, "ground_restoration") == near(0, 0, 200, 0)
    assert shares(review, "forage_lost") == near(0, 0, 0, 0)
    assert not line_of(review, "forage_lost").recorded
    words = {item.fact: item.words for item in review.unknown}
    assert "taken as moderate" in words["acres_by_severity"]
    assert "acres_to_fix" in words


def test_leaving_the_grass_early_is_practice():
    # Grass would last the 100 days; left after 60, hay is fed on 40: two fifths of $6,000.
    review = review_of(
        steps=[STOCKPILE, LOT],
        ground_days=AS_PLANNED,
        days_by_method={"stockpile_grazing": 60},
    )
    assert line_of(review, "hay_eaten").planned == pytest.approx(0, abs=1e-6)
    assert shares(review, "hay_eaten") == near(0, 0, 1_920, 0)
    assert shares(review, "hay_wasted") == near(0, 0, 480, 0)


def test_hay_fed_where_the_plan_feeds_none_is_counted_as_eaten():
    # 10 bales hold 8,000 lb at $0.06; with a fifth lost in storage 2,000 lb more were lost.
    plenty = {**STOCKPILE, "acres": 80}
    review = review_of(
        {"assumptions": {"hay_storage_loss.barn": 0.2}},
        steps=[plenty],
        ground_days=AS_PLANNED,
        bales_fed=10,
    )
    assert shares(review, "hay_eaten") == near(0, 0, 480, 0)
    assert shares(review, "hay_wasted") == near(0, 0, 0, 0)
    assert shares(review, "hay_lost_in_storage") == near(0, 0, 120, 0)
    assert "bales_fed" in facts_unknown(review)


def test_days_that_would_leave_animals_unfed_are_let_go_and_said():
    # The lot held to 10 days would leave 90 to an acre of grass that feeds one cow.
    little = {**STOCKPILE, "acres": 1}
    review = review_of(
        steps=[LOT, little], ground_days=AS_PLANNED, days_by_method={"sacrifice_lot": 10}
    )
    assert shares(review, "hay_eaten") == near(0, 0, 0, 0)
    assert "days_by_method" in facts_unknown(review)
    days = {item.quantity: item.actual for item in review.quantities}
    assert days["days.sacrifice_lot"] == 10


def test_a_winter_that_the_plan_cannot_feed_is_refused():
    just_enough = {**STOCKPILE, "acres": 41}
    with pytest.raises(InputError):
        review_of(steps=[just_enough], ground_days=LONGER)


def test_only_the_length_of_a_winter_leaves_practice_and_weather_together():
    # Turnout on 21 March is after 110 days: a tenth more of everything is weather. 150 bales hold
    # 10,000 lb more than such a winter takes, and why cannot be told.
    review = review_of(turnout_date="2027-03-21", bales_fed=150)
    assert shares(review, "hay_eaten") == near(480, 0, 0, 0)
    assert shares(review, "hay_wasted") == near(120, 0, 0, 600)
    assert review.weather_from == "length"
    words = {item.fact: item.words for item in review.unknown}
    assert "hay wasted" in words["ground_days"]


def test_without_anything_of_the_weather_what_was_recorded_is_not_split():
    review = review_of(bales_fed=150, prices=AT_120)
    # 20,000 lb more at the mean of the two prices; price has the mean of its two changes.
    assert shares(review, "hay_wasted") == near(0, 450, 0, 1_350)
    assert shares(review, "hay_eaten") == near(0, 1_200, 0, 0)
    assert review.weather_from == "none"


def test_practice_that_was_not_recorded_as_a_quantity_stays_practice():
    review = review_of(
        DAMAGE,
        steps=[STOCKPILE, LOT],
        days_by_method={"stockpile_grazing": 60},
        bales_fed=60,
    )
    # 40 days on hay take 50 bales; 60 hold 8,000 lb more. Of 16 wet days the ground remembers
    # two fifths of an acre, which nobody wrote down.
    assert shares(review, "hay_wasted") == near(0, 0, 0, 480 + 480)
    assert shares(review, "ground_restoration") == near(0, 0, 40, 0)
