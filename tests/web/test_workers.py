"""The threads that work on questions beside the requests."""

import asyncio
import logging
import threading
import time

import httpx
import pytest

from service.scenarios import analyses
from service.web import workers
from service.web.app import create_app
from service.web.workers import Workers
from tests.support.databases import opened
from tests.support.desks import READER, WRITER, kept, opened_desk
from tests.support.made_up_work import ASKED, answer, made_up
from tests.web.keeping import Keeping

LONG = 10
"""More than enough for what takes a moment [s]."""


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


def ask(desk, asked=ASKED):
    return analyses.ask(desk, WRITER, kept(desk).head.id, asked)[0]


def standing(desk, job):
    with desk.store.reading() as session:
        return analyses.analysis(session, READER, job.scenario_id, job.id)


def soon(happened):
    until = time.monotonic() + LONG
    while not happened():
        assert time.monotonic() < until
        time.sleep(0.01)


@pytest.fixture
def started(desk):
    found = Workers(desk, 2)
    found.start()
    yield found
    found.stop()


def test_what_waits_when_they_start_is_worked_on(desk, work):
    job = ask(desk)
    found = Workers(desk, 1)
    found.start()
    soon(lambda: standing(desk, job).state == "done")
    found.stop()
    assert analyses.result_of(standing(desk, job)) == answer()
    assert work.done == [0, 1, 2, 3, 4]


def test_who_is_woken_looks_at_once(desk, work, started, monkeypatch):
    monkeypatch.setattr(workers, "SECONDS_BETWEEN_LOOKS", 10 * LONG)
    jobs = [ask(desk) for _ in range(3)]
    started.wake()
    soon(lambda: all(standing(desk, job).state == "done" for job in jobs))
    assert sorted(work.done) == sorted([0, 1, 2, 3, 4] * 3)


def test_they_stop_after_the_part_that_is_being_worked_on(desk, work):
    reached, go_on = threading.Event(), threading.Event()

    def hold(number):
        if number == 1:
            reached.set()
            assert go_on.wait(LONG)

    work.before_part = hold
    job = ask(desk)
    found = Workers(desk, 1)
    found.start()
    assert reached.wait(LONG)
    stopping = threading.Thread(target=found.stop)
    stopping.start()
    time.sleep(0.05)
    assert stopping.is_alive()
    go_on.set()
    stopping.join(LONG)
    assert not stopping.is_alive()
    assert work.done == [0, 1]
    left = standing(desk, job)
    assert (left.state, left.done, left.attempts) == ("queued", 2, 0)


def test_a_store_that_fails_for_a_moment_stops_nobody(desk, work, monkeypatch, caplog):
    failures = iter([RuntimeError("the disk is away")])
    real = workers.work_on_next

    def failing(*args):
        for error in failures:
            raise error
        return real(*args)

    monkeypatch.setattr(workers, "work_on_next", failing)
    monkeypatch.setattr(workers, "SECONDS_BETWEEN_LOOKS", 0.01)
    job = ask(desk)
    found = Workers(desk, 1)
    with caplog.at_level(logging.ERROR):
        found.start()
        soon(lambda: standing(desk, job).state == "done")
        found.stop()
    assert "the disk is away" in caplog.text
    assert work.done == [0, 1, 2, 3, 4]


@pytest.mark.parametrize("count", [0, 2])
def test_none_are_started_where_none_are_wanted_or_nothing_is_kept(count):
    before = threading.active_count()
    found = Workers(None, count)
    found.start()
    found.wake()
    assert threading.active_count() == before
    found.stop()


def test_the_service_answers_a_long_question_by_its_own_workers(work):
    desk = opened_desk()
    app = create_app(desk, analysis_workers=1)
    kept_there = Keeping(app, desk)
    where = f"/v1/scenarios/{kept_there.stored()}/analyses"
    headers = {"Authorization": f"Bearer {kept_there.keys['write']}", "Prefer": "wait=20"}

    async def asked():
        transport = httpx.ASGITransport(app=app)
        async with (
            app.router.lifespan_context(app),
            httpx.AsyncClient(transport=transport, base_url="http://winterground") as client,
        ):
            await asyncio.sleep(0.2)  # the worker has looked, and found nothing
            began = time.monotonic()
            made = await client.post(where, json={"question": "risk"}, headers=headers)
            return made, time.monotonic() - began

    made, took = asyncio.run(asked())
    assert made.status_code == 201
    assert made.json()["result"]["parts"] == answer()["parts"]
    assert work.done == [0, 1, 2, 3, 4]
    assert took < workers.SECONDS_BETWEEN_LOOKS  # it was woken
