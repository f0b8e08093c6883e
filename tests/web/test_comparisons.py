"""Scenarios and revisions side by side."""

import csv
import io
from dataclasses import replace

import pytest

from service.costing.errors import Fault, InputError
from service.web.difference_models import ScenarioComparison
from tests.web.keeping import Keeping, without_request_id

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture
def scenario(kept):
    """Return a scenario with two revisions, hay dearer in the second."""
    stored = kept.stored()
    answer = kept(
        "PATCH",
        f"/v1/scenarios/{stored}",
        "write",
        json={"hay": {"price_per_ton": 131}},
        headers={"If-Match": '"1"'},
    )
    assert answer.status_code == 200, answer.text
    return stored


def _compared(kept, wanted, shown="read", **headers):
    return kept.get(f"/v1/comparisons?scenarios={wanted}", shown, **headers)


def test_figures_stand_side_by_side_as_they_were_costed(kept, scenario):
    other = kept.stored(external_id="0418")
    answer = _compared(kept, f"{scenario}@1,{scenario},{other}")
    assert answer.status_code == 200, answer.text
    ScenarioComparison.model_validate_json(answer.content)
    body = answer.json()
    assert [(entry["scenario"], entry["revision"]) for entry in body["compared"]] == [
        (scenario, 1),
        (scenario, 2),
        (other, 1),
    ]
    for entry in body["compared"]:
        costing = kept.get(
            f"/v1/scenarios/{entry['scenario']}/costings/{entry['costing']}", "read"
        ).json()
        by_key = {system["system"]: system for system in costing["systems"]}
        assert entry["best_system"] == costing["best_system"]
        for system in entry["systems"]:
            there = by_key[system["system"]]
            assert system["annual_equivalent_cost"] == there["annual_equivalent_cost"]
            assert system["quantities.labor_hours"] == there["quantities"]["labor_hours"]
    (hay,) = (row for row in body["differences"] if row["input"] == "hay.price_per_ton")
    assert hay["values"][1] == 131
    assert hay["values"][0] == hay["values"][2] != 131


def test_as_a_table_there_is_a_row_for_each_scenario_and_system(kept, scenario):
    wanted = f"{scenario}@1,{scenario}"
    body = _compared(kept, wanted).json()
    table = _compared(kept, f"{wanted}&format=csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert table.headers["cache-control"] == "no-store"
    assert _compared(kept, wanted, Accept="text/csv").content == table.content
    rows = list(csv.DictReader(io.StringIO(table.text, newline="")))
    expected = [
        (entry["scenario"], str(entry["revision"]), system)
        for entry in body["compared"]
        for system in entry["systems"]
    ]
    assert len(rows) == len(expected)
    for row, (stored, revision, system) in zip(rows, expected, strict=True):
        assert (row["scenario"], row["revision"]) == (stored, revision)
        assert (row["system"], row["rank"]) == (system["system"], str(system["rank"]))
        cost = system["annual_equivalent_cost"]
        assert float(row["annual_equivalent_cost"]) == pytest.approx(cost, rel=1e-14)


@pytest.mark.parametrize("wanted", ["", ",", "a b", "x@0", "x@-1", "x@two", "x@1@2", "x@", "@1"])
def test_what_names_no_scenario_is_said(kept, wanted):
    answer = _compared(kept, wanted)
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/invalid-parameter"
    assert {error["input"] for error in answer.json()["errors"]} == {"scenarios"}


def test_without_the_parameter_its_name_is_said(kept):
    answer = kept.get("/v1/comparisons", "read")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["input"] == "scenarios"


def test_at_most_twelve_are_compared(kept, scenario):
    answer = _compared(kept, ",".join([scenario] * 13))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["input"] == "scenarios"
    assert "12" in answer.json()["errors"][0]["allowed"]


def test_a_revision_that_is_not_there_is_an_unknown_part(kept, scenario):
    assert _compared(kept, f"{scenario},{scenario}@3").json()["type"] == "/problems/unknown-part"


def test_a_scenario_of_another_office_is_as_unknown_as_none(kept, scenario):
    theirs = kept.keys_elsewhere["admin"]
    foreign = _compared(kept, scenario, theirs)
    assert foreign.status_code == 404
    for unknown in (UNKNOWN, "x", "s" * 60):
        assert without_request_id(foreign) == without_request_id(_compared(kept, unknown, theirs))
    assert _compared(kept, scenario, None).status_code == 401


def test_a_link_compares_revisions_of_its_own_scenario(kept, scenario):
    other = kept.stored()
    token = kept.link(scenario)
    assert _compared(kept, f"{scenario}@1,{scenario}", token).status_code == 200
    in_address = kept.get(f"/v1/comparisons?scenarios={scenario}@1&token={token}", None)
    assert in_address.status_code == 200
    assert token not in in_address.text
    assert _compared(kept, f"{scenario},{other}", token).status_code == 404


def test_a_scenario_that_cannot_be_costed_is_named(kept, scenario):
    def refuse(document):
        del document
        raise InputError([Fault("herd.cows.head", "The cows must be counted.")])

    kept.app.state.desk = replace(kept.desk, read=refuse)
    answer = _compared(kept, scenario)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["input"] == "scenarios"
    assert error["received"] == f"{scenario}@2"
    assert "The cows must be counted." in error["detail"]
