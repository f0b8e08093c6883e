"""Dates of the plan for the demo farm in the winter of 2026-27, worked by hand.

Winter feeding runs from 1 December 2026 to 10 April 2027, 131 days; grass is shut on 12 August and
ends its growth on 15 November. The arithmetic stands beside each date; the days between are those
of the calendar. How many days a lead takes is told by the plan with source and mark.
"""

from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from service.demo import demo_document
from service.season.plan.planned import planned
from tests.season.variants import subject_of

ALWAYS = {
    "count_hay": date(2026, 9, 17),  # 75 before 1 Dec: 13 + 31 + 30 + 1
    "buy_hay": date(2026, 10, 1),  # 61 before: 30 + 30 + 1
    "check_structures": date(2026, 10, 20),  # 42 before: 11 + 30 + 1
    "check_water": date(2026, 11, 1),  # 30 before: 29 + 1
    "test_hay": date(2026, 11, 3),  # 28 before: 27 + 1
    "begin_feeding": date(2026, 12, 1),
    "count_half_way": date(2027, 2, 4),  # 66th of 131 days: 31 + 31 + 4
    "clean_ground_bred_heifers": date(2027, 2, 15),  # 14 before 1 Mar: 13 + 1
    "clean_ground_cows": date(2027, 2, 26),  # 14 before 12 Mar: 2 + 12
    "count_before_grass": date(2027, 3, 11),  # 30 before 10 Apr: 20 + 10
    "clean_ground_ewes": date(2027, 3, 22),  # 14 before 5 Apr: 9 + 5
    "end_feeding": date(2027, 4, 10),
    "walk_ground": date(2027, 4, 17),  # 7 after
    "pick_up": date(2027, 4, 24),  # 14 after
    "write_down": date(2027, 4, 24),  # 14 after
    "repair_ground": date(2027, 5, 8),  # 28 after: 20 + 8
}
SEVERE = {
    "lime": date(2027, 3, 18),  # 182 before 16 Sep: 13 + 30 + 31 + 30 + 31 + 31 + 16
    "quick_cover": date(2027, 4, 24),  # 14 after 10 Apr
    "graze_cover": date(2027, 5, 25),  # 45 after: 20 + 25
    "seed_perennials": date(2027, 9, 16),  # 60 before 15 Nov: 14 + 31 + 15
}
WITHOUT_GRASS = {"decide_again": date(2027, 6, 19)}  # 70 after 10 Apr: 20 + 31 + 19
GRASS = {
    "soil_test": date(2026, 6, 17),  # 56 before 12 Aug: 13 + 31 + 12
    "order_nitrogen": date(2026, 7, 22),  # 21 before: 9 + 12
    "graze_down": date(2026, 8, 5),  # 7 before
    "shut_fields": date(2026, 8, 12),
    "keep_off": date(2026, 8, 12),
    "spread_nitrogen": date(2026, 8, 12),
    "late_summer_hay": date(2026, 8, 12),
    "turn_on": date(2026, 12, 1),  # growth ends on 15 Nov, winter begins later
    "move_wire": date(2026, 12, 1),
    "magnesium": date(2027, 3, 11),  # 30 before 10 Apr
    "decide_again": date(2027, 6, 17),  # 56 before 12 Aug 2027
}
HAY_FLOOR = {
    "build_hay_floor": date(2026, 9, 3),  # 14 of building
    "finished_hay_floor": date(2026, 9, 17),  # 75 before 1 Dec
    "inspect_hay_floor": date(2026, 9, 20),  # 3 after
    "permits": date(2026, 6, 5),  # 90 before 3 Sep: 25 + 31 + 31 + 3
    "call_before_digging": date(2026, 8, 27),  # 7 before: 4 + 3
    "choose": date(2026, 5, 22),  # 14 before 5 Jun: 9 + 5
}
FEEDERS = {"buy_feeders": date(2026, 11, 1)}  # 30 before 1 Dec
PIPE = {
    "build_pipe": date(2026, 10, 22),  # 10 before 1 Nov: 9 + 1
    "finished_pipe": date(2026, 11, 1),  # 30 before 1 Dec
    "inspect_pipe": date(2026, 11, 4),
}
BEDDING = {"order_bedding": date(2026, 10, 6)}  # 56 before 1 Dec: 25 + 30 + 1
MANURE = {
    "clean_out": date(2027, 5, 10),  # 30 after 10 Apr: 20 + 10
    "spread_manure": date(2027, 5, 25),  # 45 after: 20 + 25
}
BY_HAND = {
    "lot_open_rings": {
        "choose": date(2026, 9, 3),  # 14 before 17 Sep
        **ALWAYS,
        **SEVERE,
        **WITHOUT_GRASS,
    },
    "lot_better_feeders": {**ALWAYS, **SEVERE, **WITHOUT_GRASS, **HAY_FLOOR, **FEEDERS},
    "grass_first": {**ALWAYS, **SEVERE, **GRASS, **HAY_FLOOR, **FEEDERS, **PIPE},
    "by_the_ground": {
        **ALWAYS,
        **SEVERE,
        **GRASS,
        **HAY_FLOOR,
        **FEEDERS,
        **PIPE,
        **BEDDING,
        **MANURE,
        "build_pad": date(2026, 10, 27),  # 21 before 17 Nov: 4 + 17
        "finished_pad": date(2026, 11, 17),  # 14 before 1 Dec: 13 + 1
        "build_mound": date(2026, 11, 10),  # 7 before 17 Nov
        "finished_mound": date(2026, 11, 17),
        "inspect_pad": date(2026, 11, 20),
        "set_out_bales": date(2026, 11, 17),  # 14 before 1 Dec
        "open_bales": date(2026, 12, 1),
        "scrape_pad": date(2026, 12, 1),
        "fetch_bales": date(2027, 4, 24),  # 14 after 10 Apr
    },
    "rock_pad": {
        **ALWAYS,
        **SEVERE,
        **WITHOUT_GRASS,
        **HAY_FLOOR,
        **FEEDERS,
        **BEDDING,
        **MANURE,
        "build_strip": date(2026, 8, 26),  # 7 before 2 Sep: 5 + 2
        "finished_strip": date(2026, 9, 2),  # 90 before 1 Dec: 28 + 31 + 30 + 1
        "permits": date(2026, 5, 28),  # 90 before 26 Aug: 3 + 30 + 31 + 26
        "call_before_digging": date(2026, 8, 19),  # 7 before 26 Aug
        "choose": date(2026, 5, 14),  # 14 before 28 May
        "inspect_strip": date(2026, 9, 5),
        "build_pad_drinker": date(2026, 10, 27),  # 5 before 1 Nov: 4 + 1
        "finished_pad_drinker": date(2026, 11, 1),
        "inspect_pad_drinker": date(2026, 11, 4),
        "build_pad": date(2026, 10, 27),
        "finished_pad": date(2026, 11, 17),
        "build_mounds": date(2026, 11, 10),
        "finished_mounds": date(2026, 11, 17),
        "inspect_pad": date(2026, 11, 20),
        "scrape_pad": date(2026, 12, 1),
    },
    "roofed_pad": {
        **ALWAYS,
        **SEVERE,
        **WITHOUT_GRASS,
        **HAY_FLOOR,
        **BEDDING,
        **MANURE,
        "engineer": date(2026, 5, 21),  # 120 before 18 Sep: 10 + 30 + 31 + 31 + 18
        "choose": date(2026, 5, 7),  # 14 before 21 May
        "sign_cost_share": date(2026, 8, 20),  # 14 before 3 Sep: 11 + 3
        "build_pad": date(2026, 10, 13),  # 21 before 3 Nov: 18 + 3
        "finished_pad": date(2026, 11, 3),  # 28 before 1 Dec: 27 + 1
        "build_roof": date(2026, 9, 18),  # 60 before 17 Nov: 12 + 31 + 17
        "finished_roof": date(2026, 11, 17),
        "build_storage": date(2026, 10, 3),  # 45 before 17 Nov: 28 + 17
        "finished_storage": date(2026, 11, 17),
        "build_pad_drinker": date(2026, 10, 27),
        "finished_pad_drinker": date(2026, 11, 1),
        "inspect_pad_drinker": date(2026, 11, 4),
        "inspect_pad": date(2026, 11, 6),
        "inspect_roof": date(2026, 11, 20),
        "scrape_pad": date(2026, 12, 1),
    },
    "pack_barn": {
        **ALWAYS,
        **SEVERE,
        **WITHOUT_GRASS,
        **HAY_FLOOR,
        **BEDDING,
        **MANURE,
        "engineer": date(2026, 5, 6),  # 120 before 3 Sep: 25 + 30 + 31 + 31 + 3
        "choose": date(2026, 4, 22),  # 14 before 6 May: 8 + 6
        "build_barn": date(2026, 9, 3),  # 75 before 17 Nov: 27 + 31 + 17
        "finished_barn": date(2026, 11, 17),
        "build_alley": date(2026, 10, 13),
        "finished_alley": date(2026, 11, 3),
        "build_barn_drinker": date(2026, 10, 27),
        "finished_barn_drinker": date(2026, 11, 1),
        "inspect_barn_drinker": date(2026, 11, 4),
        "inspect_alley": date(2026, 11, 6),
        "inspect_barn": date(2026, 11, 20),
    },
}


@cache
def demo_subject():
    return subject_of(demo_document(), "grass_first")


@cache
def demo_tasks(system):
    plan = planned(replace(demo_subject(), key=system), materials=lambda _: ())
    return {task.key: task for task in plan.tasks}


@pytest.mark.parametrize("system", BY_HAND)
def test_each_system_of_the_demo_has_the_dates_worked_by_hand_and_no_others(system):
    assert {key: task.day for key, task in demo_tasks(system).items()} == BY_HAND[system]


def test_every_system_of_the_demo_is_worked_by_hand():
    assert BY_HAND.keys() == demo_document()["systems"].keys()


def test_stock_are_kept_off_until_the_day_before_they_are_turned_on():
    assert demo_tasks("grass_first")["keep_off"].last_day == date(2026, 11, 30)


def test_shut_acres_and_nitrogen_are_those_of_the_steps():
    tasks = demo_tasks("grass_first")
    acres = [(each.value, each.unit, each.of) for each in tasks["shut_fields"].how_much]
    assert acres == [(24, "acre", "Long Bench"), (20, "acre", "Ridge")]
    rate, _, whole = tasks["spread_nitrogen"].how_much
    assert (rate.value, rate.unit) == (46, "lb/acre")
    assert (whole.value, whole.unit) == (2024, "lb")  # 44 acres x 46 lb


def test_bales_set_out_cover_their_spacing_squared():
    bales, spacing, acres = demo_tasks("by_the_ground")["set_out_bales"].how_much
    assert (bales.value, spacing.value) == (132, 85)
    # 132 x 85^2 / 43,560; an acre is 43,560 sq ft (NIST Handbook 44, appendix C)
    assert acres.value == pytest.approx(21.894, abs=0.0005)


def test_an_enlarged_pad_is_built_by_what_is_added():
    assert demo_tasks("rock_pad")["build_pad"].how_much[0].value == 6600  # 8,400 - 1,800 sq ft


def test_the_wire_is_moved_at_the_interval_of_the_step():
    assert demo_tasks("by_the_ground")["move_wire"].how_much[0].value == 3
    assert demo_tasks("by_the_ground")["open_bales"].how_much[0].value == 4
