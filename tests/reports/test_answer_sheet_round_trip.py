"""Whatever a document holds comes back from the workbook and from CSV."""

import json

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from service.costing.engine import cost
from service.costing.input_catalog import inputs
from service.costing.result import costing_document
from service.reports.answer_sheet import csv_of, read_csv, read_workbook, template
from service.reports.answer_sheet.layout import layout
from service.scenarios.canonical import canonical_text
from service.web.reading import scenario_of
from tests.reports.answer_sheets import NAMES_OF_FARMS, documents, farm
from tests.support.strategies import farms

FORMS = {
    "workbook": lambda document: read_workbook(template(document))[0],
    "csv": lambda document: read_csv(csv_of(document))[0],
}
drawn = (Phase.explicit, Phase.generate)
"""What fails is not made smaller: a document is large and takes a while to draw."""

slow = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", NAMES_OF_FARMS)
def test_a_farm_comes_back_as_it_was(form, name):
    document = farm(name)
    read = FORMS[form](document)
    assert read == document
    for part in ("systems", "herd", "machines"):
        assert list(read[part]) == list(document[part])


@pytest.mark.parametrize("name", NAMES_OF_FARMS)
def test_csv_keeps_the_one_text_of_a_document(name):
    assert canonical_text(FORMS["csv"](farm(name))) == canonical_text(farm(name))


@settings(max_examples=60, phases=drawn, suppress_health_check=slow)
@given(documents())
def test_any_document_comes_back_from_csv(document):
    assert FORMS["csv"](document) == document


@settings(max_examples=15, phases=drawn, suppress_health_check=slow)
@given(documents())
def test_any_document_comes_back_from_a_workbook(document):
    assert FORMS["workbook"](document) == document


@settings(max_examples=6, phases=drawn, suppress_health_check=slow)
@given(farms())
def test_a_drawn_farm_comes_back_and_costs_the_same(document):
    read = FORMS["workbook"](document)
    assert read == document
    before = costing_document(cost(scenario_of(document)), given=document)
    assert costing_document(cost(scenario_of(read)), given=read) == before


def test_what_was_read_holds_numbers_as_json_does():
    read = FORMS["workbook"](farm("demo"))
    assert json.loads(json.dumps(read)) == farm("demo")
    assert isinstance(read["herd"]["cows"]["head"], int)


def test_every_input_of_the_catalogue_has_a_cell():
    cells = {column.pattern for column in layout().plain}
    for grid in layout().grids:
        cells |= {column.pattern for column in grid.columns}
    paths = {one.path for one in inputs()} - {"assumptions.<key>"}
    by_group = {path for path in paths if path.endswith("presentation.<group>")}
    assert paths - by_group == cells


def test_steps_and_winters_without_a_name_come_back():
    document = farm("demo")
    for step in document["systems"]["grass_first"]["plan"]:
        step.pop("key")
    rows = document["winter"]["rows"]
    rows[0].pop("season")
    rows[1]["season"] = rows[2]["season"] = "2016-17"
    rows[3]["season"] = "one, two. and three"
    for read in (form(document) for form in FORMS.values()):
        assert read == document


def test_what_is_said_to_be_empty_or_null_comes_back():
    document = farm("demo")
    document["systems"]["lot_open_rings"]["structures"] = {}
    document["systems"]["lot_open_rings"]["plan"][0]["ground_states"] = []
    document["systems"]["lot_open_rings"]["plan"][0]["presentation"] = {}
    document["systems"]["lot_open_rings"]["hay_storage"] = None
    document["limits"]["minutes_weekday"] = None
    document["machines"]["spreader"] = {}
    document["winter"]["rows"][2]["spells"] = {"frozen": [], "wet": [3, 7, 12.5]}
    document["winter"]["rows"][3]["spell_days"] = {}
    document["supplement"] = None
    for read in (form(document) for form in FORMS.values()):
        assert read == document


def test_a_line_of_csv_is_enough_to_name_a_step_or_a_winter():
    text = (
        "input,value\r\n"
        "systems.a.plan.calves.method,sacrifice_lot\r\n"
        "systems.a.plan.bale_grazing.method,bale_grazing\r\n"
        "winter.rows.2018-19.ground_days.wet,30\r\n"
    )
    document, places = read_csv(text)
    assert document["systems"]["a"]["plan"] == [
        {"method": "sacrifice_lot", "key": "calves"},
        {"method": "bale_grazing"},
    ]
    assert document["winter"]["rows"] == [{"ground_days": {"wet": 30}, "season": "2018-19"}]
    assert places["systems.a.plan.calves.method"] == "line 2"
    assert places["winter.rows.2018-19.ground_days.wet"] == "line 4"
