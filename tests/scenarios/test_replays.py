"""Requests sent again: done once, answered as before."""

from dataclasses import replace

import pytest

from service.costing.errors import InputError
from service.scenarios import errors
from service.scenarios.erasure import erase
from service.scenarios.history import restore
from service.scenarios.keeping import copy, create, listed
from service.scenarios.notes import add_note
from service.scenarios.replays import Answer, once
from service.scenarios.repositories import Listing
from service.scenarios.sharing import make_key, make_link
from tests.support.desks import ADMIN, STRANGER, WRITER, kept, opened_desk
from tests.support.offices import small_document


@pytest.fixture
def desk():
    return opened_desk()


def made(desk, who=WRITER, key="request-a", fingerprint="f", act=None):
    """Keep a scenario once."""
    return once(
        desk,
        who,
        key,
        fingerprint,
        act or (lambda then: create(desk, who, small_document(), then=then)),
        lambda one: Answer(201, b'{"id":1}', {"ETag": '"1"', "Location": "/x"}, one.head.id),
    )


def scenarios(desk, who=ADMIN):
    with desk.store.reading() as session:
        return [head.id for head in listed(session, who, Listing(200))]


def test_the_same_request_is_done_once_and_answered_alike(desk):
    first = made(desk)
    assert (first.status, first.headers["ETag"], first.secret) == (201, '"1"', False)
    assert made(desk) == first
    assert scenarios(desk) == [first.object_id]


def test_without_a_key_each_request_is_done(desk):
    assert made(desk, key=None).object_id != made(desk, key=None).object_id
    assert len(scenarios(desk)) == 2
    assert desk.store.tables.replays == {}


def test_a_key_belongs_to_whoever_sends_it(desk):
    first = made(desk)
    assert made(desk, ADMIN).object_id != first.object_id
    assert made(desk, STRANGER).object_id not in scenarios(desk)
    assert len(scenarios(desk)) == 2


def test_the_same_key_with_another_request_is_refused(desk):
    made(desk)
    with pytest.raises(errors.KeyReusedError):
        made(desk, fingerprint="g")
    assert len(scenarios(desk)) == 1


def test_a_request_that_is_being_worked_on_is_not_done_twice(desk):
    told = []

    def slow(then):
        for fingerprint in ("f", "g"):
            try:
                made(desk, fingerprint=fingerprint)
            except (errors.KeyInFlightError, errors.KeyReusedError) as refusal:
                told.append(type(refusal))
        return create(desk, WRITER, small_document(), then=then)

    made(desk, act=slow)
    assert told == [errors.KeyInFlightError, errors.KeyReusedError]
    assert len(scenarios(desk)) == 1


def test_a_request_that_was_given_up_for_a_minute_can_be_done(desk):
    with pytest.raises(RuntimeError):
        made(replace(desk, store=Dying(desk.store)))
    assert [one.status for one in desk.store.tables.replays.values()] == [None]
    desk.now.forward(seconds=60)
    with pytest.raises(errors.KeyInFlightError):
        made(desk)
    desk.now.forward(seconds=1)
    assert made(desk).object_id in scenarios(desk)


def test_whoever_takes_too_long_undoes_what_another_has_done_meanwhile(desk):
    answers = []

    def slow(then):
        desk.now.forward(seconds=61)
        answers.append(made(desk))
        return create(desk, WRITER, small_document(), then=then)

    with pytest.raises(errors.KeyInFlightError):
        made(desk, act=slow)
    assert scenarios(desk) == [answers[0].object_id]
    assert made(desk) == answers[0]


def test_whoever_is_told_to_stop_lets_go_of_the_request(desk):
    def stopped(_then):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        made(desk, act=stopped)
    assert desk.store.tables.replays == {}


class Dying:
    """A store that goes away after the claim, as if the process had been killed."""

    def __init__(self, store):
        self.store = store
        self.left = 1

    def writing(self):
        """Open a session, once."""
        self.left -= 1
        if self.left < 0:
            raise RuntimeError
        return self.store.writing()


def test_what_failed_can_be_sent_again(desk):
    for document in (small_document(baseline="nowhere"), small_document(currency="dollars")):
        with pytest.raises(InputError):
            made(
                desk,
                act=lambda then, sent=document: create(desk, WRITER, sent, then=then),
            )
        assert desk.store.tables.replays == {}
    assert made(desk).status == 201


def test_an_answer_that_cannot_be_made_undoes_the_act(desk):
    def unanswerable(_):
        raise RuntimeError

    with pytest.raises(RuntimeError):
        once(
            desk,
            WRITER,
            "k",
            "f",
            lambda then: create(desk, WRITER, small_document(), then=then),
            unanswerable,
        )
    assert scenarios(desk) == []
    assert desk.store.tables.replays == {}


def test_an_answer_is_forgotten_after_a_day(desk):
    first = made(desk)
    desk.now.forward(hours=24)
    assert made(desk) == first
    desk.now.forward(seconds=1)
    assert made(desk).object_id != first.object_id


def test_a_token_is_shown_once_and_its_answer_is_not_kept(desk):
    def key_made():
        return once(
            desk,
            ADMIN,
            "k",
            "f",
            lambda then: make_key(desk, ADMIN, "read", "batch job", 30, then),
            lambda pair: Answer(201, pair[1].encode(), {"X": pair[1]}, pair[0].id, secret=True),
        )

    answer = key_made()
    [replay] = desk.store.tables.replays.values()
    assert answer.body.decode() not in repr(replay)
    with pytest.raises(errors.SecretShownError) as refusal:
        key_made()
    assert refusal.value.object_id == answer.object_id


def test_an_answer_without_body_is_no_secret(desk):
    def noted():
        return once(
            desk,
            WRITER,
            "k",
            "f",
            lambda then: create(desk, WRITER, small_document(), then=then),
            lambda one: Answer(204, b"", {}, one.head.id),
        )

    assert noted() == noted()


def test_an_act_that_had_nothing_to_do_is_answered_alike(desk):
    scenario = kept(desk).head.id

    def restored():
        return once(
            desk,
            WRITER,
            "k",
            "f",
            lambda then: restore(desk, WRITER, scenario, 1, 1, then),
            lambda one: Answer(200, b"{}", {}, one.head.id),
        )

    assert restored() == restored()
    assert all(replay.status == 200 for replay in desk.store.tables.replays.values())


@pytest.mark.parametrize("key", ["", " ", "a b", "a\n", "é", "x" * 256, "\0"])
def test_what_is_no_key_is_refused(desk, key):
    with pytest.raises(InputError) as refusal:
        made(desk, key=key)
    [fault] = refusal.value.faults
    assert fault.input == "Idempotency-Key"
    assert scenarios(desk) == []


@pytest.mark.parametrize("key", ["x", "~" * 255, '"8e03978e-40d5-43dd-bc93-6894a57f9324"'])
def test_visible_ascii_is_a_key(desk, key):
    assert made(desk, key=key) == made(desk, key=key)


def test_an_answer_goes_with_the_scenario_that_it_tells_of(desk):
    first = made(desk)
    erase(desk, ADMIN, first.object_id)
    assert made(desk).object_id != first.object_id


def test_every_act_that_makes_something_hands_it_over_before_the_commit(desk):
    scenario = kept(desk).head.id
    told = []

    def then(session, one):
        del session
        told.append(one)

    made_of_it = [
        create(desk, WRITER, small_document(), then=then),
        copy(desk, WRITER, scenario, None, {}, None, None, then),
        add_note(desk, WRITER, scenario, "x", None, None, then),
        make_link(desk, WRITER, scenario, "read", "phone", 90, then),
        make_key(desk, ADMIN, "read", "batch job", 30, then),
    ]
    assert told == made_of_it
