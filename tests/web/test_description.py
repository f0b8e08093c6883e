"""The published description of the interface, its examples, and the page that shows it."""

import json
import re

import pytest

from service.web.openapi import EXAMPLES, describe, examples
from service.web.routes.documentation import ASSETS
from tests.web.contract import FILE, contract

ELSEWHERE = re.compile(r"(https?:)?//[a-z0-9-]+\.[a-z]", re.IGNORECASE)
VERB_NOUN = re.compile(r"(list|get|cost)(_[a-z]+)+")


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
    request = description["components"]["schemas"]["Scenario"]
    assert '"null"' not in json.dumps(request)


def test_the_examples_are_there():
    assert EXAMPLES.is_dir()
    assert len(list(examples())) >= 3


@pytest.mark.parametrize("example", list(examples()), ids=lambda example: example["name"])
def test_an_example_is_shown_and_works(call, description, example):
    answer = call.cost_raw(json.dumps(example["request"]))
    assert answer.status_code == example["status"], answer.text
    shown = description["paths"]["/v1/costings"]["post"]["requestBody"]["content"]
    assert shown["application/json"]["examples"][example["name"]]["value"] == example["request"]


def test_the_contract_is_the_one_that_was_agreed(description):
    # A change is renewed on purpose: python -m tests.web.contract
    assert contract(description) == json.loads(FILE.read_text("utf-8"))
