"""What must hold between the facts of a winter and the plan; lengths and sums are by hand."""

from dataclasses import replace
from functools import cache

import pytest

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.season.dates import season_called
from service.season.fact_amounts import most_bales
from service.season.fact_checks import days_of, fact_faults, steps_meant
from service.web.facts_reading import facts_of
from service.web.reading import scenario_of

SYSTEM = "by_the_ground"
"""Steps bench_grass, bales and pad for the cattle, sheep for the sheep; all take the whole herd."""

DAYS = 131
"""From 1 December 2026 to 10 April 2027: 31 + 31 + 28 + 31 + 10."""

ACRES = 232
"""Of all fields of the demo farm together."""


@cache
def scenario():
    return scenario_of(demo_document())


@cache
def body():
    document = demo_document()
    return costing_document(cost(scenario()), given=document)


def season(name="2026-27"):
    winter = scenario().winter
    return season_called(name, winter.first_day, winter.last_day)


def faults(name="2026-27", system=SYSTEM, possible=None, plan=None, **facts):
    found = fact_faults(
        facts_of(facts), plan or scenario(), system, season(name), bales_possible=possible
    )
    return [(fault.input, fault.suggestion) for fault in found]


def refused(**more):
    return [path for path, _ in faults(**more)]


def test_nothing_known_is_lawful():
    assert faults() == []


def test_all_that_a_farm_may_know_is_lawful_together():
    assert (
        faults(
            ground_days={"frozen": 16, "snow_covered": 9, "firm": 62, "wet": 44},
            turnout_date="2027-04-10",
            days_by_method={"bench_grass": 40, "bales": 50, "pad": 41, "sheep": 131},
            bales_on_hand=355,
            bales_bought=101,
            bales_fed=440,
            labor_hours=160,
            minutes_per_day=75,
            acres_to_fix=5.5,
            acres_by_severity={"light": 1, "moderate": 1.5, "severe": 3},
            animals_lost={"cows": 1, "ewes": 2},
            prices={"hay_per_bale": 50},
        )
        == []
    )


@pytest.mark.parametrize(
    ("wet", "lawful"), [(DAYS - 2, False), (DAYS - 1, True), (DAYS + 1, True), (DAYS + 2, False)]
)
def test_the_days_in_the_ground_states_are_those_of_the_winter_give_or_take_one(wet, lawful):
    assert refused(ground_days={"wet": wet}) == ([] if lawful else ["ground_days"])


def test_a_winter_of_400_days_is_refused():
    assert refused(ground_days={"frozen": 200, "wet": 200}) == ["ground_days"]


def test_a_leap_year_has_a_day_more():
    # 1 December 2027 to 10 April 2028: 31 + 31 + 29 + 31 + 10 = 132.
    assert days_of(facts_of({}), season("2027-28")) == 132
    assert refused(name="2027-28", ground_days={"wet": 133}) == []
    assert refused(name="2027-28", ground_days={"wet": 134}) == ["ground_days"]


def test_turnout_says_how_long_the_winter_was():
    # 1 December to 1 May: 31 + 31 + 28 + 31 + 30 + 1 = 152.
    assert refused(turnout_date="2027-05-01", ground_days={"wet": 152}) == []
    assert refused(turnout_date="2027-05-01", ground_days={"wet": DAYS}) == ["ground_days"]


@pytest.mark.parametrize(
    "day", ["2026-11-30", "2027-08-09", "2028-04-10", "2027-02-29", "2027-04-31", "0000-01-01"]
)
def test_turnout_is_a_day_of_that_winter(day):
    assert refused(turnout_date=day) == ["turnout_date"]


@pytest.mark.parametrize("day", ["2026-12-01", "2027-08-08"])
def test_turnout_may_come_at_once_and_until_120_days_after_the_planned_end(day):
    # 10 April + 120 days: 20 in April, 31, 30, 31, and 8 in August.
    assert refused(turnout_date=day) == []


def test_where_turnout_is_at_fault_nothing_is_said_of_days():
    facts = {"ground_days": {"wet": 300}, "days_by_method": {"pad": 300}}
    assert refused(turnout_date="2030-01-01", **facts) == ["turnout_date"]


def test_a_step_is_named_by_its_key_or_by_its_method():
    assert faults(days_by_method={"feeding_pad": 41}) == []
    system = scenario().systems[SYSTEM]
    assert steps_meant(system, "feeding_pad") == steps_meant(system, "pad") == ["pad"]


def test_a_method_of_two_steps_is_told_apart_by_their_keys():
    [fault] = fact_faults(
        facts_of({"days_by_method": {"stockpile_grazing": 40}}),
        scenario(),
        "grass_first",
        season(),
    )
    assert (fault.input, fault.allowed) == (
        "days_by_method.stockpile_grazing",
        "bench_grass, ridge_grass",
    )


def test_an_unknown_step_is_refused_with_the_nearest():
    assert faults(days_by_method={"bals": 4}) == [("days_by_method.bals", "bales")]


def test_a_step_is_named_once():
    assert refused(days_by_method={"pad": 3, "feeding_pad": 4}) == ["days_by_method.feeding_pad"]


def test_no_step_lasts_longer_than_the_winter():
    assert refused(days_by_method={"sheep": DAYS + 1}) == []
    assert refused(days_by_method={"sheep": DAYS + 2}) == ["days_by_method.sheep"]


def test_animals_are_on_one_step_at_a_time():
    assert refused(days_by_method={"bales": 70, "pad": 62, "sheep": DAYS}) == []
    assert refused(days_by_method={"bales": 70, "pad": 63, "sheep": DAYS}) == ["days_by_method"]


def test_steps_of_other_animals_and_of_a_share_do_not_count():
    assert refused(days_by_method={"bales": DAYS, "sheep": DAYS}) == []
    plan = scenario()
    system = plan.systems[SYSTEM]
    halved = [replace(step, share_of_herd=0.5) for step in system.plan]
    systems = {**plan.systems, SYSTEM: replace(system, plan=halved)}
    shared = replace(plan, systems=systems)
    assert refused(plan=shared, days_by_method={"bales": DAYS, "pad": DAYS}) == []


@pytest.mark.parametrize(("fed", "lawful"), [(456, True), (457, True), (458, False)])
def test_no_more_bales_are_fed_than_there_were_give_or_take_one(fed, lawful):
    found = refused(bales_on_hand=355, bales_bought=101, bales_fed=fed)
    assert found == ([] if lawful else ["bales_fed"])


def test_bales_are_not_held_against_a_stock_that_is_known_in_part():
    assert refused(bales_on_hand=10, bales_fed=400) == []
    assert refused(bales_bought=10, bales_fed=400) == []


def test_no_more_bales_are_fed_than_the_herd_could_be_offered():
    assert refused(possible=3_000, bales_fed=3_001) == []
    assert refused(possible=3_000, bales_fed=3_002) == ["bales_fed"]


def test_the_most_bales_are_what_the_herd_eats_at_nine_tenths_wasted():
    # By hand from the answer: dry matter eaten / (1 - 0.9) / dry matter of a bale.
    systems = [item["quantities"] for item in body()["systems"]]
    eaten_ton = max(
        item["hay_eaten_ton_dm"] + item["stockpile_eaten_ton_dm"] + item["supplement_ton_dm"]
        for item in systems
    )
    expected = eaten_ton * 2_000 / 0.1 / (1_050 * 0.87) * DAYS / body()["winter"]["days"]
    found = most_bales(body(), facts_of({}), scenario(), DAYS)
    assert found == pytest.approx(expected, rel=1e-12)
    assert found > max(item["bales"]["needed_worst"] for item in systems)
    lighter = most_bales(body(), facts_of({"bale_weight_lb": 525}), scenario(), DAYS)
    assert lighter == pytest.approx(2 * found, rel=1e-12)
    longer = most_bales(body(), facts_of({}), scenario(), 2 * DAYS)
    assert longer == pytest.approx(2 * found, rel=1e-12)


@pytest.mark.parametrize(("hours", "lawful"), [(131, True), (145, True), (146, False), (0, False)])
def test_hours_and_minutes_a_day_agree_within_a_tenth(hours, lawful):
    # 60 minutes on each of 131 days are 131 hours; 145 less a tenth is 130.5.
    found = refused(labor_hours=hours, minutes_per_day=60)
    assert found == ([] if lawful else ["labor_hours"])


def test_acres_to_fix_agree_with_those_by_severity():
    parts = {"light": 1, "moderate": 2, "severe": 3}
    assert refused(acres_to_fix=6, acres_by_severity=parts) == []
    assert refused(acres_to_fix=4, acres_by_severity=parts) == ["acres_to_fix"]


def test_no_more_acres_are_to_fix_than_the_farm_has():
    assert refused(acres_to_fix=ACRES) == []
    assert refused(acres_to_fix=ACRES + 1) == ["acres_to_fix"]
    assert refused(acres_by_severity={"severe": ACRES + 1}) == ["acres_by_severity"]


def test_animals_are_lost_from_a_group_that_there_is():
    assert refused(animals_lost={"cows": 62}) == []
    assert refused(animals_lost={"cows": 63}) == ["animals_lost.cows"]
    assert faults(animals_lost={"ewe": 1}) == [("animals_lost.ewe", "ewes")]


def test_hay_has_one_price():
    assert refused(prices={"hay_per_ton": 95, "hay_per_bale": 50}) == ["prices.hay_per_bale"]


def test_an_unknown_system_is_refused_with_the_nearest_and_its_steps_are_let_be():
    assert faults(system="by_ground", days_by_method={"pad": 1}) == [("system", SYSTEM)]


def test_every_fault_is_told_at_once():
    found = refused(
        ground_days={"wet": 300},
        days_by_method={"pasture": 1, "sheep": 200},
        bales_on_hand=1,
        bales_bought=1,
        bales_fed=9,
        labor_hours=1,
        minutes_per_day=600,
        acres_to_fix=500,
        animals_lost={"cows": 99, "geese": 1},
        prices={"hay_per_ton": 1, "hay_per_bale": 1},
    )
    assert sorted(found) == [
        "acres_to_fix",
        "animals_lost.cows",
        "animals_lost.geese",
        "bales_fed",
        "days_by_method.pasture",
        "days_by_method.sheep",
        "ground_days",
        "labor_hours",
        "prices.hay_per_bale",
    ]


def test_many_unknown_names_do_not_take_long_to_refuse():
    many = {f"step_{number}": 1 for number in range(2_000)}
    found = faults(days_by_method=many)
    assert len(found) == len(many)
    assert all(near is None for _, near in found[50:])
