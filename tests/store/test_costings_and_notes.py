"""Stored costings and notes, on every store."""

from dataclasses import fields, replace
from datetime import timedelta

import pytest

from service.scenarios.records import CostingSummary
from tests.support.offices import (
    DAY,
    START,
    advanced,
    costing,
    head,
    keep,
    note,
    numbered,
    revision,
)

SUMMARY = [field.name for field in fields(CostingSummary)]


def of_summary(kept):
    return CostingSummary(**{name: getattr(kept, name) for name in SUMMARY})


def test_a_costing_comes_back_as_it_was_kept(office_store):
    kept = costing(
        best_system="feeding pad · 牧",
        annual_equivalent_cost=0.1 + 0.2,
        result=bytes(range(256)) * 1_600,
        created_at=START + timedelta(milliseconds=1),
        opened_on=DAY + timedelta(days=3),
    )
    with office_store.writing() as session:
        assert session.costings.add(kept) == kept
    with office_store.reading() as session:
        assert session.costings.get(head().id, kept.id) == kept
        assert session.costings.find(head().id, 1, "1.0.0", "2026.1") == kept


@pytest.mark.parametrize("cost", [-1234.5, 0.0, 1e-9, 123_456_789.123456, 1.7976931348623157e308])
def test_a_cost_keeps_every_digit(office_store, cost):
    kept = costing(annual_equivalent_cost=cost)
    with office_store.writing() as session:
        session.costings.add(kept)
    with office_store.reading() as session:
        assert session.costings.get(head().id, kept.id).annual_equivalent_cost == cost


def test_a_costing_is_found_by_its_revision_engine_and_edition_alone(office_store):
    with office_store.writing() as session:
        keep(session, costing())
    with office_store.reading() as session:
        assert session.costings.find(head(2).id, 1, "1.0.0", "2026.1") is None
        assert session.costings.find(head().id, 2, "1.0.0", "2026.1") is None
        assert session.costings.find(head().id, 1, "1.0.1", "2026.1") is None
        assert session.costings.find(head().id, 1, "1.0.0", "2026.2") is None


def test_a_costing_is_got_through_its_scenario_alone(office_store):
    with office_store.writing() as session:
        keep(session, head(2), costing())
    with office_store.reading() as session:
        assert session.costings.get(head(2).id, costing().id) is None
        assert session.costings.get(head().id, numbered("ct", 9)) is None


def test_the_first_costing_of_a_revision_engine_and_edition_stays(office_store):
    first, second = costing(1), costing(2, result=b"another")
    with office_store.writing() as session:
        session.costings.add(first)
    with office_store.writing() as session:
        assert session.costings.add(second) == first
    with office_store.reading() as session:
        assert session.costings.get(head().id, second.id) is None
        assert list(session.costings.page(head().id, None, None, 9)) == [of_summary(first)]


def test_costings_of_other_engines_and_editions_stand_beside_each_other(office_store):
    others = [
        costing(1),
        costing(2, engine_version="1.0.1"),
        costing(3, reference_edition="2026.2"),
    ]
    with office_store.writing() as session:
        assert [session.costings.add(one) for one in others] == others


def test_costings_are_listed_newest_first_without_results_page_by_page(office_store):
    second = advanced(head())
    kept = [
        costing(1),
        costing(2, engine_version="1.1.0"),
        costing(3, second),
        costing(4, engine_version="1.2.0"),
        costing(5, second, engine_version="1.2.0"),
    ]
    with office_store.writing() as session:
        assert session.scenarios.advance(second, revision(second))
        keep(session, head(2), *kept, costing(6, head(2)))
    newest_first = [of_summary(one) for one in reversed(kept)]
    with office_store.reading() as session:
        page = session.costings.page
        first = page(head().id, None, None, 2)
        assert list(first) == newest_first[:2]
        assert list(page(head().id, None, first[-1].id, 2)) == newest_first[2:4]
        assert list(page(head().id, None, kept[1].id, 2)) == newest_first[4:]
        assert list(page(head().id, None, kept[0].id, 2)) == []
        assert list(page(head().id, 1, None, 2)) == [newest_first[1], newest_first[3]]
        assert list(page(head().id, 1, kept[1].id, 2)) == [newest_first[4]]
        assert list(page(head().id, 3, None, 2)) == []


def test_the_day_a_costing_was_opened_is_noted(office_store):
    kept = [costing(1), costing(2, engine_version="1.1.0")]
    opened = DAY + timedelta(days=5)
    with office_store.writing() as session:
        keep(session, *kept)
        session.costings.mark_opened(kept[0].id, opened)
    with office_store.reading() as session:
        assert session.costings.get(head().id, kept[0].id) == replace(kept[0], opened_on=opened)
        assert session.costings.get(head().id, kept[1].id) == kept[1]


def test_costings_not_opened_since_go_save_those_of_the_newest_revision(office_store):
    second = advanced(head())
    old, at_the_day = DAY - timedelta(days=1), DAY
    with office_store.writing() as session:
        assert session.scenarios.advance(second, revision(second))
        keep(
            session,
            head(2),
            costing(1, opened_on=old),
            costing(2, opened_on=old, engine_version="1.1.0"),
            costing(3, opened_on=at_the_day, engine_version="1.2.0"),
            costing(4, second, opened_on=old),
            costing(5, head(2), opened_on=old),
        )
    with office_store.writing() as session:
        assert session.costings.prune(DAY) == 2
        assert session.costings.prune(DAY) == 0
    with office_store.reading() as session:
        left = [one.id for one in session.costings.page(head().id, None, None, 9)]
        other = [one.id for one in session.costings.page(head(2).id, None, None, 9)]
    assert left == [costing(4).id, costing(3).id]
    assert other == [costing(5).id]


def test_a_note_comes_back_as_it_was_kept(office_store):
    kept = note(
        input_path="plan.systems[2].hay_price",
        body="¿Heno a 131? \N{SNOWFLAKE}\n" * 150,
        author_label="tablet · 牧",
        created_at=START + timedelta(milliseconds=999),
    )
    with office_store.writing() as session:
        session.notes.add(kept)
    with office_store.reading() as session:
        assert list(session.notes.page(head().id, None, 9)) == [kept]


def test_a_note_may_be_about_the_revision_as_a_whole(office_store):
    with office_store.writing() as session:
        session.notes.add(note())
    with office_store.reading() as session:
        [found] = session.notes.page(head().id, None, 9)
    assert found.input_path is None


def test_notes_are_listed_by_scenario_oldest_first_page_by_page(office_store):
    notes = [note(number) for number in (1, 2, 3)]
    with office_store.writing() as session:
        keep(session, head(2), *reversed(notes), note(4, head(2)))
    with office_store.reading() as session:
        first = session.notes.page(head().id, None, 2)
        assert list(first) == notes[:2]
        assert list(session.notes.page(head().id, first[-1].id, 2)) == notes[2:]
        assert list(session.notes.page(head().id, notes[-1].id, 2)) == []


def test_notes_of_an_older_revision_stay_with_it(office_store):
    second = advanced(head())
    with office_store.writing() as session:
        keep(session, note(1))
        assert session.scenarios.advance(second, revision(second))
        keep(session, note(2, second))
    with office_store.reading() as session:
        assert [one.revision for one in session.notes.page(head().id, None, 9)] == [1, 2]
