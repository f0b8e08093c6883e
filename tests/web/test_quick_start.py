"""The quick start over HTTP: ten questions as data, ten answers in, a scenario out."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.costing.document import leaves
from service.quick_start import questions
from service.quick_start.catalog import catalog
from service.web.app import create_app
from tests.quick_start.answering import WHETSTONE
from tests.web.conftest import JSON, Caller
from tests.web.keeping import Keeping

ADDRESS = "/v1/quick-start"


@pytest.fixture(scope="module")
def demo(call):
    return answered(call, WHETSTONE).json()


def answered(call, answers):
    return call("POST", ADDRESS, json={"answers": answers})


def told(answer):
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    return {error.get("pointer"): error for error in answer.json()["errors"]}


def test_the_questions_are_those_that_are_asked_everywhere(call):
    answer = call.get(ADDRESS)
    assert answer.status_code == 200
    assert answer.json() == {"questions": questions()}
    assert len(answer.json()["questions"]) == 10
    assert "max-age" in answer.headers["cache-control"]
    assert call.get(f"{ADDRESS}.json").content == answer.content


def test_the_questions_are_open_and_the_answers_as_open_as_costing_is(app):
    kept = Keeping(app)
    app.state.open_costing = False
    try:
        for address, body in ((ADDRESS, {"answers": {}}), ("/v1/costings", {"document": {}})):
            assert kept("POST", address, None, json=body).status_code == 401
        assert kept.get(ADDRESS, None).status_code == 200
        assert kept("POST", ADDRESS, "read", json={"answers": {}}).status_code == 200
    finally:
        app.state.open_costing = True
    assert kept("POST", ADDRESS, None, json={"answers": {}}).status_code == 200


def test_with_nothing_answered_the_farm_is_complete_and_can_be_costed_and_kept(app):
    kept = Keeping(app)
    body = answered(kept.call, {}).json()
    assert set(body["origins"]) == set(leaves(body["document"]))
    assert "given" not in body["origins"].values()
    assert len(body["guessed"]) > 20
    assert all(guess["sentence"] and guess["source"] for guess in body["guessed"])
    assert {system["key"] for system in body["systems"]} == set(body["document"]["systems"])
    assert {"today", "better_feeders"} <= set(body["document"]["systems"])
    assert 1 <= len(body["check_first"]) <= 3
    assert kept.call.cost(body["document"]).status_code == 200
    assert kept("POST", "/v1/scenarios", "write", json=body["document"]).status_code == 201


def test_the_ten_answers_of_the_demo_are_what_is_given(demo):
    given = {path for path, origin in demo["origins"].items() if origin == "given"}
    document = demo["document"]
    assert document["herd"]["cows"]["head"] == 62
    assert document["land"]["fields"]["ridge"]["acres"] == 46
    assert document["hay"]["price_per_bale"] == 51
    assert document["limits"]["money_up_front"] == 45000
    assert {"herd.cows.head", "land.fields.ridge.acres", "limits.money_up_front"} <= given
    assert not given & {guess["input"] for guess in demo["guessed"]}
    assert [wish["wish"] for wish in demo["order"]] == WHETSTONE["wishes"]["better"]
    assert all(demo["how"][path] for path in demo["how"])
    assert {demo["origins"][path] for path in demo["how"]} <= {"worked", "reference"}


def test_the_guesses_to_check_first_name_systems_that_are_there(demo):
    for guess in demo["check_first"]:
        assert guess["find_out"]
        assert {guess["best_at_low"], guess["best_at_high"]} <= set(demo["document"]["systems"])


def test_nothing_is_stored_and_nothing_is_kept_by_caches(app):
    kept = Keeping(app)
    answer = answered(kept.call, WHETSTONE)
    assert answer.headers["cache-control"] == "no-store"
    assert kept.get("/v1/scenarios").json()["items"] == []


def test_all_faults_are_told_at_once_and_point_into_the_body(call):
    sent = {
        "animals": {"cows": -3, "cow": 40},
        "hey": {},
        "ground": {"frozen": 2, "snow": 2, "firm": 4, "soft": 4},
        "land": {"fields": [{"acres": 4}, {"acres": "four", "drains": "wll"}]},
    }
    found = told(answered(call, sent))
    assert set(found) == {
        "/answers/animals/cows",
        "/answers/animals/cow",
        "/answers/hey",
        "/answers/ground",
        "/answers/land/fields/1/acres",
        "/answers/land/fields/1/drains",
    }
    assert found["/answers/animals/cow"]["suggestion"] == "cows"
    assert found["/answers/hey"]["suggestion"] == "hay"
    assert found["/answers/land/fields/1/drains"]["suggestion"] == "well"
    assert found["/answers/animals/cows"]["unit"] == "head"


def test_days_that_do_not_add_up_are_a_fault_of_the_question(call):
    found = told(answered(call, {"ground": {"frozen": 2, "snow": 2, "firm": 4, "soft": 4}}))
    assert "12 days" in found["/answers/ground"]["detail"]


@pytest.mark.parametrize(
    ("body", "status", "pointer", "words"),
    [
        ("not json", 400, None, "not JSON"),
        ("[]", 422, "", "must be an object"),
        ("{}", 422, "/answers", "missing"),
        ('{"answers": null}', 422, "/answers", "must be an object"),
        ('{"answers": {}, "answer": 1}', 422, "/answer", "did you mean answers"),
        ('{"answers": {"animals": 3}}', 422, "/answers/animals", "map"),
        ('{"answers": {"animals": {"cows": 1e400}}}', 422, "/answers/animals/cows", "computed"),
        ('{"answers": {"animals": {"cows": 1, "cows": 2}}}', 422, "/answers/animals/cows", "once"),
        ('{"answers": {"hay": {"bale_weight": "1,5"}}}', 422, "/answers/hay/bale_weight", "point"),
    ],
)
def test_what_is_no_answer_is_refused_in_words(call, body, status, pointer, words):
    answer = call("POST", ADDRESS, content=body, headers=JSON)
    assert answer.status_code == status
    if pointer is not None:
        assert words in told(answer)[pointer]["detail"]


def test_an_uncountable_number_does_not_hide_the_other_faults(call):
    body = '{"answers": {"animals": {"cows": 1e400}, "hay": {"bales": -1}}}'
    found = told(call("POST", ADDRESS, content=body, headers=JSON))
    assert set(found) == {"/answers/animals/cows", "/answers/hay/bales"}


def test_a_body_of_another_type_is_refused(call):
    answer = call("POST", ADDRESS, content="answers=x", headers={"Content-Type": "text/plain"})
    assert answer.status_code == 415


def _parts():
    for question in catalog().values():
        for part in question.parts:
            yield (question.id, part.id)
            yield from ((question.id, part.id, inner.id) for inner in part.parts)


PARTS = list(_parts())
ODD = st.sampled_from(
    ["=1+1", "<script>", "\x00", "\u202e\u05d0", "9" * 400, "x" * 4000, "nan", "-0", "1e9", ""]
) | st.text(max_size=20)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | st.floats(-1e9, 1e9) | ODD,
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(ODD, inner, max_size=2),
    max_leaves=4,
)


def test_whatever_stands_in_a_part_it_is_taken_or_refused_in_words():
    call = Caller(create_app())

    @settings(max_examples=60)
    @given(st.lists(st.tuples(st.sampled_from(PARTS), VALUES), min_size=1, max_size=4))
    def check(changes):
        sent = {}
        for (question, part, *inner), value in changes:
            place = sent.setdefault(question, {})
            place[part] = [{inner[0]: value}] if inner else value
        answer = answered(call, sent)
        assert answer.status_code in {200, 422}, answer.text
        if answer.status_code == 422:
            assert all(error["detail"] for error in answer.json()["errors"])
        else:
            assert call.cost(answer.json()["document"]).status_code == 200

    check()
