"""The worker: part by part, each kept as soon as it is done, and none done twice.

On the store in memory and on SQLite, with work that is made up and a clock that a test moves.
"""

import json
import logging

import pytest

from service.costing.errors import Fault, InputError
from service.scenarios import analyses, erasure
from service.scenarios.working import LEASE, MOST_ATTEMPTS, work_on_next
from tests.support.databases import opened
from tests.support.desks import ADMIN, WRITER, kept, opened_desk
from tests.support.made_up_work import ASKED, answer, made_up


class ServerKilled(BaseException):
    """The process ends in the middle of a part: nobody catches this."""


@pytest.fixture(params=["fake", "sqlite"])
def desk(request, tmp_path):
    if request.param == "fake":
        yield opened_desk()
        return
    with opened("sqlite", request, tmp_path) as database:
        yield opened_desk(store=database)


@pytest.fixture
def work(monkeypatch):
    return made_up(monkeypatch)


@pytest.fixture
def job(desk, work):
    """Return a question of five parts that waits."""
    assert work.total == 5
    found, is_new = analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)
    assert is_new
    assert found.state == "queued"
    return found


def standing(desk, job):
    with desk.store.reading() as session:
        return session.jobs.get(job.scenario_id, job.id)


def parts_kept(desk, job):
    with desk.store.reading() as session:
        return session.jobs.parts_done(job.id)


def killed_at(work, number):
    def die(part):
        if part == number:
            raise ServerKilled

    work.before_part = die


def living(work):
    work.before_part = lambda _number: None


def test_nothing_waits_so_nothing_is_done(desk):
    assert not work_on_next(desk, "A")


def test_all_parts_are_done_once_and_put_together_in_their_order(desk, work, job):
    assert work_on_next(desk, "A")
    assert work.done == [0, 1, 2, 3, 4]
    found = standing(desk, job)
    assert (found.state, found.done, found.total, found.attempts) == ("done", 5, 5, 1)
    assert found.finished_at == desk.now()
    assert found.worker is found.lease_until is None
    assert analyses.result_of(found) == answer()
    assert parts_kept(desk, job) == set()
    assert not work_on_next(desk, "A")


def test_each_part_is_kept_and_told_before_the_next_begins(desk, work, job):
    seen = []
    work.before_part = lambda number: seen.append(
        (number, sorted(parts_kept(desk, job)), standing(desk, job).done)
    )
    work_on_next(desk, "A")
    assert seen == [(number, list(range(number)), number) for number in range(5)]


def test_another_goes_on_from_the_parts_that_are_there_once_the_lease_has_run_out(desk, work, job):
    killed_at(work, 3)
    with pytest.raises(ServerKilled):
        work_on_next(desk, "A")
    assert standing(desk, job).state == "running"
    assert parts_kept(desk, job) == {0, 1, 2}
    living(work)
    assert not work_on_next(desk, "B")
    desk.now.forward(seconds=LEASE.total_seconds() - 0.001)
    assert not work_on_next(desk, "B")
    desk.now.forward(seconds=0.001)
    assert work_on_next(desk, "B")
    assert work.done == [0, 1, 2, 3, 4]
    found = standing(desk, job)
    assert (found.state, found.attempts) == ("done", 2)
    assert analyses.result_of(found) == answer()


def test_an_interrupted_answer_has_the_bytes_of_one_done_at_once(desk, work, job):
    killed_at(work, 2)
    with pytest.raises(ServerKilled):
        work_on_next(desk, "A")
    living(work)
    desk.now.forward(seconds=60)
    work_on_next(desk, "B")
    other, _ = analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)
    work_on_next(desk, "B")
    assert standing(desk, job).result == standing(desk, other).result


def test_whoever_works_slowly_keeps_the_work_by_saying_so(desk, work, job):
    work.before_part = lambda _number: desk.now.forward(seconds=45)
    assert work_on_next(desk, "A")
    assert standing(desk, job).attempts == 1
    assert standing(desk, job).state == "done"


def test_whoever_lost_the_work_to_another_keeps_nothing(desk, work, job):
    def overtaken(number):
        if number == 1:
            living(work)
            desk.now.forward(seconds=61)
            assert work_on_next(desk, "B")

    work.before_part = overtaken
    assert work_on_next(desk, "A")
    # A did part 0 and lost its lease in part 1; B did 1 to 4, then A ended part 1 and stopped.
    assert work.done == [0, 1, 2, 3, 4, 1]
    found = standing(desk, job)
    assert (found.state, found.attempts) == ("done", 2)
    assert analyses.result_of(found) == answer()


def test_work_is_cancelled_between_parts_and_how_far_it_was_is_kept(desk, work, job):
    def cancel(number):
        if number == 2:
            desk.now.forward(seconds=1)
            analyses.cancel(desk, WRITER, job.scenario_id, job.id)

    work.before_part = cancel
    assert work_on_next(desk, "A")
    assert work.done == [0, 1, 2]
    found = standing(desk, job)
    assert (found.state, found.done) == ("cancelled", 3)
    assert found.cancel_at == found.finished_at == desk.now()
    assert found.result is None
    assert parts_kept(desk, job) == set()
    assert not work_on_next(desk, "A")


def test_what_was_to_end_when_its_worker_died_ends_at_once(desk, work, job):
    killed_at(work, 1)
    with pytest.raises(ServerKilled):
        work_on_next(desk, "A")
    living(work)
    analyses.cancel(desk, WRITER, job.scenario_id, job.id)
    desk.now.forward(seconds=60)
    assert work_on_next(desk, "B")
    assert work.done == [0]
    assert (standing(desk, job).state, standing(desk, job).done) == ("cancelled", 1)


def test_a_worker_that_is_told_to_stop_leaves_the_rest_to_others(desk, work, job):
    assert work_on_next(desk, "A", lambda: len(work.done) >= 2)
    found = standing(desk, job)
    assert (found.state, found.done, found.attempts) == ("queued", 2, 0)
    assert parts_kept(desk, job) == {0, 1}
    assert work_on_next(desk, "B")
    assert work.done == [0, 1, 2, 3, 4]
    assert standing(desk, job).attempts == 1


def test_what_goes_wrong_is_tried_three_times_and_then_given_up(desk, work, job, caplog):
    def fail(number):
        if number == 2:
            message = "no memory left"
            raise RuntimeError(message)

    work.before_part = fail
    with caplog.at_level(logging.ERROR):
        for attempt in range(1, MOST_ATTEMPTS):
            assert work_on_next(desk, "A")
            assert (standing(desk, job).state, standing(desk, job).attempts) == ("running", attempt)
        assert work_on_next(desk, "A")
    found = standing(desk, job)
    assert (found.state, found.attempts, found.done) == ("failed", MOST_ATTEMPTS, 2)
    assert json.loads(found.problem)["kind"] == "internal-error"
    assert "no memory left" not in found.problem
    assert caplog.text.count("no memory left") >= MOST_ATTEMPTS
    assert work.done == [0, 1]
    assert not work_on_next(desk, "A")


def test_what_kills_its_worker_each_time_is_given_up_too(desk, work, job):
    killed_at(work, 1)
    for _ in range(MOST_ATTEMPTS):
        with pytest.raises(ServerKilled):
            work_on_next(desk, "A")
        desk.now.forward(seconds=60)
    assert work_on_next(desk, "A")
    found = standing(desk, job)
    assert (found.state, found.done) == ("failed", 1)
    assert "3 times" in json.loads(found.problem)["detail"]
    assert work.done == [0]


def test_an_input_that_shows_its_fault_late_is_told_and_not_tried_again(desk, work, job):
    def fault(number):
        if number == 1:
            raise InputError([Fault("vary", "Some of the draws cannot be costed.")])

    work.before_part = fault
    assert work_on_next(desk, "A")
    found = standing(desk, job)
    assert (found.state, found.attempts, found.done) == ("failed", 1, 1)
    problem = json.loads(found.problem)
    assert problem["kind"] == "invalid-input"
    assert problem["errors"] == [{"input": "vary", "detail": "Some of the draws cannot be costed."}]


def test_work_on_what_is_forgotten_or_erased_meanwhile_comes_to_nothing(desk, work, job):
    def forget(number):
        if number == 1:
            analyses.forget(desk, WRITER, job.scenario_id, job.id)

    work.before_part = forget
    assert work_on_next(desk, "A")
    assert work.done == [0, 1]
    assert standing(desk, job) is None

    other, _ = analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)

    def erase(number):
        if number == 1:
            erasure.erase(desk, ADMIN, other.scenario_id)

    work.done.clear()
    work.before_part = erase
    assert work_on_next(desk, "A")
    assert work.done == [0, 1]
    assert standing(desk, other) is None


def test_a_failed_question_may_be_asked_again(desk, work, job):
    killed_at(work, 0)
    for _ in range(MOST_ATTEMPTS):
        with pytest.raises(ServerKilled):
            work_on_next(desk, "A")
        desk.now.forward(seconds=60)
    work_on_next(desk, "A")
    again, is_new = analyses.ask(desk, WRITER, job.scenario_id, ASKED)
    assert is_new
    assert again.id != job.id


def test_what_waited_longest_is_worked_on_first(desk, work):
    asked = []
    for _ in range(2):
        asked.append(analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)[0])
        desk.now.forward(seconds=1)
    assert work_on_next(desk, "A")
    assert [standing(desk, one).state for one in asked] == ["done", "queued"]
    assert len(work.done) == 5
