"""A stored costing against the same question costed now."""

import gzip
import json
from dataclasses import replace

import pytest

from service.costing.overrides import with_settings
from service.costing.result import ENGINE_VERSION
from service.scenarios.costings import body_of, costing_now, difference
from service.scenarios.differences import difference_of
from service.scenarios.errors import UnknownPartError, UnknownScenarioError
from tests.scenarios.kept_farms import costed, farm, kept_with, opened_desk, stranger
from tests.support import offices

MOVED = {"engine_version": {"then": "1", "now": "2"}}
LATER = "99.0.0"


@pytest.fixture
def front():
    """Return a desk, a caller, the id of a scenario and its costing."""
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, farm("demo"))
    return desk, caller, scenario, costing_now(desk, caller, scenario)


def line(answer, system, key):
    """Return what a line of a system costs a year."""
    [found] = [one for one in answer["systems"] if one["system"] == system]
    [cost] = [one["annual_equivalent"] for one in found["lines"] if one["line"] == key]
    return cost


def test_lines_that_differ_are_told_with_both_amounts_and_add_up_to_the_system():
    document = farm("worked_farm")
    then = costed(document)
    now = costed(with_settings(document, {"prices.labor_per_hour": 40}))
    found = difference_of(then, now, MOVED)
    assert {system["system"] for system in found["systems"]} == set(document["systems"])
    for system in found["systems"]:
        key = system["system"]
        assert {one["line"] for one in system["lines"]} <= {"labor", "manure_handling"}
        for one in system["lines"]:
            assert one["then"] == line(then, key, one["line"])
            assert one["now"] == line(now, key, one["line"])
            assert one["change"] == one["now"] - one["then"] > 0
        whole = system["annual_equivalent_cost"]
        assert sum(one["change"] for one in system["lines"]) == pytest.approx(whole["change"])
    assert [one["input"] for one in found["inputs"]] == ["prices.labor_per_hour"]
    assert found["currency"] == "USD"


def test_a_line_that_only_one_engine_knows_has_no_change():
    then, now = costed(farm("worked_farm")), costed(farm("worked_farm"))
    removed = then["systems"][0]["lines"].pop(0)
    key = then["systems"][0]["system"]
    expected = {"line": removed["line"], "title": removed["title"], "change": None}
    amount = removed["annual_equivalent"]

    def lines(found):
        return next(one["lines"] for one in found["systems"] if one["system"] == key)

    assert lines(difference_of(then, now, MOVED)) == [expected | {"then": None, "now": amount}]
    assert lines(difference_of(now, then, MOVED)) == [expected | {"then": amount, "now": None}]


def test_where_nothing_moved_the_answer_says_so(front):
    desk, caller, scenario, costing = front
    found = difference(desk, caller, scenario, costing.id)
    assert found["moved"] == {}
    assert found["sentence"] == (
        "Neither the engine nor the reference edition has moved since: the costing stands."
    )
    assert (found["scenario"], found["revision"]) == (scenario, 1)
    assert found["costing"] == found["against"] == costing.id
    assert found["inputs"] == []
    assert all(system["lines"] == [] for system in found["systems"])


def test_an_older_costing_is_held_against_the_engine_of_now(front):
    desk, caller, scenario, costing = front
    later = replace(desk, engine_version=LATER)
    found = difference(later, caller, scenario, costing.id)
    assert found["moved"] == {"engine_version": {"then": ENGINE_VERSION, "now": LATER}}
    assert found["sentence"] == f"Engine {ENGINE_VERSION} to {LATER}: no cost changed."
    assert found["costing"] == costing.id
    assert found["against"] == costing_now(later, caller, scenario).id != costing.id


def test_an_engine_that_answers_otherwise_is_told_in_a_sentence(front):
    desk, caller, scenario, costing = front
    older = with_settings(farm("demo"), {"hay.price_per_ton": 131})
    told_then = costed(older) | {"engine_version": "0.0.9", "id": "ct_older"}
    keep(desk, replace(costing, id="ct_older", engine_version="0.0.9"), told_then)
    found = difference(desk, caller, scenario, "ct_older")
    assert found["sentence"] == (
        f"Engine 0.0.9 to {ENGINE_VERSION}: today's cost down 10,600 USD a year; "
        "the cheapest is still Same lot, better feeders, hay kept dry."
    )
    [today] = [one for one in found["systems"] if one["system"] == "lot_open_rings"]
    cost = today["annual_equivalent_cost"]
    assert cost["change"] == cost["now"] - cost["then"] < 0
    assert {one["line"] for one in today["lines"]} <= {
        "hay_eaten",
        "hay_wasted",
        "hay_lost_in_storage",
        "late_summer_hay",
    }


def keep(desk, costing, body):
    """Keep a costing as if another engine or edition had made it."""
    result = gzip.compress(json.dumps(body).encode())
    with desk.store.writing() as session:
        session.costings.add(replace(costing, result=result))


def test_under_a_newer_edition_the_question_is_costed_anew_and_not_stored():
    desk, caller = opened_desk()
    text = json.dumps(farm("demo") | {"reference_edition": "2025.1"})
    head = offices.head()
    revision = offices.revision(head, document=text, reference_edition="2025.1")
    costing = offices.costing(of=head, engine_version=ENGINE_VERSION, reference_edition="2025.1")
    waste = with_settings(farm("demo"), {"assumptions.hay_waste.ring_open": 0.4})
    with desk.store.writing() as session:
        session.scenarios.add(head, revision)
    keep(desk, costing, costed(waste) | {"reference_edition": "2025.1", "id": costing.id})

    found = difference(desk, caller, head.id, costing.id)
    assert found["moved"] == {"reference_edition": {"then": "2025.1", "now": "2026.1"}}
    assert found["against"] is None
    [today] = [one for one in found["systems"] if one["system"] == "lot_open_rings"]
    expected = costed(farm("demo"))
    [now] = [one for one in expected["systems"] if one["system"] == "lot_open_rings"]
    assert today["annual_equivalent_cost"]["now"] == now["annual_equivalent_cost"]
    assert "hay_wasted" in {one["line"] for one in today["lines"]}
    assert [one["input"] for one in found["inputs"]] == ["assumptions.hay_waste.ring_open"]
    assert found["sentence"].startswith("Reference edition 2025.1 to 2026.1: today's cost down ")
    with desk.store.reading() as session:
        assert len(session.costings.page(head.id, None, None, 50)) == 1


def test_the_stored_costing_itself_never_changes(front):
    desk, caller, scenario, costing = front
    before = body_of(costing)
    difference(replace(desk, engine_version=LATER), caller, scenario, costing.id)
    with desk.store.reading() as session:
        assert body_of(session.costings.get(scenario, costing.id)) == before


def test_only_what_is_there_and_seen_is_held_against_now(front):
    desk, caller, scenario, costing = front
    with pytest.raises(UnknownPartError):
        difference(desk, caller, scenario, "ct_0")
    with pytest.raises(UnknownScenarioError):
        difference(desk, stranger(), scenario, costing.id)
