"""After an erasure its text is gone from the files of SQLite, the log of writes among them."""

import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import replace

import pytest

from service.store.database import Database
from tests.support.offices import (
    START,
    advanced,
    costing,
    credential,
    furnish,
    head,
    job,
    keep,
    note,
    office,
    replay,
    revision,
)

MARKS = {
    "document": b"marked-document",
    "older document": b"marked-older-document",
    "name": b"marked-name",
    "external id": b"marked-external-id",
    "remark": b"marked-remark",
    "author": b"marked-author",
    "note": b"marked-note",
    "costing": b"marked-costing",
    "link": b"marked-link",
    "question": b"marked-question",
    "analysis": b"marked-analysis",
    "problem": b"marked-problem",
    "part": b"marked-part",
    "answer": b"marked-answer",
    "headers": b"marked-headers",
}
"""A text for each place where an owner's words are kept."""
LONG = 20_000
"""Repetitions that make a row fill many pages of the file."""
STALE = START


def said(mark, times=1):
    return " ".join([MARKS[mark].decode()] * times)


@pytest.fixture
def store(sqlite_files, tmp_path):
    """Return a database with a scenario that is marked all over, among many others."""
    with closing(Database.sqlite(sqlite_files.new(tmp_path), threads=3)) as database:
        furnish(database)
        for number in range(2, 60):
            with database.writing() as session:
                keep(session, head(number), note(number, head(number)))
                if number == 30:
                    mark(session)
        yield database


def mark(session):
    first = head(100, external_id=said("external id"))
    second = advanced(first, name=said("name"))
    session.scenarios.add(
        first, revision(first, document=said("older document", LONG), author_label=said("author"))
    )
    assert session.scenarios.advance(
        second, revision(second, document=said("document", LONG), remark=said("remark"))
    )
    keep(
        session,
        note(100, second, body=said("note", 200)),
        costing(100, second, result=said("costing", LONG).encode()),
        credential(100, scenario_id=first.id, label=said("link")),
        job(100, second, request=said("question", 200)),
        job(101, second, state="done", result=said("analysis", LONG).encode()),
        job(102, second, state="failed", problem=said("problem")),
    )
    session.jobs.add_part(job(100).id, 0, said("part", LONG).encode())
    claimed = replay()
    assert session.replays.claim(claimed, STALE) is None
    session.replays.complete(
        replace(
            claimed,
            status=201,
            headers=said("headers"),
            body=said("answer", LONG).encode(),
            object_id=first.id,
        )
    )


def found(folder):
    """Return which marks stand in any file of the database."""
    files = [one.read_bytes() for one in folder.glob("winterground.sqlite*")]
    assert files
    return {mark for mark, text in MARKS.items() if any(text in content for content in files)}


def erase(store):
    with store.writing() as session:
        counts = session.scenarios.erase(head(100).id)
    assert counts.revisions == 2
    assert (counts.costings, counts.notes, counts.links, counts.replays) == (1, 1, 1, 1)
    assert counts.analyses == 3


def test_before_the_erasure_all_its_text_is_found(store, tmp_path):
    del store
    assert found(tmp_path) == MARKS.keys()


def test_after_the_erasure_its_text_waits_in_the_log(store, tmp_path):
    erase(store)
    assert found(tmp_path)


def test_after_the_log_is_cut_off_its_text_is_gone(store, tmp_path):
    erase(store)
    assert store.scrub()
    assert found(tmp_path) == set()


def test_text_that_had_reached_the_main_file_is_gone_from_there(store, tmp_path):
    assert store.scrub()
    assert (tmp_path / "winterground.sqlite-wal").stat().st_size == 0
    assert found(tmp_path) == MARKS.keys()
    erase(store)
    assert store.scrub()
    assert found(tmp_path) == set()


def test_text_is_gone_whichever_connection_erased_it(store, tmp_path):
    with store.reading() as one, store.reading() as another:
        assert one.scenarios.head(office().id, head(100).id)
        assert another.scenarios.head(office().id, head(100).id)
        erase(store)
    assert store.scrub()
    assert found(tmp_path) == set()


def test_what_was_not_erased_is_still_there_and_the_file_is_sound(store):
    erase(store)
    assert store.scrub()
    with store.reading() as session:
        for number in range(1, 60):
            assert session.scenarios.head(office().id, head(number).id) == head(number)
            assert session.scenarios.revision(head(number).id, 1) == revision(head(number))
    with store.engine.connect() as connection:
        assert connection.exec_driver_sql("pragma integrity_check").all() == [("ok",)]
        assert connection.exec_driver_sql("pragma foreign_key_check").all() == []


def test_text_of_a_key_that_was_forgotten_is_gone(store, tmp_path):
    with store.writing() as session:
        assert session.replays.prune(replay().expires_at.replace(year=2030)) == 1
    assert store.scrub()
    assert found(tmp_path) == MARKS.keys() - {"answer", "headers"}


def reader_of(tmp_path):
    """Return a connection of another program that is in the middle of reading."""
    reader = sqlite3.connect(
        tmp_path / "winterground.sqlite", isolation_level=None, check_same_thread=False
    )
    reader.execute("begin")
    reader.execute("select count(*) from scenarios").fetchone()
    return reader


def test_the_log_is_cut_off_once_a_reader_is_done(store, tmp_path):
    reader = reader_of(tmp_path)
    erase(store)
    done = threading.Timer(0.4, lambda: reader.execute("rollback"))
    done.start()
    begun = time.monotonic()
    assert store.scrub()
    waited = time.monotonic() - begun
    done.join()
    reader.close()
    assert waited > 0.2
    assert found(tmp_path) == set()


def test_a_reader_that_does_not_end_is_said(store, tmp_path):
    with closing(reader_of(tmp_path)):
        erase(store)
        assert not store.scrub()
        assert found(tmp_path)
    assert store.scrub()
    assert found(tmp_path) == set()


def test_others_write_while_the_log_waits_for_a_reader(store, tmp_path):
    reader = reader_of(tmp_path)
    erase(store)
    scrubbing = threading.Thread(target=store.scrub)
    scrubbing.start()
    with store.writing() as session:
        keep(session, head(200))
    assert scrubbing.is_alive()
    reader.close()
    scrubbing.join()
    assert found(tmp_path) == set()
