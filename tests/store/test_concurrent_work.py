"""Jobs and weather records that many reach for at once, on both databases."""

import threading
from datetime import timedelta

import pytest

from service.scenarios.errors import (
    RecordInUseError,
    UnknownScenarioError,
    UnknownWeatherRecordError,
)
from tests.support.changing import together
from tests.support.databases import DATABASES, opened
from tests.support.offices import (
    START,
    classification,
    furnish,
    head,
    job,
    keep,
    office,
    weather_record,
    weather_winter,
)

ROUNDS = 8
WORKERS = 8
LEASE = START + timedelta(minutes=1)
LATER = LEASE + timedelta(minutes=1)


@pytest.fixture(params=DATABASES)
def wide(request, tmp_path):
    """Return a furnished database with a connection for each of 16 threads."""
    with opened(request.param, request, tmp_path, threads=16) as database:
        furnish(database)
        yield database


def each_at_once(database, *acts):
    """Do acts at the same moment, each in a thread and a session; return what comes of them.

    An error that says that something is in use or gone comes back as what it is.
    """
    gate = threading.Barrier(len(acts))

    def one(act):
        gate.wait(20)
        try:
            with database.writing() as session:
                return act(session)
        except (RecordInUseError, UnknownWeatherRecordError, UnknownScenarioError) as error:
            return error

    return together([lambda act=act: one(act) for act in acts])


def claim(worker, now=START, until=LEASE):
    return lambda session: session.jobs.claim(worker, now, until)


def test_of_eight_that_look_for_work_each_gets_another_job_until_none_is_left(wide):
    for turn in range(ROUNDS):
        numbers = range(10 * turn + 1, 10 * turn + 1 + WORKERS - 2)
        with wide.writing() as session:
            keep(session, *[job(number) for number in numbers])
        taken = each_at_once(wide, *[claim(f"{turn} {worker}") for worker in range(WORKERS)])
        ids = [one.id for one in taken if one is not None]
        assert sorted(ids) == [job(number).id for number in numbers]
        with wide.reading() as session:
            kept = [session.jobs.get(head().id, job(number).id) for number in numbers]
        assert sorted(kept, key=str) == sorted([one for one in taken if one], key=str)
        assert {one.attempts for one in kept} == {1}


def test_a_job_whose_worker_is_gone_is_taken_over_by_one_of_eight(wide):
    for turn in range(ROUNDS):
        with wide.writing() as session:
            gone = {"worker": "gone", "lease_until": START, "attempts": 1}
            keep(session, job(1 + turn, state="running", **gone))
        taken = each_at_once(wide, *[claim(f"{turn} {worker}") for worker in range(WORKERS)])
        [one] = [one for one in taken if one is not None]
        assert (one.id, one.attempts) == (job(1 + turn).id, 2)


def test_a_job_that_another_is_looking_at_is_passed_over_on_postgresql(request, tmp_path):
    with opened("postgresql", request, tmp_path) as database:
        furnish(database)
        with database.writing() as session:
            keep(session, job(1), job(2))
        with database.writing() as session:
            assert session.jobs.claim("A", START, LEASE).id == job(1).id
            [second], [third] = (each_at_once(database, claim(worker)) for worker in "BC")
        assert second.id == job(2).id
        assert third is None


def test_work_is_renewed_by_its_worker_or_taken_over_but_never_both(wide):
    for turn in range(ROUNDS):
        number = 1 + turn
        with wide.writing() as session:
            held = {"worker": "A", "lease_until": START, "attempts": 1}
            keep(session, job(number, state="running", **held))
        heard, taken = each_at_once(
            wide,
            lambda session, number=number: session.jobs.renew(job(number).id, "A", LATER, 1),
            claim("B", until=LATER),
        )
        with wide.reading() as session:
            kept = session.jobs.get(head().id, job(number).id)
        assert kept.worker == ("A" if taken is None else "B")
        assert heard.held or taken is not None


def test_work_is_finished_or_cancelled_by_whoever_comes_first(wide):
    for turn in range(ROUNDS):
        number = 1 + turn
        with wide.writing() as session:
            held = {"worker": "A", "lease_until": LEASE, "attempts": 1}
            keep(session, job(number, state="running", **held))
        done = job(number, state="done", done=8, finished_at=START, result=b"answer")
        finished, state = each_at_once(
            wide,
            lambda session, done=done: session.jobs.finish(done, "A"),
            lambda session, done=done: session.jobs.cancel(head().id, done.id, START),
        )
        assert finished
        assert state in {"running", "done"}
        with wide.reading() as session:
            kept = session.jobs.get(head().id, job(number).id)
        assert (kept.state, kept.result) == ("done", b"answer")
        assert (kept.cancel_at is None) == (state == "done")


def test_a_part_is_kept_before_an_erasure_or_not_at_all(wide):
    for number in range(2, 2 + ROUNDS):
        with wide.writing() as session:
            keep(session, head(number), job(number, head(number)))
        added, counts = each_at_once(
            wide,
            lambda session, number=number: session.jobs.add_part(job(number).id, 0, b"part"),
            lambda session, number=number: session.scenarios.erase(head(number).id),
        )
        assert added is None or isinstance(added, UnknownScenarioError)
        assert counts.analyses == 1
        with wide.reading() as session:
            assert session.jobs.parts_done(job(number).id) == set()


def test_of_eight_that_keep_the_same_days_one_is_kept(wide):
    for turn in range(ROUNDS):
        records = [weather_record(10 * turn + one, sha256=f"{turn}" * 64) for one in range(8)]
        kept = each_at_once(
            wide, *[lambda session, one=one: session.weather_records.add(one) for one in records]
        )
        assert len({one.id for one in kept}) == 1
    with wide.reading() as session:
        assert len(session.weather_records.page(office().id, None, 99)) == ROUNDS


def test_eight_that_classify_one_record_at_once_are_told_apart(wide):
    with wide.writing() as session:
        session.weather_records.add(weather_record())
    counted = [classification(classifier=f"1-{number % 3}") for number in range(8)]
    each_at_once(
        wide,
        *[
            lambda session, one=one: session.weather_records.classify(one, [weather_winter(one)])
            for one in counted
        ],
    )
    with wide.reading() as session:
        kept = session.weather_records.classifications(weather_record().id)
        assert sorted(one.classifier for one in kept) == ["1-0", "1-1", "1-2"]
        for one in kept:
            found = session.weather_records.winters(one.record_id, one.classifier)
            assert list(found) == [weather_winter(one)]


def test_a_record_is_deleted_or_used_but_never_both(wide):
    for turn in range(ROUNDS):
        record = weather_record(1 + turn)
        with wide.writing() as session:
            keep(session, record)
        used, deleted = each_at_once(
            wide,
            lambda session, record=record: session.weather_records.use(record.id, head().id),
            lambda session, record=record: session.weather_records.delete(record.id),
        )
        with wide.reading() as session:
            stands = session.weather_records.days(record.id) is not None
        if stands:
            assert used is None
            assert list(deleted.scenarios) == [head().id]
        else:
            assert isinstance(used, UnknownWeatherRecordError)
            assert deleted is None


def test_a_use_that_is_not_committed_yet_is_waited_for_on_postgresql(request, tmp_path):
    with opened("postgresql", request, tmp_path) as database:
        furnish(database)
        with database.writing() as session:
            keep(session, weather_record())

        def delete():
            with pytest.raises(RecordInUseError) as caught, database.writing() as session:
                session.weather_records.delete(weather_record().id)
            told.extend(caught.value.scenarios)

        told = []
        deleting = threading.Thread(target=delete)
        with database.writing() as session:
            session.weather_records.use(weather_record().id, head().id)
            deleting.start()
            deleting.join(0.3)
            assert deleting.is_alive()
        deleting.join(20)
        assert told == [head().id]
