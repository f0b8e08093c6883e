"""Every date says why, by which rule, whose word it is, and which caution belongs to it."""

from dataclasses import replace

import pytest

from service.costing.caution_table import caution_table
from service.costing.units import NEGLIGIBLE
from service.season.figures import figure_of, season_figures
from service.season.plan.document import PLAN_TABLES, plan_document, plan_rows
from service.season.plan.planned import planned
from service.season.plan.records import Material
from tests.season.plan.test_demo_dates import BY_HAND, demo_subject, demo_tasks

UNSOURCED = {"common practice, no source", "assumption", "given"}
SOURCED = {"seen", "from memory"}
P_SHARED = ("buy_hay", "order_bedding", "order_nitrogen", "finish_building", "buy_feeders", "seed")


@pytest.mark.parametrize("system", BY_HAND)
def test_every_date_says_why_and_by_whose_word(system):
    origins = demo_subject().body["origins"]
    for task in demo_tasks(system).values():
        reason = task.reason
        assert reason.words.endswith("."), task.key
        assert reason.rule, task.key
        assert reason.anchor in origins, task.key
        assert bool(reason.source) is (reason.mark in SOURCED), task.key
        assert reason.mark in SOURCED | UNSOURCED, task.key
        assert task.title, task.key
        assert task.what.endswith("."), task.key
        assert (task.week_late.cost is None) is (task.week_late.basis == "not_estimated")


@pytest.mark.parametrize("system", BY_HAND)
def test_cautions_of_tasks_are_triggered_and_none_is_lost(system):
    subject = replace(demo_subject(), key=system)
    plan = planned(subject, materials=lambda _: ())
    triggered = [caution["caution"] for caution in subject.result["cautions"]]
    assert [caution.caution for caution in plan.cautions] == triggered
    for task in plan.tasks:
        assert set(task.cautions) <= set(triggered), task.key
        assert len(set(task.cautions)) == len(task.cautions), task.key


def test_every_caution_that_a_task_may_carry_exists():
    known = caution_table().keys()
    carried = {key for system in BY_HAND for x in demo_tasks(system).values() for key in x.cautions}
    assert carried <= known
    assert {"toxic_fescue", "grass_tetany", "licensed_engineer", "call_before_digging"} <= carried
    assert {"winter_spreading", "net_wrap_and_twine", "loader_and_bales", "ice"} <= carried
    assert {"calving_and_lambing_ground", "electric_fence", "manure_gas", "stack_fire"} <= carried
    assert {"cost_share_contract", "lone_work"} <= carried


def test_cautions_stand_where_they_belong():
    grass = demo_tasks("grass_first")
    assert "toxic_fescue" in grass["turn_on"].cautions
    assert "grass_tetany" in grass["magnesium"].cautions
    assert "licensed_engineer" in demo_tasks("roofed_pad")["engineer"].cautions
    assert "cost_share_contract" in demo_tasks("roofed_pad")["sign_cost_share"].cautions
    assert "manure_gas" in demo_tasks("pack_barn")["clean_out"].cautions


@pytest.mark.parametrize("key", sorted(season_figures()))
def test_every_figure_has_a_range_a_unit_and_a_word_on_where_it_is_from(key):
    figure = figure_of(key)
    assert figure.low <= figure.usual <= figure.high
    assert figure.unit
    assert figure.meaning.endswith(".")
    assert figure.mark in SOURCED | UNSOURCED
    assert bool(figure.source) is (figure.mark in SOURCED)
    assert figure.source or figure.note


@pytest.mark.parametrize("name", P_SHARED)
def test_leads_that_materials_count_by_are_days(name):
    assert figure_of(f"lead.{name}").unit == "day"


def test_leads_of_the_hay_test_and_of_seeding_are_those_published():
    """Teutsch 2020: three to four weeks; Sulc: six to eight weeks after coming up."""
    hay = figure_of("lead.test_hay")
    assert (hay.low, hay.usual) == (3 * 7, 4 * 7)
    seed = figure_of("lead.seed")
    assert 6 * 7 <= seed.low <= seed.usual <= 8 * 7 + 10
    assert figure_of("lead.magnesium").usual == 30  # Beckman: at least 30 days
    assert figure_of("lead.lime").usual == pytest.approx(365 / 2, abs=1)  # Kenny: six months
    height = figure_of("grass.height")
    assert (height.low, height.high) == (3, 4)  # Kentucky: three to four inches


def test_a_document_has_dates_as_text_and_rounds_nothing():
    material = Material(
        "straw", "Straw", 2.5, "ton", 78.0, 195.0, "given", None, "Floors", None, (), "", ""
    )
    subject = replace(demo_subject(), key="by_the_ground")
    plan = planned(subject, materials=lambda asked: (material,) if asked is subject else ())
    document = plan_document(plan)
    assert document["season"] == {
        "name": "2026-27",
        "first_day": "2026-12-01",
        "last_day": "2027-04-10",
    }
    assert document["currency"] == "USD"
    assert document["materials"][0]["cost"] == 195.0
    assert document["materials"][0]["needed_by"] is None
    first = document["tasks"][0]
    assert (first["key"], first["day"], first["when"]) == ("choose", "2026-05-22", "by")
    assert document["hay"]["buy_by"] == "2026-10-01"
    bales = subject.result["quantities"]["bales"]
    assert document["hay"]["checkpoints"][0]["bales_left"] == bales["left_half_way"]
    assert document["hay"]["bales_needed"] == bales["needed_mean"]
    assert document["cautions"]
    assert document["notes"]


def test_a_row_holds_the_task_and_its_first_amount():
    subject = replace(demo_subject(), key="by_the_ground")
    plan = planned(subject, materials=lambda _: ())
    rows = plan_rows(plan, "tasks")
    assert len(rows) == len(plan.tasks)
    assert all(tuple(row) == PLAN_TABLES["tasks"] for row in rows)
    row = next(row for row in rows if row["key"] == "set_out_bales")
    assert (row["day"], row["last_day"]) == ("2026-11-17", None)
    assert (row["amount"], row["unit"]) == (132, "bale")
    assert str(row["how_much"]).startswith("132 bale on Ridge; 85 ft from center to center; ")
    assert "net_wrap_and_twine" in str(row["cautions"])


def test_hay_is_what_the_costing_says():
    subject = demo_subject()
    hay = planned(subject, materials=lambda _: ()).hay
    bales = subject.result["quantities"]["bales"]
    assert hay.bales_to_buy == bales["to_buy_mean"]
    assert hay.price_per_ton == 98
    assert hay.price_per_bale == pytest.approx(51.45)  # 98 x 1,050 / 2,000
    assert hay.tons_to_buy == pytest.approx(bales["to_buy_mean"] * 1050 / 2000)
    assert hay.cost == pytest.approx(hay.bales_to_buy * 51.45)
    half, late = hay.checkpoints
    assert half.bales_left == pytest.approx(hay.bales_needed / 2)
    # even use: 30 of 131.25 days, the mean of the twelve winters
    assert late.bales_left == pytest.approx(hay.bales_needed * 30 / 131.25)
    assert hay.bales_needed > NEGLIGIBLE


def test_the_interval_of_scraping_has_the_word_of_the_table_it_is_from():
    """Doran in the edition for concrete; farms with rock pads, no source, for gravel."""
    concrete = demo_tasks("roofed_pad")["scrape_pad"].reason
    assert concrete.mark == "seen"
    assert "Doran" in concrete.source
    gravel = demo_tasks("rock_pad")["scrape_pad"].reason
    assert (gravel.mark, gravel.source) == ("common practice, no source", "")


def test_materials_come_with_the_plan():
    plan = planned(replace(demo_subject(), key="rock_pad"))
    assert "Rock pad, enlarged" in {each.for_what for each in plan.materials} | {
        each.title for each in plan.materials
    }
