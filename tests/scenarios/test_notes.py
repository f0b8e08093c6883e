"""Notes about revisions and what is in them."""

import pytest

from service.costing.errors import InputError
from service.scenarios import errors
from service.scenarios.keeping import patch, put_in_bin
from service.scenarios.notes import add_note, notes
from service.scenarios.tokens import new_token
from tests.support.desks import (
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    opened_desk,
)
from tests.support.offices import START


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    """Return a scenario of two revisions; the second has another group."""
    made = kept(desk)
    heifers = {**made.document["herd"]["cows"], "head": 5}
    patch(desk, WRITER, made.head.id, 1, {"herd": {"heifers": heifers}})
    return made.head.id


def of(desk, scenario, who=READER, after=None, limit=50):
    with desk.store.reading() as session:
        return notes(session, who, scenario, after, limit)


def test_a_note_says_who_said_it_about_what(desk, scenario):
    friend = holder(desk, scenario, "edit")
    note = add_note(desk, friend, scenario, " Ask for a quote.\nTwice. ", None, "hay.price_per_ton")
    assert (note.scenario_id, note.revision, note.input_path) == (scenario, 2, "hay.price_per_ton")
    assert note.body == "Ask for a quote.\nTwice."
    assert (note.author_id, note.author_label) == (friend.credential_id, "edit link")
    assert note.created_at == START
    assert note.id.startswith("nt_")
    assert of(desk, scenario) == [note]
    assert of(desk, scenario, friend) == [note]
    assert done(desk)[-1] == ("note.add", note.id, 2)


def test_notes_are_listed_oldest_first_page_by_page(desk, scenario):
    made = []
    for number in range(3):
        made.append(add_note(desk, WRITER, scenario, f"Remark {number}.", None, None))
        desk.now.forward(seconds=1)
    assert of(desk, scenario, limit=2) == made[:2]
    assert of(desk, scenario, after=made[1].id) == made[2:]
    with pytest.raises(errors.UnknownScenarioError):
        of(desk, scenario, STRANGER)


@pytest.mark.parametrize(
    "path",
    ["hay.price_per_ton", "hay", "herd.cows", "herd.cows.head", "systems", None],
)
def test_a_note_may_be_about_a_value_or_a_part(desk, scenario, path):
    assert add_note(desk, WRITER, scenario, "x", 1, path).input_path == path


def test_a_note_may_be_about_a_system_or_a_step(desk, scenario):
    document = kept(desk).document
    system = document["baseline"]
    step = document["systems"][system]["plan"][0]["key"]
    for path in (f"systems.{system}", f"systems.{system}.plan.{step}"):
        assert add_note(desk, WRITER, scenario, "x", None, path).input_path == path


def test_a_path_that_leads_nowhere_is_refused_with_the_nearest(desk, scenario):
    with pytest.raises(InputError) as refusal:
        add_note(desk, WRITER, scenario, "x", None, "hay.prise_per_ton")
    [fault] = refusal.value.faults
    assert (fault.input, fault.suggestion) == ("input", "hay.price_per_ton")
    for path in ("", "zzz", "z" * 5_000, "systems.0", "\0"):
        with pytest.raises(InputError):
            add_note(desk, WRITER, scenario, "x", None, path)


def test_the_path_is_looked_for_in_the_revision_that_the_note_is_about(desk, scenario):
    add_note(desk, WRITER, scenario, "x", 2, "herd.heifers")
    with pytest.raises(InputError):
        add_note(desk, WRITER, scenario, "x", 1, "herd.heifers")


@pytest.mark.parametrize("number", [0, -1, 3, 10**30])
def test_a_note_is_about_a_revision_that_there_is(desk, scenario, number):
    with pytest.raises(errors.UnknownPartError):
        add_note(desk, WRITER, scenario, "x", number, None)


@pytest.mark.parametrize("body", ["", " \n ", "x" * 4_001, "a\0b", "\ud800", "bell \x07", None, 3])
def test_a_note_says_something_and_not_too_much(desk, scenario, body):
    with pytest.raises(InputError) as refusal:
        add_note(desk, WRITER, scenario, body, None, "zzz")
    assert [fault.input for fault in refusal.value.faults] == ["text", "input"]
    assert of(desk, scenario) == []


@pytest.mark.parametrize("body", ["x", "x" * 4_000, "<script>", "\u202eabc", "a\tb\r\nc", "é🐑"])
def test_a_note_may_say_anything_else(desk, scenario, body):
    assert add_note(desk, WRITER, scenario, body, None, None).body == body


def test_a_note_holds_no_token(desk, scenario):
    token = new_token("read_link")
    with pytest.raises(InputError) as refusal:
        add_note(desk, WRITER, scenario, f"It is at /s/{token}", None, None)
    assert token not in str(refusal.value)


def test_notes_are_added_by_whoever_may_change_the_scenario(desk, scenario):
    for who, error in (
        (READER, errors.TooLittleAccessError),
        (holder(desk, scenario, "read"), errors.TooLittleAccessError),
        (STRANGER, errors.UnknownScenarioError),
    ):
        with pytest.raises(error):
            add_note(desk, who, scenario, "x", None, None)
    put_in_bin(desk, WRITER, scenario, 2)
    with pytest.raises(errors.BinnedError):
        add_note(desk, WRITER, scenario, "x", None, None)
