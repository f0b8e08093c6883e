"""Nobody sees what is not theirs: every address of the interface, walked with the wrong key.

The answer to a key of another office must be that for an id that never was, byte for byte but for
the id of the request. Walked on SQLite, where the statements that were run can be compared too.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import event

from service.scenarios.desk import utc_now
from service.scenarios.ids import new_id
from service.store.prepared import driver_of
from service.web.app import create_app
from service.web.openapi import describe
from tests.support.databases import opened
from tests.support.offices import desk as new_desk
from tests.support.offices import small_document
from tests.web.keeping import Keeping, without_request_id

BODIES: dict[str, Any] = {
    "replace_scenario": {"document": small_document()},
    "change_scenario": {"hay": {"price_per_ton": 131}},
    "copy_scenario": {},
    "erase_scenario": {},
    "create_link": {"access": "read", "label": "phone"},
    "add_note": {"text": "Wet again."},
    "ask_question": {"question": "winter_types"},
    "record_winter": {"bales_fed": 310},
}
CHANGING = ("POST", "PUT", "PATCH", "DELETE")


def operations_on(thing: str) -> list[tuple[str, str, str]]:
    """Return method, path and name of every operation on a thing that an address names."""
    paths = describe(create_app())["paths"]
    return [
        (method.upper(), path, found["operationId"])
        for path, methods in paths.items()
        for method, found in methods.items()
        if f"{{{thing}}}" in path
    ]


OPERATIONS = operations_on("scenario")


@pytest.fixture(scope="module")
def keeping(tmp_path_factory, request) -> Iterator[Keeping]:
    folder = tmp_path_factory.mktemp("isolation")
    with opened("sqlite", request, folder) as database:
        yield Keeping(create_app(), new_desk(store=database))


@pytest.fixture(scope="module")
def parts(keeping) -> dict[str, str]:
    """Return the names of what the scenario of the first office has."""
    scenario = keeping.stored()
    link = keeping(
        "POST", f"/v1/scenarios/{scenario}/links", json={"access": "read", "label": "phone"}
    )
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["Content-Location"]
    asked = keeping("POST", f"/v1/scenarios/{scenario}/analyses", json={"question": "winter_types"})
    keeping("PUT", f"/v1/scenarios/{scenario}/winters/2025-26", json={"bales_fed": 300})
    return {
        "scenario": scenario,
        "season": "2025-26",
        "link": link.json()["id"],
        "costing": costing.rpartition("/")[2],
        "analysis": asked.json()["id"],
        "revision": "1",
        "name": "winters",
    }


def address(path: str, parts: dict[str, str]) -> str:
    return re.sub(r"\{(\w+)\}", lambda found: parts[found[1]], path)


def sent(keeping: Keeping, operation: tuple[str, str, str], parts: dict[str, str], token: Any):
    method, path, name = operation
    more: dict[str, Any] = {}
    if method in CHANGING:
        more["headers"] = {"If-Match": '"1"'}
        if name in BODIES:
            more["json"] = BODIES[name]
    return keeping(method, address(path, parts), token, **more)


def alike(answer, parts: dict[str, str]) -> Any:
    """Return what two answers must share; the id that was asked for is cut out."""
    status, content, headers = without_request_id(answer)
    return status, content.replace(parts["scenario"].encode(), b"(id)"), headers


def unknown(parts: dict[str, str]) -> dict[str, str]:
    return parts | {"scenario": new_id("sc", utc_now())}


def test_the_walk_goes_everywhere():
    assert len(OPERATIONS) >= 20
    assert {method for method, _, _ in OPERATIONS} == {"GET", "POST", "PUT", "PATCH", "DELETE"}


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_another_office_is_answered_as_if_there_were_nothing(keeping, parts, operation):
    for token in keeping.keys_elsewhere.values():
        real = sent(keeping, operation, parts, token)
        never = sent(keeping, operation, unknown(parts), token)
        assert real.status_code == 404
        assert alike(real, parts) == alike(never, unknown(parts))


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_a_link_to_another_scenario_is_answered_as_if_there_were_nothing(keeping, parts, operation):
    token = keeping.link(keeping.stored(external_id=None), "edit")
    real = sent(keeping, operation, parts, token)
    never = sent(keeping, operation, unknown(parts), token)
    assert real.status_code == 404
    assert alike(real, parts) == alike(never, unknown(parts))


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_without_a_key_nothing_is_told(keeping, parts, operation):
    real = sent(keeping, operation, parts, None)
    never = sent(keeping, operation, unknown(parts), None)
    assert real.status_code == 401
    assert alike(real, parts) == alike(never, unknown(parts))
    assert "Bearer" in real.headers["WWW-Authenticate"]


@contextmanager
def statements(keeping: Keeping) -> Iterator[list[str]]:
    """Note the statements that are run, those upon the connection at hand too; ids are cut out."""
    run: list[str] = []

    def note(_connection, _cursor, statement, *_):
        run.append(statement)

    def traced(statement):
        run.append(re.sub(r"'[a-z]{2}_\w+'", "(id)", statement))

    store = keeping.desk.store
    with store.at_once() as session:
        at_hand = driver_of(session._connection)  # noqa: SLF001 - as SQLite itself sees it
    event.listen(store.engine, "before_cursor_execute", note)
    at_hand.set_trace_callback(traced)
    try:
        yield run
    finally:
        event.remove(store.engine, "before_cursor_execute", note)
        at_hand.set_trace_callback(None)


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_unknown_and_forbidden_run_the_same_statements(keeping, parts, operation):
    # The same work takes the same time: what is another's cannot be told by the clock.
    token = keeping.keys_elsewhere["admin"]
    sent(keeping, operation, parts, token)  # the first use of a day is noted
    with statements(keeping) as forbidden:
        sent(keeping, operation, parts, token)
    with statements(keeping) as never:
        sent(keeping, operation, unknown(parts), token)
    assert forbidden == never
    assert forbidden


def test_a_mistyped_token_is_told_without_the_database(keeping, parts):
    token = keeping.keys["read"]
    mistyped = token[:-1] + ("a" if token[-1] != "a" else "b")
    with statements(keeping) as run:
        bearer = keeping.get(f"/v1/scenarios/{parts['scenario']}", mistyped)
        page = keeping.get(f"/s/{mistyped}", None)
    assert run == []
    assert bearer.status_code == 401
    assert "mistyped" in bearer.json()["detail"]
    assert page.status_code == 404
    assert "mistyped" in page.text


def test_lists_of_offices_hold_nothing_of_each_other(keeping, parts):
    theirs = keeping(
        "POST", "/v1/scenarios", keeping.keys_elsewhere["write"], json=small_document()
    )
    for path in ("/v1/scenarios", "/v1/audit", "/v1/keys"):
        ours = keeping.get(path).text
        others = keeping.get(path, keeping.keys_elsewhere["admin"]).text
        assert parts["scenario"] not in others
        assert theirs.json()["id"] not in ours
        ids = [set(re.findall(r"\b(?:ky|ln|sc)_[0-9A-Z]{26}", text)) for text in (ours, others)]
        assert ids[0]
        assert ids[1]
        assert not ids[0] & ids[1]


def test_a_question_that_is_not_kept_does_not_tell_what_is_anothers(keeping, parts):
    answers = []
    for scenario in (parts["scenario"], unknown(parts)["scenario"]):
        body = {"scenario": scenario, "question": "winter_types"}
        answer = keeping("POST", "/v1/analyses", keeping.keys_elsewhere["read"], json=body)
        answers.append(without_request_id(answer))
    assert answers[0] == answers[1]
    assert answers[0][0] == 404


def test_an_analysis_is_not_reached_through_another_scenario(keeping, parts):
    other = keeping.stored(external_id=None)
    absent = new_id("an", utc_now())
    for method, tail in (("GET", ""), ("DELETE", ""), ("POST", "/cancel")):
        answers = [
            without_request_id(keeping(method, f"/v1/scenarios/{other}/analyses/{one}{tail}"))
            for one in (parts["analysis"], absent)
        ]
        assert answers[0] == answers[1]
        assert answers[0][0] == 404


def test_a_cursor_of_another_office_leads_nowhere(keeping):
    for _ in range(2):
        keeping.stored(external_id=None)
    following = keeping.get("/v1/scenarios?limit=1").json()["next"]
    assert following is not None
    assert keeping.get(following).status_code == 200
    answer = keeping.get(following, keeping.keys_elsewhere["admin"])
    assert answer.status_code == 422


def test_a_cell_does_not_tell_what_is_anothers(keeping, parts):
    for more in ("", "&errors=text", "&set.hay.price_per_ton=99", "&revision=7"):
        answers = []
        for scenario in (parts["scenario"], unknown(parts)["scenario"]):
            path = f"/v1/cell/best_system?scenario={scenario}{more}"
            by_key = keeping.get(path, keeping.keys_elsewhere["admin"])
            other = keeping.stored(external_id=None)
            by_link = keeping.get(f"{path}&token={keeping.link(other)}", None)
            answers.append((without_request_id(by_key), without_request_id(by_link)))
        assert answers[0] == answers[1]
        (status, content, _), _ = answers[0]
        assert status == (200 if "errors" in more else 404)
        assert b"No scenario has this id" in content


@pytest.mark.parametrize("tail", ["costing.csv", "costing.xlsx", "costings/{costing}.csv",
                                  "costings/{costing}.xlsx", "costing?table=inputs"])  # fmt: skip
def test_a_table_does_not_tell_what_is_anothers(keeping, parts, tail):
    token = keeping.keys_elsewhere["admin"]
    answers = [
        without_request_id(keeping.get(address(f"/v1/scenarios/{{scenario}}/{tail}", named), token))
        for named in (parts, unknown(parts))
    ]
    assert answers[0] == answers[1]
    assert answers[0][0] == 404


def test_comparisons_do_not_tell_what_is_anothers(keeping, parts):
    own = keeping("POST", "/v1/scenarios", keeping.keys_elsewhere["write"], json=small_document())
    answers = []
    for other in (parts["scenario"], unknown(parts)["scenario"]):
        path = f"/v1/comparisons?scenarios={own.json()['id']},{other}"
        answer = keeping.get(path, keeping.keys_elsewhere["read"])
        answers.append((answer.status_code, answer.text.replace(other, "(id)")))
    assert answers[0] == answers[1]
    assert answers[0][0] == 404
