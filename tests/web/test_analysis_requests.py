"""What is wrong with a question is told at once, each fault with its place in the body."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.analysis.questions import MOST_DRAWS
from service.web.question_models import QUESTION_REQUESTS, question_in
from service.web.question_reading import read_question
from tests.support.offices import small_document

JSON = {"Content-Type": "application/json"}
SEVERAL = "a line, not a point"
ANY_RANGE = {"low": 1, "usual": 2, "high": 3}


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


def refused(keeping, scenario, question):
    """Ask of the stored scenario and return the faults by pointer; nothing may be keeping."""
    content = question if isinstance(question, str) else json.dumps(question)
    where = f"/v1/scenarios/{scenario}/analyses"
    answer = keeping("POST", where, "write", content=content, headers=JSON)
    assert answer.status_code == 422, answer.text
    assert answer.json()["type"] == "/problems/invalid-input"
    assert keeping.get(where).json()["items"] == []
    errors = answer.json()["errors"]
    assert all(error["detail"] for error in errors)
    return {error["pointer"]: error for error in errors}


BREAK_EVEN = {
    "question": "break_even",
    "input": "hay.price_per_ton",
    "low": 40,
    "high": 400,
    "systems": ["rings", "barn"],
}


@pytest.mark.parametrize(
    ("sent", "near"),
    [("riks", "risk"), ("breakeven", "break_even"), ("herd", "herd_size"), ("x", None), (7, None)],
)
def test_an_unknown_question_is_told_with_the_nearest(keeping, scenario, sent, near):
    faults = refused(keeping, scenario, {"question": sent, "draws": 5})
    assert list(faults) == ["/question"]
    assert faults["/question"].get("suggestion") == near
    assert faults["/question"]["received"] == sent
    assert faults["/question"]["allowed"] == ", ".join(QUESTION_REQUESTS)


def test_a_question_must_be_named(keeping, scenario):
    faults = refused(keeping, scenario, {"draws": 5})
    assert "missing" in faults["/question"]["detail"]


@pytest.mark.parametrize("body", ["[]", '"risk"', "7", "null"])
def test_a_body_that_is_no_object_is_told(keeping, scenario, body):
    assert list(refused(keeping, scenario, body)) == [""]


def test_what_is_not_json_is_told(keeping, scenario):
    where = f"/v1/scenarios/{scenario}/analyses"
    answer = keeping("POST", where, "write", content='{"question": ', headers=JSON)
    assert (answer.status_code, answer.json()["type"]) == (400, "/problems/not-json")
    plain = {"Content-Type": "text/plain"}
    assert keeping("POST", where, "write", content="{}", headers=plain).status_code == 415


@pytest.mark.parametrize("seed", ["7", 1.5, True, [1], -1, 2**53, None])
def test_a_seed_that_is_no_whole_number_is_refused(keeping, scenario, seed):
    faults = refused(keeping, scenario, {"question": "risk", "seed": seed})
    assert list(faults) == ["/seed"]
    # RFC 8259, section 6: whole numbers up to 2^53 - 1 are read alike by all.
    assert faults["/seed"]["allowed"] == "a whole number from 0 to 9,007,199,254,740,991"


def test_a_whole_number_may_have_a_point(keeping, scenario):
    where = f"/v1/scenarios/{scenario}/analyses"
    asked = {"question": "risk", "seed": 3, "draws": 10}
    first = keeping("POST", where, "write", json=asked)
    content = '{"question": "risk", "seed": 3.0, "draws": 1e1}'
    again = keeping("POST", where, "write", content=content, headers=JSON)
    assert (first.status_code, again.status_code) == (201, 200)


@pytest.mark.parametrize("draws", [0, MOST_DRAWS + 1, 1e300])
def test_draws_outside_the_limit_are_told_with_the_limit(keeping, scenario, draws):
    faults = refused(keeping, scenario, {"question": "risk", "draws": draws})
    assert faults["/draws"]["allowed"] == "a whole number from 1 to 1,000,000"
    assert faults["/draws"]["received"] == draws


@pytest.mark.parametrize("number", ["1e400", "-1e400", "NaN", "Infinity", "true", '"7"', "null"])
@pytest.mark.parametrize(
    ("template", "pointer"),
    [
        ('{"question": "risk", "draws": %s}', "/draws"),
        (
            '{"question":"risk", "vary":{"hay.price_per_ton":{"low":%s, "usual":2, "high":3}}}',
            "/vary/hay.price_per_ton/low",
        ),
        (
            '{"question": "risk", "absolute_risk_aversion": [0, %s]}',
            "/absolute_risk_aversion/1",
        ),
        (
            '{"question": "sensitivity", "ranges": {"hay.price_per_ton": [1, %s]}}',
            "/ranges/hay.price_per_ton/1",
        ),
        (
            '{"question": "herd_size", "system": "x", "head": {"input": "y", "values": [2, %s]}}',
            "/head/values/1",
        ),
    ],
)
def test_numbers_that_are_none_are_refused_where_they_stand(
    keeping, scenario, template, pointer, number
):
    faults = refused(keeping, scenario, template % number)
    assert list(faults) == [pointer]
    assert "number" in faults[pointer]["detail"]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({**BREAK_EVEN, "input": ["hay.price_per_ton", "prices.labor_per_hour"]}, "/input"),
        ({**BREAK_EVEN, "inputs": ["hay.price_per_ton"]}, "/inputs"),
    ],
)
def test_a_break_even_of_several_inputs_is_refused_with_the_reason(
    keeping, scenario, body, pointer
):
    faults = refused(keeping, scenario, body)
    assert list(faults) == [pointer]
    assert SEVERAL in faults[pointer]["detail"]


def test_every_fault_of_form_is_told_at_once(keeping, scenario):
    body = {
        "question": "plans_within_limits",
        "limits": {"labour_hours": 10, "acres_damaged": -1},
        "allow": {"methods": "bale_grazing"},
        "max_steps": 0,
        "top": 500,
        "seeds": 3,
        "revision": 0,
        "set": [],
    }
    faults = refused(keeping, scenario, body)
    assert set(faults) == {
        "/start_from",
        "/limits/labour_hours",
        "/limits/acres_damaged",
        "/allow/methods",
        "/max_steps",
        "/top",
        "/seeds",
        "/revision",
        "/set",
    }
    assert faults["/limits/labour_hours"]["suggestion"] == "limits.labor_hours"
    assert faults["/seeds"]["suggestion"] == "seed"
    assert faults["/limits/acres_damaged"]["unit"] == "acre"
    assert faults["/limits/acres_damaged"]["received"] == -1


def test_every_fault_of_meaning_is_told_at_once(keeping, scenario):
    body = {
        **BREAK_EVEN,
        "input": "hay.price_per_tn",
        "low": 400,
        "high": 40,
        "systems": ["rings", "barm"],
    }
    faults = refused(keeping, scenario, body)
    assert set(faults) == {"/input", "/low", "/systems"}
    assert faults["/input"]["suggestion"] == "hay.price_per_ton"
    assert faults["/systems"]["suggestion"] == "barn"
    assert "upside down" in faults["/low"]["detail"]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        (
            {"question": "sensitivity", "ranges": {"hay.price_per_ton": [130, 70]}},
            "/ranges/hay.price_per_ton",
        ),
        (
            {
                "question": "risk",
                "vary": {"hay.price_per_ton": {"low": 70, "usual": 140, "high": 92}},
            },
            "/vary/hay.price_per_ton",
        ),
        (
            {
                "question": "risk",
                "vary": {"hay.price_per_ton": {"low": 70, "usual": 92, "high": 99_999}},
            },
            "/vary/hay.price_per_ton/high",
        ),
        (
            {
                "question": "herd_size",
                "system": "rings",
                "head": {"input": "herd.cows.head", "values": [20, -5]},
                "return_per_head": 1150,
                "other_costs_per_head": 500,
            },
            "/head/values",
        ),
        (
            {
                "question": "herd_size",
                "system": "rings",
                "head": {"input": "herd.cow.head", "values": [20]},
                "return_per_head": 1150,
                "other_costs_per_head": 500,
            },
            "/head/input",
        ),
        ({"question": "winter_types", "figure": "annual_cost"}, "/figure"),
        ({"question": "plans_within_limits", "start_from": "ring"}, "/start_from"),
    ],
)
def test_what_shows_on_the_scenario_alone_is_told_where_it_was_sent(
    keeping, scenario, body, pointer
):
    faults = refused(keeping, scenario, body)
    assert list(faults) == [pointer]
    assert faults[pointer]["received"] is not None


def test_settings_are_told_where_they_were_sent(keeping, scenario):
    faults = refused(
        keeping,
        scenario,
        '{"question": "risk", "set": {"hay.price_per_ton": 1e400, "prices.labor_per_hour": 20}}',
    )
    assert list(faults) == ["/set/hay.price_per_ton"]
    faults = refused(
        keeping, scenario, {"question": "risk", "set": {"hay.price": 9, "herd.cow.head": 3}}
    )
    assert set(faults) == {"/set/hay.price", "/set/herd.cow.head"}
    faults = refused(keeping, scenario, {"question": "risk", "set": {"hay.price_per_ton": -9}})
    assert faults["/set/hay.price_per_ton"]["unit"] == "currency/ton"
    faults = refused(
        keeping, scenario, {"question": "risk", "set": dict.fromkeys(map(str, range(61)), 1)}
    )
    assert list(faults) == ["/set"]


FITTING = {
    "break_even": BREAK_EVEN,
    "sensitivity": {"ranges": {"hay.price_per_ton": [70, 130]}},
    "risk": {"draws": 5},
    "winter_types": {},
    "herd_size": {
        "system": "rings",
        "head": {"input": "herd.cows.head", "values": [20]},
        "return_per_head": 1150,
        "other_costs_per_head": 500,
    },
    "plans_within_limits": {"start_from": "rings"},
}


@pytest.mark.parametrize("question", FITTING)
def test_settings_that_do_not_fit_the_rest_are_told_whatever_is_asked(keeping, scenario, question):
    acres = "systems.stockpile_first.plan.stockpile_grazing.acres"
    body = {"question": question, **FITTING[question], "set": {acres: 9_000}}
    assert list(refused(keeping, scenario, body)) == [f"/set/{acres}"]


def test_a_name_given_twice_is_told_wherever_it_stands(keeping, scenario):
    body = (
        '{"question": "risk", "draws": 5, "draws": 6, "set": {"a": 1, "a": 2}, '
        '"vary": {"hay.price_per_ton": {"low": 1, "usual": 2, "high": 3, "high": 4}}}'
    )
    faults = refused(keeping, scenario, body)
    assert set(faults) == {"/draws", "/set/a", "/vary/hay.price_per_ton/high"}
    assert all("more than once" in error["detail"] for error in faults.values())


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"question": "risk", "vary": dict.fromkeys(map(str, range(61)), ANY_RANGE)}, "/vary"),
        ({"question": "sensitivity", "inputs": ["a"] * 401}, "/inputs"),
        ({"question": "sensitivity", "ranges": {str(n): [1, 2] for n in range(61)}}, "/ranges"),
        ({"question": "sensitivity", "ranges": {"hay.price_per_ton": [1]}}, None),
        ({**BREAK_EVEN, "systems": ["rings"]}, "/systems"),
        ({**BREAK_EVEN, "systems": ["rings", "barn", "stockpile_first"]}, "/systems"),
    ],
)
def test_lists_and_objects_of_the_wrong_length_are_told(keeping, scenario, body, pointer):
    faults = refused(keeping, scenario, body)
    place = pointer or "/ranges/hay.price_per_ton"
    assert place in faults
    assert "were sent" in faults[place]["detail"]


def unsaved(keeping, body):
    """Ask of what is not kept and return the faults by pointer."""
    content = body if isinstance(body, str) else json.dumps(body)
    answer = keeping("POST", "/v1/analyses", "write", content=content, headers=JSON)
    assert answer.status_code == 422, answer.text
    return {error["pointer"]: error for error in answer.json()["errors"]}


def test_a_document_with_faults_and_its_question_with_faults_are_told_together(keeping):
    document = small_document()
    document["hay"]["price_per_ton"] = -3
    document["limits"] = {"money_up_front": "much"}
    body = {
        "document": document,
        "set": {"herd.cow.head": 9, "prices.labor_per_hour": -1},
        "question": "plans_within_limits",
        "start_from": "rings",
        "limits": {"money_up_front": -5},
        "tops": 3,
    }
    assert set(unsaved(keeping, body)) == {
        "/document/hay/price_per_ton",
        "/document/limits/money_up_front",
        "/set/herd.cow.head",
        "/set/prices.labor_per_hour",
        "/limits/money_up_front",
        "/tops",
    }


def test_it_must_be_about_one_thing(keeping, scenario):
    document = small_document()
    for body in (
        {"question": "risk"},
        {"question": "risk", "document": document, "scenario": scenario},
    ):
        assert list(unsaved(keeping, body)) == ["/document"]
    faults = unsaved(keeping, {"question": "risk", "document": [], "set": 3, "revision": 1})
    assert set(faults) == {"/document", "/set", "/revision"}
    faults = unsaved(keeping, {"question": "riks", "scenario": 7, "document": None})
    assert set(faults) == {"/question", "/scenario"}
    twice = f'{{"question": "risk", "scenario": "{scenario}", "scenario": "{scenario}"}}'
    assert list(unsaved(keeping, twice)) == ["/scenario"]


def test_what_shows_on_the_document_alone_is_told_where_it_was_sent(keeping, scenario):
    body = {**BREAK_EVEN, "low": 400, "high": 40, "systems": ["rings", "barm"]}
    for about in ({"document": small_document()}, {"scenario": scenario}):
        assert set(unsaved(keeping, about | body)) == {"/low", "/systems"}


MEMBERS = st.sampled_from(
    sorted({name for model in QUESTION_REQUESTS.values() for name in model.model_fields})
)
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-3, 10**19)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.sampled_from(["rings", "hay.price_per_ton", "herd.cows.head", "rows", "", "x" * 600]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["low", "usual", "high", "input", "values", "hay.price_per_ton", "x"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=6,
)


@settings(max_examples=400, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(QUESTION_REQUESTS)), st.dictionaries(MEMBERS, VALUES, max_size=4))
def test_whatever_is_sent_is_a_question_or_refused_in_words(question, members):
    found, faults = read_question({**members, "question": question})
    assert (found is None) is bool(faults)
    if found is not None:
        question_in(found)
    for fault in faults:
        assert fault.detail
        assert fault.input.partition(".")[0]
