"""Scenarios and their revisions, on every store."""

import json
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta

import pytest

from service.scenarios.errors import ExternalIdTakenError
from service.scenarios.records import RevisionSummary
from service.scenarios.repositories import Listing
from tests.support.offices import START, advanced, head, keep, numbered, office, revision

LATER = START + timedelta(milliseconds=1)
SUMMARY = [field.name for field in fields(RevisionSummary)]


def of_summary(kept):
    return RevisionSummary(**{name: getattr(kept, name) for name in SUMMARY})


def test_a_scenario_and_its_revision_come_back_as_they_were_kept(office_store):
    kept = head(
        2,
        external_id="herd-7/Größe · 牧場",
        name="Übungsfarm · 牧場 \N{SNOWFLAKE}",
        origin_id=head().id,
        origin_revision=1,
        created_at=datetime(2026, 2, 28, 23, 59, 59, 999_000, tzinfo=UTC),
        updated_at=datetime(2026, 3, 1, 0, 0, 0, 1_000, tzinfo=UTC),
    )
    first = revision(
        kept,
        made_by="copy",
        made_from=1,
        author_label="tablet · 牧",
        remark="what if, 'quoted' \\ and \"so\"",
        document=json.dumps({"name": "Übung \N{COW}"}, ensure_ascii=False),
    )
    with office_store.writing() as session:
        session.scenarios.add(kept, first)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, kept.id) == kept
        assert session.scenarios.revision(kept.id, 1) == first


def test_what_is_unknown_comes_back_as_none(office_store):
    with office_store.reading() as session:
        found = session.scenarios.head(office().id, head().id)
        first = session.scenarios.revision(head().id, 1)
    assert found == head()
    assert (found.external_id, found.origin_id, found.binned_at) == (None, None, None)
    assert (first.made_from, first.remark) == (None, None)


def test_a_big_document_comes_back_to_the_letter(office_store):
    text = json.dumps({"remarks": ["0.1 1e22 \N{SNOWMAN} \\u0000 \t"] * 40_000}, ensure_ascii=False)
    assert len(text.encode()) > 1_000_000
    with office_store.writing() as session:
        session.scenarios.add(head(2), revision(head(2), document=text))
    with office_store.reading() as session:
        assert session.scenarios.revision(head(2).id, 1).document == text


def test_numbers_of_a_document_keep_their_spelling(office_store):
    text = '{"b":1.0,"a":1e2,"big":12345678901234567890,"a ":0.10}'
    with office_store.writing() as session:
        session.scenarios.add(head(2), revision(head(2), document=text))
    with office_store.reading() as session:
        assert session.scenarios.revision(head(2).id, 1).document == text


def test_a_scenario_of_another_office_is_as_one_that_is_not_there(office_store):
    with office_store.reading() as session:
        assert session.scenarios.head(office(2).id, head().id) is None
        assert session.scenarios.head(office().id, numbered("sc", 9)) is None
        assert session.scenarios.revision(head().id, 2) is None
        assert session.scenarios.revision(numbered("sc", 9), 1) is None


def test_a_revision_follows_the_one_before_it(office_store):
    second = advanced(head(), LATER, name="Plan B", external_id="b")
    with office_store.writing() as session:
        assert session.scenarios.advance(second, revision(second, remark="hay dearer"))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == second
        assert session.scenarios.revision(head().id, 1) == revision()
        assert session.scenarios.revision(head().id, 2) == revision(second, remark="hay dearer")


def test_an_external_id_can_be_taken_off(office_store):
    with office_store.writing() as session:
        second = advanced(head(), external_id="b")
        third = advanced(second, external_id=None)
        assert session.scenarios.advance(second, revision(second))
        assert session.scenarios.advance(third, revision(third))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id).external_id is None


def stale():
    return replace(head(), name="too late")


def skipping():
    return replace(head(), revision=3, name="too early")


def of_another_office():
    return advanced(head(), office_id=office(2).id, name="not theirs")


def unknown():
    return advanced(head(9))


@pytest.mark.parametrize("wrong", [stale, skipping, of_another_office, unknown])
def test_a_revision_that_does_not_follow_is_not_kept(office_store, wrong):
    with office_store.writing() as session:
        assert not session.scenarios.advance(wrong(), revision(wrong(), remark="lost"))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()
        assert list(session.scenarios.revisions(head().id, None, 9)) == [of_summary(revision())]


def test_a_second_change_of_the_same_revision_is_not_kept(office_store):
    mine, theirs = advanced(head(), name="mine"), advanced(head(), name="theirs")
    with office_store.writing() as session:
        assert session.scenarios.advance(mine, revision(mine))
    with office_store.writing() as session:
        assert not session.scenarios.advance(theirs, revision(theirs))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id).name == "mine"


def test_a_scenario_in_the_bin_is_not_changed(office_store):
    second = advanced(head())
    with office_store.writing() as session:
        assert session.scenarios.put_in_bin(head().id, 1, LATER)
    with office_store.writing() as session:
        assert not session.scenarios.advance(second, revision(second))
    with office_store.reading() as session:
        found = session.scenarios.head(office().id, head().id)
    assert (found.revision, found.binned_at) == (1, LATER)


def test_a_change_leaves_other_scenarios_alone(office_store):
    second = advanced(head(), LATER, name="Plan B")
    with office_store.writing() as session:
        keep(session, head(2), head(3, office_id=office(2).id))
        assert session.scenarios.advance(second, revision(second))
        assert session.scenarios.put_in_bin(head().id, 2, LATER)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(2).id) == head(2)
        found = session.scenarios.head(office(2).id, head(3).id)
    assert found == head(3, office_id=office(2).id)


def test_a_scenario_goes_into_the_bin_and_out_of_it(office_store):
    out = LATER + timedelta(days=1)
    with office_store.writing() as session:
        assert session.scenarios.put_in_bin(head().id, 1, LATER)
        assert not session.scenarios.put_in_bin(head().id, 1, out)
    with office_store.reading() as session:
        binned = session.scenarios.head(office().id, head().id)
    with office_store.writing() as session:
        assert session.scenarios.take_from_bin(head().id, out)
        assert not session.scenarios.take_from_bin(head().id, out)
    with office_store.reading() as session:
        taken = session.scenarios.head(office().id, head().id)
    assert binned == head(binned_at=LATER, updated_at=LATER)
    assert taken == head(updated_at=out)


def test_what_was_changed_since_does_not_go_into_the_bin(office_store):
    with office_store.writing() as session:
        assert not session.scenarios.put_in_bin(head().id, 2, LATER)
        assert not session.scenarios.put_in_bin(numbered("sc", 9), 1, LATER)
        assert not session.scenarios.take_from_bin(numbered("sc", 9), LATER)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()


def test_what_was_binned_before_a_time_is_listed_oldest_first_for_all_offices(office_store):
    days = [START + timedelta(days=number) for number in range(4)]
    with office_store.writing() as session:
        keep(session, head(2), head(3, office_id=office(2).id), head(4))
        session.scenarios.put_in_bin(head(2).id, 1, days[2])
        session.scenarios.put_in_bin(head(3).id, 1, days[1])
        session.scenarios.put_in_bin(head(4).id, 1, days[3])
    with office_store.reading() as session:
        found = [one.id for one in session.scenarios.binned_before(days[3], 9)]
        first = [one.id for one in session.scenarios.binned_before(days[3], 1)]
        none = list(session.scenarios.binned_before(days[1], 9))
    assert found == [head(3).id, head(2).id]
    assert first == [head(3).id]
    assert none == []


def test_revisions_are_listed_newest_first_without_documents_page_by_page(office_store):
    heads = [head()]
    with office_store.writing() as session:
        keep(session, head(2))
        for _ in range(4):
            heads.append(advanced(heads[-1], LATER))
            assert session.scenarios.advance(heads[-1], revision(heads[-1]))
    newest_first = [of_summary(revision(one)) for one in reversed(heads)]
    with office_store.reading() as session:
        first = session.scenarios.revisions(head().id, None, 2)
        second = session.scenarios.revisions(head().id, first[-1].number, 2)
        last = session.scenarios.revisions(head().id, second[-1].number, 2)
        assert list(session.scenarios.revisions(head().id, last[-1].number, 2)) == []
    assert [*first, *second, *last] == newest_first
    assert (len(first), len(second), len(last)) == (2, 2, 1)


def test_copies_are_listed_from_the_bin_too(office_store):
    origin = {"origin_id": head().id, "origin_revision": 1}
    with office_store.writing() as session:
        keep(session, head(4, **origin), head(2, **origin), head(3))
        session.scenarios.put_in_bin(head(2).id, 1, LATER)
    with office_store.reading() as session:
        assert [one.id for one in session.scenarios.copies(head().id)] == [head(2).id, head(4).id]
        assert list(session.scenarios.copies(head(2).id)) == []


def taken_by_new(session):
    session.scenarios.add(head(3, external_id="a"), revision(head(3)))


def taken_by_change(session):
    second = advanced(head(), external_id="a")
    session.scenarios.advance(second, revision(second))


@pytest.mark.parametrize("act", [taken_by_new, taken_by_change])
@pytest.mark.parametrize("binned", [False, True])
def test_an_external_id_that_is_taken_is_refused_with_who_has_it(office_store, act, binned):
    with office_store.writing() as session:
        keep(session, head(2, external_id="a"))
        if binned:
            session.scenarios.put_in_bin(head(2).id, 1, LATER)
    with pytest.raises(ExternalIdTakenError) as refusal, office_store.writing() as session:
        act(session)
    assert (refusal.value.scenario_id, refusal.value.binned) == (head(2).id, binned)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()
        assert session.scenarios.head(office().id, head(3).id) is None


@pytest.mark.parametrize("act", [taken_by_new, taken_by_change])
def test_after_a_refused_external_id_the_session_can_go_on(office_store, act):
    with office_store.writing() as session:
        keep(session, head(2, external_id="a"))
        with pytest.raises(ExternalIdTakenError):
            act(session)
        keep(session, head(4))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()
        assert session.scenarios.head(office().id, head(4).id) == head(4)


def test_an_external_id_serves_once_in_each_office(office_store):
    elsewhere = head(3, office_id=office(2).id, external_id="a")
    with office_store.writing() as session:
        keep(session, head(2, external_id="a"), elsewhere, head(4), head(5))
    with office_store.reading() as session:
        assert session.scenarios.head(office(2).id, head(3).id) == elsewhere


def test_a_scenario_keeps_its_external_id_through_a_change(office_store):
    second = head(2, external_id="a")
    third = advanced(second, LATER)
    with office_store.writing() as session:
        keep(session, second)
        assert session.scenarios.advance(third, revision(third))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(2).id) == third


def test_external_ids_are_told_apart_by_case_and_accent(office_store):
    with office_store.writing() as session:
        keep(session, head(2, external_id="hof"), head(3, external_id="Hof"))
        keep(session, head(4, external_id="höf"))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(4).id).external_id == "höf"


BEYOND = 10**30
NUL = "a\0b"


def test_what_no_id_or_number_can_be_is_not_found(office_store):
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, NUL) is None
        assert session.scenarios.head(office().id, "x" * 5_000) is None
        assert session.scenarios.revision(head().id, BEYOND) is None
        assert session.scenarios.revision(head().id, -1) is None
        assert len(session.scenarios.revisions(head().id, BEYOND, 9)) == 1
        assert list(session.scenarios.page(office().id, Listing(9, external_id=NUL))) == []
        assert list(session.scenarios.page(office().id, Listing(9, after_id=NUL))) == []
        assert session.costings.get(head().id, NUL) is None
        assert list(session.costings.page(head().id, BEYOND, None, 9)) == []
        assert session.credentials.get(office().id, NUL) is None
        assert list(session.notes.page(head().id, "zz" + NUL, 9)) == []
        assert list(session.audit.page(office().id, NUL, BEYOND, 9)) == []


def test_a_stale_revision_beyond_all_numbers_is_not_binned(office_store):
    with office_store.writing() as session:
        assert not session.scenarios.put_in_bin(head().id, BEYOND, LATER)
