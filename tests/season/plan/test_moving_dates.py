"""Dates move when the days of the scenario move, and keep their order."""

import json
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from service.season.dates import latest
from service.season.plan.document import PLAN_TABLES, plan_document, plan_rows
from service.season.plan.planned import planned
from tests.season.variants import eleven_cows, subject_of

ORDINARY = date(2026, 1, 1)
MARKS = {"seen", "from memory", "common practice, no source", "assumption", "given"}


def named(ordinal):
    """Return a day of the 365-day year as MM-DD."""
    return f"{ORDINARY + timedelta(days=ordinal % 365):%m-%d}"


@st.composite
def farms(draw):
    """Return Eleven Cows with other days of winter, closing, end of growth and births."""
    first = draw(st.integers(0, 364))
    length = draw(st.integers(20, 200))
    dormancy = first + draw(st.integers(-60, 15))
    closing = dormancy - draw(st.integers(1, 200))
    document = eleven_cows()
    document["winter"] |= {
        "first_day": named(first),
        "last_day": named(first + length - 1),
        "ground_days": {"frozen": 5, "snow_covered": 4, "firm": length - 14, "wet": 5},
    }
    document["systems"]["hill"]["plan"][0] |= {
        "acres": 0.2,  # so that hay is needed in the shortest winter too
        "closing_date": named(closing),
        "dormancy_date": named(dormancy),
    }
    document["herd"]["cows"]["birth_starts"] = named(draw(st.integers(0, 364)))
    return document


@settings(max_examples=40)
@given(farms(), st.integers(1999, 2098))
def test_tasks_keep_their_order_whatever_the_days(document, year):
    subject = subject_of(document, "hill", year)
    plan = planned(subject, materials=lambda _: ())
    days = {task.key: task.day for task in plan.tasks}
    step = document["systems"]["hill"]["plan"][0]

    assert len(days) == len(plan.tasks)
    assert [task.day for task in plan.tasks] == sorted(days.values())
    assert plan.tasks[0].key == "choose"
    assert days["soil_test"] < days["graze_down"] < days["shut_fields"] < days["turn_on"]
    assert days["order_nitrogen"] < days["spread_nitrogen"] == days["shut_fields"]
    grown = latest(step["dormancy_date"], days["turn_on"])
    assert days["shut_fields"] < grown <= days["turn_on"] <= subject.season.last_day
    assert f"{days['shut_fields']:%m-%d}" == step["closing_date"]
    assert days["turn_on"] == max(grown, subject.season.first_day)
    assert days["count_hay"] < days["buy_hay"] < days["test_hay"] < days["begin_feeding"]
    assert days["set_out_bales"] < days["begin_feeding"] == subject.season.first_day
    assert days["end_feeding"] == subject.season.last_day
    after = ("walk_ground", "pick_up", "write_down", "decide_again")
    assert all(days[key] > subject.season.last_day for key in after)
    assert days.get("seed_perennials", date.max) > days["walk_ground"] - timedelta(days=7)
    for task in plan.tasks:
        assert task.last_day is None or task.last_day >= task.day, task.key
        assert task.reason.mark in MARKS
        assert task.reason.rule
        assert task.week_late.words
    json.dumps(plan_document(plan), allow_nan=False)
    assert all(tuple(row) == PLAN_TABLES["tasks"] for row in plan_rows(plan, "tasks"))


def moved(document, path, day):
    """Return a copy of the plan's days with one input changed."""
    *names, last = path
    place = document
    for name in names:
        place = place[name]
    place[last] = day
    plan = planned(subject_of(document, "hill"), materials=lambda _: ())
    return {task.key: (task.day, task.reason.anchor) for task in plan.tasks}


def test_each_input_moves_the_tasks_that_name_it_and_no_others():
    usual = moved(eleven_cows(), ("name",), "Eleven Cows")
    for path, day, anchor, by in (
        (("herd", "cows", "birth_starts"), "04-04", "herd.cows.birth_starts", 3),
        (
            ("systems", "hill", "plan", 0, "closing_date"),
            "08-14",
            "systems.hill.plan.grass.closing_date",
            4,
        ),
        (
            ("systems", "hill", "plan", 0, "dormancy_date"),
            "11-14",
            "systems.hill.plan.grass.dormancy_date",
            2,
        ),
    ):
        now = moved(eleven_cows(), path, day)
        for key, (then, hangs_on) in usual.items():
            shift = timedelta(days=by if hangs_on == anchor else 0)
            assert now[key][0] == then + shift, (anchor, key)
