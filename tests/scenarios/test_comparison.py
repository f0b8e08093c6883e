"""Scenarios and revisions side by side, held against costings made apart."""

import json

import pytest

from service.costing.errors import InputError
from service.costing.figures_catalog import figures
from service.costing.overrides import with_settings
from service.scenarios.comparison import TITLES, compared
from service.scenarios.costings import costing_now
from service.scenarios.errors import BinnedError, UnknownPartError, UnknownScenarioError
from service.scenarios.keeping import put_in_bin
from tests.scenarios.kept_farms import costed, farm, kept_with, opened_desk, stranger
from tests.support import offices


@pytest.fixture
def front():
    """Return a desk, a caller and the ids of two scenarios, the first with two revisions."""
    desk, caller = opened_desk()
    second = with_settings(farm("demo"), {"hay.price_per_ton": 131, "limits.acres_to_fix": None})
    del second["systems"]["pack_barn"]
    return (
        desk,
        caller,
        kept_with(desk, caller, farm("demo"), second),
        kept_with(desk, caller, farm("worked_farm")),
    )


def system_of(document, key=None):
    answer = costed(document)
    wanted = key or answer["best_system"]
    return next(system for system in answer["systems"] if system["system"] == wanted)


def test_each_is_shown_with_its_costing(front):
    desk, caller, first, second = front
    found = compared(desk, caller, [(first, 1), (second, None)])
    demo, worked = found["compared"]
    costing = costing_now(desk, caller, first, 1)
    answer = costed(farm("demo"))
    assert demo["scenario"] == first
    assert demo["revision"] == 1
    assert demo["name"] == "Whetstone Hollow Farm"
    assert demo["external_id"] == "demo"
    assert demo["costing"] == costing.id
    assert demo["engine_version"] == costing.engine_version
    assert demo["reference_edition"] == "2026.1"
    assert (demo["currency"], demo["price_year"], demo["winters"]) == ("USD", 2026, 12)
    assert demo["best_system"] == "lot_better_feeders"
    assert demo["best_title"] == "Same lot, better feeders, hay kept dry"
    assert [one["system"] for one in demo["systems"]] == [
        one["system"] for one in answer["systems"]
    ]
    assert worked["scenario"] == second
    assert worked["reference_edition"] == "none"


def test_the_figures_are_those_of_each_costing(front):
    desk, caller, first, second = front
    found = compared(desk, caller, [(first, 1), (second, None)])
    best = [system_of(farm("demo")), system_of(farm("worked_farm"))]
    values = {figure["figure"]: figure["values"] for figure in found["figures"]}
    assert values == {
        "annual_equivalent_cost": [one["annual_equivalent_cost"] for one in best],
        "out_of_pocket": [one["out_of_pocket"] for one in best],
        "first_cost": [one["first_cost"] for one in best],
        "net_present_cost": [one["net_present_cost"] for one in best],
        "quantities.hay_bought_ton": [one["quantities"]["hay_bought_ton"] for one in best],
        "quantities.hay_wasted_ton_dm": [one["quantities"]["hay_wasted_ton_dm"] for one in best],
        "quantities.labor_hours": [one["quantities"]["labor_hours"] for one in best],
        "quantities.acres_damaged": [
            sum(one["quantities"]["acres_damaged"].values()) for one in best
        ],
        "cheapest_in_winters": [one["cheapest_in_winters"] for one in best],
    }
    barn = next(one for one in found["compared"][0]["systems"] if one["system"] == "pack_barn")
    alone = system_of(farm("demo"), "pack_barn")
    assert barn["rank"] == alone["rank"]
    assert barn["first_cost"] == alone["first_cost"]
    assert barn["quantities.labor_hours"] == alone["quantities"]["labor_hours"]


def test_figures_have_the_units_of_the_catalogue_in_the_currency_of_the_farms(front):
    desk, caller, first, _ = front
    catalogue = {figure.path: figure.unit for figure in figures()}
    units = {
        figure["figure"]: figure["unit"]
        for figure in compared(desk, caller, [(first, None)])["figures"]
    }
    assert units == {
        path: catalogue.get(path, "acre").replace("currency", "USD") for path in TITLES
    }
    assert catalogue["quantities.acres_damaged.<severity>"] == "acre"


def test_systems_that_share_a_key_stand_in_one_row(front):
    desk, caller, first, second = front
    found = compared(desk, caller, [(first, 1), (first, 2), (second, None)])
    rows = {row["system"]: row for row in found["by_system"]}
    later = with_settings(farm("demo"), {"hay.price_per_ton": 131})
    assert rows["lot_open_rings"]["values"] == [
        system_of(farm("demo"), "lot_open_rings")["annual_equivalent_cost"],
        system_of(later, "lot_open_rings")["annual_equivalent_cost"],
        None,
    ]
    title = "Today: rings on the Barn Lot"
    assert rows["lot_open_rings"]["titles"] == [title, title, None]
    assert "pack_barn" not in rows  # only the first revision has it


def test_inputs_that_are_not_the_same_in_all_are_listed(front):
    desk, caller, first, _ = front
    rows = {
        row["input"]: row
        for row in compared(desk, caller, [(first, 1), (first, None), (first, 1)])["differences"]
    }
    assert sorted(rows) == ["hay.price_per_ton", "limits.acres_to_fix", "systems.pack_barn"]
    price = rows["hay.price_per_ton"]
    assert price == {
        "input": "hay.price_per_ton",
        "title": "Hay price",
        "unit": "USD/ton",
        "values": [98, 131, 98],
    }
    assert rows["limits.acres_to_fix"]["values"] == [4, None, 4]
    barn = farm("demo")["systems"]["pack_barn"]
    assert rows["systems.pack_barn"]["values"] == [barn, None, barn]


def test_two_that_differ_from_each_other_but_lack_what_the_first_has_are_both_told():
    desk, caller = opened_desk()
    first = farm("demo")
    del first["systems"]["pack_barn"]
    dear = with_settings(farm("demo"), {"systems.pack_barn.title": "Dear barn"})
    scenario = kept_with(desk, caller, first, farm("demo"), dear)
    rows = compared(desk, caller, [(scenario, 1), (scenario, 2), (scenario, 3)])["differences"]
    assert [row["input"] for row in rows] == ["systems.pack_barn", "systems.pack_barn.title"]
    assert rows[1]["values"] == [None, "Hoop barn with bedded pack", "Dear barn"]


def test_names_are_no_difference():
    desk, caller = opened_desk()
    renamed = farm("demo") | {"name": "Another farm", "external_id": "7"}
    scenario = kept_with(desk, caller, farm("demo"), renamed)
    found = compared(desk, caller, [(scenario, 1), (scenario, 2)])
    assert found["differences"] == []
    assert [one["name"] for one in found["compared"]] == ["Whetstone Hollow Farm", "Another farm"]
    assert [one["external_id"] for one in found["compared"]] == ["demo", "7"]
    assert found["warnings"] == []


def test_what_makes_figures_hard_to_compare_is_said():
    desk, caller = opened_desk()
    abroad = farm("worked_farm") | {"currency": "NZD", "price_year": None}
    demo = kept_with(desk, caller, farm("demo"))
    other = kept_with(desk, caller, abroad)
    found = compared(desk, caller, [(demo, None), (other, None)])
    assert found["warnings"] == [
        "Costs are in different currencies and cannot be compared: USD and NZD.",
        "Prices are of different years: 2026 and not given.",
        "Reference values are of different editions: 2026.1 and none.",
        "The numbers of winters differ: 12 and 1.",
    ]
    units = {row["figure"]: row["unit"] for row in found["figures"]}
    assert units["annual_equivalent_cost"] == "currency/year"
    wage = next(row for row in found["differences"] if row["input"] == "prices.labor_per_hour")
    assert wage["unit"] == "currency/hour"


def test_one_alone_is_shown_too(front):
    desk, caller, first, _ = front
    found = compared(desk, caller, [(first, None)])
    assert [one["revision"] for one in found["compared"]] == [2]
    assert (found["by_system"], found["differences"], found["warnings"]) == ([], [], [])


def test_the_answer_is_plain_json(front):
    desk, caller, first, second = front
    found = compared(desk, caller, [(first, None), (second, None)])
    assert json.loads(json.dumps(found, allow_nan=False)) == found


@pytest.mark.parametrize("number", [0, 13])
def test_none_and_too_many_are_refused(front, number):
    desk, caller, first, _ = front
    with pytest.raises(InputError) as refused:
        compared(desk, caller, [(first, None)] * number)
    [fault] = refused.value.faults
    assert (fault.input, fault.received, fault.allowed) == ("scenarios", number, "1 to 12")


def test_all_that_cannot_be_costed_are_named(front):
    desk, caller, first, _ = front
    crowded = with_settings(
        farm("demo"), {"herd.cows.head": 90, "name": "Crowded", "external_id": None}
    )
    scenario = kept_with(desk, caller, crowded)
    with pytest.raises(InputError) as refused:
        compared(desk, caller, [(scenario, None), (first, None), (scenario, 1)])
    assert [fault.received for fault in refused.value.faults] == [f"{scenario}@1"] * 2
    assert refused.value.faults[0].detail.startswith("Crowded, revision 1 cannot be costed: ")


def test_a_link_compares_revisions_of_its_own_scenario_alone(front):
    desk, _, first, second = front
    link = offices.caller(kind="link", access="read", scenario_id=first)
    assert len(compared(desk, link, [(first, 1), (first, 2)])["compared"]) == 2
    with pytest.raises(UnknownScenarioError):
        compared(desk, link, [(first, 1), (second, None)])


def test_what_is_not_there_or_not_seen_is_not_compared(front):
    desk, caller, first, second = front
    with pytest.raises(UnknownScenarioError):
        compared(desk, stranger(), [(first, None)])
    with pytest.raises(UnknownPartError):
        compared(desk, caller, [(first, 3)])
    put_in_bin(desk, caller, second, 1)
    with pytest.raises(BinnedError):
        compared(desk, caller, [(first, None), (second, None)])
