"""Nobody sees the weather records of another office: every address of a record, with a wrong key.

The answer to a key of another office must be that for an id that never was, byte for byte but for
the id of the request; and the same statements must have been run for both.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from service.scenarios.desk import utc_now
from service.scenarios.ids import new_id
from service.web.app import create_app
from tests.support.databases import opened
from tests.support.offices import desk as new_desk
from tests.support.recorded_weather import farm_with, record_request
from tests.web.keeping import Keeping, without_request_id
from tests.web.test_isolation import operations_on, statements

BODIES: dict[str, Any] = {"classify_weather_record": {"drainage": "poor"}}


OPERATIONS = operations_on("record")


@pytest.fixture(scope="module")
def keeping(tmp_path_factory, request) -> Iterator[Keeping]:
    folder = tmp_path_factory.mktemp("record_isolation")
    with opened("sqlite", request, folder) as database:
        yield Keeping(create_app(), new_desk(store=database))


@pytest.fixture(scope="module")
def record(keeping) -> str:
    return keeping("POST", "/v1/weather-records", json=record_request()).json()["id"]


def unknown() -> str:
    return new_id("wr", utc_now())


def answered(keeping, operation, record: str, token: Any) -> tuple[Any, Any]:
    """Return the answer, and what two answers must share; the id is cut out of that."""
    method, path, name = operation
    more = {"json": BODIES[name]} if name in BODIES else {}
    answer = keeping(method, path.format(record=record), token, **more)
    status, content, headers = without_request_id(answer)
    return answer, (status, content.replace(record.encode(), b"(id)"), headers)


def test_the_walk_goes_everywhere():
    assert {method for method, _, _ in OPERATIONS} == {"GET", "PATCH", "DELETE"}
    assert len(OPERATIONS) == 4


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_another_office_is_answered_as_if_there_were_nothing(keeping, record, operation):
    for access, token in keeping.keys_elsewhere.items():
        real, told = answered(keeping, operation, record, token)
        _, never = answered(keeping, operation, unknown(), token)
        may = operation[0] == "GET" or access != "read"
        assert real.status_code == (404 if may else 403)
        assert told == never


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_a_link_of_the_same_office_is_not_told_either(keeping, record, operation):
    scenario = keeping.stored(farm_with(record, external_id=None))
    for access in ("read", "edit"):
        token = keeping.link(scenario, access)
        real, told = answered(keeping, operation, record, token)
        _, never = answered(keeping, operation, unknown(), token)
        assert real.status_code == 403
        assert told == never


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_without_a_key_nothing_is_told(keeping, record, operation):
    real, told = answered(keeping, operation, record, None)
    _, never = answered(keeping, operation, unknown(), None)
    assert real.status_code == 401
    assert told == never
    assert "Bearer" in real.headers["WWW-Authenticate"]


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_unknown_and_forbidden_run_the_same_statements(keeping, record, operation):
    # The same work takes the same time: what is another's cannot be told by the clock.
    token = keeping.keys_elsewhere["admin"]
    answered(keeping, operation, record, token)  # the first use of a day is noted
    with statements(keeping) as forbidden:
        answered(keeping, operation, record, token)
    with statements(keeping) as never:
        answered(keeping, operation, unknown(), token)
    assert forbidden == never
    assert forbidden


def test_lists_hold_nothing_of_each_other(keeping, record):
    theirs = keeping(
        "POST", "/v1/weather-records", keeping.keys_elsewhere["write"], json=record_request()
    )
    assert theirs.status_code == 201  # the same days are kept by each office for itself
    assert theirs.json()["id"] != record
    listed = keeping.get("/v1/weather-records").text
    others = keeping.get("/v1/weather-records", keeping.keys_elsewhere["read"]).text
    assert record in listed
    assert record not in others
    assert theirs.json()["id"] not in listed


def test_a_scenario_cannot_take_its_winters_from_another_office(keeping, record):
    told = []
    for named in (record, unknown()):
        document = farm_with(named, external_id=None)
        for path, body in (("/v1/scenarios", document), ("/v1/costings", {"document": document})):
            answer = keeping("POST", path, keeping.keys_elsewhere["admin"], json=body)
            assert answer.status_code == 422
            told.append(answer.text.replace(named, "(id)"))
    assert told[:2] == told[2:]
