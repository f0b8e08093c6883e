"""Work in hand when the store does not answer: it rests, goes on, and is not counted as at fault.

With a database that is really stopped: ``test_database_stopped``.
"""

from contextlib import contextmanager

import pytest

from service.scenarios import analyses, sweep_working, sweeps, working
from service.scenarios.errors import StoreBusyError, StoreFullError
from service.scenarios.working import MOST_ATTEMPTS, work_on_next
from tests.support.asked_sweeps import Watched, asked, small_chunks, standing, text
from tests.support.databases import DATABASES, opened
from tests.support.desks import READER, WRITER, kept, opened_desk
from tests.support.fake_store import FakeStore
from tests.support.made_up_work import ASKED, answer, made_up

OUTAGES = 2 * MOST_ATTEMPTS


class Outages:
    """A store that refuses the next sessions that write, when it is told to."""

    def __init__(self, store, refusal):
        self._store = store
        self._refusal = refusal
        self.to_refuse = 0
        self.refused = 0

    def __getattr__(self, name):
        """Return what the store itself has."""
        return getattr(self._store, name)

    @contextmanager
    def writing(self):
        """Open a session that writes, or refuse it."""
        if self.to_refuse:
            self.to_refuse -= 1
            self.refused += 1
            raise self._refusal
        with self._store.writing() as session:
            yield session


@pytest.fixture(params=[StoreBusyError, StoreFullError])
def refusal(request):
    return request.param


@pytest.fixture(params=["fake", *DATABASES])
def desk(request, refusal, tmp_path, monkeypatch):
    monkeypatch.setattr(working, "SECONDS_BETWEEN_TRIES", 0.0)
    if request.param == "fake":
        yield opened_desk(store=Outages(FakeStore(), refusal))
        return
    with opened(request.param, request, tmp_path) as database:
        yield opened_desk(store=Outages(database, refusal))


def refusing(desk, first):
    """Return what refuses sessions once, for each of the first times that it is called."""
    left = iter(range(first))

    def refuse(_number):
        for _ in left:
            desk.store.to_refuse = 3
            return

    return refuse


def test_a_question_is_answered_however_often_the_store_is_away(desk, monkeypatch):
    work = made_up(monkeypatch)
    work.before_part = refusing(desk, OUTAGES)
    job = analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)[0]
    while work_on_next(desk, "A"):
        pass
    with desk.store.reading() as session:
        found = analyses.analysis(session, READER, job.scenario_id, job.id)
    assert (found.state, found.attempts) == ("done", 1)
    assert analyses.result_of(found) == answer()
    assert desk.store.refused == 3 * OUTAGES


def test_a_sweep_is_done_and_no_row_fails_however_often_the_store_is_away(desk, monkeypatch):
    small_chunks(monkeypatch)
    monkeypatch.setattr(sweep_working, "SECONDS_BETWEEN_RENEWALS", 0.0)
    undisturbed = sweeps.start_sweep(desk, WRITER, asked())
    while work_on_next(desk, "A"):
        pass
    watched = Watched(monkeypatch)
    watched.before = refusing(desk, OUTAGES)
    sweep = sweeps.start_sweep(desk, WRITER, asked())
    while work_on_next(desk, "A"):
        pass
    found = standing(desk, sweep)
    assert (found.state, found.failed_rows) == ("done", 0)
    assert text(desk, sweep) == text(desk, undisturbed)
    assert desk.store.refused == 3 * OUTAGES


def test_a_worker_that_is_told_to_stop_does_not_wait_for_the_store(desk, monkeypatch):
    work = made_up(monkeypatch)
    told = []

    def stop(_number):
        desk.store.to_refuse = 1_000
        told.append(True)

    work.before_part = stop
    job = analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)[0]
    assert work_on_next(desk, "A", lambda: bool(told))
    desk.store.to_refuse = 0
    with desk.store.reading() as session:
        found = analyses.analysis(session, READER, job.scenario_id, job.id)
    assert (found.state, found.worker) == ("running", "A")
    desk.now.forward(seconds=working.LEASE.total_seconds())
    work.before_part = lambda _number: None
    while work_on_next(desk, "B"):
        pass
    with desk.store.reading() as session:
        found = analyses.analysis(session, READER, job.scenario_id, job.id)
    assert (found.state, found.attempts) == ("done", 2)
