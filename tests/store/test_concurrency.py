"""Many at once, on both databases: nothing is lost, nothing fails."""

import json
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from datetime import timedelta

import pytest

from service.scenarios.errors import ExternalIdTakenError
from tests.support.changing import in_threads, opened_again, together, until_done
from tests.support.databases import DATABASES, ROOT, opened
from tests.support.offices import (
    DAY,
    START,
    advanced,
    costing,
    credential,
    entry,
    furnish,
    head,
    keep,
    note,
    office,
    replay,
    revision,
)

THREADS = 6
CHANGES = 60
ROUNDS = 8
STALE = START - timedelta(minutes=2)


@pytest.fixture(params=DATABASES)
def wide(request, tmp_path):
    """Return a furnished database with a connection for each of 16 threads."""
    with opened(request.param, request, tmp_path, threads=16) as database:
        furnish(database)
        yield database


def assert_counted(database, changes):
    """Assert that no change was lost and none was made twice."""
    with database.reading() as session:
        stands = session.scenarios.head(office().id, head().id)
        newest = session.scenarios.revision(head().id, stands.revision)
        kept = session.scenarios.revisions(head().id, None, changes + 9)
    assert stands.revision == 1 + changes
    assert json.loads(newest.document) == {"count": changes}
    assert [one.number for one in kept] == list(range(1 + changes, 0, -1))
    assert len({one.remark for one in kept}) == 1 + changes


def test_six_threads_that_change_one_scenario_lose_nothing(wide):
    in_threads(wide, "thread", THREADS, CHANGES)
    assert_counted(wide, THREADS * CHANGES)


def test_two_processes_that_change_one_scenario_lose_nothing(wide):
    half, changes = THREADS // 2, CHANGES // 2
    command = [sys.executable, "-m", "tests.support.changing"]
    with subprocess.Popen(  # noqa: S603 - this interpreter and a module of the tests
        [*command, wide.kind, place_of(wide), "process", str(half), str(changes)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
    ) as other:
        in_threads(wide, "thread", half, changes)
        _, said = other.communicate(timeout=60)
    assert said == b""
    assert other.returncode == 0
    assert_counted(wide, 2 * half * changes)


def test_programs_that_read_and_write_in_one_session_lose_nothing(wide):
    def count_up(store):
        for number in range(CHANGES):
            until_done(lambda number=number: counted_in_one_session(store, number))

    with closing(opened_again(wide.kind, place_of(wide), threads=1)) as other:
        together([lambda: count_up(wide), lambda: count_up(other)])
    with wide.reading() as session:
        assert session.scenarios.head(office().id, head().id).revision == 1 + 2 * CHANGES


def counted_in_one_session(store, number):
    with store.writing() as session:
        changed = advanced(session.scenarios.head(office().id, head().id), name=f"{number}")
        return session.scenarios.advance(changed, revision(changed))


def place_of(database):
    url = database.engine.url
    if database.kind == "sqlite":
        return url.database
    return url.set(drivername="postgresql").render_as_string(hide_password=False)


@pytest.mark.parametrize("kind", DATABASES)
def test_eighty_clients_share_three_connections_without_a_failure(kind, request, tmp_path):
    with opened(kind, request, tmp_path, threads=3) as database:
        furnish(database)

        def work(client):
            for number in range(5):
                with database.reading() as session:
                    assert session.scenarios.head(office().id, head().id) == head()
                with database.writing() as session:
                    keep(session, note(10 * client + number), entry())

        together([lambda client=client: work(client) for client in range(1, 81)])
        with database.reading() as session:
            assert len(session.notes.page(head().id, None, 999)) == 400
            assert len(session.audit.page(office().id, None, None, 999)) == 400


def at_once(count, act):
    """Let threads do an act at the same moment, each with its number; return what comes of it."""
    gate = threading.Barrier(count)

    def one(number):
        gate.wait(20)
        return act(number)

    return together([lambda number=number: one(number) for number in range(count)])


def written(database, act):
    """Do something in a session of its own."""
    with database.writing() as session:
        return act(session)


def test_of_sixteen_claims_of_one_key_one_wins(wide):
    for turn in range(ROUNDS):
        claims = [replay(f"request-{turn}", fingerprint=f"{number}") for number in range(16)]
        answers = at_once(
            16,
            lambda number, claims=claims: written(
                wide, lambda session: session.replays.claim(claims[number], STALE)
            ),
        )
        [winner] = [number for number, answer in enumerate(answers) if answer is None]
        assert {answer for answer in answers if answer} == {claims[winner]}


def test_of_sixteen_claims_of_a_key_whose_worker_is_gone_one_wins(wide):
    gone = replay(claimed_at=STALE - timedelta(milliseconds=1), fingerprint="gone")
    for turn in range(ROUNDS):
        key = f"request-{turn}"
        with wide.writing() as session:
            session.replays.claim(replay(key, claimed_at=gone.claimed_at), STALE)
        claims = [replay(key, fingerprint=f"{number}") for number in range(16)]
        answers = at_once(
            16,
            lambda number, claims=claims: written(
                wide, lambda session: session.replays.claim(claims[number], STALE)
            ),
        )
        [winner] = [number for number, answer in enumerate(answers) if answer is None]
        assert {answer for answer in answers if answer} == {claims[winner]}


def test_of_eight_costings_of_one_revision_one_is_kept(wide):
    for turn in range(ROUNDS):
        version = f"1.{turn}.0"
        kept = at_once(
            8,
            lambda number, turn=turn, version=version: written(
                wide,
                lambda session: session.costings.add(
                    costing(10 * turn + number, engine_version=version)
                ),
            ),
        )
        assert len({one.id for one in kept}) == 1
    with wide.reading() as session:
        assert len(session.costings.page(head().id, None, None, 99)) == ROUNDS


def refused(act):
    """Return which scenario has the external id, or None if the act went well."""
    try:
        act()
    except ExternalIdTakenError as error:
        return error.scenario_id
    return None


def test_of_eight_new_scenarios_with_one_external_id_one_is_kept(wide):
    for turn in range(ROUNDS):
        new = [head(10 * turn + number, external_id=f"x{turn}") for number in range(10, 18)]
        answers = at_once(
            8,
            lambda number, new=new: refused(
                lambda: written(wide, lambda session: keep(session, new[number]))
            ),
        )
        [winner] = [number for number, answer in enumerate(answers) if answer is None]
        assert {answer for answer in answers if answer} == {new[winner].id}


def test_of_eight_changes_to_one_external_id_one_is_kept(wide):
    old = [head(number) for number in range(10, 18)]
    with wide.writing() as session:
        keep(session, *old)
    new = [advanced(one, external_id="x") for one in old]
    answers = at_once(
        8,
        lambda number: refused(
            lambda: written(
                wide, lambda session: session.scenarios.advance(new[number], revision(new[number]))
            )
        ),
    )
    [winner] = [number for number, answer in enumerate(answers) if answer is None]
    assert {answer for answer in answers if answer} == {new[winner].id}
    with wide.reading() as session:
        found = [session.scenarios.head(office().id, one.id).revision for one in old]
    assert sorted(found) == [1] * 7 + [2]


def test_of_eight_changes_of_one_revision_one_is_kept(wide):
    new = [advanced(head(), name=f"name {number}") for number in range(8)]
    answers = at_once(
        8,
        lambda number: written(
            wide, lambda session: session.scenarios.advance(new[number], revision(new[number]))
        ),
    )
    assert sorted(answers) == [False] * 7 + [True]
    with wide.reading() as session:
        assert session.scenarios.head(office().id, head().id) == new[answers.index(True)]


def test_a_key_is_revoked_and_its_day_noted_by_one_of_eight(wide):
    def act(_):
        return written(
            wide,
            lambda session: (
                session.credentials.mark_used(credential().id, DAY),
                session.credentials.revoke(credential().id, START),
            ),
        )

    answers = at_once(8, act)
    assert sorted(answers) == [(False, False)] * 7 + [(True, True)]


def test_numbers_of_audit_entries_stay_apart(wide):
    at_once(8, lambda _: [written(wide, lambda session: keep(session, entry())) for _ in range(5)])
    with wide.reading() as session:
        numbers = [one.number for one in session.audit.page(office().id, None, None, 99)]
    assert len(set(numbers)) == 40


@pytest.fixture
def two_connections(tmp_path):
    """Return two connections of Python's own to a file with one row."""

    def opened_as(isolation_level):
        made = []
        for _ in range(2):
            one = sqlite3.connect(tmp_path / "plain.sqlite", timeout=0.2)
            one.isolation_level = isolation_level
            request_end.append(one.close)
            made.append(one)
        made[0].execute("pragma journal_mode = wal")
        made[0].execute("create table scenarios (revision integer)")
        made[0].execute("insert into scenarios values (1)")
        made[0].commit()
        return made

    request_end = []
    yield opened_as
    for close in request_end:
        close()


# SQLite's documentation, "Isolation In SQLite" (sqlite.org/isolation.html): who reads first and
# means to write fails if another was quicker (SQLITE_BUSY_SNAPSHOT), unless it began IMMEDIATE.
READ = "select revision from scenarios"
WRITE = "update scenarios set revision = ?"


def test_a_plain_connection_that_reads_before_it_writes_loses_an_update(two_connections):
    mine, theirs = two_connections("DEFERRED")
    [read] = mine.execute(READ).fetchone()
    for connection in (theirs, mine):
        connection.execute(WRITE, [read + 1])
        connection.commit()
    assert mine.execute(READ).fetchone() == (2,)  # two changes, counted as one


def test_a_deferred_transaction_that_reads_before_it_writes_fails_at_once(two_connections):
    mine, theirs = two_connections(None)
    mine.execute("pragma busy_timeout = 60000")
    mine.execute("begin")
    mine.execute(READ).fetchone()
    theirs.execute(WRITE, [2])
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        mine.execute(WRITE, [2])  # no waiting helps: what was read is not what stands


def test_an_immediate_transaction_waits_before_it_reads(two_connections):
    mine, theirs = two_connections(None)
    mine.execute("begin immediate")
    [read] = mine.execute(READ).fetchone()
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        theirs.execute("begin immediate")
    mine.execute(WRITE, [read + 1])
    mine.execute("commit")
    theirs.execute("begin immediate")
    assert theirs.execute(READ).fetchone() == (2,)
    theirs.execute("rollback")


def test_a_writing_session_holds_the_file_before_it_reads(request, tmp_path):
    with opened("sqlite", request, tmp_path) as database:
        furnish(database)
        other = sqlite3.connect(database.engine.url.database, timeout=0, isolation_level=None)
        with database.writing(), pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("begin immediate")
        with database.reading() as session:
            assert session.scenarios.head(office().id, head().id) == head()
            other.execute("begin immediate")
        other.execute("rollback")
        other.close()
