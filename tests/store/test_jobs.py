"""Work that is done in parts, on every store."""

from dataclasses import fields
from datetime import timedelta

import pytest

from service.scenarios.errors import UnknownScenarioError
from service.scenarios.records import JobSummary
from tests.support.databases import DATABASE_ERRORS
from tests.support.jobs import ENDED, ended, kept_job, running
from tests.support.offices import (
    START,
    advanced,
    head,
    job,
    keep,
    numbered,
    office,
    revision,
)

SUMMARY = [field.name for field in fields(JobSummary)]


def of_summary(kept):
    return JobSummary(**{name: getattr(kept, name) for name in SUMMARY})


def test_a_job_comes_back_as_it_was_kept(office_store):
    kept = job(
        request='{"question":"risk","set":{"a":"ü"}}',
        seed=2**63 - 1,
        state="done",
        done=8,
        attempts=2,
        created_at=START + timedelta(milliseconds=1),
        started_at=START + timedelta(milliseconds=2),
        finished_at=START + timedelta(milliseconds=3),
        cancel_at=START + timedelta(milliseconds=4),
        result=bytes(range(256)) * 1_600,
        problem='{"title":"none"}',
    )
    plain = job(2)
    with office_store.writing() as session:
        keep(session, kept, plain)
    assert kept_job(office_store) == kept
    assert kept_job(office_store, 2) == plain


def test_a_job_is_got_through_its_scenario_alone(office_store):
    with office_store.writing() as session:
        keep(session, head(2), job())
    with office_store.reading() as session:
        assert session.jobs.get(head(2).id, job().id) is None
        assert session.jobs.get(head().id, numbered("an", 9)) is None


def test_a_job_of_a_revision_that_is_not_there_is_refused(office_store):
    for missing in (job(revision=2), job(scenario_id=numbered("sc", 9))):
        with pytest.raises(UnknownScenarioError), office_store.writing() as session:
            session.jobs.add(missing)


@pytest.mark.parametrize(
    "spoiled",
    [
        {"state": "asleep"},
        {"done": 9},
        {"done": -1},
        {"state": "running"},
        {"state": "running", "worker": "A"},
    ],
)
def test_a_job_that_could_not_be_is_refused(database, spoiled):
    with pytest.raises(DATABASE_ERRORS), database.writing() as session:
        session.jobs.add(job(**spoiled))


def test_jobs_are_listed_newest_first_without_answers_page_by_page(office_store):
    jobs = [job(1), ended(2, result=b"answer"), running(3)]
    with office_store.writing() as session:
        keep(session, head(2), *jobs, job(4, head(2)))
    newest_first = [of_summary(one) for one in reversed(jobs)]
    with office_store.reading() as session:
        page = session.jobs.page
        assert list(page(head().id, None, 2)) == newest_first[:2]
        assert list(page(head().id, newest_first[1].id, 2)) == newest_first[2:]
        assert list(page(head().id, newest_first[2].id, 2)) == []


def test_the_newest_of_a_key_that_did_not_fail_is_found(office_store):
    same = {"request_key": "k" * 64}
    jobs = [
        ended(1, **same, result=b"first"),
        ended(2, **same, result=b"second"),
        ended(3, "failed", **same),
        ended(4, "cancelled", **same),
        job(5),
        job(6, head(2), **same),
    ]
    with office_store.writing() as session:
        keep(session, head(2), *jobs)
    with office_store.reading() as session:
        assert session.jobs.find(head().id, "k" * 64) == jobs[1]
        assert session.jobs.find(head(2).id, "k" * 64) == jobs[5]
        assert session.jobs.find(head().id, "n" * 64) is None


@pytest.mark.parametrize("found", [job(), running(), ended()])
def test_what_waits_or_is_worked_at_is_found_as_what_is_done(office_store, found):
    with office_store.writing() as session:
        keep(session, found)
    with office_store.reading() as session:
        assert session.jobs.find(head().id, found.request_key) == found


def test_the_open_jobs_of_an_office_are_counted(office_store):
    other = head(2, office_id=office(2).id)
    with office_store.writing() as session:
        keep(session, other, job(1), running(2), job(9, other))
        keep(session, *[ended(3 + number, state) for number, state in enumerate(ENDED)])
    with office_store.reading() as session:
        assert session.jobs.waiting(office().id) == 2
        assert session.jobs.waiting(office(2).id) == 1
        assert session.jobs.waiting(numbered("of", 9)) == 0


def test_parts_come_back_in_the_order_of_their_numbers(office_store):
    content = {7: b"seven", 0: b"", 10: bytes(range(256)) * 400, 2: b"two"}
    with office_store.writing() as session:
        keep(session, running(), running(2))
        for number, result in content.items():
            session.jobs.add_part(job().id, number, result)
        session.jobs.add_part(job(2).id, 1, b"other")
    with office_store.reading() as session:
        assert session.jobs.parts_done(job().id) == set(content)
        assert list(session.jobs.parts(job().id)) == [content[number] for number in (0, 2, 7, 10)]
        assert list(session.jobs.parts(job(2).id)) == [b"other"]


def test_the_first_result_of_a_part_stays(office_store):
    with office_store.writing() as session:
        keep(session, running())
        session.jobs.add_part(job().id, 1, b"first")
    with office_store.writing() as session:
        session.jobs.add_part(job().id, 1, b"second")
    with office_store.reading() as session:
        assert list(session.jobs.parts(job().id)) == [b"first"]


def test_a_part_of_a_job_that_is_gone_is_refused(office_store):
    with pytest.raises(UnknownScenarioError), office_store.writing() as session:
        session.jobs.add_part(job().id, 0, b"part")


def test_a_job_goes_with_its_parts(office_store):
    with office_store.writing() as session:
        keep(session, running(), job(2))
        session.jobs.add_part(job().id, 0, b"part")
        session.jobs.add_part(job(2).id, 0, b"other")
        assert session.jobs.delete(head().id, job().id)
        assert not session.jobs.delete(head().id, job().id)
        assert session.jobs.parts_done(job().id) == set()
        assert session.jobs.parts_done(job(2).id) == {0}
    assert kept_job(office_store) is None


def test_jobs_go_by_age_with_their_parts(office_store):
    old = START - timedelta(milliseconds=1)
    with office_store.writing() as session:
        keep(session, ended(1, expires_at=old), running(2, expires_at=old))
        keep(session, ended(3, expires_at=START))
        session.jobs.add_part(job(2).id, 0, b"part")
        assert session.jobs.prune(START) == 2
        assert session.jobs.prune(START) == 0
        assert session.jobs.parts_done(job(2).id) == set()
    with office_store.reading() as session:
        assert [one.id for one in session.jobs.page(head().id, None, 9)] == [job(3).id]


def test_a_job_of_an_older_revision_stays_with_it(office_store):
    second = advanced(head())
    with office_store.writing() as session:
        keep(session, job(1))
        assert session.scenarios.advance(second, revision(second))
        keep(session, job(2, second))
    with office_store.reading() as session:
        assert [one.revision for one in session.jobs.page(head().id, None, 9)] == [2, 1]
