"""Faults between the inputs: each named by its path and said so that it can be mended.

The rules are the program's own; there is nothing outside it to hold them against. The farms that
are spoiled here are costed without a fault as they stand.
"""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from service.costing.checks import faults_of
from service.costing.engine import cost
from service.costing.errors import Fault, InputError
from service.costing.scenario import Scenario

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
DEMO = Path(__file__).parents[2] / "service" / "demo" / "whetstone_hollow.json"
ONE_ROW, ROWS, EDGES = "worked_farm", "worked_farm_rows", "worked_farm_edges"
DOCUMENTS = {name: (FARMS / f"{name}.json").read_text("utf-8") for name in (ONE_ROW, ROWS, EDGES)}
SCENARIO = TypeAdapter(Scenario)

Spoil = Callable[[dict[str, Any]], Any]
Case = tuple[str, str, Spoil, str, tuple[str, ...]]
"""A sentence, a farm, what is spoiled, the path of the fault, and words that it must have."""


def scenario_of(farm: str, spoil: Spoil = lambda farm: farm) -> Scenario:
    """Return a worked farm as a scenario, spoiled."""
    document = copy.deepcopy(json.loads(DOCUMENTS[farm]))
    spoil(document)
    return SCENARIO.validate_json(json.dumps(document))


def faults_at(path: str, faults: list[Fault]) -> list[Fault]:
    """Return the faults of one input."""
    return [fault for fault in faults if fault.input == path]


def put(path: str, value: Any) -> Spoil:
    """Change one place of a document; steps and rows by position."""
    *way, last = path.split("/")

    def change(document: dict[str, Any]) -> None:
        node: Any = document
        for name in way:
            node = node[int(name)] if isinstance(node, list) else node.setdefault(name, {})
        if value is DROPPED:
            del node[last]
        else:
            node[last] = value

    return change


DROPPED = object()


def drop(path: str) -> Spoil:
    """Take one place out of a document."""
    return put(path, DROPPED)


def both(*spoils: Spoil) -> Spoil:
    """Spoil several places."""

    def change(document: dict[str, Any]) -> None:
        for spoil in spoils:
            spoil(document)

    return change


def assert_fault(case: Case) -> None:
    """Check that a spoiled farm has one fault at the path, with the words."""
    _, farm, spoil, path, words = case
    faults = faults_of(scenario_of(farm, spoil))
    found = faults_at(path, faults)
    assert len(found) == 1, faults
    said = f"{found[0].detail} {found[0].allowed} {found[0].unit} {found[0].suggestion}"
    assert all(word in said for word in words), said


@pytest.mark.parametrize("farm", DOCUMENTS)
def test_a_worked_farm_has_no_fault(farm):
    assert faults_of(scenario_of(farm)) == []


def test_the_demo_farm_has_no_fault():
    assert faults_of(SCENARIO.validate_json(DEMO.read_text("utf-8"))) == []


WINTER: list[Case] = [
    (
        "ground days that are not the days of the calendar",
        ONE_ROW,
        put("winter/ground_days/wet", 60),
        "winter.ground_days",
        ("153", "137", "136 to 138", "day"),
    ),
    (
        "days of a row that are not the days of the calendar",
        ROWS,
        put("winter/rows/1/ground_days/firm", 5),
        "winter.rows.2021-22.ground_days",
        ("85", "135"),
    ),
    (
        "more days than a year has",
        ONE_ROW,
        put("winter/ground_days/wet", 300),
        "winter.ground_days",
        ("393", "more than a year"),
    ),
    (
        "a winter without days",
        ONE_ROW,
        put("winter/ground_days", {}),
        "winter.ground_days",
        ("No ground state",),
    ),
    (
        "neither days nor rows",
        ONE_ROW,
        drop("winter/ground_days"),
        "winter.ground_days",
        ("rows",),
    ),
    (
        "days and rows",
        ROWS,
        put("winter/ground_days", {"wet": 135}),
        "winter.rows",
        ("keep one",),
    ),
    (
        "two winters of one season",
        ROWS,
        put("winter/rows/2/season", "2020-21"),
        "winter.rows.3.season",
        ("2020-21",),
    ),
    (
        "a season that is the number of another row",
        ROWS,
        both(put("winter/rows/0/season", "2"), drop("winter/rows/1/season")),
        "winter.rows.2.season",
        ("'2'",),
    ),
    (
        "an open pad in use and no word of rain",
        ONE_ROW,
        drop("winter/rain_in"),
        "winter.rain_in",
        ("pad of system bales_and_pad", "in"),
    ),
    (
        "an open pad in use and rain missing in one row",
        ROWS,
        drop("winter/rain_in"),
        "winter.rain_in",
        ("2022-23",),
    ),
]


@pytest.mark.parametrize("case", WINTER, ids=[case[0] for case in WINTER])
def test_the_winter_cannot_have(case):
    assert_fault(case)


@pytest.mark.parametrize("days", [136, 137, 138])
def test_ground_days_may_be_a_day_off_the_calendar(days):
    # 20 November to 5 April is 11 + 31 + 31 + 28 + 31 + 5 = 137 days, counted on a calendar.
    ground = {"wet": days - 100, "firm": 100}
    assert faults_of(scenario_of(ONE_ROW, put("winter/ground_days", ground))) == []


def test_a_winter_inside_one_year_is_counted_too():
    # 1 January to 31 March has 31 + 28 + 31 = 90 days, counted on a calendar.
    spoil = both(
        put("winter/first_day", "01-01"),
        put("winter/last_day", "03-31"),
        put("winter/ground_days", {"frozen": 45, "wet": 45}),
    )
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []


def test_rain_may_stand_in_the_winter_or_in_every_row():
    in_rows = both(drop("winter/rain_in"), put("winter/rows/2/rain_in", 12.5))
    assert faults_of(scenario_of(ROWS, in_rows)) == []


def test_rain_is_not_asked_for_where_no_open_pad_is_used():
    spoil = both(drop("winter/rain_in"), drop("systems/bales_and_pad"))
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []


def test_all_faults_come_at_once():
    spoil = both(
        put("baseline", "today"),
        put("winter/ground_days/wet", 60),
        put("herd/cows/stage", "maintenance"),
        put("hay/price_per_bale", 50),
        drop("finance/real_rate"),
        put("systems/rings/plan/0/field", "crek_lot"),
        drop("systems/barn/plan/1/presentation"),
        put("systems/bales_and_pad/structures/cover", {"kind": "roof", "over": "nowhere"}),
        put("assumptions/hay_waste.ring_opn", 0.2),
        drop("machines/spreader"),
    )
    assert {fault.input for fault in faults_of(scenario_of(ONE_ROW, spoil))} == {
        "baseline",
        "winter.ground_days",
        "herd.cows.stage",
        "hay.price_per_bale",
        "finance.real_rate",
        "systems.rings.plan.sacrifice_lot.field",
        "systems.barn.plan.bedded_pack.presentation",
        "systems.bales_and_pad.structures.cover.over",
        "assumptions.hay_waste.ring_opn",
        "machines.spreader",
    }


def test_a_scenario_with_faults_is_not_costed():
    with pytest.raises(InputError) as refused:
        cost(scenario_of(ONE_ROW, put("baseline", "today")))
    assert [fault.input for fault in refused.value.faults] == ["baseline"]


def test_thousands_of_faults_are_found_in_good_time():
    # A suggestion is looked for only for the first of them, or this would take minutes.
    spoil = both(
        put("systems/rings/plan/0/groups", [f"cow_{number}" for number in range(20_000)]),
        put("assumptions", {f"hay_wast.{number}": 1 for number in range(5_000)}),
    )
    faults = faults_of(scenario_of(ONE_ROW, spoil))
    assert len(faults) > 25_000 - 1
    assert 0 < sum(fault.suggestion is not None for fault in faults) <= 50


LEFT_OVER = [
    # what is spoiled, the path, and words that the sentence must have
    (
        put("systems/rings/plan/0/ground_states", ["frozen"]),
        "systems.rings.plan",
        ("21 snow_covered", "38 firm", "44 wet", "No step takes cows on snow_covered days"),
    ),
    (
        put("systems/rings/plan/0/max_days", 100),
        "systems.rings.plan",
        ("Add a last step",),
    ),
    (
        put("systems/barn/structures/barn/area_sqft", 500),
        "systems.barn.plan",
        ("enlarge barn or set stocking to tight",),
    ),
]


@pytest.mark.parametrize(("spoil", "path", "words"), LEFT_OVER)
def test_days_left_unserved_are_refused_with_groups_states_and_days(spoil, path, words):
    with pytest.raises(InputError) as refused:
        cost(scenario_of(ONE_ROW, spoil))
    (fault,) = refused.value.faults
    assert fault.input == path
    assert fault.unit == "day"
    assert all(word in fault.detail for word in words), fault.detail


def test_days_left_are_the_most_of_any_winter():
    # The wettest of the five winters has 77 wet days.
    spoil = put("systems/today/plan/0/ground_states", ["frozen", "snow_covered", "firm"])
    with pytest.raises(InputError) as refused:
        cost(scenario_of(ROWS, spoil))
    (fault,) = refused.value.faults
    assert "cows and heifers 77 wet" in fault.detail
