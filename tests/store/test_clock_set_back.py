"""A clock that somebody sets, back or ahead, on every store: nothing is lost, stuck or gone early.

What a set clock must not spoil is common practice, no source; that a clock may be set at all, and
one that may not, is said in POSIX.1-2017, clock_getres(), on CLOCK_REALTIME and CLOCK_MONOTONIC.
"""

import asyncio
import logging
import re
import time
from datetime import timedelta
from pathlib import Path

import pytest

import service
from service.scenarios.access import identified
from service.scenarios.clock import JUMP, NONE_LAPSED, ClockWatch, Lapsed, elapsed
from service.scenarios.errors import KeyInFlightError, UnknownTokenError
from service.scenarios.keeping import copy, create, listed, patch, put_in_bin, take_from_bin
from service.scenarios.records import Renewal, Replay
from service.scenarios.replays import KEEP, STALE, Answer, once
from service.scenarios.repositories import Listing
from service.scenarios.retention import BIN_DAYS, tidy
from service.scenarios.sharing import make_key_on_host, make_link, revoke_link
from service.web import app as application
from service.web.limiting import storages
from service.web.limiting.amounts import Amounts
from tests.store.test_plans import plans
from tests.support.databases import opened
from tests.support.jobs import LEASE, NOW, running
from tests.support.offices import START, Clock, desk, head, job, keep, small_document

HOUR = timedelta(hours=1)
SET = [pytest.param(-HOUR, id="back"), pytest.param(HOUR, id="ahead")]
LENGTH = timedelta(seconds=60)


@pytest.fixture
def at_desk(store):
    return desk(store)


@pytest.fixture
def caller(at_desk):
    return shown(at_desk, make_key_on_host(at_desk, "Tansy", "admin", "host", 30)[2])


def shown(at_desk, token):
    with at_desk.store.reading() as session:
        return identified(session, at_desk, token)[0]


def page(at_desk, caller, **wanted):
    with at_desk.store.reading() as session:
        return listed(session, caller, Listing(**({"limit": 4} | wanted)))


def pages(at_desk, caller, between=lambda: None, **wanted):
    """Return the ids of a list that is read page by page, with something done after each."""
    found = []
    while rows := page(at_desk, caller, **wanted):
        found += [row.id for row in rows]
        wanted["after_id"] = rows[-1].id
        if "updated_since" in wanted:
            wanted["after_updated_at"] = rows[-1].updated_at
        between()
    return found


def add(at_desk, caller):
    return create(at_desk, caller, small_document()).head


# Lists and ids


@pytest.mark.parametrize("by", SET)
def test_ids_stay_unique_and_a_list_loses_and_repeats_no_row(at_desk, caller, by):
    before = [add(at_desk, caller).id for _ in range(10)]
    meanwhile = []

    def more():
        at_desk.now.forward(seconds=by.total_seconds() / 3)
        if len(meanwhile) < 6:
            meanwhile.append(add(at_desk, caller).id)

    seen = pages(at_desk, caller, more)
    assert len(seen) == len(set(seen))
    assert set(before) <= set(seen) <= {*before, *meanwhile}
    assert sorted(pages(at_desk, caller), reverse=True) == pages(at_desk, caller)
    assert len({*before, *meanwhile}) == len(before) + len(meanwhile)


@pytest.mark.parametrize("by", SET)
def test_whoever_asks_for_what_is_new_hears_of_each_change_once_in_its_order(at_desk, caller, by):
    first, second, third = (add(at_desk, caller) for _ in range(3))
    put_in_bin(at_desk, caller, third.id, 1)
    at_desk.now.forward(seconds=1)
    second = patch(at_desk, caller, second.id, 1, {"name": "Newest so far"}).head
    last_seen = second.updated_at

    at_desk.now.forward(hours=by / HOUR)
    changed = [
        act().id
        for act in (
            lambda: patch(at_desk, caller, first.id, 1, {"name": "Changed"}).head,
            lambda: copy(at_desk, caller, first.id, None, {}, None, None).head,
            lambda: take_from_bin(at_desk, caller, third.id).head,
            lambda: add(at_desk, caller),
        )
        if at_desk.now.forward(milliseconds=1)
    ]
    rows = page(at_desk, caller, updated_since=last_seen, limit=9)
    assert [row.id for row in rows] == [second.id, *changed]
    times = [row.updated_at for row in rows]
    assert times == sorted(set(times))
    if by < timedelta(0):
        assert max(times) - last_seen < timedelta(seconds=1)


def test_a_list_by_change_that_is_read_while_the_clock_is_set_back_ends_with_what_changed(
    at_desk, caller
):
    made = [add(at_desk, caller) for _ in range(10)]
    at_desk.now.forward(hours=-1)
    waiting = iter(made[:2])

    def change():
        for one in waiting:
            patch(at_desk, caller, one.id, 1, {"name": "Changed meanwhile"})
            return

    seen = pages(at_desk, caller, change, updated_since=START)
    assert {one.id for one in made} == set(seen)
    assert sorted(seen[-2:]) == sorted(one.id for one in made[:2])


def test_revisions_follow_each_other_whatever_the_clock(at_desk, caller):
    one = add(at_desk, caller)
    for number, by in enumerate([-1, 2, -24, 1], start=1):
        at_desk.now.forward(hours=by)
        before = one.updated_at
        one = patch(at_desk, caller, one.id, number, {"name": f"Revision {number}"}).head
        assert one.revision == number + 1
        assert one.updated_at > before


def test_the_time_of_the_newest_change_is_found_by_an_index(request, tmp_path):
    with opened("sqlite", request, tmp_path) as database:
        with database.writing() as session:
            keep(session)
        found = plans(database, lambda session: session.scenarios.newest_change(head().office_id))
    [step] = found
    assert "USING INDEX ix_scenarios_changed" in step


# Leases


class Seconds:
    """A clock that only goes forward, when it is told to."""

    def __init__(self):
        self.at = 1_000.0

    def __call__(self):
        """Return the time [s]."""
        return self.at


def claimed(store, by, now, lapsed):
    with store.writing() as session:
        assert (
            session.jobs.any_to_claim(now, lapsed)
            or session.jobs.claim(by, now, now + LENGTH, lapsed) is None
        )
        return session.jobs.claim(by, now, now + LENGTH, lapsed)


def renewed(store, by, now):
    with store.writing() as session:
        return session.jobs.renew(job().id, by, now + LENGTH, 0)


@pytest.mark.parametrize("by", SET)
def test_work_in_hand_is_not_taken_twice_when_the_clock_is_set(office_store, by):
    with office_store.writing() as session:
        keep(session, running(lease_until=NOW + LENGTH))
    now, seconds = Clock(NOW), Seconds()
    watch = ClockWatch(now, seconds)
    assert claimed(office_store, "B", now(), watch.lapsed(LENGTH)) is None
    now.forward(hours=by / HOUR)
    for _ in range(100):
        assert claimed(office_store, "B", now(), watch.lapsed(LENGTH)) is None
        now.forward(seconds=2)
        seconds.at += 2
        assert renewed(office_store, "A", now()) == Renewal(held=True, cancelled=False)


@pytest.mark.parametrize("by", SET)
def test_work_whose_worker_is_gone_is_taken_up_after_the_length_of_a_lease(office_store, by):
    with office_store.writing() as session:
        keep(session, running(lease_until=NOW + LENGTH))
    now, seconds = Clock(NOW), Seconds()
    watch = ClockWatch(now, seconds)
    watch.look()
    now.forward(hours=by / HOUR)
    waited = 0
    while (found := claimed(office_store, "B", now(), watch.lapsed(LENGTH))) is None:
        now.forward(seconds=2)
        seconds.at += 2
        waited += 2
        assert waited <= LENGTH.total_seconds() + 2
    assert (found.worker, found.attempts) == ("B", 2)
    assert renewed(office_store, "A", now()).held is False


def test_a_worker_that_starts_after_the_clock_was_set_back_takes_up_what_was_left(office_store):
    with office_store.writing() as session:
        keep(session, running(lease_until=NOW + LENGTH))
    now = NOW - HOUR
    assert claimed(office_store, "B", now, Lapsed.at(now, LENGTH)).worker == "B"


def test_clocks_of_two_hosts_may_differ_by_the_length_of_a_lease(office_store):
    with office_store.writing() as session:
        keep(session, running(lease_until=NOW + LENGTH))
    for off in (-LENGTH, LENGTH - timedelta(seconds=1)):
        assert claimed(office_store, "B", NOW + off, Lapsed.at(NOW + off, LENGTH)) is None


def test_what_waits_is_taken_up_while_the_clock_is_in_doubt(office_store):
    with office_store.writing() as session:
        keep(session, job())
    assert claimed(office_store, "B", NOW, NONE_LAPSED).worker == "B"
    assert claimed(office_store, "C", LEASE + 9 * HOUR, NONE_LAPSED) is None


@pytest.mark.parametrize("off", [timedelta(0), JUMP, -JUMP])
def test_a_clock_that_is_slewed_was_not_set(off):
    now, seconds = Clock(NOW), Seconds()
    watch = ClockWatch(now, seconds)
    for _ in range(9):
        now.forward(seconds=60 + off.total_seconds())
        seconds.at += 60
        assert watch.look() == timedelta(0)
    now.forward(seconds=60.1 + off.total_seconds() * 2)
    seconds.at += 60
    assert (watch.look() == timedelta(0)) == (not off)


def test_the_clock_that_watches_only_goes_forward_and_counts_seconds():
    before = elapsed()
    time.sleep(0.05)
    assert before + 0.04 < elapsed() < before + 60


# What is kept for a time only


def posted(at_desk, caller, key="request-a", meanwhile=lambda: None):
    def act(then):
        meanwhile()
        return create(at_desk, caller, small_document(), then=then)

    return once(
        at_desk, caller, key, "f", act, lambda one: Answer(201, b"{}", {"ETag": '"1"'}, one.head.id)
    )


@pytest.mark.parametrize("by", SET)
def test_a_request_that_was_answered_is_answered_alike(at_desk, caller, by):
    first = posted(at_desk, caller)
    at_desk.now.forward(hours=by / HOUR)
    assert tidy(at_desk)["replays"] == 0
    assert posted(at_desk, caller) == first
    at_desk.now.forward(hours=-by / HOUR)
    assert posted(at_desk, caller) == first
    assert len(page(at_desk, caller)) == 1


@pytest.mark.parametrize("by", SET)
def test_a_request_whose_worker_is_gone_can_be_sent_again_at_once(at_desk, caller, by):
    key, now = "request-b", at_desk.now()
    left = Replay(caller.credential_id, key, "f", claimed_at=now, expires_at=now + KEEP)
    with at_desk.store.writing() as session:
        session.replays.claim(left, now - STALE)
    with pytest.raises(KeyInFlightError):
        posted(at_desk, caller, key)
    at_desk.now.forward(hours=by / HOUR)
    assert posted(at_desk, caller, key).status == 201
    assert len(page(at_desk, caller)) == 1


@pytest.mark.parametrize("by", SET)
def test_a_request_that_is_sent_again_while_the_clock_is_set_acts_once(at_desk, caller, by):
    answers = []

    def sent_again():
        at_desk.now.forward(hours=by / HOUR)
        answers.append(posted(at_desk, caller))

    with pytest.raises(KeyInFlightError):
        posted(at_desk, caller, meanwhile=sent_again)
    [answer] = answers
    assert [one.id for one in page(at_desk, caller)] == [answer.object_id]
    assert posted(at_desk, caller) == answer


def test_the_bin_is_emptied_when_its_time_has_come_and_not_by_a_clock_that_is_behind(
    at_desk, caller
):
    one = add(at_desk, caller)
    put_in_bin(at_desk, caller, one.id, 1)
    at_desk.now.forward(hours=-1)
    assert tidy(at_desk)["scenarios"] == 0
    at_desk.now.forward(days=BIN_DAYS)
    assert tidy(at_desk)["scenarios"] == 0
    at_desk.now.forward(hours=1, seconds=1)
    assert tidy(at_desk)["scenarios"] == 1


def test_nothing_is_erased_by_a_clock_that_has_just_been_set_ahead(
    at_desk, caller, monkeypatch, caplog
):
    one = add(at_desk, caller)
    put_in_bin(at_desk, caller, one.id, 1)
    happened = []

    async def next_day(_):
        happened.append(len(page(at_desk, caller, binned=True)))
        if len(happened) == 1:
            at_desk.now.forward(days=BIN_DAYS + 1)
        if len(happened) == 4:
            raise asyncio.CancelledError

    monkeypatch.setattr(application.asyncio, "sleep", next_day)
    with caplog.at_level(logging.WARNING), pytest.raises(asyncio.CancelledError):
        asyncio.run(application._tidied(at_desk))  # noqa: SLF001 - what the server runs daily
    assert happened == [1, 1, 0, 0]
    [told] = [record.getMessage() for record in caplog.records]
    assert told.startswith("the clock was set 31 days")


@pytest.mark.parametrize("by", SET)
def test_links_end_by_the_clock_and_a_revoked_one_stays_so(at_desk, caller, by):
    one = add(at_desk, caller)
    _, lasting = make_link(at_desk, caller, one.id, "read", "phone", 1)
    revoked, gone = make_link(at_desk, caller, one.id, "read", "lost phone", 1)
    revoke_link(at_desk, caller, one.id, revoked.id)
    at_desk.now.forward(hours=by / HOUR)
    _, later = make_link(at_desk, caller, one.id, "read", "made since", 1)
    for token in (lasting, later):
        assert shown(at_desk, token).scenario_id == one.id
    with pytest.raises(UnknownTokenError):
        shown(at_desk, gone)
    at_desk.now.forward(hours=24)
    for token in (later, gone):
        with pytest.raises(UnknownTokenError):
            shown(at_desk, token)
    at_desk.now.forward(hours=1)
    with pytest.raises(UnknownTokenError):
        shown(at_desk, lasting)


# Limits, and where the time is taken


def test_limits_go_by_a_clock_that_is_not_set(monkeypatch):
    class Times:
        """Both clocks of the system."""

        wall, running = 1_800_000_000.0, 5_000.0

        def time(self):
            return self.wall

        def monotonic(self):
            return self.running

    times = Times()
    monkeypatch.setattr(storages, "time", times)
    bucket, _ = storages.buckets_of(Amounts(by_credential=10, by_address=10))

    def wait():
        return asyncio.run(bucket.take("caller", 5))

    assert [wait(), wait()] == [0, 0]
    for step in (-3_600, 3_600, 3_600):
        times.wall += step
        monkeypatch.setattr(time, "time", times.time)
        assert 0 < wait() <= 120
    times.running += 120
    assert wait() == 0


def test_the_time_is_taken_in_one_place():
    taken = re.compile(r"datetime\.(?:now|utcnow|today)\(|date\.today\(|time\.time\b")
    root = Path(service.__file__).parent
    found = {
        str(file.relative_to(root))
        for file in root.rglob("*.py")
        if taken.search(file.read_text("utf-8"))
    }
    assert found == {
        "scenarios/clock.py",
        "weather/cells.py",  # the year alone, to doubt a year that a table names
        "web/limiting/buckets.py",  # of a storage that several processes count in together
    }
