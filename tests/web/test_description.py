"""The published description of the interface, its examples, and the page that shows it."""

import json
import re

import pytest
from jsonschema_rs import Draft202012Validator

from service.web.negotiation import XLSX
from service.web.openapi import EXAMPLES, _add, describe, examples
from service.web.routes.documentation import ASSETS
from tests.support.recorded_weather import record_request
from tests.web.contract import FILE, contract
from tests.web.keeping import Keeping

ELSEWHERE = re.compile(r"(https?:)?//[a-z0-9-]+\.[a-z]", re.IGNORECASE)
VERBS = (
    "add|answer|ask|bin|cancel|change|classify|compare|copy|cost|create|delete|erase|forget|get|"
    "list|record|replace|restore|revoke|start"
)
VERB_NOUN = re.compile(rf"({VERBS})(_[a-z]+)+")
OPEN = {
    "/v1/inputs",
    "/v1/figures",
    "/v1/feeding-methods",
    "/v1/structures",
    "/v1/reference-values",
    "/v1/reference-values/{key}",
    "/v1/sources",
    "/v1/places",
    "/v1/templates/scenario.xlsx",
    "/v1/weather-settings",
    "/v1/version",
    "/health/live",
    "/health/ready",
    "/problems",
    "/problems/{name}",
    "/trust",
    "/trust.md",
    "/trust.json",
    "/trust/documents/{case}/{document}.json",
    "/s/{token}",
}
"""What needs no key; the last has its token in the path."""


@pytest.fixture(scope="session")
def description(app):
    return describe(app)


def _operations(description):
    return [
        (path, method, operation)
        for path, methods in description["paths"].items()
        for method, operation in methods.items()
    ]


def test_the_page_and_what_it_loads_come_from_here(call):
    page = call.get("/docs")
    assert page.status_code == 200
    assert not ELSEWHERE.search(page.text)
    loaded = re.findall(r'(?:src|href)="([^"]+)"', page.text)
    assert {name.rpartition("/")[2] for name in loaded if name != "data:,"} == {*ASSETS, "start.js"}
    for name in loaded:
        if name != "data:,":
            assert call.get(f"/{name}").status_code == 200
    start = call.get("/docs/assets/start.js").text
    assert not ELSEWHERE.search(start)
    assert "script-src 'self';" in page.headers["content-security-policy"]


def test_every_operation_is_named_and_placed(description):
    operations = _operations(description)
    names = [operation["operationId"] for _, _, operation in operations]
    assert len(set(names)) == len(names)
    assert all(VERB_NOUN.fullmatch(name) for name in names)
    tags = {tag["name"] for tag in description["tags"]}
    for _, _, operation in operations:
        assert set(operation["tags"]) <= tags
        assert operation["summary"]
        assert operation["description"]
        assert "application/problem+json" in operation["responses"]["default"]["content"]
        assert "422" not in operation["responses"]


def test_every_reference_leads_somewhere(description):
    text = json.dumps(description)
    schemas = description["components"]["schemas"]
    for name in re.findall(r'"#/components/schemas/([^"]+)"', text):
        assert name in schemas
    assert "#/$defs/" not in text


def test_numbers_of_the_scenario_say_their_unit(description):
    def numbers(schema):
        if isinstance(schema, dict):
            if schema.get("type") == "number" and "title" in schema:
                yield schema
            for inner in schema.values():
                yield from numbers(inner)
        elif isinstance(schema, list):
            for inner in schema:
                yield from numbers(inner)

    schemas = description["components"]["schemas"]
    for name in (
        "Group",
        "Field",
        "Hay",
        "Prices",
        "Finance",
        "BaleGrazing",
        "GravelPad",
        "Winter",
    ):
        found = list(numbers(schemas[name]))
        assert all(schema["x-unit"] for schema in found), name
        assert all("maximum" in schema for schema in found), name


def test_variants_are_told_apart_by_their_word(description):
    plan = description["components"]["schemas"]["System"]["properties"]["plan"]["items"]
    assert plan["discriminator"]["propertyName"] == "method"
    for word, target in plan["discriminator"]["mapping"].items():
        variant = description["components"]["schemas"][target.rpartition("/")[2]]
        assert variant["properties"]["method"]["const"] == word
        assert "method" in variant["required"]


def test_what_may_be_absent_is_not_described_as_null(description):
    schemas = description["components"]["schemas"]
    for name in (
        "Scenario",
        "CostingRequest",
        "QuickStartRequest",
        "ScenarioRequest",
        "ScenarioEnvelope",
        "ScenarioPatch",
        "KeyRequest",
        "LinkRequest",
        "NoteRequest",
        "CopyRequest",
        "ErasureRequest",
        "RiskRequest",
        "SensitivityRequest",
        "HerdSizeRequest",
        "LimitsOfPlan",
        "PartsOfPlan",
        "UnsavedRiskRequest",
        "NewWeatherRecord",
        "WeatherClassification",
    ):
        assert '"null"' not in json.dumps(schemas[name]), name
    for _, _, operation in _operations(description):
        for parameter in operation.get("parameters", []):
            assert '"null"' not in json.dumps(parameter["schema"])


def test_questions_are_told_apart_by_their_word(description):
    # api by example: one schema for each question, named after it
    schemas = description["components"]["schemas"]
    for body, before in (("QuestionRequest", ""), ("UnsavedQuestionRequest", "Unsaved")):
        mapping = schemas[body]["discriminator"]["mapping"]
        assert len(mapping) == len(schemas[body]["oneOf"]) == 6
        for word, target in mapping.items():
            name = target.rpartition("/")[2]
            assert name == f"{before}{word.title().replace('_', '')}Request"
            assert schemas[name]["properties"]["question"]["const"] == word
            assert "question" in schemas[name]["required"]
            assert schemas[name]["additionalProperties"] is False


def test_it_is_said_what_opens_an_operation(description):
    # OpenAPI 3.1.1, section 4.8.30: an empty requirement makes security optional.
    schemes = description["components"]["securitySchemes"]
    assert (schemes["bearer"]["type"], schemes["bearer"]["scheme"]) == ("http", "bearer")
    assert (schemes["token"]["type"], schemes["token"]["in"]) == ("apiKey", "query")
    for path, method, operation in _operations(description):
        demanded = operation.get("security", [])
        if path in OPEN or (path, method) == ("/v1/quick-start", "get"):
            assert demanded == []
        elif path in {"/v1/costings", "/v1/analyses", "/v1/quick-start"}:
            assert demanded == [{}, {"bearer": []}]
        else:
            assert demanded[0] == {"bearer": []}
            assert {"token": []} not in demanded or method == "get"
        in_query = [one for one in operation.get("parameters", []) if one["in"] == "query"]
        assert "token" not in {one["name"] for one in in_query}


def test_what_is_said_to_need_a_key_needs_one(app, description):
    call = Keeping(app)
    for path, method, operation in _operations(description):
        filled = re.sub(r"{[a-z]+}", "1", path)
        answer = call(method.upper(), f"{filled}?scenarios=x" if "compar" in path else filled, None)
        closed = bool(operation.get("security")) and {} not in operation["security"]
        if closed and "requestBody" not in operation:
            assert answer.status_code == 401, (method, path, answer.text)
        elif not closed:
            assert answer.status_code != 401, (method, path)


def test_operations_stand_in_reading_order(description):
    tags = [tag["name"] for tag in description["tags"]]
    assert tags == [
        "Costing",
        "Scenarios",
        "Questions",
        "After the decision",
        "Weather",
        "Sharing",
        "Spreadsheets",
        "Many farms",
        "Reference",
        "Office",
    ]
    places = [tags.index(operation["tags"][0]) for _, _, operation in _operations(description)]
    assert places == sorted(places)
    assert set(places) == set(range(len(tags)))


def test_every_status_says_what_it_means(description):
    for _, _, operation in _operations(description):
        for status, answer in operation["responses"].items():
            assert answer["description"]
            assert ("content" in answer) is (status not in {"204", "304"})
    by_name = {operation["operationId"]: operation for _, _, operation in _operations(description)}
    assert set(by_name["create_scenario"]["responses"]) == {"201", "default"}
    assert set(by_name["ask_question"]["responses"]) == {"200", "201", "202", "default"}
    assert set(by_name["cancel_analysis"]["responses"]) == {"202", "default"}
    assert set(by_name["start_sweep"]["responses"]) == {"201", "202", "default"}
    assert set(by_name["start_sweep"]["requestBody"]["content"]) == {"application/json", "text/csv"}
    assert set(by_name["revoke_link"]["responses"]) == {"204", "default"}
    assert set(by_name["get_scenario"]["responses"]) == {"200", "304", "default"}
    kinds = by_name["change_scenario"]["requestBody"]["content"]
    assert set(kinds) == {"application/merge-patch+json", "application/json"}
    assert "text/csv" in by_name["list_audit"]["responses"]["200"]["content"]
    for name in ("get_costing", "get_stored_costing", "compare_scenarios"):
        assert {"application/json", "text/csv", XLSX} < set(
            by_name[name]["responses"]["200"]["content"]
        )
    sheets = {"application/json", "text/csv", XLSX}
    for name in ("create_scenario", "replace_scenario"):
        assert set(by_name[name]["requestBody"]["content"]) == sheets
    for name in ("get_scenario", "get_revision"):
        assert set(by_name[name]["responses"]["200"]["content"]) == sheets
    assert set(by_name["get_template"]["responses"]["200"]["content"]) == {XLSX}
    assert set(by_name["get_chart"]["responses"]["200"]["content"]) == {"image/svg+xml"}
    assert set(by_name["get_cell"]["responses"]["200"]["content"]) == {"text/plain"}
    assert "text/html" in by_name["get_farm_page"]["responses"]["200"]["content"]


@pytest.mark.parametrize(
    ("header", "needing", "taking"),
    [
        (
            "If-Match",
            {"replace_scenario", "change_scenario", "bin_scenario", "restore_revision"},
            {"record_winter"},
        ),
        ("Prefer", set(), {"ask_question"}),
        (
            "If-None-Match",
            set(),
            {
                "get_scenario",
                "get_costing",
                "get_stored_costing",
                "get_chart",
                "get_own_figures",
                "get_plan",
                "get_review",
                "get_site",
                "get_winter",
                "get_trust_page",
                "get_trust_text",
                "get_trust_records",
                "record_winter",
            },
        ),
        (
            "Idempotency-Key",
            set(),
            {
                "create_scenario",
                "copy_scenario",
                "restore_revision",
                "create_link",
                "add_note",
                "create_key",
                "ask_question",
                "add_weather_record",
                "start_sweep",
            },
        ),
    ],
)
def test_headers_are_described_where_they_count(description, header, needing, taking):
    found = {
        operation["operationId"]: parameter["required"]
        for _, _, operation in _operations(description)
        for parameter in operation.get("parameters", [])
        if parameter["name"] == header
    }
    assert found == dict.fromkeys(needing, True) | dict.fromkeys(taking, False)


def test_no_two_schemas_have_one_name():
    with pytest.raises(ValueError, match="two schemas are called Note"):
        _add({"Note": {"type": "object"}}, "Note", {"type": "string"})


def test_the_examples_are_there(description):
    assert EXAMPLES.is_dir()
    shown = {example["operation"] for example in examples()}
    taking = {
        operation["operationId"]
        for _, _, operation in _operations(description)
        if "requestBody" in operation
    }
    assert shown == taking


@pytest.mark.parametrize(
    "example",
    list(examples()),
    ids=lambda example: f"{example['operation']}-{example['name']}",
)
def test_an_example_is_shown_and_works(app, description, example):
    kept = Keeping(app)
    stored = next(one for one in examples() if one["operation"] == "create_scenario")
    scenario = kept.stored(stored["request"]["document"] | {"external_id": "0400"})
    record = kept("POST", "/v1/weather-records", json=record_request()).json()["id"]
    path, method, operation = next(
        found
        for found in _operations(description)
        if found[2]["operationId"] == example["operation"]
    )
    demanded = {one["name"] for one in operation.get("parameters", []) if one["required"]}
    condition = {"If-Match": "*"} if "If-Match" in demanded else {}
    good = operation["responses"].get(str(example["status"]))
    for kind, content in operation["requestBody"]["content"].items():
        if "json" not in kind:
            continue
        assert content["examples"][example["name"]]["value"] == example["request"]
        answer = kept(
            method.upper(),
            path.format(scenario=scenario, record=record, season="2025-26"),
            content=json.dumps(example["request"]),
            headers={"Content-Type": kind} | condition,
        )
        assert answer.status_code == example["status"], answer.text
        shown = good or operation["responses"]["default"]
        kind_of_answer = "application/json" if good else "application/problem+json"
        _assert_as_described(answer.json(), shown["content"][kind_of_answer]["schema"], description)


def test_answers_are_as_they_are_described(app, description):
    # JSON Schema 2020-12, which OpenAPI 3.1 takes as it is.
    kept = Keeping(app)
    scenario = kept.stored(external_id="0400")
    headers = {"If-Match": '"1"'}
    address = f"/v1/scenarios/{scenario}"
    kept("PATCH", address, json={"hay": {"price_per_ton": 131}}, headers=headers)
    kept("POST", f"{address}/notes", json={"text": "x"})
    kept.link(scenario)
    costing = kept.get(f"{address}/costing").json()["id"]
    asked = kept("POST", f"{address}/analyses", json={"question": "winter_types"}).json()["id"]
    record = kept("POST", "/v1/weather-records", json=record_request()).json()["id"]
    kept("PUT", f"{address}/winters/2025-26", json={"bales_fed": 300})
    faulty = {"external_id": "0417", "set": {"herd.cows.head": -1}}
    sweep = kept("POST", "/v1/sweeps", json={"scenario": scenario, "farms": [faulty, {}]})
    filled = {
        "scenario": scenario,
        "season": "2025-26",
        "revision": "2",
        "costing": costing,
        "analysis": asked,
        "record": record,
        "sweep": sweep.json()["id"],
        "name": "winters",
        "figure": "best_system",
    }
    skipped = {"/s/{token}", "/problems/{name}", "/v1/reference-values/{key}"}
    skipped |= {"/trust/documents/{case}/{document}.json"}  # sent in test_trust.py
    skipped |= {path for path in description["paths"] if path.endswith(".csv")}
    queries = {
        "/v1/comparisons": f"?scenarios={scenario}@1,{scenario}",
        "/v1/cell/{figure}": f"?scenario={scenario}",
    }
    for path, method, operation in _operations(description):
        if method != "get" or path in skipped:
            continue
        answer = kept.get(path.format(**filled) + queries.get(path, ""))
        if answer.status_code == 406 and path.endswith(".pdf"):
            assert answer.json()["type"] == "/problems/pdf-not-installed"
            continue
        assert answer.status_code == 200, (path, answer.text)
        content = operation["responses"]["200"]["content"]
        if "application/json" in content:
            schema = content["application/json"]["schema"]
            _assert_as_described(answer.json(), schema, description)
        else:
            assert answer.headers["content-type"].partition(";")[0] in content, path
    difference = kept.get(f"{address}/costings/{costing}?against=now").json()
    named = {"$ref": "#/components/schemas/CostingDifference"}
    _assert_as_described(difference, named, description)


def _assert_as_described(body, schema, description):
    root = {"components": description["components"], **schema}
    validator = Draft202012Validator(root, validate_formats=True)
    assert [error.message for error in validator.iter_errors(body)] == []


def test_the_contract_is_the_one_that_was_agreed(description):
    # A change is renewed on purpose: python -m tests.web.contract
    assert contract(description) == json.loads(FILE.read_text("utf-8"))
