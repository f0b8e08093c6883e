"""The audit, answers that may be given again, and the copy of the journal, on every store."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.scenarios.errors import KeyInFlightError
from tests.support.offices import START, credential, entry, head, keep, office, replay

LONG_AGO = START - timedelta(days=5 * 365)
STALE = START - timedelta(minutes=2)
MS = timedelta(milliseconds=1)


def without_number(entries):
    return [replace(one, number=0) for one in entries]


def test_an_audit_entry_comes_back_as_it_was_kept(office_store):
    kept = [
        entry(at=START + 5 * MS, request_id="req-ä"),
        entry(action="key.revoke", object_id=credential().id, revision=None, request_id=""),
    ]
    with office_store.writing() as session:
        keep(session, *kept)
    with office_store.reading() as session:
        found = session.audit.page(office().id, None, None, 9)
    assert without_number(found) == list(reversed(kept))


def test_the_audit_names_what_is_gone_or_was_never_there(store):
    with store.writing() as session:
        keep(session, entry(object_id="sc_gone", credential_id="operator"))
    with store.reading() as session:
        assert len(session.audit.page(office().id, None, None, 9)) == 1


def test_numbers_of_audit_entries_rise(office_store):
    for _ in range(3):
        with office_store.writing() as session:
            keep(session, entry(), entry())
    with office_store.reading() as session:
        numbers = [one.number for one in session.audit.page(office().id, None, None, 9)]
    assert len(numbers) == 6
    assert numbers == sorted(set(numbers), reverse=True)
    assert numbers[-1] > 0


def test_the_audit_is_listed_by_office_newest_first_page_by_page(office_store):
    mine = [entry(action=f"act.{number}") for number in range(5)]
    with office_store.writing() as session:
        for one in mine:
            keep(session, one, entry(office_id=office(2).id))
    with office_store.reading() as session:
        first = session.audit.page(office().id, None, None, 2)
        second = session.audit.page(office().id, None, first[-1].number, 2)
        last = session.audit.page(office().id, None, second[-1].number, 2)
        assert list(session.audit.page(office().id, None, last[-1].number, 2)) == []
    assert without_number([*first, *second, *last]) == list(reversed(mine))
    assert (len(first), len(second), len(last)) == (2, 2, 1)


def test_the_audit_of_one_object_is_listed_page_by_page(office_store):
    with office_store.writing() as session:
        for number in range(3):
            keep(session, entry(action=f"act.{number}"), entry(object_id=head(2).id))
    with office_store.reading() as session:
        first = session.audit.page(office().id, head().id, None, 2)
        last = session.audit.page(office().id, head().id, first[-1].number, 2)
        assert list(session.audit.page(office(2).id, head().id, None, 9)) == []
    assert [one.action for one in [*first, *last]] == ["act.2", "act.1", "act.0"]


def test_audit_entries_from_before_a_time_go(office_store):
    with office_store.writing() as session:
        keep(session, entry(at=LONG_AGO - MS), entry(at=LONG_AGO), entry())
    with office_store.writing() as session:
        assert session.audit.prune(LONG_AGO) == 1
        assert session.audit.prune(LONG_AGO) == 0
    with office_store.reading() as session:
        left = [one.at for one in session.audit.page(office().id, None, None, 9)]
    assert left == [START, LONG_AGO]


def test_numbers_of_audit_entries_are_not_given_again(office_store):
    with office_store.writing() as session:
        keep(session, entry(at=LONG_AGO))
    with office_store.reading() as session:
        [gone] = session.audit.page(office().id, None, None, 9)
    with office_store.writing() as session:
        assert session.audit.prune(START) == 1
    with office_store.writing() as session:
        keep(session, entry())
    with office_store.reading() as session:
        [left] = session.audit.page(office().id, None, None, 9)
    assert left.number > gone.number


def test_the_first_claim_of_a_key_wins(office_store):
    first = replay()
    with office_store.writing() as session:
        assert session.replays.claim(first, STALE) is None
    with office_store.writing() as session:
        again = replay(fingerprint="e" * 64, claimed_at=START + MS)
        assert session.replays.claim(again, STALE) == first


def test_keys_of_other_credentials_and_other_keys_do_not_meet(office_store):
    with office_store.writing() as session:
        keep(session, credential(2))
        assert session.replays.claim(replay(), STALE) is None
        assert session.replays.claim(replay("request-b"), STALE) is None
        assert session.replays.claim(replay(credential_id=credential(2).id), STALE) is None


def test_an_answer_is_filled_in_and_given_again(office_store):
    done = replay(
        status=201,
        headers='{"ETag": "\\"1\\"", "X": "ä"}',
        body=bytes(range(256)) * 400,
        object_id=head().id,
    )
    with office_store.writing() as session:
        assert session.replays.claim(replay(), STALE) is None
        session.replays.complete(done)
    with office_store.writing() as session:
        assert session.replays.claim(replay(claimed_at=START + MS), STALE) == done


def test_an_answer_without_a_body_is_given_again(office_store):
    done = replay(status=204)
    with office_store.writing() as session:
        session.replays.claim(replay(), STALE)
        session.replays.complete(done)
        assert session.replays.claim(replay(), STALE) == done


def test_one_in_flight_is_released_and_can_be_claimed_again(office_store):
    with office_store.writing() as session:
        keep(session, replay(), replay("request-b"))
    with office_store.writing() as session:
        session.replays.release(credential().id, "request-a")
        assert session.replays.claim(replay(), STALE) is None
        assert session.replays.claim(replay("request-b"), STALE) == replay("request-b")


def test_an_answer_that_stands_is_not_released(office_store):
    done = replay(status=201)
    with office_store.writing() as session:
        session.replays.claim(replay(), STALE)
        session.replays.complete(done)
        session.replays.release(credential().id, "request-a")
        session.replays.release(credential().id, "request-never-sent")
        assert session.replays.claim(replay(), STALE) == done


def test_one_in_flight_whose_worker_is_gone_is_replaced(office_store):
    with office_store.writing() as session:
        keep(session, replay(claimed_at=STALE), replay("request-b", claimed_at=STALE - MS))
    again = replay("request-b", fingerprint="e" * 64)
    with office_store.writing() as session:
        assert session.replays.claim(replay(), STALE) == replay(claimed_at=STALE)
        assert session.replays.claim(again, STALE) is None
    with office_store.writing() as session:
        assert session.replays.claim(replay("request-b"), STALE) == again


def test_an_old_answer_is_not_taken_for_a_worker_that_is_gone(office_store):
    done = replay(status=201, claimed_at=STALE - MS)
    with office_store.writing() as session:
        session.replays.claim(replay(claimed_at=STALE - MS), STALE)
        session.replays.complete(done)
        assert session.replays.claim(replay(), STALE) == done


@pytest.mark.parametrize("status", [None, 201])
def test_one_that_expired_before_the_claim_is_replaced(office_store, status):
    kept = replay(expires_at=START, status=status, object_id=head().id if status else None)
    again = replay(claimed_at=START + MS, expires_at=START + timedelta(days=1), fingerprint="e")
    with office_store.writing() as session:
        session.replays.claim(replay(expires_at=START), STALE)
        if status:
            session.replays.complete(kept)
        assert session.replays.claim(replay(claimed_at=START), STALE) == kept
        assert session.replays.claim(again, STALE) is None
        assert session.replays.claim(again, STALE) == again


def test_of_two_that_worked_on_one_key_one_answers(office_store):
    slow = replay(claimed_at=STALE - MS, fingerprint="slow")
    quick = replay(fingerprint="quick")
    with office_store.writing() as session:
        session.replays.claim(slow, STALE)
    with office_store.writing() as session:
        assert session.replays.claim(quick, STALE) is None
        session.replays.complete(replace(quick, status=201, body=b"quick"))
    with pytest.raises(KeyInFlightError):
        complete(office_store, replace(slow, status=201, body=b"slow"))
    with office_store.writing() as session:
        assert session.replays.claim(quick, STALE).body == b"quick"


def complete(store, answer):
    with store.writing() as session:
        session.replays.complete(answer)


def test_an_answer_to_a_key_that_was_released_is_not_kept(office_store):
    with pytest.raises(KeyInFlightError):
        complete(office_store, replay("request-never-claimed", status=201))


def test_expired_answers_go(office_store):
    with office_store.writing() as session:
        keep(session, replay("a", expires_at=START - MS), replay("b", expires_at=START))
    with office_store.writing() as session:
        assert session.replays.prune(START) == 1
        assert session.replays.prune(START) == 0
        assert session.replays.claim(replay("b"), STALE) is not None


def test_the_copy_of_the_journal_holds_each_act_once(store):
    with store.writing() as session:
        session.erasures.add("erase", head().id, START)
        session.erasures.add("revoke", credential().id, START)
    with store.writing() as session:
        session.erasures.add("erase", head().id, START + MS)
    with store.reading() as session:
        assert session.erasures.ids() == {("erase", head().id), ("revoke", credential().id)}
