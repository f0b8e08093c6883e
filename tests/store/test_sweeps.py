"""Sweeps and their chunks, on every store."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.scenarios.errors import UnknownScenarioError
from service.scenarios.records import Renewal
from tests.support.databases import DATABASE_ERRORS
from tests.support.jobs import LEASE, MINUTE, NOW
from tests.support.offices import START, head, job, keep, numbered, office
from tests.support.sweeps import chunk, result, sweep

LATER = LEASE + MINUTE
HELD = Renewal(held=True, cancelled=False)
LOST = Renewal(held=False, cancelled=False)


@pytest.fixture
def kept(office_store):
    """Return a sweep of three chunks that worker A has taken up."""
    made = sweep(total=3)
    with office_store.writing() as session:
        session.sweeps.add(made, [chunk(made, number) for number in (1, 2, 3)])
        assert session.jobs.claim("A", NOW, LEASE).id == made.id
    return made


def standing(store, number=1):
    with store.reading() as session:
        return session.sweeps.get(office().id, sweep(number).id)


def test_a_sweep_comes_back_as_it_was_kept_to_its_office_alone(office_store):
    own, of_scenario = sweep(), sweep(2, scenario_id=head().id, revision=1)
    with office_store.writing() as session:
        session.sweeps.add(own, [])
        session.sweeps.add(of_scenario, [])
    assert standing(office_store) == own
    assert standing(office_store, 2) == of_scenario
    with office_store.reading() as session:
        assert session.sweeps.get(office(2).id, own.id) is None
        assert session.sweeps.get(office().id, numbered("sw", 9)) is None
        assert session.sweeps.page(office(2).id, None, 9) == []


def test_a_question_is_no_sweep_and_a_sweep_no_question(office_store):
    of_scenario = sweep(2, scenario_id=head().id, revision=1, request_key="k" * 64)
    with office_store.writing() as session:
        keep(session, job())
        session.sweeps.add(of_scenario, [chunk(of_scenario, 1)])
    with office_store.writing() as session:
        assert session.sweeps.get(office().id, job().id) is None
        assert not session.sweeps.delete(office().id, job().id)
        assert session.sweeps.cancel(office().id, job().id, NOW) is None
        assert session.jobs.get(head().id, of_scenario.id) is None
        assert session.jobs.find(head().id, "k" * 64) is None
        assert session.jobs.cancel(head().id, of_scenario.id, NOW) is None
        assert not session.jobs.delete(head().id, of_scenario.id)
        assert [one.id for one in session.jobs.page(head().id, None, 9)] == [job().id]
        assert [one.id for one in session.sweeps.page(office().id, None, 9)] == [of_scenario.id]
        assert session.jobs.waiting(office().id) == 2


def test_sweeps_are_listed_newest_first_page_by_page(office_store):
    made = [sweep(number) for number in (1, 2, 3)]
    with office_store.writing() as session:
        for one in made:
            session.sweeps.add(one, [])
    with office_store.reading() as session:
        assert list(session.sweeps.page(office().id, None, 2)) == [made[2], made[1]]
        assert list(session.sweeps.page(office().id, made[1].id, 2)) == [made[0]]


@pytest.mark.parametrize(
    "spoiled",
    [{"scenario_id": numbered("sc", 1)}, {"revision": 1}, {"state": "asleep"}, {"done": 3}],
)
def test_a_sweep_that_could_not_be_is_refused(database, spoiled):
    with pytest.raises(DATABASE_ERRORS), database.writing() as session:
        session.sweeps.add(sweep(**spoiled), [])


def test_a_sweep_of_a_revision_that_is_not_there_is_refused(office_store):
    with pytest.raises(UnknownScenarioError), office_store.writing() as session:
        session.sweeps.add(sweep(scenario_id=numbered("sc", 9), revision=1), [])


def test_the_oldest_is_taken_up_whether_question_or_sweep(office_store):
    first, second = sweep(1), sweep(3, created_at=START + 2 * MINUTE)
    question = job(2, created_at=START + MINUTE)
    with office_store.writing() as session:
        session.sweeps.add(second, [])
        keep(session, question)
        session.sweeps.add(first, [])
    taken = []
    for worker in "ABCD":
        with office_store.writing() as session:
            taken.append(session.jobs.claim(worker, NOW, LEASE))
    held = {"state": "running", "attempts": 1, "lease_until": LEASE, "started_at": NOW}
    assert taken == [
        replace(first, **held, worker="A"),
        replace(question, **held, worker="B"),
        replace(second, **held, worker="C"),
        None,
    ]


def test_what_comes_of_chunks_is_kept_and_counted_once(office_store, kept):
    with office_store.writing() as session:
        assert session.sweeps.keep(kept.id, "A", LATER, result(3, failed=2)) == HELD
        assert session.sweeps.keep(kept.id, "A", LATER, result(1)) == HELD
        assert session.sweeps.keep(kept.id, "A", LATER, replace(result(1), result=b"x")) == HELD
    found = standing(office_store)
    assert (found.done, found.result_rows, found.failed_rows) == (2, 4, 2)
    assert found.lease_until == LATER
    with office_store.reading() as session:
        assert session.sweeps.open_chunks(kept.id) == [chunk(kept, 2, None)]
        assert session.sweeps.inputs(kept.id, 1) is None  # needed no more
        assert session.sweeps.inputs(kept.id, 2) == b"inputs"
        assert session.sweeps.next_result(kept.id, 0) == (1, b"rows of 1")
        assert session.sweeps.next_result(kept.id, 1) == (3, b"rows of 3")
        assert session.sweeps.next_result(kept.id, 3) is None


def test_what_was_wrong_is_found_by_row(office_store, kept):
    with office_store.writing() as session:
        for number in (1, 2, 3):
            session.sweeps.keep(kept.id, "A", LATER, result(number, failed=number % 2))
    told = result(1, failed=1).problems
    with office_store.reading() as session:
        assert session.sweeps.next_problems(kept.id, 0, 0) == (1, told)
        assert session.sweeps.next_problems(kept.id, 1, 0) == (3, told)
        assert session.sweeps.next_problems(kept.id, 0, 249) == (1, told)
        assert session.sweeps.next_problems(kept.id, 0, 250) == (3, told)
        assert session.sweeps.next_problems(kept.id, 3, 0) is None


def test_whoever_does_not_hold_it_changes_nothing(office_store, kept):
    with office_store.writing() as session:
        assert session.sweeps.keep(kept.id, "B", LATER, result(1)) == LOST
        session.sweeps.begin(kept.id, "B", 1)
        session.sweeps.leave(kept.id, "B", 1)
        assert not session.sweeps.finish(replace(kept, state="done", finished_at=NOW), "B")
    assert standing(office_store).state == "running"
    with office_store.reading() as session:
        assert [one.attempts for one in session.sweeps.open_chunks(kept.id)] == [0, 0, 0]


def test_how_often_a_chunk_was_begun_is_kept(office_store, kept):
    with office_store.writing() as session:
        for number in (2, 2, 3):
            session.sweeps.begin(kept.id, "A", number)
        session.sweeps.leave(kept.id, "A", 3)
    with office_store.reading() as session:
        attempts = {one.number: one.attempts for one in session.sweeps.open_chunks(kept.id)}
    assert attempts == {1: 0, 2: 2, 3: 0}


def test_a_chunk_that_is_kept_is_progress_from_which_attempts_are_counted_anew(office_store, kept):
    with office_store.writing() as session:
        assert session.jobs.claim("B", LEASE, LATER).attempts == 2
    with office_store.writing() as session:
        session.sweeps.keep(kept.id, "B", LATER, result(1))
    assert standing(office_store).attempts == 1


def test_a_sweep_that_ends_keeps_its_rows(office_store, kept):
    ended = replace(kept, state="failed", finished_at=NOW, problem="{}")
    with office_store.writing() as session:
        session.sweeps.keep(kept.id, "A", LATER, result(1))
        assert session.sweeps.finish(ended, "A")
        assert not session.sweeps.finish(ended, "A")
    found = standing(office_store)
    assert (found.state, found.finished_at, found.problem) == ("failed", NOW, "{}")
    assert (found.worker, found.lease_until, found.done) == (None, None, 1)
    with office_store.reading() as session:
        assert session.sweeps.next_result(kept.id, 0) == (1, b"rows of 1")


def test_a_worker_hears_that_a_sweep_is_to_end(office_store, kept):
    with office_store.writing() as session:
        assert session.sweeps.cancel(office(2).id, kept.id, NOW) is None
        assert session.sweeps.cancel(office().id, kept.id, NOW) == "running"
        assert session.sweeps.cancel(office().id, kept.id, LATER) == "running"
    assert standing(office_store).cancel_at == NOW
    with office_store.writing() as session:
        assert session.sweeps.keep(kept.id, "A", LATER, result(1)).cancelled
        assert session.jobs.renew(kept.id, "A", LATER, 0).cancelled
    assert standing(office_store).done == 1


def test_a_sweep_goes_with_its_chunks_and_by_age(office_store, kept):
    old, young = (
        sweep(number, expires_at=START + timedelta(days=number), total=0) for number in (5, 6)
    )
    with office_store.writing() as session:
        session.sweeps.add(old, [])
        session.sweeps.add(young, [])
        keep(session, job(7, expires_at=START))
        assert not session.sweeps.delete(office(2).id, kept.id)
        assert session.sweeps.delete(office().id, kept.id)
        assert not session.sweeps.delete(office().id, kept.id)
        assert session.sweeps.open_chunks(kept.id) == []
        assert session.sweeps.prune(START + timedelta(days=6)) == 1
        assert [one.id for one in session.sweeps.page(office().id, None, 9)] == [young.id]
        assert session.jobs.get(head().id, job(7).id) is not None  # not the sweeps' to prune


def test_a_sweep_of_an_erased_scenario_goes_with_it(office_store):
    of_scenario, own = sweep(1, scenario_id=head().id, revision=1), sweep(2)
    with office_store.writing() as session:
        for one in (of_scenario, own):
            session.sweeps.add(one, [chunk(one, 1)], [result(1)])
        keep(session, job())
        counts = session.scenarios.erase(head().id)
        assert (counts.sweeps, counts.analyses) == (1, 1)
        assert session.sweeps.next_result(of_scenario.id, 0) is None
        assert session.sweeps.next_result(own.id, 0) == (1, b"rows of 1")
    assert standing(office_store, 1) is None
    assert standing(office_store, 2) == own


@pytest.mark.usefixtures("kept")
def test_all_that_runs_waits_again_after_a_restore(office_store):
    with office_store.writing() as session:
        assert session.jobs.requeue() == 1
    assert standing(office_store).state == "queued"
