"""Nobody sees the sweeps of another office: every address of a sweep, with a wrong key.

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
from tests.support.offices import small_document
from tests.web.keeping import Keeping, without_request_id
from tests.web.test_isolation import operations_on, statements

OPERATIONS = operations_on("sweep")


@pytest.fixture(scope="module")
def keeping(tmp_path_factory, request) -> Iterator[Keeping]:
    folder = tmp_path_factory.mktemp("sweep_isolation")
    with opened("sqlite", request, folder) as database:
        yield Keeping(create_app(), new_desk(store=database))


@pytest.fixture(scope="module")
def sweep(keeping) -> str:
    made = keeping("POST", "/v1/sweeps", "write", json={"document": small_document()})
    return made.json()["id"]


def unknown() -> str:
    return new_id("sw", utc_now())


def answered(keeping, operation, sweep: str, token: Any) -> tuple[Any, Any]:
    """Return the answer, and what two answers must share; the id is cut out of that."""
    method, path, _ = operation
    answer = keeping(method, path.format(sweep=sweep), token)
    status, content, headers = without_request_id(answer)
    return answer, (status, content.replace(sweep.encode(), b"(id)"), headers)


def test_the_walk_goes_everywhere():
    assert {name for _, _, name in OPERATIONS} == {
        "get_sweep",
        "forget_sweep",
        "get_sweep_results",
        "list_sweep_problems",
        "cancel_sweep",
    }


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_another_office_is_answered_as_if_there_were_nothing(keeping, sweep, operation):
    for access, token in keeping.keys_elsewhere.items():
        real, told = answered(keeping, operation, sweep, token)
        _, never = answered(keeping, operation, unknown(), token)
        may = operation[0] == "GET" or access != "read"
        assert real.status_code == (404 if may else 403)
        assert told == never
    assert keeping.get(f"/v1/sweeps/{sweep}").status_code == 200


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_a_link_of_the_same_office_is_not_told_either(keeping, sweep, operation):
    scenario = keeping.stored(external_id=None)
    for access in ("read", "edit"):
        token = keeping.link(scenario, access)
        real, told = answered(keeping, operation, sweep, token)
        _, never = answered(keeping, operation, unknown(), token)
        assert real.status_code == 403
        assert told == never


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_without_a_key_nothing_is_told(keeping, sweep, operation):
    real, told = answered(keeping, operation, sweep, None)
    _, never = answered(keeping, operation, unknown(), None)
    assert real.status_code == 401
    assert told == never


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation[2])
def test_unknown_and_forbidden_run_the_same_statements(keeping, sweep, operation):
    token = keeping.keys_elsewhere["admin"]
    answered(keeping, operation, sweep, token)  # the first use of a day is noted
    with statements(keeping) as forbidden:
        answered(keeping, operation, sweep, token)
    with statements(keeping) as never:
        answered(keeping, operation, unknown(), token)
    assert forbidden == never
    assert forbidden


def test_a_scenario_of_another_office_is_no_base(keeping):
    real, never = (
        keeping("POST", "/v1/sweeps", keeping.keys_elsewhere["write"], json={"scenario": scenario})
        for scenario in (keeping.stored(external_id=None), new_id("sc", utc_now()))
    )
    assert real.status_code == 404
    assert without_request_id(real) == without_request_id(never)
