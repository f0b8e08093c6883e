"""Sessions: one transaction each, on every store."""

import threading

import pytest

from service.scenarios.errors import StaleRevisionError, UnknownScenarioError
from service.scenarios.repositories import Listing
from tests.support.databases import DATABASE_ERRORS
from tests.support.offices import (
    START,
    advanced,
    costing,
    credential,
    entry,
    head,
    keep,
    note,
    office,
    replay,
    revision,
)


def test_a_store_that_is_there_answers(store):
    store.check()


def test_an_exception_undoes_everything(office_store):
    with pytest.raises(StaleRevisionError):
        write_much_and_fail(office_store)
    with office_store.writing() as session:
        assert session.replays.claim(replay(), START) is None
    with office_store.reading() as session:
        assert session.offices.get(office(3).id) is None
        assert session.credentials.find(credential(2).id) is None
        assert session.credentials.find(credential().id) == credential()
        assert session.scenarios.head(office().id, head(2).id) is None
        assert session.scenarios.head(office().id, head().id) == head()
        assert session.scenarios.revision(head().id, 2) is None
        assert session.costings.get(head().id, costing().id) is None
        assert list(session.notes.page(head().id, None, 9)) == []
        assert list(session.audit.page(office().id, None, None, 9)) == []
        assert session.erasures.ids() == set()


def write_much_and_fail(store):
    second = advanced(head())
    with store.writing() as session:
        keep(session, office(3), credential(2), head(2), costing(), note(), entry(), replay())
        assert session.scenarios.advance(second, revision(second))
        session.credentials.revoke(credential().id, START)
        session.erasures.add("erase", head().id, START)
        raise StaleRevisionError(2, [])


def test_an_exception_undoes_an_erasure(office_store):
    with pytest.raises(StaleRevisionError):
        erase_and_fail(office_store)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()
        assert session.scenarios.revision(head().id, 1) == revision()


def erase_and_fail(store):
    with store.writing() as session:
        session.scenarios.erase(head().id)
        raise StaleRevisionError(2, [])


def test_after_exceptions_the_next_session_writes(office_store):
    for _ in range(9):
        with pytest.raises(StaleRevisionError):
            write_much_and_fail(office_store)
    write(office_store)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(2).id) == head(2)


def test_after_an_exception_the_next_session_reads(office_store):
    for _ in range(9):
        with pytest.raises(StaleRevisionError), office_store.reading():
            raise StaleRevisionError(2, [])
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()


def test_a_writing_session_sees_what_it_wrote(office_store):
    with office_store.writing() as session:
        keep(session, head(2), note(1, head(2)))
        assert session.scenarios.head(office().id, head(2).id) == head(2)
        assert list(session.notes.page(head(2).id, None, 9)) == [note(1, head(2))]


def test_nobody_sees_what_is_not_committed(office_store):
    def seen():
        with office_store.reading() as session:
            found.append(session.scenarios.head(office().id, head(2).id))

    found = []
    with office_store.writing() as session:
        keep(session, head(2))
        in_another_thread(seen)
        seen()
    seen()
    assert found == [None, None, head(2)]


def test_a_reading_session_sees_what_was_committed_meanwhile(office_store):
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(2).id) is None
        in_another_thread(lambda: write(office_store))
        assert session.scenarios.head(office().id, head(2).id) == head(2)


def test_writing_goes_on_while_others_read(office_store):
    with office_store.reading() as one, office_store.reading() as another:
        assert one.scenarios.head(office().id, head().id)
        in_another_thread(lambda: write(office_store))
        assert another.scenarios.head(office().id, head(2).id) == head(2)


def write(store):
    with store.writing() as session:
        keep(session, head(2))


HANGING_ON_NOTHING = {
    "a costing without a revision": lambda: [costing(1, advanced(head()))],
    "a note without a revision": lambda: [note(1, advanced(head()))],
    "a note without a scenario": lambda: [note(1, head(9))],
    "a link without a scenario": lambda: [credential(2, scenario_id=head(9).id)],
    "a copy of what is not there": lambda: [head(2, origin_id=head(9).id, origin_revision=1)],
    "a key without an office": lambda: [credential(2, office_id=office(9).id)],
    "a scenario without an office": lambda: [head(2, office_id=office(9).id)],
}
FORBIDDEN = {
    "a copy of no revision": lambda: [head(2, origin_id=head().id)],
    "a key tied to a scenario": lambda: [credential(2, scenario_id=head().id, kind="key")],
    "a link that administers": lambda: [credential(2, scenario_id=head().id, access="admin")],
    "a key that edits": lambda: [credential(2, access="edit")],
    "a digest cut off": lambda: [credential(2, digest=bytes(31))],
    "a digest twice": lambda: [credential(2, digest=credential().digest)],
    "a name twice": lambda: [office(3, name=office().name)],
    "a note without end": lambda: [note(1, body="x" * 4_001)],
    "an id twice": lambda: [note(1), note(1)],
    "a scenario twice": lambda: [head()],
    "a scenario twice with an external id": lambda: [head(external_id="a")],
}


def write_refused(store, records):
    with store.writing() as session:
        keep(session, *records)


@pytest.mark.parametrize("records", HANGING_ON_NOTHING.values(), ids=HANGING_ON_NOTHING)
def test_what_hangs_on_nothing_is_refused_as_unknown(office_store, records):
    with pytest.raises(UnknownScenarioError):
        write_refused(office_store, records())
    assert_as_before(office_store)


@pytest.mark.parametrize("records", FORBIDDEN.values(), ids=FORBIDDEN)
def test_what_must_not_be_kept_is_refused(office_store, records):
    with pytest.raises((AssertionError, *DATABASE_ERRORS)):
        write_refused(office_store, records())
    assert_as_before(office_store)


def assert_as_before(store):
    with store.reading() as session:
        assert list(session.scenarios.page(office().id, Listing(9))) == [head()]
        assert list(session.offices.every()) == [office(), office(2)]
        assert list(session.notes.page(head().id, None, 9)) == []
        assert list(session.costings.page(head().id, None, None, 9)) == []
        assert list(session.credentials.keys(office().id, None, 9)) == [credential()]
        assert list(session.credentials.links(head().id, None, 9)) == []


def in_another_thread(act):
    failures = []

    def run():
        try:
            act()
        except BaseException as error:  # noqa: BLE001 - told in the test's own thread
            failures.append(error)

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(20)
    assert not thread.is_alive()
    assert failures == []
