"""No operation is left out of the fuzzing, whatever is shown at the door.

``test_fuzz.py`` sends made-up requests with an office key; here they come without a key, with a
link that only reads, and to what the description leaves out: forms, pages and the description
itself. An operation that is added and that nobody sends made-up requests to fails here.
That forbidden and absent are told by the same bytes is in ``test_isolation.py`` and its siblings
for scenarios, records and sweeps, and in ``test_token_enumeration.py`` for their parts.
"""

import itertools
import logging
import re
from urllib.parse import urlencode

import pytest
import schemathesis
from hypothesis import given, settings
from hypothesis import strategies as st

from service.scenarios.events import ABOUT
from service.web.app import ROUTES, create_app
from service.web.observing import request_log
from tests.web import test_fuzz
from tests.web.form_read import FORM, FormPage
from tests.web.keeping import Keeping
from tests.web.test_fuzz import CHECKS, SENT_BELOW, STEADY, WHOLE_DOCUMENT

KEPT = Keeping(create_app())
SCENARIO = KEPT.stored()
LINK = KEPT.link(SCENARIO)
CALLERS = {"nobody": {}, "link": {"Authorization": f"Bearer {LINK}"}}
schema = schemathesis.openapi.from_asgi("/openapi.json", KEPT.app)
OPERATIONS = {
    found.ok().definition.raw["operationId"]: found.ok() for found in schema.get_all_operations()
}
LARGE_BODIES = {WHOLE_DOCUMENT, *SENT_BELOW}
"""To make up so much takes long."""

APART = {"get_start_form", "send_start_form", "get_winter_page", "send_winter_form"} | {
    "show_documentation",
    "get_asset",
    "get_openapi",
}
"""What the description leaves out."""

FORMS = ("/start", "/winter")
ADDRESSES = ("/start", "/winter", "/docs", "/docs/assets/{name}", "/openapi.json")


@pytest.fixture
def told(caplog):
    """Return method and route of every request so far."""
    caplog.set_level(logging.INFO, logger=request_log.__name__)
    return lambda: [
        (about["method"], re.sub(":path}", "}", about["route"] or ""))
        for record in caplog.records
        if record.name == request_log.__name__ and (about := getattr(record, ABOUT))
    ]


def needs_nothing(operation):
    return {} in operation.definition.raw.get("security", [{}])


@pytest.mark.parametrize("caller", CALLERS)
@pytest.mark.parametrize("name", OPERATIONS)
def test_made_up_requests_of_anybody_are_answered_as_described(name, caller, told):
    operation, turns = OPERATIONS[name], itertools.cycle((True, False))
    passed = []

    @settings(STEADY, max_examples=2 if name in LARGE_BODIES else 3)
    @given(operation.as_strategy())
    def check(case):
        if "scenario" in case.path_parameters and next(turns):
            case.path_parameters["scenario"] = SCENARIO
        answer = case.call_and_validate(checks=CHECKS, headers=CALLERS[caller])
        told_in_the_cell = (case.query or {}).get("errors") == "text"
        passed.append(answer.status_code < 400 and not told_in_the_cell)

    check()
    assert any(route == operation.path for _, route in told()), "it was never reached"
    if not needs_nothing(operation) and (caller == "nobody" or operation.method != "get"):
        assert not any(passed)


def test_the_fuzzing_with_a_key_leaves_nothing_out():
    fuzzed = {
        found.ok().definition.raw["operationId"]
        for test in ("requests", "documents")
        for found in _parametrized(test).get_all_operations()
    }
    assert fuzzed | set(SENT_BELOW) == set(OPERATIONS)
    assert not fuzzed & set(SENT_BELOW)


def _parametrized(what):
    """Return the operations that a test of ``test_fuzz.py`` is run with."""
    test = getattr(test_fuzz, f"test_made_up_{what}_are_answered_as_described")
    return next(value for value in vars(test).values() if hasattr(value, "schema")).schema


def test_every_route_is_described_or_sent_here():
    named = {route.name for routes in ROUTES for route in routes.router.routes}
    assert named == set(OPERATIONS) | APART
    assert not set(OPERATIONS) & APART


def test_what_the_description_leaves_out_is_all_sent_here():
    routes = [route for found in ROUTES for route in found.router.routes if route.name in APART]
    assert {route.path for route in routes} == set(ADDRESSES)
    assert {route.path for route in routes if "POST" in route.methods} == set(FORMS)


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"])
def test_addresses_that_are_not_described_fail_in_no_way_of_their_own(address, method, told):
    @settings(max_examples=6)
    @given(st.text(min_size=1, max_size=30), st.dictionaries(st.text(), st.text(), max_size=3))
    def check(name, query):
        path = re.sub(r"\{name\}", _quoted(name), address)
        answer = KEPT(method, f"{path}?{urlencode(query, errors='replace')}", None)
        assert answer.status_code < 500, answer.text
        assert answer.headers["content-type"].split(";")[0] in {
            *("text/html", "text/css", "text/javascript", "application/json"),
            *("application/problem+json", "image/svg+xml", "image/png"),
        }

    check()
    assert any(route == address for _, route in told())


def _quoted(text):
    return urlencode({"": text}, errors="replace")[1:].replace("+", "%20")


@pytest.mark.parametrize("address", FORMS)
def test_made_up_forms_are_answered_with_the_form_or_in_words(address, told):
    code = KEPT.link(SCENARIO, "edit")
    first = KEPT("POST", address, None, content=urlencode({"code": code}), headers=FORM)
    names = sorted({found["name"] for _, found in FormPage(first.text).elements if "name" in found})
    assert len(names) >= 10
    values = st.text(max_size=20) | st.sampled_from(
        ["1e400", "-1", "0", "12-31", "02-30", "NaN", "\x00", "yes", "true", "9" * 400, "1,5", LINK]
    )

    @settings(max_examples=25)
    @given(st.lists(st.tuples(st.sampled_from(names) | st.text(max_size=9), values), max_size=12))
    def check(pairs):
        given_code = [] if any(name == "code" for name, _ in pairs) else [("code", code)]
        body = urlencode([*pairs, *given_code], errors="replace")
        answer = KEPT("POST", address, None, content=body, headers=FORM)
        assert answer.status_code < 500, answer.text
        assert answer.headers["content-type"].startswith("text/html")
        assert "Traceback" not in answer.text
        FormPage(answer.text)

    check()
    assert ("POST", address) in told()
