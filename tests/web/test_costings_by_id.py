"""Costing by the id of a stored scenario, and whose documents are costed without a key."""

import json

import pytest

from service.web.app import create_app
from tests.support.offices import small_document
from tests.web.keeping import Keeping

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


@pytest.fixture
def closed(keeping, keeping_app):
    keeping_app.state.open_costing = False
    return keeping


def _cost(keeping, by="read", query="", **sent):
    return keeping("POST", f"/v1/costings{query}", by, json=sent)


def test_the_newest_revision_is_costed_and_nothing_stored(keeping, scenario):
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    answer = _cost(keeping, scenario=scenario)
    assert answer.status_code == 200, answer.text
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    assert document["hay"]["price_per_ton"] == 140
    assert answer.content == _cost(keeping, None, document=document).content
    assert answer.json()["id"] is None
    assert keeping.desk.store.written == written
    assert keeping.get(f"/v1/scenarios/{scenario}/costings").json()["items"] == []


def test_settings_change_single_inputs_for_this_answer_alone(keeping, scenario):
    settings = {"herd.cows.head": 70, "assumptions.hay_waste.ring_open": None}
    answer = _cost(keeping, scenario=scenario, set=settings)
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    assert answer.content == _cost(keeping, None, document=document, set=settings).content
    assert document["herd"]["cows"]["head"] == small_document()["herd"]["cows"]["head"]


def test_workings_come_along_if_asked(keeping, scenario):
    answer = _cost(keeping, query="?workings=true", scenario=scenario)
    assert answer.json()["workings"]["figures"]


def test_a_link_costs_its_own_scenario_alone(keeping, scenario):
    other = keeping.stored(name="Other")
    for access in ("read", "edit"):
        token = keeping.link(scenario, access)
        assert _cost(keeping, token, scenario=scenario).status_code == 200
        assert _cost(keeping, token, scenario=other).status_code == 404


def test_another_offices_scenario_is_answered_as_one_that_is_not_there(keeping, scenario):
    answers = [
        _cost(keeping, keeping.keys_elsewhere["admin"], scenario=one)
        for one in (scenario, UNKNOWN, "x", "\u0000", "sc_" + "0" * 500)
    ]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert answers[0].json()["type"] == "/problems/unknown-scenario"


@pytest.mark.parametrize(
    ("token", "name"),
    [(None, "no-token"), ("wfk_" + "0" * 38, "unknown-token"), ("x", "unknown-token")],
)
def test_a_scenario_needs_a_token_that_opens_it(keeping, scenario, token, name):
    answer = _cost(keeping, token, scenario=scenario)
    assert (answer.status_code, answer.json()["type"]) == (401, f"/problems/{name}")
    assert answer.headers["www-authenticate"].startswith("Bearer")


def test_a_token_in_the_address_costs_nothing(keeping, scenario):
    token = keeping.link(scenario)
    answer = _cost(keeping, None, f"?token={token}", scenario=scenario)
    assert answer.status_code in {404, 422}
    assert token not in answer.text


@pytest.mark.parametrize(
    ("sent", "pointer"),
    [
        ({"set": {"herd.cow.head": 70}}, "/set/herd.cow.head"),
        ({"set": {"herd.cows.head": "70"}}, "/set/herd.cows.head"),
        ({"set": {"hay": 3}}, "/set/hay"),
        ({"set": {f"assumptions.hay_waste.kind_{n}": 0 for n in range(61)}}, "/set"),
        ({"set": {"winter.last_day": "04-25"}}, "/scenario"),
        ({"document": {}}, "/document"),
        ({"sett": {}}, "/sett"),
    ],
)
def test_a_fault_points_into_the_body_as_sent(keeping, scenario, sent, pointer):
    answer = _cost(keeping, scenario=scenario, **sent)
    assert answer.status_code == 422
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}, answer.text


def test_numbers_and_doubled_names_are_refused_as_with_a_document(keeping, scenario):
    headers = {"Content-Type": "application/json"}
    for settings in ('{"hay.price_per_ton": NaN}', '{"name": "a", "name": "b"}'):
        body = f'{{"scenario": "{scenario}", "set": {settings}}}'
        answer = keeping("POST", "/v1/costings", "read", content=body, headers=headers)
        assert answer.status_code == 422
        (error,) = answer.json()["errors"]
        assert error["pointer"].startswith("/set/")


def test_a_binned_scenario_is_not_costed(keeping, scenario):
    keeping("DELETE", f"/v1/scenarios/{scenario}", headers={"If-Match": "*"})
    assert _cost(keeping, scenario=scenario).json()["type"] == "/problems/binned-scenario"
    other = _cost(keeping, keeping.keys_elsewhere["admin"], scenario=scenario)
    assert other.json()["type"] == "/problems/unknown-scenario"


def test_where_costing_is_open_a_document_needs_no_key(keeping):
    assert _cost(keeping, None, document=small_document()).status_code == 200


def test_elsewhere_a_document_needs_a_key_or_a_link(closed: Keeping):
    document = small_document()
    answer = _cost(closed, None, document=document)
    assert (answer.status_code, answer.json()["type"]) == (401, "/problems/no-token")
    assert _cost(closed, "wfk_" + "0" * 38, document=document).status_code == 401
    link = closed.link(closed.stored())
    for token in ("read", "admin", closed.keys_elsewhere["read"], link):
        assert _cost(closed, token, document=document).status_code == 200
    large = json.dumps({"document": document}, indent=400)
    answer = closed("POST", "/v1/costings", "read", content=large,
                    headers={"Content-Type": "application/json"})  # fmt: skip
    assert answer.status_code == 200


def test_nobody_without_a_key_learns_what_is_wrong_with_a_body(closed):
    for body in (b"{", b"[]", b'{"scenario": "x"}'):
        assert closed("POST", "/v1/costings", None, content=body).status_code == 401
    answer = closed("POST", "/v1/costings", "read", content=b"{")
    assert answer.status_code == 415


def test_a_service_that_keeps_nothing_knows_no_scenario():
    keeping = Keeping(create_app())
    keeping.app.state.desk = None
    assert _cost(keeping, "read", scenario=UNKNOWN).json()["type"] == "/problems/unknown-scenario"
    for path in ("/v1/scenarios", f"/v1/scenarios/{UNKNOWN}/costing"):
        answer = keeping.get(path)
        assert (answer.status_code, answer.json()["type"]) == (503, "/problems/no-database")
