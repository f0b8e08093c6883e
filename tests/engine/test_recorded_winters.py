"""Winters from a record: their spells one by one, and winters picked for draws."""

import json

import numpy as np
import pytest
from pydantic import TypeAdapter

from service.costing.case import Case
from service.costing.engine import cost, worked
from service.costing.errors import InputError
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.demo import demo_document


def scenario_of(document):
    return TypeAdapter(Scenario).validate_json(json.dumps(document))


def with_spells(document, shortest=3):
    """Give every winter of a document spells of 4 days and single days, and use the long ones."""
    changed = json.loads(json.dumps(document))
    for row in changed["winter"]["rows"]:
        row["spells"] = {}
        for state, days in row["ground_days"].items():
            long, rest = divmod(int(days), 8)
            row["spells"][state] = [4] * long + [1] * (int(days) - 4 * long)
            assert rest < 8
        row.pop("spell_days", None)
    for system in changed["systems"].values():
        for step in system["plan"][:-1]:
            if len(step.get("ground_states", [])) not in {0, 4}:
                step["min_spell_days"] = shortest
    return changed


def served_of(costing, system):
    return [step.served.value for step in costing.systems[system].run.steps]


def test_a_step_serves_the_days_of_long_spells_alone():
    document = with_spells(demo_document())
    costing = cost(scenario_of(document))
    run = costing.systems["by_the_ground"].run
    step = next(step for step in run.steps if step.step.min_spell_days == 3)
    states = ("frozen", "snow_covered", "firm", "wet")
    for number, row in enumerate(document["winter"]["rows"]):
        for state in step.states:
            long = 4 * (int(row["ground_days"][state]) // 8)
            days = step.served.value[:, states.index(state), 0, number].max()
            assert days <= long + 1e-9
    assert step.served.value.sum() > 0


def test_the_mean_winter_has_the_long_spells_of_all_winters_by_their_days():
    document = with_spells(demo_document())
    costing = cost(scenario_of(document))
    recorded = costing.winters.recorded
    long = np.where(recorded.lengths.value >= 3, recorded.lengths.value, 0) * recorded.times.value
    days = long.sum(axis=-1)
    mean = np.average(days[..., :-1], axis=-1, weights=costing.winters.weight.value[:-1])
    np.testing.assert_allclose(days[..., -1], mean, rtol=1e-12)


def test_recorded_spells_unfold_to_their_rows_in_the_workings():
    document = with_spells(demo_document())
    answer = costing_document(
        cost(scenario_of(document), workings=True), workings=True, given=document
    )
    names = {entry.get("formula") for entry in answer["workings"]["figures"]}
    assert "switches_recorded" in names
    json.dumps(answer, allow_nan=False)


def test_picked_winters_cost_what_the_winters_do_and_sizes_stay():
    scenario = scenario_of(demo_document())
    costing = cost(scenario)
    picked = np.array([11, 0, 0, 5, 3])
    drawn = worked(Case(scenario, picked=picked))
    for key, system in costing.systems.items():
        expected = system.account.by_winter.value[0, picked]
        found = drawn.systems[key].account.by_winter.value[0, : len(picked)]
        np.testing.assert_allclose(found, expected, rtol=1e-12)
        sizes = [built.size.value for built in system.construction.built]
        again = [built.size.value for built in drawn.systems[key].construction.built]
        for one, other in zip(sizes, again, strict=True):
            np.testing.assert_allclose(one, other, rtol=1e-12)


def test_values_varied_by_row_meet_their_winter():
    scenario = scenario_of(demo_document())
    price = scenario.hay.price_per_ton
    picked = np.array([2, 2, 7])
    prices = np.array([price, 2 * price, price, price])
    drawn = worked(Case(scenario, picked=picked, varied={"hay.price_per_ton": prices}))
    doubled = cost(
        scenario_of(
            demo_document() | {"hay": demo_document()["hay"] | {"price_per_ton": 2 * price}}
        )
    )
    found = drawn.systems["rock_pad"].account.by_winter.value[0]
    plain = cost(scenario).systems["rock_pad"].account.by_winter.value[0]
    dear = doubled.systems["rock_pad"].account.by_winter.value[0]
    np.testing.assert_allclose(found[:3], [plain[2], dear[2], plain[7]], rtol=1e-12)


def test_a_part_of_the_lines_by_winter_adds_up_to_the_whole():
    system = cost(scenario_of(demo_document())).systems["grass_first"]
    account = system.account
    lines = sorted({entry.line for entry in account.entries})
    parts = [
        account.part_by_winter([entry.line == line for entry in account.entries]).value
        for line in lines
    ]
    np.testing.assert_allclose(sum(parts), account.by_winter.value, rtol=1e-12)


def test_a_record_that_was_not_opened_cannot_be_costed():
    document = demo_document()
    document["winter"] = {name: document["winter"][name] for name in ("first_day", "last_day")} | {
        "weather_record": "wr_01JD4R0C8H5K2M7P9S3V6X1Z4B"
    }
    with pytest.raises(InputError) as refused:
        cost(scenario_of(document))
    assert [fault.input for fault in refused.value.faults] == ["winter.weather_record"]
