"""What is erased is gone, and stays gone after a restore."""

from contextlib import contextmanager
from datetime import timedelta

import pytest

from service.scenarios import errors
from service.scenarios.erasure import erase, replay_journal
from service.scenarios.keeping import copy, create, patch, put_in_bin
from service.scenarios.notes import add_note
from service.scenarios.past_winters import record_winter
from service.scenarios.records import Counts
from service.scenarios.replays import Answer, once
from service.scenarios.sharing import make_key, make_link, revoke_key, revoke_link
from tests.support.desks import (
    ADMIN,
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    now_of,
    opened_desk,
)
from tests.support.fake_store import FakeStore
from tests.support.offices import START, costing, keep, small_document

MARKER = "Marjoram Bottom"


@pytest.fixture
def desk():
    return opened_desk()


def full(desk):
    """Return a scenario with everything that can hang on one."""
    answer = once(
        desk,
        WRITER,
        "k",
        "f",
        lambda then: create(desk, WRITER, small_document(name=MARKER), then=then),
        lambda one: Answer(201, one.revision.document.encode(), {}, one.head.id),
    )
    scenario = answer.object_id
    head = patch(desk, WRITER, scenario, 1, {"hay": {"price_per_ton": 131}}, MARKER).head
    add_note(desk, WRITER, scenario, f"About {MARKER}.", None, None)
    record_winter(desk, WRITER, scenario, "2025-26", {"remark": MARKER, "system": "barn"}, None)
    make_link(desk, WRITER, scenario, "read", MARKER, 90)
    make_link(desk, WRITER, scenario, "edit", MARKER, 90)
    with desk.store.writing() as session:
        keep(session, costing(1, head, result=MARKER.encode()))
    return scenario


def everything_kept(desk):
    tables = vars(desk.store.tables).values()
    return repr([list(table.values()) for table in tables if isinstance(table, dict)])


def copied(desk, scenario, name="A copy"):
    return copy(desk, WRITER, scenario, None, {}, name, None).head.id


def test_nothing_of_an_erased_scenario_is_left_but_ids(desk):
    scenario = full(desk)
    assert MARKER in everything_kept(desk)
    desk.now.forward(days=1)
    erased = erase(desk, ADMIN, scenario)
    assert MARKER not in everything_kept(desk)
    assert erased.counts == Counts(revisions=2, costings=1, notes=1, links=2, replays=1, winters=1)
    assert (erased.scenario_id, erased.erased_at) == (scenario, START + timedelta(days=1))
    assert (erased.copies, erased.erased_copies) == ((), ())
    assert erased.gone_from_files
    assert desk.store.scrubbed == 1
    with pytest.raises(errors.UnknownScenarioError):
        now_of(desk, scenario)
    assert done(desk)[-1] == ("scenario.erase", scenario, None)
    assert desk.journal.lines == [("erase", scenario, erased.erased_at)]
    with desk.store.reading() as session:
        assert session.erasures.ids() == {("erase", scenario)}
        assert session.scenarios.revision(scenario, 1) is None


def test_the_day_on_which_the_last_backup_forgets_is_said(desk):
    # The interface, section 9: backups are kept for 35 days.
    erased = erase(desk, ADMIN, kept(desk).head.id)
    assert erased.backups_forget_on == START.date() + timedelta(days=35)


def test_text_that_stays_in_the_files_for_a_while_is_said_so():
    class Slow(FakeStore):
        def scrub(self):
            return False

    desk = opened_desk(store=Slow())
    assert not erase(desk, ADMIN, kept(desk).head.id).gone_from_files


def test_other_scenarios_stay(desk):
    other, mine = full(desk), kept(desk).head.id
    before = now_of(desk, other)
    erase(desk, ADMIN, mine)
    assert now_of(desk, other) == before


def test_copies_are_named_and_stay_unless_they_are_to_go_too(desk):
    scenario = kept(desk, name="Tansy").head.id
    first = copied(desk, scenario)
    second = copied(desk, first)
    put_in_bin(desk, WRITER, second, 1)
    erased = erase(desk, ADMIN, scenario)
    assert (erased.copies, erased.erased_copies) == ((first, second), ())
    assert now_of(desk, first).head.origin_id is None


def test_the_whole_chain_of_copies_goes_if_asked_for(desk):
    scenario = kept(desk, name="Tansy").head.id
    first, other = copied(desk, scenario), copied(desk, scenario)
    second = copied(desk, first)
    stays = kept(desk).head.id
    erased = erase(desk, ADMIN, scenario, copies=True)
    assert set(erased.erased_copies) == {first, other, second}
    assert erased.copies == ()
    assert erased.counts.revisions == 4
    for gone in (scenario, first, other, second):
        with pytest.raises(errors.UnknownScenarioError):
            now_of(desk, gone)
    assert now_of(desk, stays)
    assert {(act, gone) for act, gone, _ in desk.journal.lines} == {
        ("erase", gone) for gone in (scenario, first, other, second)
    }
    assert [action for action, *_ in done(desk)].count("scenario.erase") == 4


def test_a_scenario_is_erased_from_the_bin_too(desk):
    scenario = kept(desk).head.id
    put_in_bin(desk, WRITER, scenario, 1)
    assert erase(desk, ADMIN, scenario).counts.revisions == 1


def test_only_an_admin_of_the_office_erases(desk):
    scenario = kept(desk).head.id
    for who, error in (
        (READER, errors.TooLittleAccessError),
        (WRITER, errors.TooLittleAccessError),
        (holder(desk, scenario, "edit"), errors.TooLittleAccessError),
        (STRANGER, errors.UnknownScenarioError),
    ):
        with pytest.raises(error):
            erase(desk, who, scenario)
    assert desk.journal.lines == []
    erase(desk, ADMIN, scenario)
    with pytest.raises(errors.UnknownScenarioError):
        erase(desk, ADMIN, scenario)


def test_the_journal_is_written_before_the_commit_so_that_no_erasure_is_missing_from_it():
    class Failing(FakeStore):
        fails = False

        @contextmanager
        def writing(self):
            with super().writing() as session:
                yield session
                if self.fails:
                    raise OSError

    desk = opened_desk(store=Failing())
    scenario = kept(desk).head.id
    desk.store.fails = True
    with pytest.raises(OSError, match=r"^$"):
        erase(desk, ADMIN, scenario)
    assert [gone for _, gone, _ in desk.journal.lines] == [scenario]
    assert now_of(desk, scenario)


def test_a_journal_that_cannot_be_written_stops_the_erasure(desk):
    scenario = kept(desk).head.id

    def full_disk(*_):
        raise OSError

    desk.journal.append = full_disk
    with pytest.raises(OSError, match=r"^$"):
        erase(desk, ADMIN, scenario)
    assert now_of(desk, scenario)
    key = make_key(desk, ADMIN, "read", "x", 1)[0]
    with pytest.raises(OSError, match=r"^$"):
        revoke_key(desk, ADMIN, key.id)
    with desk.store.reading() as session:
        assert session.credentials.find(key.id).revoked_at is None


def test_after_a_restore_the_erased_and_the_revoked_are_gone_again(desk):
    scenario, stays = full(desk), kept(desk).head.id
    link = make_link(desk, WRITER, stays, "read", "phone", 90)[0]
    key = make_key(desk, ADMIN, "read", "batch job", 30)[0]
    backup = desk.store.tables.copied()
    erase(desk, ADMIN, scenario)
    revoke_link(desk, WRITER, stays, link.id)
    revoke_key(desk, ADMIN, key.id)
    desk.store.tables = backup
    assert now_of(desk, scenario)
    scrubbed = desk.store.scrubbed
    assert replay_journal(desk) == (1, 2)
    assert MARKER not in everything_kept(desk)
    assert desk.store.scrubbed == scrubbed + 1
    with desk.store.reading() as session:
        assert session.credentials.find(link.id).revoked_at is not None
        assert session.credentials.find(key.id).revoked_at is not None
        assert session.erasures.ids() == set(desk.journal.entries())
    assert now_of(desk, stays)
    assert replay_journal(desk) == (0, 0)


def test_replaying_writes_nothing_into_the_journal(desk):
    scenario = kept(desk).head.id
    erase(desk, ADMIN, scenario)
    before = list(desk.journal.lines)
    replay_journal(desk)
    assert desk.journal.lines == before


def test_an_empty_journal_does_nothing(desk):
    scenario = kept(desk).head.id
    assert replay_journal(desk) == (0, 0)
    assert now_of(desk, scenario)
