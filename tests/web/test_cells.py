"""One number as text, for a cell of a spreadsheet."""

import re
from dataclasses import replace

import pytest

from service.costing.errors import Fault, InputError
from service.scenarios.errors import StoreBusyError

NUMBER = re.compile(r"-?\d+(\.\d+)?(e[-+]\d+)?\n")
DIGITS = 1e-14
"""Fifteen digits are sent."""


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


@pytest.fixture
def costing(keeping, scenario):
    return keeping.get(f"/v1/scenarios/{scenario}/costing").json()


def _cell(keeping, scenario, figure, query="", by="read", **headers):
    return keeping.get(f"/v1/cell/{figure}?scenario={scenario}&{query}", by, **headers)


def _system(costing, key):
    return next(system for system in costing["systems"] if system["system"] == key)


def test_a_cell_holds_the_figure_of_the_costing(keeping, scenario, costing):
    for system in costing["systems"]:
        query = f"system={system['system']}"
        answer = _cell(keeping, scenario, "annual_equivalent_cost", query)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "text/plain; charset=utf-8"
        assert NUMBER.fullmatch(answer.text)
        expected = system["annual_equivalent_cost"]
        assert float(answer.text) == pytest.approx(expected, rel=DIGITS)
        assert answer.headers["x-unit"] == "USD/year"
        digits = re.sub(r"e.*|[-.\n]", "", answer.text).lstrip("0")
        assert len(digits) <= 15
        where = f"/v1/scenarios/{scenario}/costings/{costing['id']}"
        assert answer.headers["content-location"] == where


def test_systems_can_be_called_best_and_baseline(keeping, scenario, costing):
    for word, key in (
        ("best", costing["best_system"]),
        ("baseline", costing["comparison"]["baseline"]),
    ):
        answer = _cell(keeping, scenario, "quantities.labor_hours", f"system={word}")
        expected = _system(costing, key)["quantities"]["labor_hours"]
        assert float(answer.text) == pytest.approx(expected, rel=DIGITS)
        assert answer.headers["x-unit"] == "hour/year"
    assert _cell(keeping, scenario, "best_system").text == f"{costing['best_system']}\n"


def test_a_line_has_years_and_money_is_split(keeping, scenario, costing):
    line = next(one for one in costing["systems"][0]["lines"] if one["line"] == "hay_eaten")
    key = costing["systems"][0]["system"]
    answer = _cell(keeping, scenario, "lines.hay_eaten", f"system={key}&year=1")
    assert float(answer.text) == pytest.approx(line["by_year"][1], rel=DIGITS)
    assert answer.headers["x-unit"] == "USD"
    per = _cell(keeping, scenario, "annual_equivalent_cost", f"system={key}&per=ton_dm_eaten")
    expected = costing["systems"][0]["cost_per_ton_dm_eaten"]
    assert float(per.text) == pytest.approx(expected, rel=1e-12)


def test_a_figure_that_does_not_exist_for_the_system_is_no_nought(keeping, scenario):
    answer = _cell(keeping, scenario, "against_baseline.internal_rate", "system=baseline")
    assert (answer.status_code, answer.text) == (200, "null\n")


def test_settings_change_one_cell_and_store_nothing(keeping, scenario):
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    settings = "set.hay.price_per_ton=140&set.herd.cows.body_weight_lb=590%20kg"
    answer = _cell(keeping, scenario, "annual_equivalent_cost", f"system=baseline&{settings}")
    assert answer.status_code == 200, answer.text
    weight = 590 / 0.45359237  # NIST Handbook 44, Appendix C: 1 lb = 0.453 592 37 kg, exact
    posted = keeping("POST", "/v1/costings", "read", json={
        "scenario": scenario,
        "set": {"hay.price_per_ton": 140, "herd.cows.body_weight_lb": weight},
    }).json()  # fmt: skip
    expected = _system(posted, posted["comparison"]["baseline"])["annual_equivalent_cost"]
    assert float(answer.text) == pytest.approx(expected, rel=1e-12)
    assert answer.headers["cache-control"] == "no-store"
    assert "content-location" not in answer.headers
    assert keeping.desk.store.written == written


def test_a_revision_has_its_own_cell(keeping, scenario, costing):
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    first = _cell(keeping, scenario, "annual_equivalent_cost", "system=best&revision=1")
    newest = _cell(keeping, scenario, "annual_equivalent_cost", "system=best")
    expected = _system(costing, costing["best_system"])["annual_equivalent_cost"]
    assert float(first.text) == pytest.approx(expected, rel=DIGITS)
    assert float(newest.text) > float(first.text)


def test_head_stores_nothing(keeping, scenario):
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    path = f"/v1/cell/best_system?scenario={scenario}"
    head = keeping("HEAD", path, "read")
    assert (head.status_code, head.content) == (200, b"")
    assert "content-location" not in head.headers
    assert keeping.desk.store.written == written


FAULTS = [
    ("annual_equivalent_costs", "system=best", "annual_equivalent_cost"),
    ("lines.hay_waste", "system=best", "lines.hay_wasted"),
    ("annual_equivalent_cost", "system=bes", "did you mean best?"),
    ("annual_equivalent_cost", "", "name one"),
    ("annual_equivalent_cost", "system=best&year=1", "has no years"),
    ("lines.hay_eaten", "system=best&year=1,5", "whole number"),
    ("lines.hay_eaten", "system=best&year=99", "the last is"),
    ("annual_equivalent_cost", "system=best&per=cow", "no per 'cow'"),
    ("best_system", "sytem=best", "did you mean system?"),
    ("best_system", "system=best&system=best", "more than once"),
    ("annual_equivalent_cost", "system=best&set.hay.price_per_ton=92,5", "use a decimal point"),
    ("annual_equivalent_cost", "system=best&set.hay.price_per_ton=", "empty"),
    ("annual_equivalent_cost", "system=best&set.hay.price=9", "price_per_"),
    ("annual_equivalent_cost", "system=best&set.hay.price_per_ton=9%20kg", "'kg' is no unit"),
    ("best_system", "revision=7", "no revision 7"),
]


@pytest.mark.parametrize(("figure", "query", "words"), FAULTS)
def test_a_fault_is_a_problem_or_the_text_of_the_cell(keeping, scenario, figure, query, words):
    answer = _cell(keeping, scenario, figure, query)
    assert answer.status_code in {404, 422}
    assert answer.headers["content-type"] == "application/problem+json"
    assert words in answer.json()["detail"]
    shown = _cell(keeping, scenario, figure, f"{query}&errors=text")
    assert (shown.status_code, shown.headers["content-type"]) == (200, "text/plain; charset=utf-8")
    assert words in shown.text
    assert shown.text.count("\n") == 1
    assert shown.headers["cache-control"] == "no-store"
    assert "x-unit" not in shown.headers


def test_all_faults_are_told_at_once(keeping, scenario):
    answer = _cell(keeping, scenario, "lines.hay_waste", "system=bes&per=x")
    found = [(error["input"], error.get("suggestion")) for error in answer.json()["errors"]]
    assert found == [("figure", "lines.hay_wasted"), ("system", "best"), ("per", None)]
    several = keeping.get("/v1/cell/best_system?errors=txt&year=x", "read").json()["errors"]
    assert [error["input"] for error in several] == ["scenario", "year", "errors"]


def test_only_the_first_sentence_stands_in_the_cell(keeping, keeping_app, scenario):
    def refuse(document):
        del document
        raise InputError([Fault("herd", "Count the\ncows. Then the calves."), Fault("hay", "No.")])

    keeping_app.state.desk = replace(keeping.desk, read=refuse)
    answer = _cell(keeping, scenario, "best_system", "errors=text")
    assert (answer.status_code, answer.text) == (200, "Count the cows.\n")


def test_a_fault_cannot_become_a_formula(keeping, keeping_app, scenario):
    def refuse(document):
        del document
        raise InputError([Fault("name", '=HYPERLINK("http://farm.invalid","x")')])

    keeping_app.state.desk = replace(keeping.desk, read=refuse)
    answer = _cell(keeping, scenario, "best_system", "errors=text")
    assert answer.text.startswith("'=")


def test_a_service_that_is_busy_is_asked_again_and_not_written_down(keeping, scenario, monkeypatch):
    def busy(*_more, **_other):
        raise StoreBusyError

    monkeypatch.setattr("service.web.routes.cells.costing_now", busy)
    answer = _cell(keeping, scenario, "best_system", "errors=text")
    assert answer.status_code == 503
    assert "retry-after" in answer.headers


def test_a_read_link_in_the_address_opens_its_own_scenario_alone(keeping, scenario, costing):
    token, other = keeping.link(scenario), keeping.stored(name="Other")
    answer = _cell(keeping, scenario, "best_system", f"token={token}", None)
    assert answer.text == f"{costing['best_system']}\n"
    refused = _cell(keeping, other, "best_system", f"token={token}", None)
    assert refused.status_code == 404
    shown = _cell(keeping, other, "best_system", f"token={token}&errors=text", None)
    assert shown.text == "No scenario has this id.\n"


def test_no_token_is_ever_sent_back(keeping, scenario):
    token = keeping.link(scenario)
    for figure, query in ((token, f"token={token}"), ("x", f"token={token}&system={token}")):
        for more in ("", "&errors=text"):
            answer = _cell(keeping, scenario, figure, query + more, None)
            assert token not in answer.text + str(answer.headers)


@pytest.mark.parametrize("token", [None, "wfk_" + "0" * 38])
def test_without_a_key_nothing_is_told(keeping, scenario, token):
    assert _cell(keeping, scenario, "best_system", "", token).status_code == 401
    shown = _cell(keeping, scenario, "best_system", "errors=text", token)
    absent = _cell(keeping, "sc_x", "best_system", "errors=text", token)
    assert shown.status_code == 200
    assert shown.content == absent.content
    edit = keeping.link(scenario, "edit")
    refused = _cell(keeping, scenario, "best_system", f"token={edit}", None)
    assert (refused.status_code, refused.json()["type"]) == (404, "/problems/unknown-link")


def test_whatever_is_asked_for_is_answered_in_words(keeping, scenario):
    for figure in ("%00", "a" * 5000, "..%2F..", "=1+1", "%F0%9F%90%84", "lines."):
        answer = _cell(keeping, scenario, figure, "system=best")
        assert answer.status_code in {404, 422}, answer.text
        assert answer.json()["errors"][0]["detail"].startswith("There is no figure")
