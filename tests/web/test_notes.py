"""Notes: remarks about a revision, or about one input of it."""

import pytest

from service.web.answer_models import NoteList, ScenarioNote
from tests.web.keeping import Keeping, without_request_id

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture
def scenario(kept):
    return kept.stored()


def _notes(scenario):
    return f"/v1/scenarios/{scenario}/notes"


def test_a_note_stays_with_its_revision_and_input(kept, scenario):
    note = {"text": "Weighed three bales.", "input": "hay.bale_weight_lb", "revision": 1}
    answer = kept("POST", _notes(scenario), "write", json=note)
    assert answer.status_code == 201, answer.text
    ScenarioNote.model_validate_json(answer.content)
    made = answer.json()
    assert {name: made[name] for name in note} == note
    assert made["author"]["label"] == "write key"
    changed = kept(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json={"hay": {"bale_weight_lb": 1020}},
        headers={"If-Match": '"1"'},
    )
    assert changed.status_code == 200, changed.text
    later = kept("POST", _notes(scenario), "write", json={"text": "Changed it."}).json()
    assert (later["revision"], later["input"]) == (2, None)
    listed = kept.get(_notes(scenario), "read")
    NoteList.model_validate_json(listed.content)
    assert listed.json() == {"items": [made, later], "next": None}


@pytest.mark.parametrize("access", ["read", "edit"])
def test_notes_are_read_by_links_and_added_by_edit_links(kept, scenario, access):
    token = kept.link(scenario, access)
    answer = kept("POST", _notes(scenario), token, json={"text": "From the barn."})
    assert answer.status_code == {"read": 403, "edit": 201}[access]
    listed = kept.get(_notes(scenario), token).json()["items"]
    assert [note["author"]["label"] for note in listed] == ["edit link"] * (access == "edit")


def test_notes_are_listed_page_by_page(kept, scenario):
    for number in range(5):
        kept("POST", _notes(scenario), "write", json={"text": f"Remark {number}."})
    paged, address = [], f"{_notes(scenario)}?limit=2"
    while address:
        page = kept.get(address, "read")
        paged += [note["text"] for note in page.json()["items"]]
        address = page.json()["next"]
        assert ("link" in page.headers) is (address is not None)
    assert paged == [f"Remark {number}." for number in range(5)]


def test_the_same_key_adds_one_note(kept, scenario):
    again = {"headers": {"Idempotency-Key": "note-1"}, "json": {"text": "Once."}}
    first, second = (kept("POST", _notes(scenario), "write", **again) for _ in range(2))
    assert first.status_code == second.status_code == 201
    assert first.json() == second.json()
    assert len(kept.get(_notes(scenario)).json()["items"]) == 1


def test_a_note_may_be_long_and_of_any_script(kept, scenario):
    text = "Köppel \u05d4\u05e2\u05e8\u05d4 <b>&amp;</b>\n" + "x" * 3900
    assert kept("POST", _notes(scenario), "write", json={"text": text}).json()["text"] == text


@pytest.mark.parametrize(
    ("note", "inputs"),
    [
        ({}, {"text"}),
        ({"text": ""}, {"text"}),
        ({"text": " \n "}, {"text"}),
        ({"text": "x" * 4001}, {"text"}),
        ({"text": "a\0b"}, {"text"}),
        ({"text": 7}, {"text"}),
        ({"text": "x", "input": "hay.price"}, {"input"}),
        ({"text": "x", "revision": 0}, {"revision"}),
        ({"text": "x", "revision": "1"}, {"revision"}),
        ({"text": "x" * 4001, "revision": -1, "author": "me"}, {"text", "revision", "author"}),
    ],
)
def test_bad_notes_are_refused_in_words(kept, scenario, note, inputs):
    answer = kept("POST", _notes(scenario), "write", json=note)
    assert answer.status_code == 422
    errors = answer.json()["errors"]
    assert {error["input"] for error in errors} == inputs
    assert {error["pointer"] for error in errors} == {f"/{name}" for name in inputs}
    assert kept.get(_notes(scenario)).json()["items"] == []


def test_the_nearest_input_is_named(kept, scenario):
    note = {"text": "x", "input": "hay.price_per_tn"}
    (error,) = kept("POST", _notes(scenario), "write", json=note).json()["errors"]
    assert error["suggestion"] == "hay.price_per_ton"


def test_a_revision_that_is_not_there_is_an_unknown_part(kept, scenario):
    answer = kept("POST", _notes(scenario), "write", json={"text": "x", "revision": 2})
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/unknown-part"


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_notes_of_another_office_are_as_unknown_as_none(kept, scenario, method):
    body = {"json": {"text": "x"}} if method == "POST" else {}
    theirs = kept.keys_elsewhere["admin"]
    foreign = kept(method, _notes(scenario), theirs, **body)
    unknown = kept(method, _notes(UNKNOWN), theirs, **body)
    assert foreign.status_code == 404
    assert without_request_id(foreign) == without_request_id(unknown)
    assert kept(method, _notes(scenario), None, **body).status_code == 401
