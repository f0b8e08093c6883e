"""Dates of the plan for two small invented farms in the winter of 2026-27, worked by hand."""

from datetime import date

import pytest

from service.season.plan.planned import planned
from tests.season.variants import eleven_cows, subject_of, thimble_creek


def days_of(document, system):
    plan = planned(subject_of(document, system), materials=lambda _: ())
    return {task.key: task.day for task in plan.tasks}


def test_thimble_creek_as_today():
    """Winter feeding from 20 November to 5 April; lambs from 18 March; no grass is shut."""
    assert days_of(thimble_creek(), "racks") == {
        "choose": date(2026, 8, 23),  # 14 before 6 Sep: 8 + 6
        "count_hay": date(2026, 9, 6),  # 75 before 20 Nov: 24 + 31 + 20
        "buy_hay": date(2026, 9, 20),  # 61 before: 10 + 31 + 20
        "check_structures": date(2026, 10, 9),  # 42 before: 22 + 20
        "check_water": date(2026, 10, 21),  # 30 before: 10 + 20
        "test_hay": date(2026, 10, 23),  # 28 before: 8 + 20
        "begin_feeding": date(2026, 11, 20),
        "count_half_way": date(2027, 1, 27),  # 69th of 137 days: 11 + 31 + 27
        "clean_ground_ewes": date(2027, 3, 4),  # 14 before 18 Mar
        "count_before_grass": date(2027, 3, 6),  # 30 before 5 Apr: 25 + 5
        "lime": date(2027, 3, 11),  # 182 before 9 Sep: 20 + 30 + 31 + 30 + 31 + 31 + 9
        "end_feeding": date(2027, 4, 5),
        "walk_ground": date(2027, 4, 12),  # 7 after
        "pick_up": date(2027, 4, 19),  # 14 after
        "quick_cover": date(2027, 4, 19),
        "write_down": date(2027, 4, 19),
        "repair_ground": date(2027, 5, 3),  # 28 after: 25 + 3
        "graze_cover": date(2027, 5, 20),  # 45 after: 25 + 20
        "decide_again": date(2027, 6, 14),  # 70 after: 25 + 31 + 14
        "seed_perennials": date(2027, 9, 9),  # 60 before 8 Nov: 21 + 31 + 8
    }


def test_thimble_creek_with_grass_and_a_pad_on_rented_ground():
    days = days_of(thimble_creek(), "grass_and_pad")
    by_hand = {
        "choose": date(2026, 5, 5),  # 14 before 19 May
        "landlord_consent": date(2026, 5, 19),  # 150 before 16 Oct: 12 + 30 + 31 + 31 + 30 + 16
        "soil_test": date(2026, 6, 25),  # 56 before 20 Aug: 5 + 31 + 20
        "permits": date(2026, 7, 18),  # 90 before 16 Oct: 13 + 31 + 30 + 16
        "graze_down": date(2026, 8, 13),
        "shut_fields": date(2026, 8, 20),
        "keep_off": date(2026, 8, 20),
        "call_before_digging": date(2026, 10, 9),  # 7 before 16 Oct
        "build_pad": date(2026, 10, 16),  # 21 before 6 Nov: 15 + 6
        "buy_feeders": date(2026, 10, 21),  # 30 before 20 Nov
        "finished_pad": date(2026, 11, 6),  # 14 before 20 Nov
        "inspect_pad": date(2026, 11, 9),
        "turn_on": date(2026, 11, 20),  # growth ends on 8 Nov, winter begins later
        "scrape_pad": date(2026, 11, 20),
        "clean_out": date(2027, 5, 5),  # 30 after 5 Apr: 25 + 5
        "spread_manure": date(2027, 5, 20),  # 45 after
        "decide_again": date(2027, 6, 25),  # 56 before 20 Aug 2027
        "seed_perennials": date(2027, 9, 9),
    }
    assert {key: days.get(key) for key in by_hand} == by_hand
    missing = {"order_nitrogen", "spread_nitrogen", "engineer", "set_out_bales", "order_bedding"}
    assert not missing & days.keys()


def test_eleven_cows_with_grass_and_bales_on_the_hill():
    """Winter feeding from 10 December to 5 April; calves from 1 April; grass shut on 10 August."""
    days = days_of(eleven_cows(), "hill")
    by_hand = {
        "choose": date(2026, 6, 1),  # 14 before 15 Jun
        "soil_test": date(2026, 6, 15),  # 56 before 10 Aug: 15 + 31 + 10
        "order_nitrogen": date(2026, 7, 20),  # 21 before: 11 + 10
        "graze_down": date(2026, 8, 3),
        "shut_fields": date(2026, 8, 10),
        "spread_nitrogen": date(2026, 8, 10),
        "count_hay": date(2026, 9, 26),  # 75 before 10 Dec: 4 + 31 + 30 + 10
        "buy_hay": date(2026, 10, 10),  # 61 before: 21 + 30 + 10
        "call_before_digging": date(2026, 11, 3),  # 7 before 10 Nov, when posts are set
        "buy_feeders": date(2026, 11, 10),  # 30 before 10 Dec
        "test_hay": date(2026, 11, 12),  # 28 before: 18 + 10
        "set_out_bales": date(2026, 11, 26),  # 14 before: 4 + 10
        "begin_feeding": date(2026, 12, 10),
        "turn_on": date(2026, 12, 10),
        "count_half_way": date(2027, 2, 6),  # 59th of 117 days: 22 + 31 + 6
        "count_before_grass": date(2027, 3, 6),  # 30 before 5 Apr
        "magnesium": date(2027, 3, 6),
        "clean_ground_cows": date(2027, 3, 18),  # 14 before 1 Apr: 13 + 1
        "decide_again": date(2027, 6, 15),
        "seed_perennials": date(2027, 9, 13),  # 60 before 12 Nov: 17 + 31 + 12
    }
    assert {key: days.get(key) for key in by_hand} == by_hand


def test_hay_is_bought_by_the_bale():
    plan = planned(subject_of(eleven_cows(), "ring"), materials=lambda _: ())
    assert plan.hay is not None
    assert plan.hay.price_per_bale == 60
    assert plan.hay.price_per_ton == pytest.approx(120)  # 60 / 1,000 lb x 2,000
    assert plan.hay.cost == plan.hay.bales_to_buy * 60
    assert plan.hay.bales_to_buy - plan.hay.bales_needed < 1  # rounded up, none on hand
    assert plan.hay.bales_to_buy >= plan.hay.bales_needed
    assert plan.hay.tons_to_buy == pytest.approx(plan.hay.bales_to_buy / 2)
