"""Costings over HTTP: the answer, and what it says of itself."""

import json
from typing import Any

import pytest

from service.costing.tally import ENGINE_RUNS
from service.demo import demo_document
from service.web.costing_answer import Costing
from service.web.routes.costings import LARGE_BODY


def test_what_to_check_first_can_be_left_out(call):
    document = demo_document()
    runs = [ENGINE_RUNS.of()]
    answers = []
    for query in ("", "?check_first=false"):
        answers.append(call.cost(document, query=query).json())
        runs.append(ENGINE_RUNS.of())

    assert answers[1] == answers[0] | {"check_first": None}
    # one run for the systems; the guesses take another or two
    assert runs[2] - runs[1] == 1 < runs[1] - runs[0]


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_rows", "worked_farm_edges"])
def test_what_was_used_gives_the_same_answer_again(call, farms, name):
    first = call.cost(farms[name]).json()
    again = call.cost(first["inputs_used"]).json()
    assert again["content_key"] == first["content_key"]
    assert again["systems"] == first["systems"]
    assert again["inputs_used"] == first["inputs_used"]


def test_another_question_has_another_key(call, farm):
    first = call.cost(farm).json()["content_key"]
    assert call.cost(farm, {"hay.price_per_ton": 119}).json()["content_key"] != first


def test_costing_twice_gives_the_same_bytes(call, farm):
    assert call.cost(farm).content == call.cost(farm).content


def test_the_order_of_members_does_not_matter(call, farm):
    turned = json.loads(json.dumps(farm), object_pairs_hook=lambda pairs: dict(reversed(pairs)))
    first, again = call.cost(farm).json(), call.cost(turned).json()
    assert again["content_key"] == first["content_key"]
    assert again["origins"] == first["origins"]
    for one, other in zip(first["systems"], again["systems"], strict=True):
        assert one["system"] == other["system"]
        assert one["net_present_cost"] == pytest.approx(other["net_present_cost"], rel=1e-12)


@pytest.mark.parametrize("name", ["worked_farm", "worked_farm_rows", "worked_farm_edges"])
@pytest.mark.parametrize("query", ["", "?workings=true"])
def test_the_answer_has_the_published_shape(call, farms, name, query):
    answer = call.cost(farms[name], query=query)
    assert answer.status_code == 200, answer.text
    Costing.model_validate_json(answer.content)
    assert ("workings" in answer.json()) is bool(query)


def test_origins_say_what_was_given(call, farm):
    origins = call.cost(farm).json()["origins"]
    assert origins["herd.cows.head"] == "given"
    assert set(origins.values()) <= {"given", "reference", "worked"}


def test_a_large_body_is_answered_like_a_small_one(call, farm):
    small = call.cost(farm)
    farm_in_a_large_body = json.dumps({"document": farm}, indent=400)
    assert len(farm_in_a_large_body) > LARGE_BODY
    assert call.cost_raw(farm_in_a_large_body).content == small.content


def test_no_number_is_missing_or_infinite(call, farms):
    def numbers(node: Any) -> None:
        if isinstance(node, dict):
            for value in node.values():
                numbers(value)
        elif isinstance(node, list):
            for value in node:
                numbers(value)
        else:
            assert not isinstance(node, float) or abs(node) < 1e15

    for farm in farms.values():
        numbers(call.cost(farm).json()["systems"])


def test_an_unknown_scenario_is_a_problem_of_its_own(call):
    answer = call.cost_raw('{"scenario": "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"}')
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/unknown-scenario"


def test_the_answer_is_not_kept_by_caches(call, farm):
    assert call.cost(farm).headers["cache-control"] == "no-store"
