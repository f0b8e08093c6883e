"""Everything that is not a success is a problem (RFC 9457)."""

import json

import pytest

from service.web.middleware import LARGEST_BODY
from service.web.problem_kinds import KINDS

JSON = {"Content-Type": "application/json"}


def _checked(answer, status, name):
    """Check what RFC 9457, section 3.1, asks of the members of a problem."""
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["type"] == f"/problems/{name}"
    assert problem["status"] == status
    assert problem["title"] == KINDS[name].title
    assert isinstance(problem.get("detail", ""), str)
    assert all(value not in ("", None, []) for value in problem.values())
    return problem


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"{'a': 1}",
        b'{"a": 1,}',
        b"\xff\xfe{",
        b'"\\ud800"',
        b"[" * 100_000,
        b"[" * 300 + b"]" * 300 + b"x",
        b"nul",
    ],
)
def test_what_is_not_json_is_400(call, body):
    _checked(call.cost_raw(body), 400, "not-json")


def test_half_a_surrogate_pair_is_refused_wherever_it_stands(call):
    body = '{"document": {"name": "\\ud83d"}, "set": {"\\ude00": 1}}'
    _checked(call.cost_raw(body), 400, "not-json")


def test_a_whole_surrogate_pair_is_text(call, farm):
    farm["name"] = "\U0001f404"
    assert call.cost_raw(json.dumps({"document": farm})).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/xml"},
        {"Content-Type": "application/json; charset=utf-16"},
        {"Content-Type": "multipart/form-data; boundary=x"},
        {"Content-Type": "application/json", "Content-Encoding": "gzip"},
    ],
)
def test_another_type_of_body_is_415(call, headers):
    answer = call("POST", "/v1/costings", content=b"{}", headers=headers)
    _checked(answer, 415, "unsupported-media-type")


@pytest.mark.parametrize("media_type", ["application/json; charset=UTF-8", "APPLICATION/JSON"])
def test_json_is_known_by_its_type_in_any_case(call, media_type):
    answer = call("POST", "/v1/costings", content=b"{}", headers={"Content-Type": media_type})
    _checked(answer, 422, "invalid-input")


def test_a_body_over_one_mebibyte_is_413(call):
    body = b" " * (LARGEST_BODY + 1)
    _checked(call.cost_raw(body), 413, "body-too-large")
    _checked(call.cost_raw(b" " * LARGEST_BODY), 400, "not-json")


def test_a_body_in_pieces_is_counted_too(call):
    async def pieces():
        for _ in range(20):
            yield b" " * 65_536

    answer = call("POST", "/v1/costings", content=pieces(), headers=JSON)
    _checked(answer, 413, "body-too-large")


@pytest.mark.parametrize("length", ["9" * 5000, "1048577"])
def test_an_announced_length_is_believed(call, length):
    answer = call("POST", "/v1/costings", content=b"{}", headers={**JSON, "Content-Length": length})
    _checked(answer, 413, "body-too-large")


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/v1",
        "/v1/costings/",
        "/v1/inputs/",
        "/problems/nothing",
        "/docs/",
        "/docs/assets/nothing.js",
    ],
)
def test_an_unknown_address_is_404_and_never_a_redirect(call, path):
    _checked(call.get(path), 404, "not-found")


def test_another_method_is_405_and_says_which_there_are(call):
    answer = call("DELETE", "/v1/inputs")
    _checked(answer, 405, "method-not-allowed")
    assert answer.headers["allow"] == "GET, HEAD"
    assert call("GET", "/v1/costings").headers["allow"] == "POST"


@pytest.mark.parametrize(
    "body",
    [
        "[]",
        "1",
        "null",
        '"text"',
        "{}",
        '{"document": []}',
        '{"document": {}, "scenario": "x"}',
        '{"document": {}, "set": []}',
        '{"scenario": 1}',
    ],
)
def test_what_is_no_request_is_422(call, body):
    _checked(call.cost_raw(body), 422, "invalid-input")


def test_a_bare_scenario_is_told_where_it_goes(call, farm):
    problem = _checked(call.cost_raw(json.dumps(farm)), 422, "invalid-input")
    assert '{"document": {...}}' in problem["detail"]


def test_an_unknown_member_names_the_nearest(call):
    problem = _checked(call.cost_raw('{"documnt": {}}'), 422, "invalid-input")
    assert problem["errors"][0] == {
        "pointer": "/documnt",
        "input": "documnt",
        "detail": "There is no 'documnt' in a costing request; did you mean document?",
        "received": "documnt",
        "suggestion": "document",
    }


def test_an_unknown_parameter_names_the_nearest(call):
    problem = _checked(call.get("/v1/inputs?fromat=csv"), 422, "invalid-parameter")
    assert problem["errors"][0]["suggestion"] == "format"


@pytest.mark.parametrize("query", ["?workings=maybe", "?workings=", "?working=true"])
def test_a_parameter_that_is_not_understood_is_422(call, farm, query):
    _checked(call.cost(farm, query=query), 422, "invalid-parameter")


def test_a_failure_of_the_service_tells_nothing_of_its_cause(call, monkeypatch):
    def fails(*_args, **_more):
        message = "secret path"
        raise RuntimeError(message)

    monkeypatch.setattr("service.web.routes.costings.read_request", fails)
    answer = call("POST", "/v1/costings", content=b"{}", headers={**JSON, "X-Request-Id": "one-2"})
    problem = _checked(answer, 500, "internal-error")
    assert "secret" not in answer.text
    assert problem["request_id"] == "one-2"


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_kind_of_problem_has_a_page(call, name):
    shown = call.get(f"/problems/{name}")
    assert shown.json()["title"] == KINDS[name].title
    page = call.get(f"/problems/{name}", Accept="text/html,application/xhtml+xml,*/*;q=0.8")
    assert page.headers["content-type"].startswith("text/html")
    assert KINDS[name].title in page.text


def test_all_kinds_are_listed(call):
    assert {item["name"] for item in call.get("/problems").json()["items"]} == set(KINDS)
