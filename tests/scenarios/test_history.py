"""Revisions read, listed and brought back."""

import dataclasses

import pytest

from service.costing.errors import Fault, InputError
from service.scenarios import errors
from service.scenarios.history import restore, revision, revisions
from service.scenarios.keeping import patch
from service.scenarios.kept import kept_at
from tests.support.desks import (
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    now_of,
    opened_desk,
)


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    """Return a scenario whose hay price went from that of the farm to 131 and to 98."""
    made = kept(desk).head.id
    for number, price in enumerate((131, 98), start=1):
        patch(desk, WRITER, made, number, {"hay": {"price_per_ton": price}}, f"hay at {price}")
    return made


def at(desk, scenario, number, who=READER):
    with desk.store.reading() as session:
        return revision(session, desk, who, scenario, number)


def test_every_revision_can_be_read_as_it_was(desk, scenario):
    assert [
        at(desk, scenario, number).document["hay"]["price_per_ton"] for number in (1, 2, 3)
    ] == [118, 131, 98]
    assert at(desk, scenario, 3) == now_of(desk, scenario)
    assert at(desk, scenario, 2, holder(desk, scenario, "read")).revision.remark == "hay at 131"
    with pytest.raises(errors.UnknownScenarioError):
        at(desk, scenario, 1, STRANGER)


@pytest.mark.parametrize("number", [0, -1, 4, 10**30])
def test_a_revision_that_is_not_there_is_said_so(desk, scenario, number):
    with pytest.raises(errors.UnknownPartError, match=r"no revision .* newest is 3"):
        at(desk, scenario, number)
    with pytest.raises(errors.UnknownPartError):
        restore(desk, WRITER, scenario, 3, number)


def test_revisions_are_listed_newest_first_page_by_page(desk, scenario):
    with desk.store.reading() as session:
        first = revisions(session, READER, scenario, None, 2)
        second = revisions(session, READER, scenario, first[-1].number, 2)
        with pytest.raises(errors.UnknownScenarioError):
            revisions(session, STRANGER, scenario, None, 2)
    assert [summary.number for summary in (*first, *second)] == [3, 2, 1]
    assert [summary.made_by for summary in (*first, *second)] == ["patch", "patch", "create"]


def test_an_earlier_revision_comes_back_as_a_new_one(desk, scenario):
    back = restore(desk, holder(desk, scenario, "edit"), scenario, 3, 1)
    assert (back.head.revision, back.revision.made_by, back.revision.made_from) == (4, "restore", 1)
    assert back.document == at(desk, scenario, 1).document
    assert back.revision.document_sha256 == at(desk, scenario, 1).revision.document_sha256
    assert done(desk)[-1] == ("revision.restore", scenario, 4)
    assert at(desk, scenario, 3).document["hay"]["price_per_ton"] == 98


def test_bringing_back_what_stands_changes_nothing(desk, scenario):
    assert restore(desk, WRITER, scenario, 3, 3) == now_of(desk, scenario)
    back = restore(desk, WRITER, scenario, 3, 1)
    assert restore(desk, WRITER, scenario, 3, 1) == back
    assert now_of(desk, scenario).head.revision == 4


def test_the_answer_is_kept_even_if_nothing_was_to_be_done(desk, scenario):
    told = []
    restore(desk, WRITER, scenario, 3, 3, lambda _, back: told.append(back.head.revision))
    restore(desk, WRITER, scenario, 3, 2, lambda _, back: told.append(back.head.revision))
    assert told == [3, 4]


def test_bringing_back_is_refused_if_another_revision_stands(desk, scenario):
    with pytest.raises(errors.StaleRevisionError) as refusal:
        restore(desk, WRITER, scenario, 2, 1)
    assert (refusal.value.current, list(refusal.value.differing)) == (3, ["hay.price_per_ton"])
    with pytest.raises(errors.TooLittleAccessError):
        restore(desk, READER, scenario, 3, 1)


def test_what_cannot_be_costed_any_more_is_not_brought_back(desk, scenario):
    def stricter(document):
        if document["hay"]["price_per_ton"] > 120:
            raise InputError([Fault("hay.price_per_ton", "This is too dear.")])
        return desk.read(document)

    with pytest.raises(InputError, match="too dear"):
        restore(dataclasses.replace(desk, read=stricter), WRITER, scenario, 3, 2)
    assert now_of(desk, scenario).head.revision == 3


def test_a_scenario_erased_between_two_look_ups_is_unknown(desk, scenario):
    head = now_of(desk, scenario).head
    with desk.store.writing() as session:
        session.scenarios.erase(scenario)
    with desk.store.reading() as session, pytest.raises(errors.UnknownScenarioError):
        kept_at(session, desk, head, 1)
