"""Whatever is sent, the service answers as it is described, and never with a failure of its own.

schemathesis makes up requests from the description, with a fixed seed; the same must hold for
documents that are nearly right.
"""

import copy
import itertools
import json
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from service.costing.errors import InputError
from service.costing.input_tree import input_tree
from service.costing.scenario import Scenario
from service.web.app import create_app
from service.web.examination import Examination
from service.web.negotiation import XLSX
from service.web.reading import scenario_of
from service.web.strict_json import NotJsonError
from tests.web.keeping import Keeping

KEEPING = Keeping(create_app())
SCENARIO = KEEPING.stored()
"""One that is there; whatever else is asked for is made up."""
HEADERS = {"Authorization": f"Bearer {KEEPING.keys['admin']}", "Prefer": "wait=0"}
GOES_AWAY = {"bin_scenario", "erase_scenario"}
"""What would take it from the others."""


@schemathesis.serializer(XLSX)
def no_workbook(_context: Any, value: Any) -> bytes:
    """Send whatever was made up as if it were a workbook."""
    return json.dumps(value, default=repr).encode()


schema = schemathesis.openapi.from_asgi("/openapi.json", KEEPING.app)
WHOLE_DOCUMENT = "create_scenario"
"""To make up a whole document takes long; documents that are nearly right are sent below."""
SENT_BELOW = ("replace_scenario", "answer_question")
TURNS = itertools.cycle((True, False))
CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
)
STEADY = settings(
    derandomize=True,
    deadline=None,
    max_examples=40,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)


@schema.exclude(operation_id=[WHOLE_DOCUMENT, *SENT_BELOW]).parametrize()
@STEADY
def test_made_up_requests_are_answered_as_described(case):
    _called(case)


@schema.include(operation_id=WHOLE_DOCUMENT).parametrize()
@settings(STEADY, max_examples=2)
def test_made_up_documents_are_answered_as_described(case):
    _called(case)


def _called(case: schemathesis.Case) -> None:
    """Call the service, with a key; every other time about the scenario that is there."""
    name = case.operation.definition.raw["operationId"]
    if "scenario" in case.path_parameters and name not in GOES_AWAY and next(TURNS):
        case.path_parameters["scenario"] = SCENARIO
    case.call_and_validate(checks=CHECKS, headers=HEADERS)


JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-10, 10**20)
    | st.floats(-1e9, 1e9)
    | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=5,
)
EDGES = st.sampled_from([0, -1, 1, 1e-9, 1e9, "", "12-31", "frozen", [], {}, None, True])


def _places(node: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place of a document below its top."""
    inner = (
        node.items()
        if isinstance(node, dict)
        else enumerate(node)
        if isinstance(node, list)
        else ()
    )
    found: list[tuple[Any, ...]] = []
    for key, value in inner:
        if way[:1] != ("assumptions",) or len(found) < 20:
            found += [(*way, key), *_places(value, (*way, key))]
    return found


def _spoiled(data: st.DataObject, farm: dict[str, Any]) -> dict[str, Any]:
    document = copy.deepcopy(farm)
    for _ in range(data.draw(st.integers(1, 3))):
        *way, last = data.draw(st.sampled_from(_places(document)))
        node: Any = document
        for key in way:
            node = node[key]
        if data.draw(st.booleans()):
            node[last] = data.draw(EDGES | JSON_VALUES)
        elif isinstance(node, dict) and data.draw(st.booleans()):
            node[f"{last}{data.draw(st.text('abx_. ', max_size=2))}"] = node.pop(last)
        else:
            del node[last]
        if not document:
            break
    return document


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_rows", "worked_farm_edges"])
def test_nearly_right_documents_are_costed_or_refused_in_words(call, farms, name):
    @settings(STEADY, max_examples=150)
    @given(st.data())
    def check(data):
        answer = call.cost_raw(json.dumps({"document": _spoiled(data, farms[name])}))
        assert answer.status_code in {200, 422}, answer.text
        if answer.status_code == 422:
            errors = answer.json()["errors"]
            assert errors
            assert all(error["detail"] for error in errors)

    check()


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_edges"])
def test_nearly_right_documents_are_kept_or_refused_in_words(farms, name):
    @settings(STEADY, max_examples=60)
    @given(st.data())
    def check(data):
        answer = KEEPING(
            "PUT",
            f"/v1/scenarios/{SCENARIO}",
            headers={"If-Match": "*", "Content-Type": "application/json"},
            content=json.dumps(_spoiled(data, farms[name])),
        )
        assert answer.status_code in {200, 422}, answer.text
        if answer.status_code == 422:
            assert all(error["detail"] for error in answer.json()["errors"])

    check()


QUESTIONS = {
    "break_even": {
        "input": "hay.price_per_ton",
        "low": 40,
        "high": 400,
        "systems": ["rings", "barn"],
    },
    "sensitivity": {"system": "rings", "ranges": {"hay.price_per_ton": [70, 130]}},
    "risk": {
        "draws": 20,
        "seed": 5,
        "vary": {"hay.price_per_ton": {"low": 70, "usual": 92, "high": 140}},
        "absolute_risk_aversion": [0, 0.0001],
    },
    "winter_types": {"figure": "out_of_pocket"},
    "herd_size": {
        "system": "rings",
        "head": {"input": "herd.cows.head", "values": [20, 30]},
        "return_per_head": 1150,
        "other_costs_per_head": 520,
    },
    "plans_within_limits": {
        "start_from": "rings",
        "limits": {"acres_damaged": 5},
        "max_steps": 1,
        "most_plans": 20,
    },
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_nearly_right_questions_are_answered_or_refused_in_words(question):
    asked = {"question": question, **QUESTIONS[question], "set": {"hay.price_per_ton": 99}}

    @settings(STEADY, max_examples=40)
    @given(st.data())
    def check(data):
        body = _spoiled(data, {"scenario": SCENARIO, **asked})
        answer = KEEPING(
            "POST",
            "/v1/analyses",
            headers={"Content-Type": "application/json"},
            content=json.dumps(body),
        )
        assert answer.status_code in {200, 404, 422}, answer.text
        if answer.status_code == 422:
            assert all(error["detail"] for error in answer.json()["errors"])

    check()


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_rows"])
def test_the_sentences_find_what_the_schema_refuses_and_nothing_else(farms, name):
    adapter = TypeAdapter(Scenario)

    @settings(STEADY, max_examples=400)
    @given(st.data())
    def check(data):
        document = _spoiled(data, farms[name])
        try:
            adapter.validate_json(json.dumps(document))
        except ValidationError as error:
            refused = str(error)
        else:
            refused = ""
        examination = Examination()
        repaired = examination.repaired(input_tree(), document, "")
        assert bool(examination.faults) == bool(refused), refused
        if isinstance(repaired, dict):
            adapter.validate_json(json.dumps(repaired))

    check()


@STEADY
@given(JSON_VALUES)
def test_whatever_is_no_scenario_is_refused_in_words(value):
    with pytest.raises((InputError, NotJsonError)):
        scenario_of(value)


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_rows"])
def test_any_setting_is_applied_or_refused_in_words(call, farms, name):
    farm = farms[name]
    paths = [
        ".".join(str(part) for part in place)
        for place in _places(farm)
        if place[0] != "assumptions"
    ]

    @settings(STEADY, max_examples=150)
    @given(
        st.dictionaries(
            st.sampled_from(paths) | st.text(max_size=12), EDGES | JSON_VALUES, max_size=3
        )
    )
    def check(changes):
        answer = call.cost(farm, changes)
        assert answer.status_code in {200, 400, 422}, answer.text

    check()
