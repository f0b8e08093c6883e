"""The one look-up of a token and a stored costing, on every store: quick, and never out of date."""

import sqlite3
import threading
from dataclasses import replace

import pytest

from tests.support.databases import opened
from tests.support.offices import START, costing, credential, furnish, head, keep, numbered

NOBODY = b"\0" * 32


@pytest.fixture
def costed_store(office_store):
    with office_store.writing() as session:
        keep(session, costing())
    return office_store


@pytest.fixture
def sqlite_store(request, tmp_path):
    with opened("sqlite", request, tmp_path, threads=2) as database:
        furnish(database)
        with database.writing() as session:
            keep(session, costing())
        yield database


def looked_up(store, digest=None, scenario=None, costing_id=None):
    digests = [digest or credential().digest]
    with store.at_once() as session:
        return session.costings.opened(digests, scenario or head().id, costing_id or costing().id)


def test_it_is_what_the_three_look_ups_find_one_after_the_other(costed_store):
    known = looked_up(costed_store)
    with costed_store.reading() as session:
        assert known.credential == session.credentials.by_digest([credential().digest])
        assert known.head == session.scenarios.head(credential().office_id, head().id)
        assert known.costing == session.costings.get(head().id, costing().id)
    assert known.costing == costing()


def test_any_of_the_digests_will_do(costed_store):
    with costed_store.at_once() as session:
        digests = iter([NOBODY, credential().digest])
        assert session.costings.opened(digests, head().id, costing().id).costing == costing()


def test_what_is_not_there_is_none(costed_store):
    assert looked_up(costed_store, digest=NOBODY) is None
    assert looked_up(costed_store, scenario=numbered("sc", 99)).head is None
    assert looked_up(costed_store, scenario=numbered("sc", 99)).costing is None
    assert looked_up(costed_store, costing_id=numbered("ct", 99)).head is not None
    assert looked_up(costed_store, costing_id=numbered("ct", 99)).costing is None


def test_a_scenario_of_another_office_is_not_found(costed_store):
    stranger = credential(9, office_id=numbered("of", 2), digest=b"9" * 32)
    with costed_store.writing() as session:
        keep(session, stranger)
    known = looked_up(costed_store, digest=stranger.digest)
    assert known.credential == stranger
    assert (known.head, known.costing) == (None, None)


def test_a_revocation_is_seen_at_once(costed_store):
    assert looked_up(costed_store).credential.revoked_at is None
    with costed_store.writing() as session:
        session.credentials.revoke(credential().id, START)
    assert looked_up(costed_store).credential.revoked_at == START


def test_an_erasure_is_seen_at_once(costed_store):
    assert looked_up(costed_store).costing is not None
    with costed_store.writing() as session:
        session.scenarios.erase(head().id)
    known = looked_up(costed_store)
    assert (known.head, known.costing) == (None, None)


def test_what_another_process_writes_is_seen_at_once(sqlite_store):
    # A connection of SQLite's own library is as good as another process: they share the file alone.
    assert looked_up(sqlite_store).head.name == head().name
    other = sqlite3.connect(sqlite_store.engine.url.database)
    with other:
        other.execute("update scenarios set name = 'Changed elsewhere'")
    other.close()
    assert looked_up(sqlite_store).head.name == "Changed elsewhere"


def test_a_look_up_waits_neither_for_a_writer_nor_for_a_connection(sqlite_store):
    # All the connections that are shared are held, one of them in a transaction that writes.
    with sqlite_store.writing() as writing, sqlite_store.reading():
        writing.scenarios.put_in_bin(head().id, 1, START)
        assert looked_up(sqlite_store).head.binned_at is None
    assert looked_up(sqlite_store).head.binned_at == START


def test_each_thread_has_a_connection_of_its_own(sqlite_store):
    found = []
    threads = [
        threading.Thread(target=lambda: found.append(looked_up(sqlite_store))) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [known.costing for known in found] == [costing()] * 8


def test_what_is_remembered_is_right_however_much_is_asked(sqlite_store, monkeypatch):
    monkeypatch.setattr("service.store.costings.MOST_REMEMBERED", 3)
    many = [
        replace(costing(), id=numbered("ct", number), engine_version=f"1.0.{number}")
        for number in range(10, 16)
    ]
    with sqlite_store.writing() as session:
        keep(session, *many)
    for _ in range(2):
        assert [looked_up(sqlite_store, costing_id=one.id).costing for one in many] == many
