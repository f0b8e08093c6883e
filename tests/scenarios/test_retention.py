"""What is not kept for ever, and what is. The times are those of the interface, section 9."""

from datetime import timedelta

import pytest

from service.scenarios import errors
from service.scenarios.erasure import erase
from service.scenarios.history import revision
from service.scenarios.keeping import create, patch, put_in_bin, take_from_bin
from service.scenarios.replays import Answer, once
from service.scenarios.retention import tidy
from tests.support.desks import ADMIN, WRITER, kept, now_of, opened_desk
from tests.support.offices import START, costing, entry, keep, small_document

NOTHING = {"scenarios": 0, "costings": 0, "analyses": 0, "sweeps": 0, "replays": 0, "audit": 0}


@pytest.fixture
def desk():
    return opened_desk()


def binned(desk):
    scenario = kept(desk).head.id
    put_in_bin(desk, WRITER, scenario, 1)
    return scenario


def test_the_bin_is_emptied_after_thirty_days(desk):
    scenario = binned(desk)
    desk.now.forward(days=30)
    assert tidy(desk) == NOTHING
    assert desk.store.scrubbed == 0
    desk.now.forward(days=1)
    assert tidy(desk) == NOTHING | {"scenarios": 1}
    assert desk.store.scrubbed == 1
    assert tidy(desk) == NOTHING
    with pytest.raises(errors.UnknownScenarioError):
        take_from_bin(desk, WRITER, scenario)
    assert desk.journal.lines == [("erase", scenario, desk.now())]
    with desk.store.reading() as session:
        last = session.audit.page(WRITER.office_id, scenario, None, 1)[0]
        assert session.erasures.ids() == {("erase", scenario)}
    assert (last.action, last.credential_id) == ("scenario.erase", "operator")


def test_a_bin_with_more_than_is_erased_at_once_is_emptied_all_the_same(desk):
    for _ in range(120):
        binned(desk)
    stays = kept(desk).head.id
    desk.now.forward(days=31)
    assert tidy(desk)["scenarios"] == 120
    assert now_of(desk, stays)
    assert len(desk.journal.lines) == 120


def test_what_came_out_of_the_bin_and_what_never_was_in_it_stays_for_ever(desk):
    back, untouched = binned(desk), kept(desk).head.id
    take_from_bin(desk, WRITER, back)
    patch(desk, WRITER, untouched, 1, {"name": "Sorrel"})
    desk.now.forward(days=10_000)
    tidy(desk)
    assert now_of(desk, back)
    with desk.store.reading() as session:
        assert revision(session, desk, WRITER, untouched, 1)


def test_costings_that_nobody_opens_go_after_400_days_save_the_newest(desk):
    first = kept(desk)
    second = patch(desk, WRITER, first.head.id, 1, {"name": "Sorrel"})
    today = START.date()
    with desk.store.writing() as session:
        keep(
            session,
            costing(1, first.head, engine_version="1"),
            costing(2, first.head, engine_version="2", opened_on=today + timedelta(days=1)),
            costing(3, second.head),
        )
    desk.now.forward(days=400)
    assert tidy(desk)["costings"] == 0
    desk.now.forward(days=1)
    assert tidy(desk)["costings"] == 1
    assert sorted(one.engine_version for one in desk.store.tables.costings.values()) == [
        "1.0.0",
        "2",
    ]


def test_answers_go_after_a_day(desk):
    once(
        desk,
        WRITER,
        "k",
        "f",
        lambda then: create(desk, WRITER, small_document(), then=then),
        lambda one: Answer(201, b"", {}, one.head.id),
    )
    desk.now.forward(hours=24)
    assert tidy(desk)["replays"] == 0
    desk.now.forward(seconds=1)
    assert tidy(desk)["replays"] == 1


def test_the_audit_goes_after_three_years_and_not_before(desk):
    # Three years of 366 days: never sooner than any three years of the calendar.
    with desk.store.writing() as session:
        keep(session, entry(), entry(at=START + timedelta(days=2)))
    desk.now.forward(days=3 * 365 + 1)
    assert tidy(desk)["audit"] == 0
    desk.now.forward(days=3)
    assert tidy(desk)["audit"] == 1


def test_what_was_erased_by_hand_is_not_counted_again(desk):
    scenario = binned(desk)
    erase(desk, ADMIN, scenario)
    desk.now.forward(days=31)
    assert tidy(desk) == NOTHING
