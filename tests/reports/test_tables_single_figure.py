"""Whether a single cell holds the figure that was asked for, and nothing else."""

import pytest

from service.costing.errors import InputError
from service.reports.tables.costing_tables import table
from service.reports.tables.single_figure import figure_of
from tests.reports.table_bodies import body_of, demo_body
from tests.support.situations import cows, farm, on_lot


def one_group():
    return body_of(farm({"lot": {"plan": [on_lot(presentation="ring_open")]}}, herd={"c": cows()}))


def faults(*asked, **more):
    with pytest.raises(InputError) as told:
        figure_of(demo_body(), *asked, **more)
    return {fault.input: fault for fault in told.value.faults}


def test_every_figure_of_the_table_can_be_asked_for_alone():
    body = demo_body()
    rows = table("figures", body, {}, "long").rows
    assert len(rows) > 1_000
    for row in rows[:: len(rows) // 200]:
        assert figure_of(body, row["figure"], row["system"]) == (row["value"], row["unit"])


def test_the_best_and_the_baseline_go_by_their_words():
    body = demo_body()
    systems = {system["system"]: system for system in body["systems"]}
    for word, key in (("best", body["best_system"]), ("baseline", body["comparison"]["baseline"])):
        cost = systems[key]["annual_equivalent_cost"]
        assert figure_of(body, "annual_equivalent_cost", word) == (cost, "USD/year")


def test_what_belongs_to_the_whole_costing_needs_no_system():
    body = demo_body()
    assert figure_of(body, "best_system") == (body["best_system"], "")
    wet = body["winter"]["ground_days"]["wet"]
    assert figure_of(body, "winter.ground_days.wet") == (wet, "day")
    assert figure_of(body, "winter.days", "no such system") == (body["winter"]["days"], "day")


def test_a_line_has_a_flow_in_each_year():
    body = demo_body()
    line = next(line for line in body["systems"][0]["lines"] if line["line"] == "structures")
    for year in (0, 1, 15):
        assert figure_of(body, "lines.structures", "best", year=year) == (
            line["by_year"][year],
            "USD",
        )


def test_acres_and_days_can_be_asked_for_together():
    body = demo_body()
    system = next(s for s in body["systems"] if s["system"] == "by_the_ground")
    acres = sum(system["quantities"]["acres_damaged"].values())
    for name in ("quantities.acres_damaged.total", "quantities.acres_damaged"):
        assert figure_of(body, name, "by_the_ground") == (pytest.approx(acres), "acre")
    days = sum(system["quantities"]["served_days"]["bales"].values())
    found = figure_of(body, "quantities.served_days.bales", "by_the_ground")
    assert found == (pytest.approx(days), "day")
    assert figure_of(body, "quantities.served_days.bales", "pack_barn").value is None


def test_what_does_not_exist_for_a_system_is_nothing():
    body = demo_body()
    assert figure_of(body, "against_baseline.net_present_value", "baseline").value is None
    assert figure_of(body, "quantities.served_days.pack.wet", "rock_pad").value is None
    unlimited = one_group()
    assert figure_of(unlimited, "limits.acres_to_fix.over", "lot") == (None, "acre")
    assert figure_of(unlimited, "farm_margin", "lot").value is None


def test_costs_by_head_add_up_to_the_whole():
    """By definition: heads times cost a head, over all groups, is the cost."""
    body = demo_body()
    herd = body["inputs_used"]["herd"]
    for figure in ("annual_equivalent_cost", "lines.labor"):
        shared = sum(
            group["head"] * figure_of(body, figure, "best", per=f"head.{key}").value
            for key, group in herd.items()
        )
        assert shared == pytest.approx(figure_of(body, figure, "best").value, rel=1e-12)


def test_the_whole_cost_split_is_the_unit_cost_of_the_costing():
    body = demo_body()
    best = body["systems"][0]
    cows_cost = figure_of(body, "annual_equivalent_cost", "best", per="head.cows")
    assert cows_cost == (pytest.approx(best["cost_per_head"]["cows"], rel=1e-14), "USD/head")
    ton = figure_of(body, "annual_equivalent_cost", "best", per="ton_dm_eaten")
    assert ton == (pytest.approx(best["cost_per_ton_dm_eaten"], rel=1e-14), "USD/ton DM")
    a_day = figure_of(body, "annual_equivalent_cost", "best", per="head_day.cows")
    assert a_day == (pytest.approx(cows_cost.value / body["winter"]["days"]), "USD/head-day")


def test_with_one_group_a_head_is_one_of_it():
    body = one_group()
    (lot,) = body["systems"]
    per_head = pytest.approx(lot["annual_equivalent_cost"] / 60, rel=1e-12)
    assert figure_of(body, "annual_equivalent_cost", "lot", per="head") == (per_head, "USD/head")
    unit = "USD/head-day"
    assert figure_of(body, "annual_equivalent_cost", "lot", per="head_day").unit == unit
    same = figure_of(body, "annual_equivalent_cost", "lot", per="year")
    assert same == (lot["annual_equivalent_cost"], "USD/year")


def test_where_nothing_is_known_to_split_by_there_is_no_value():
    body = one_group()
    body["systems"][0]["cost_per_ton_dm_eaten"] = None
    assert figure_of(body, "lines.labor", "lot", per="ton_dm_eaten").value is None


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("anual_equivalent_cost", "annual_equivalent_cost"),
        ("lines.hay_wastd", "lines.hay_wasted"),
        ("quantities.acres_damaged.sever", "quantities.acres_damaged.severe"),
        ("best_sistem", "best_system"),
    ],
)
def test_a_figure_that_there_is_none_of_names_the_nearest(asked, near):
    fault = faults(asked, "best")["figure"]
    assert (fault.received, fault.suggestion) == (asked, near)
    assert near in fault.detail


@pytest.mark.parametrize("asked", ["", "x" * 5_000, "lines", "lines.", "=1+1", "systems.0.title"])
def test_nothing_but_figures_is_answered(asked):
    fault = faults(asked, "best")["figure"]
    assert len(fault.detail) < 1_000


def test_all_faults_are_told_at_once():
    found = faults("lines.hay_wasted", "bst", year=99, per="hed")
    assert found["system"].suggestion == "best"
    assert found["year"].allowed == "0 to 15"
    assert found["per"].received == "hed"


def test_a_figure_of_a_system_asks_for_one():
    assert "best" in faults("rank")["system"].allowed


@pytest.mark.parametrize(
    ("asked", "more", "at_fault"),
    [
        ("rank", {"year": 1}, "year"),
        ("lines.labor", {"year": -1}, "year"),
        ("rank", {"per": "ton_dm_eaten"}, "per"),
        ("net_present_cost", {"per": "head.cows"}, "per"),
        ("lines.labor", {"per": "head.cow"}, "per"),
        ("lines.labor", {"per": "ton_dm_eaten", "year": 1}, "per"),
    ],
)
def test_year_and_per_must_fit_the_figure(asked, more, at_fault):
    assert set(faults(asked, "best", **more)) == {at_fault}


def test_with_several_groups_a_head_must_be_of_one():
    fault = faults("lines.labor", "best", per="head")["per"]
    assert fault.suggestion == "head.cows"
    assert "head.ewes" in fault.allowed
