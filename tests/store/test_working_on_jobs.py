"""Work taken up, kept hold of, put back, ended and cancelled, on every store."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.scenarios.records import Renewal
from tests.support.jobs import ENDED, LEASE, MINUTE, NOW, ended, kept_job, running
from tests.support.offices import (
    START,
    head,
    job,
    keep,
)

HELD = Renewal(held=True, cancelled=False)
LOST = Renewal(held=False, cancelled=False)


def test_the_oldest_that_waits_is_taken_up(office_store):
    later = [job(1, created_at=START + MINUTE), job(2), job(3)]
    with office_store.writing() as session:
        keep(session, *later)
    taken = []
    for worker in "ABCD":
        with office_store.writing() as session:
            taken.append(session.jobs.claim(worker, NOW, LEASE))
    expected = [(later[1], "A"), (later[2], "B"), (later[0], "C")]
    assert taken == [
        *[
            replace(
                one,
                state="running",
                attempts=1,
                worker=worker,
                lease_until=LEASE,
                started_at=NOW,
            )
            for one, worker in expected
        ],
        None,
    ]
    assert kept_job(office_store, 2) == taken[0]


def test_whether_there_is_one_to_take_up_is_told_without_taking_it(office_store):
    def told(now):
        with office_store.reading() as session:
            return session.jobs.any_to_claim(now)

    assert not told(NOW)
    with office_store.writing() as session:
        keep(session, job())
    assert told(NOW)
    with office_store.writing() as session:
        session.jobs.claim("A", NOW, LEASE)
    assert not told(NOW)
    assert told(LEASE)


def test_what_has_ended_is_not_taken_up(office_store):
    with office_store.writing() as session:
        keep(session, *[ended(number, state) for number, state in enumerate(ENDED, start=1)])
        assert session.jobs.claim("A", NOW, LEASE) is None


def test_a_job_is_taken_over_once_its_lease_has_run_out(office_store):
    with office_store.writing() as session:
        keep(session, running(done=3))
        before = LEASE - timedelta(milliseconds=1)
        assert session.jobs.claim("B", before, LEASE + MINUTE) is None
        taken = session.jobs.claim("B", LEASE, LEASE + MINUTE)
    expected = running(done=3, worker="B", lease_until=LEASE + MINUTE, attempts=2)
    assert taken == kept_job(office_store) == expected


def test_a_job_that_is_to_end_is_taken_over_and_its_new_worker_hears_of_it(office_store):
    with office_store.writing() as session:
        keep(session, running(cancel_at=NOW))
        taken = session.jobs.claim("B", LEASE, LEASE + MINUTE)
        heard = session.jobs.renew(taken.id, "B", LEASE + MINUTE, 0)
    assert heard == Renewal(held=True, cancelled=True)


def test_whoever_holds_a_job_keeps_it_for_longer(office_store):
    with office_store.writing() as session:
        keep(session, running(done=1))
        assert session.jobs.renew(job().id, "A", LEASE + MINUTE, 4) == HELD
    assert kept_job(office_store) == running(done=4, lease_until=LEASE + MINUTE)


def test_what_is_done_never_falls(office_store):
    with office_store.writing() as session:
        keep(session, running(done=5))
        assert session.jobs.renew(job().id, "A", LEASE + MINUTE, 2) == HELD
    assert kept_job(office_store).done == 5


@pytest.mark.parametrize("kept", [job(), running(worker="B"), *[ended(1, one) for one in ENDED]])
def test_whoever_does_not_hold_a_job_changes_nothing(office_store, kept):
    with office_store.writing() as session:
        keep(session, kept)
        session.jobs.add_part(kept.id, 0, b"part")
    with office_store.writing() as session:
        assert session.jobs.renew(kept.id, "A", LEASE + 9 * MINUTE, 7) == LOST
        session.jobs.release(kept.id, "A")
        assert not session.jobs.finish(ended(1, result=b"mine"), "A")
    assert kept_job(office_store) == kept
    with office_store.reading() as session:
        assert session.jobs.parts_done(kept.id) == {0}


def test_a_job_that_is_not_there_is_held_by_nobody(office_store):
    with office_store.writing() as session:
        assert session.jobs.renew(job().id, "A", LEASE, 0) == LOST
        session.jobs.release(job().id, "A")
        assert not session.jobs.finish(ended(), "A")
        assert session.jobs.cancel(head().id, job().id, NOW) is None
        assert not session.jobs.delete(head().id, job().id)
        assert session.jobs.parts_done(job().id) == set()
        assert list(session.jobs.parts(job().id)) == []


def test_what_is_put_back_waits_as_if_it_had_not_been_taken_up(office_store):
    with office_store.writing() as session:
        keep(session, job())
        session.jobs.claim("A", NOW, LEASE)
        session.jobs.release(job().id, "A")
    assert kept_job(office_store) == job()


def test_what_is_put_back_keeps_its_parts_and_how_far_it_is(office_store):
    with office_store.writing() as session:
        keep(session, running(done=2, attempts=2))
        session.jobs.add_part(job().id, 0, b"part")
        session.jobs.release(job().id, "A")
    assert kept_job(office_store) == job(done=2, attempts=1, started_at=NOW)
    with office_store.reading() as session:
        assert session.jobs.parts_done(job().id) == {0}


@pytest.mark.parametrize(
    "end",
    [
        {"state": "done", "done": 8, "result": b"answer"},
        {"state": "failed", "done": 3, "problem": '{"title":"It failed"}'},
        {"state": "cancelled", "done": 3},
    ],
)
def test_how_a_job_ended_is_put_down_and_its_parts_go(office_store, end):
    at = NOW + MINUTE / 2
    taken = running(done=3, cancel_at=NOW)
    with office_store.writing() as session:
        keep(session, taken, running(2))
        for one in (1, 2):
            session.jobs.add_part(job(one).id, 0, b"part")
        given = replace(taken, **end, finished_at=at, expires_at=START, total=99, attempts=9)
        assert session.jobs.finish(given, "A")
        assert not session.jobs.finish(given, "A")
    assert kept_job(office_store) == replace(
        taken, **end, finished_at=at, worker=None, lease_until=None
    )
    with office_store.reading() as session:
        assert session.jobs.parts_done(job().id) == set()
        assert session.jobs.parts_done(job(2).id) == {0}


@pytest.mark.parametrize("state", ["failed", "cancelled"])
def test_what_is_done_does_not_fall_at_the_end_either(office_store, state):
    with office_store.writing() as session:
        keep(session, running(done=5))
        assert session.jobs.finish(ended(1, state, done=0), "A")
    assert kept_job(office_store).done == 5


def test_what_waits_is_cancelled_at_once_and_its_parts_go(office_store):
    with office_store.writing() as session:
        keep(session, job(done=1))
        session.jobs.add_part(job().id, 0, b"part")
        assert session.jobs.cancel(head().id, job().id, NOW) == "cancelled"
        assert session.jobs.claim("A", NOW, LEASE) is None
        assert session.jobs.parts_done(job().id) == set()
    assert kept_job(office_store) == job(done=1, state="cancelled", cancel_at=NOW, finished_at=NOW)


def test_what_is_worked_at_is_asked_to_end_once(office_store):
    with office_store.writing() as session:
        keep(session, running())
        session.jobs.add_part(job().id, 0, b"part")
        assert session.jobs.cancel(head().id, job().id, NOW) == "running"
        assert session.jobs.cancel(head().id, job().id, NOW + MINUTE) == "running"
        assert session.jobs.parts_done(job().id) == {0}
        heard = session.jobs.renew(job().id, "A", LEASE, 0)
    assert kept_job(office_store) == running(cancel_at=NOW)
    assert heard == Renewal(held=True, cancelled=True)


@pytest.mark.parametrize("state", ENDED)
def test_what_has_ended_is_not_changed_by_cancelling_it(office_store, state):
    with office_store.writing() as session:
        keep(session, ended(1, state))
        assert session.jobs.cancel(head().id, job().id, NOW + MINUTE) == state
    assert kept_job(office_store) == ended(1, state)


def test_a_job_is_cancelled_and_deleted_through_its_scenario_alone(office_store):
    with office_store.writing() as session:
        keep(session, head(2), job())
        assert session.jobs.cancel(head(2).id, job().id, NOW) is None
        assert not session.jobs.delete(head(2).id, job().id)
    assert kept_job(office_store) == job()


def test_all_that_is_worked_at_goes_back_into_the_queue(office_store):
    with office_store.writing() as session:
        keep(session, running(1, done=2), running(2, worker="B"), job(3), ended(4))
        session.jobs.add_part(job().id, 0, b"part")
        assert session.jobs.requeue() == 2
        assert session.jobs.requeue() == 0
        assert session.jobs.parts_done(job().id) == {0}
    free = {"state": "queued", "worker": None, "lease_until": None}
    assert kept_job(office_store) == replace(running(done=2), **free)
    assert kept_job(office_store, 2) == replace(running(2), **free)
    assert kept_job(office_store, 3) == job(3)
    assert kept_job(office_store, 4) == ended(4)
