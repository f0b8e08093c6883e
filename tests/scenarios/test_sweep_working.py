"""Work on sweeps: chunk by chunk, each kept as it is done, and none lost.

On the store in memory and on SQLite, with chunks of a few rows and a clock that a test moves.
"""

import gzip
import json
import logging
from concurrent.futures import BrokenExecutor, Future, ThreadPoolExecutor
from dataclasses import replace

import pytest

from service.scenarios import erasure, retention, sweep_working, sweeps
from service.scenarios.errors import SweepEndedError, UnknownSweepError
from service.scenarios.sweeps import start_sweep
from service.scenarios.working import LEASE, MOST_ATTEMPTS, work_on_next
from tests.support.asked_sweeps import (
    ServerKilled,
    Watched,
    asked,
    open_numbers,
    rows,
    small_chunks,
    standing,
    text,
)
from tests.support.databases import opened
from tests.support.desks import ADMIN, WRITER, done, kept, opened_desk
from tests.support.offices import read


@pytest.fixture(params=["fake", "sqlite"])
def desk(request, tmp_path, monkeypatch):
    small_chunks(monkeypatch)
    if request.param == "fake":
        yield opened_desk()
        return
    with opened("sqlite", request, tmp_path) as database:
        yield opened_desk(store=database)


@pytest.fixture
def watched(monkeypatch):
    return Watched(monkeypatch)


def test_another_goes_on_from_the_chunks_that_are_kept_once_the_lease_has_run_out(desk, watched):
    undisturbed = start_sweep(desk, WRITER, asked())
    work_on_next(desk, "A")
    watched.ran.clear()
    sweep = start_sweep(desk, WRITER, asked())

    def die(number):
        if number == 2:
            raise ServerKilled

    watched.before = die
    with pytest.raises(ServerKilled):
        work_on_next(desk, "A")
    assert standing(desk, sweep).state == "running"
    assert open_numbers(desk, sweep) == [2, 3]
    watched.before = lambda _number: None
    assert not work_on_next(desk, "B")
    desk.now.forward(seconds=LEASE.total_seconds())
    assert work_on_next(desk, "B")
    assert watched.ran == [1, 2, 3]
    assert standing(desk, sweep).state == "done"
    assert text(desk, sweep) == text(desk, undisturbed)


def test_a_chunk_that_ends_its_worker_three_times_is_left_as_failed_rows(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())

    def die(number):
        if number == 2:
            raise ServerKilled

    watched.before = die
    for _ in range(MOST_ATTEMPTS):
        with pytest.raises(ServerKilled):
            work_on_next(desk, "A")
        desk.now.forward(seconds=60)
    assert work_on_next(desk, "A")
    found = standing(desk, sweep)
    assert (found.state, found.done, found.failed_rows) == ("done", 3, 3)
    statuses = {row["row"]: row["status"] for row in rows(desk, sweep)}
    assert statuses == {"1": "ok", "2": "ok", "3": "ok", "7": "ok"} | dict.fromkeys(
        ["4", "5", "6"], "failed"
    )


def test_a_chunk_that_breaks_down_three_times_is_left_as_failed_rows(desk, watched, caplog):
    tried = []

    def fail(number):
        tried.append(number)
        if number == 2:
            message = "farm 0005 of Tansy Vale"
            raise RuntimeError(message)

    watched.before = fail
    sweep = start_sweep(desk, WRITER, asked())
    with caplog.at_level(logging.DEBUG):
        assert work_on_next(desk, "A")
    found = standing(desk, sweep)
    assert (found.state, found.done, found.failed_rows) == ("done", 3, 3)
    assert tried.count(2) == MOST_ATTEMPTS
    assert "Tansy" not in caplog.text
    assert sweep.id in caplog.text


class Pool(ThreadPoolExecutor):
    """Takes two chunks at once; breaks with the first two in it, as where a process died."""

    width = 2

    def __init__(self):
        super().__init__(1)
        self.sent = []
        self.beside = []
        """What was not done yet when a chunk was sent."""

    def submit(self, function, payload, reader):  # pyright: ignore[reportIncompatibleMethodOverride] - as it is called
        """Take a chunk."""
        number = json.loads(gzip.decompress(payload))["number"]
        self.beside.append([other for other, future in self.sent if not future.done()])
        breaks = len(self.sent) < self.width
        future = Future() if breaks else super().submit(function, payload, reader)
        self.sent.append((number, future))
        if breaks and len(self.sent) == self.width:
            for _, broken in self.sent:
                broken.set_exception(BrokenExecutor())
        return future


def test_what_was_in_a_process_that_died_is_sent_again_alone(desk, monkeypatch):
    pool = Pool()
    monkeypatch.setattr(sweep_working, "executor_of", lambda _name: pool)
    sweep = start_sweep(desk, WRITER, asked())
    assert work_on_next(desk, "A")
    assert [number for number, _ in pool.sent] == [1, 2, 1, 2, 3]
    assert pool.beside == [[], [1], [], [], []]
    assert (standing(desk, sweep).state, standing(desk, sweep).failed_rows) == ("done", 0)
    with pytest.raises(RuntimeError, match="shutdown"):
        pool.submit(None, gzip.compress(b'{"number": 9}'), None)


def test_a_sweep_that_waits_is_cancelled_at_once(desk):
    sweep = start_sweep(desk, WRITER, asked())
    found = sweeps.cancel_sweep(desk, WRITER, sweep.id)
    assert (found.state, found.finished_at) == ("cancelled", desk.now())
    with pytest.raises(SweepEndedError, match="cancelled"):
        sweeps.cancel_sweep(desk, WRITER, sweep.id)
    assert not work_on_next(desk, "A")
    assert text(desk, sweep) == ""


def test_a_sweep_that_is_cancelled_keeps_the_rows_that_are_done(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())

    def cancel(number):
        if number == 2:
            desk.now.forward(seconds=1)
            for _ in range(2):
                assert sweeps.cancel_sweep(desk, WRITER, sweep.id).state == "running"

    watched.before = cancel
    assert work_on_next(desk, "A")
    found = standing(desk, sweep)
    assert (found.state, found.cancel_at) == ("cancelled", desk.now())
    assert (found.worker, found.lease_until) == (None, None)
    assert watched.ran == [1, 2]
    assert found.done == 2
    assert {row["row"] for row in rows(desk, sweep)} == {"1", "2", "3", "4", "5", "6"}
    assert [action for action, *_ in done(desk)] == ["sweep.create", "sweep.cancel"]


def test_a_sweep_is_left_in_the_middle_of_a_chunk_when_it_is_cancelled(desk, monkeypatch):
    # Work in this process asks between rows, so that a long chunk is no long wait.
    monkeypatch.setattr(sweep_working, "SECONDS_BETWEEN_RENEWALS", 0.0)
    sweep = start_sweep(desk, WRITER, asked())
    read_rows = []

    def reading(document):
        read_rows.append(document)
        if len(read_rows) == 2:
            sweeps.cancel_sweep(desk, WRITER, sweep.id)
        return read(document)

    assert work_on_next(replace(desk, read=reading), "A")
    found = standing(desk, sweep)
    assert (found.state, found.done) == ("cancelled", 0)
    assert len(read_rows) == 2


def test_what_was_to_end_when_its_worker_died_ends_at_once(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())

    def die(number):
        if number == 2:
            raise ServerKilled

    watched.before = die
    with pytest.raises(ServerKilled):
        work_on_next(desk, "A")
    sweeps.cancel_sweep(desk, WRITER, sweep.id)
    desk.now.forward(seconds=60)
    assert work_on_next(desk, "B")
    assert watched.ran == [1]
    assert (standing(desk, sweep).state, standing(desk, sweep).done) == ("cancelled", 1)


def test_a_worker_that_is_told_to_stop_hands_the_rest_back(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())
    assert work_on_next(desk, "A", lambda: len(watched.ran) >= 1)
    found = standing(desk, sweep)
    assert (found.state, found.done, found.attempts, found.worker) == ("queued", 1, 0, None)
    with desk.store.reading() as session:
        left = session.sweeps.open_chunks(sweep.id)
    assert [(one.number, one.attempts) for one in left] == [(2, 0), (3, 0)]
    assert work_on_next(desk, "B")
    assert watched.ran == [1, 2, 3]
    assert standing(desk, sweep).state == "done"


def test_whoever_lost_the_sweep_to_another_keeps_nothing(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())

    def overtaken(number):
        if number == 2:
            watched.before = lambda _number: None
            desk.now.forward(seconds=61)
            assert work_on_next(desk, "B")

    watched.before = overtaken
    assert work_on_next(desk, "A")
    # A did 1 and lost its lease in 2; B did 2 and 3, then A ended 2 and stopped.
    assert watched.ran == [1, 2, 3, 2]
    found = standing(desk, sweep)
    assert (found.state, found.done) == ("done", 3)
    assert found.result_rows == len(rows(desk, sweep))


def test_work_on_what_is_forgotten_or_erased_meanwhile_comes_to_nothing(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())

    def forget(number):
        if number == 2:
            sweeps.forget_sweep(desk, WRITER, sweep.id)

    watched.before = forget
    assert work_on_next(desk, "A")
    assert watched.ran == [1, 2]
    assert standing(desk, sweep) is None

    scenario = kept(desk).head.id
    other = start_sweep(desk, WRITER, asked(document={}, scenario_id=scenario))
    stays = start_sweep(desk, WRITER, asked())

    def erase(number):
        if number == 2:
            counts = erasure.erase(desk, ADMIN, scenario).counts
            assert (counts.sweeps, counts.analyses) == (1, 0)

    watched.ran.clear()
    watched.before = erase
    assert work_on_next(desk, "A")
    assert watched.ran == [1, 2]
    assert standing(desk, other) is None
    assert standing(desk, stays) == stays


def test_results_of_a_sweep_that_is_forgotten_meanwhile_do_not_end_as_if_whole(desk):
    sweep = start_sweep(desk, WRITER, asked())
    work_on_next(desk, "A")
    stream = sweeps.results(desk, standing(desk, sweep))
    next(stream)
    sweeps.forget_sweep(desk, WRITER, sweep.id)
    with pytest.raises(UnknownSweepError):
        next(stream)


def test_without_anything_to_run_on_a_sweep_fails_after_three_attempts(desk, caplog):
    sweep = start_sweep(desk, WRITER, asked())
    nowhere = replace(desk, executor="hamster wheel")
    with caplog.at_level(logging.ERROR):
        for attempt in range(1, MOST_ATTEMPTS):
            assert work_on_next(nowhere, "A")
            assert (standing(desk, sweep).state, standing(desk, sweep).attempts) == (
                "running",
                attempt,
            )
        assert work_on_next(nowhere, "A")
    found = standing(desk, sweep)
    assert (found.state, found.done) == ("failed", 0)
    problem = json.loads(found.problem)
    assert problem["kind"] == "internal-error"
    assert "hamster" not in found.problem
    assert open_numbers(desk, sweep) == [1, 2, 3]
    assert not work_on_next(desk, "A")


def test_a_sweep_whose_worker_dies_before_any_chunk_is_given_up(desk, monkeypatch):
    sweep = start_sweep(desk, WRITER, asked())

    def die(_name):
        raise ServerKilled

    monkeypatch.setattr(sweep_working, "executor_of", die)
    for _ in range(MOST_ATTEMPTS):
        with pytest.raises(ServerKilled):
            work_on_next(desk, "A")
        desk.now.forward(seconds=60)
    assert work_on_next(desk, "A")
    assert standing(desk, sweep).state == "failed"
    assert "3 times" in json.loads(standing(desk, sweep).problem)["detail"]


def test_a_sweep_goes_after_ninety_days(desk):
    sweep = start_sweep(desk, WRITER, asked(2))
    desk.now.forward(days=90)
    assert retention.tidy(desk)["sweeps"] == 0
    desk.now.forward(seconds=1)
    assert retention.tidy(desk)["sweeps"] == 1
    assert standing(desk, sweep) is None


def test_processes_beside_this_one_give_the_same_bytes(desk):
    serial = start_sweep(desk, WRITER, asked())
    work_on_next(desk, "A")
    beside = start_sweep(desk, WRITER, asked())
    work_on_next(replace(desk, executor="processes:2"), "A")
    assert standing(desk, beside).state == "done"
    assert text(desk, beside) == text(desk, serial)
