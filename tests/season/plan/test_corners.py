"""Plans of farms unlike the demo: one step, other seasons, no hay, cost-share not yet asked for."""

from copy import deepcopy
from datetime import date

import pytest

from service.demo import demo_document
from service.season.plan.planned import planned
from tests.season.variants import eleven_cows, subject_of, thimble_creek


def plan_of(document, system, year=2026):
    return planned(subject_of(document, system, year), materials=lambda _: ())


def days_of(document, system, year=2026):
    return {task.key: task.day for task in plan_of(document, system, year).tasks}


def test_a_winter_inside_one_calendar_year():
    document = eleven_cows()
    document["winter"] |= {
        "first_day": "01-05",
        "last_day": "04-20",  # 27 + 28 + 31 + 20 = 106 days
        "ground_days": {"frozen": 20, "snow_covered": 12, "firm": 34, "wet": 40},
    }
    plan = plan_of(document, "hill", 2027)
    days = {task.key: task.day for task in plan.tasks}
    assert plan.season.name == "2027"
    assert days["shut_fields"] == date(2026, 8, 10)
    assert days["turn_on"] == days["begin_feeding"] == date(2027, 1, 5)
    assert days["buy_hay"] == date(2026, 11, 5)  # 61 before 5 Jan: 25 + 31 + 5
    assert days["count_half_way"] == date(2027, 2, 26)  # 53rd of 106 days: 27 + 26
    assert days["end_feeding"] == date(2027, 4, 20)
    assert days["seed_perennials"] == date(2027, 9, 13)


def test_births_in_autumn_are_none_of_this_winter():
    document = eleven_cows()
    document["herd"]["cows"] |= {"birth_starts": "09-15", "birth_season_days": 60}
    assert "clean_ground_cows" not in days_of(document, "hill")


def test_births_that_go_on_into_winter_had_clean_ground_before_it():
    document = eleven_cows()
    document["herd"]["cows"] |= {"birth_starts": "11-20", "birth_season_days": 21}
    days = days_of(document, "hill")  # the 21st day is 10 December, the first of winter
    assert days["clean_ground_cows"] == date(2026, 11, 6)
    document["herd"]["cows"]["birth_season_days"] = 20
    assert "clean_ground_cows" not in days_of(document, "hill")


@pytest.mark.parametrize(("starts", "near"), [("05-20", True), ("05-21", False)])
def test_births_soon_after_winter_count_to_it(starts, near):
    document = eleven_cows()
    document["herd"]["cows"]["birth_starts"] = starts  # 45 and 46 days after 5 April
    assert ("clean_ground_cows" in days_of(document, "hill")) is near


def test_steps_that_are_shut_on_other_days_have_dates_of_their_own():
    document = eleven_cows()
    grass = deepcopy(document["systems"]["hill"]["plan"][0])
    grass |= {
        "key": "late_grass",
        "acres": 6,
        "closing_date": "09-01",
        "dormancy_date": "12-20",
        "nitrogen_lb_per_acre": 0,
        "days_per_move": 7,
    }
    document["systems"]["hill"]["plan"].insert(1, grass)
    days = days_of(document, "hill")
    assert (days["shut_fields"], days["shut_fields_2"]) == (date(2026, 8, 10), date(2026, 9, 1))
    assert days["soil_test_2"] == date(2026, 7, 7)  # 56 before 1 Sep: 24 + 31 + 1
    assert "spread_nitrogen_2" not in days
    assert (days["turn_on"], days["turn_on_2"]) == (date(2026, 12, 10), date(2026, 12, 20))
    assert days["move_wire_2"] == date(2026, 12, 20)


def test_a_system_on_grass_alone_asks_for_no_hay():
    document = eleven_cows()
    document["herd"]["cows"]["head"] = 2
    system = document["systems"]["hill"]
    system["plan"] = system["plan"][:1]
    system["plan"][0]["acres"] = 24
    plan = plan_of(document, "hill")
    keys = {task.key for task in plan.tasks}
    assert plan.hay is None
    assert not keys & {"count_hay", "buy_hay", "test_hay", "count_half_way", "pick_up"}
    assert {"choose", "shut_fields", "begin_feeding", "walk_ground", "write_down"} <= keys


def test_enough_hay_on_hand_is_counted_and_not_bought():
    document = eleven_cows()
    document["hay"]["bales_on_hand"] = 500
    plan = plan_of(document, "ring")
    keys = {task.key for task in plan.tasks}
    assert "count_hay" in keys
    assert "buy_hay" not in keys
    assert plan.hay is not None
    assert plan.hay.cost == 0


def test_todays_lot_alone_gives_a_plan():
    document = thimble_creek()
    document["systems"] = {"racks": document["systems"]["racks"]}
    days = days_of(document, "racks")
    assert len(days) >= 15
    # nothing says when growth ends: 75 days before 20 November 2027, 24 + 31 + 20
    assert days["seed_perennials"] == date(2027, 9, 6)


def test_cost_share_not_yet_asked_for_comes_first():
    document = demo_document()
    for structure in document["systems"]["roofed_pad"]["structures"].values():
        if "cost_share" in structure:
            structure["cost_share"]["status"] = "not_applied"
    days = days_of(document, "roofed_pad")
    assert days["apply_cost_share"] == date(2025, 9, 3)  # 365 before 3 Sep 2026
    assert days["choose"] == date(2025, 8, 20)
    for structure in document["systems"]["roofed_pad"]["structures"].values():
        if "cost_share" in structure:
            structure["cost_share"]["status"] = "contracted"
    assert not {"apply_cost_share", "sign_cost_share"} & days_of(document, "roofed_pad").keys()


def test_animals_that_are_sold_go_before_winter():
    document = demo_document()
    document["systems"]["grass_first"]["herd_change"] = {
        "cows": {"head": -10, "price_per_head": 1750}
    }
    days = days_of(document, "grass_first")
    assert days["sell_head_cows"] == date(2026, 11, 1)  # 30 before 1 December


def test_a_short_winter_has_no_checkpoint_thirty_days_before_grass():
    document = eleven_cows()
    document["winter"] |= {
        "last_day": "01-06",  # 22 + 6 = 28 days
        "ground_days": {"frozen": 8, "snow_covered": 6, "firm": 8, "wet": 6},
    }
    plan = plan_of(document, "ring")
    assert plan.hay is not None
    assert [each.key for each in plan.hay.checkpoints] == ["half_way"]
    assert "count_before_grass" not in {task.key for task in plan.tasks}


def test_a_week_after_late_february_is_counted_without_a_leap_day():
    document = eleven_cows()
    document["systems"]["hill"]["plan"][0] |= {"closing_date": "02-22", "dormancy_date": "10-15"}
    tasks = {task.key: task for task in plan_of(document, "hill", 2028).tasks}
    assert tasks["shut_fields"].day == date(2028, 2, 22)
    assert tasks["shut_fields"].week_late.basis == "engine"  # a week later is 1 March
