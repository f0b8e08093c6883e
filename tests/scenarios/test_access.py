"""Who may do what, and that what is not theirs looks like what does not exist."""

from datetime import timedelta

import pytest

from service.scenarios import errors
from service.scenarios.access import RIGHTS, found, identified, needs
from service.scenarios.keeping import put_in_bin
from service.scenarios.tokens import Peppers, new_token
from tests.support.desks import ADMIN, READER, STRANGER, WRITER, holder, kept, opened_desk
from tests.support.offices import PEPPERS, caller, credential, numbered

EVERY_RIGHT = ("read", "change", "write", "admin")


class Watched:
    """A session that counts what is looked up in it."""

    def __init__(self, session):
        self.session = session
        self.calls = []

    def __getattr__(self, name):
        """Return a part whose methods are counted."""
        part = getattr(self.session, name)
        calls = self.calls

        class Part:
            def __getattr__(self, method):
                def called(*arguments):
                    calls.append(f"{name}.{method}")
                    return getattr(part, method)(*arguments)

                return called

        return Part()


def test_rights_grow_from_read_to_admin():
    # The interface, section 4, rule 2: an edit link changes its scenario's document and notes,
    # nothing else; keys read, write or administer.
    assert {who: [right for right in EVERY_RIGHT if right in RIGHTS[who]] for who in RIGHTS} == {
        ("link", "read"): ["read"],
        ("link", "edit"): ["read", "change"],
        ("key", "read"): ["read"],
        ("key", "write"): ["read", "change", "write"],
        ("key", "admin"): ["read", "change", "write", "admin"],
    }


@pytest.mark.parametrize(
    ("who", "allowed"),
    [(READER, ["read"]), (WRITER, ["read", "change", "write"]), (ADMIN, list(EVERY_RIGHT))],
)
def test_a_key_may_do_what_its_access_says_and_no_more(who, allowed):
    desk = opened_desk()
    scenario = kept(desk).head.id
    with desk.store.reading() as session:
        for right in EVERY_RIGHT:
            if right in allowed:
                assert found(session, who, scenario, right).id == scenario
            else:
                with pytest.raises(errors.TooLittleAccessError, match="This needs"):
                    found(session, who, scenario, right)


def test_a_link_opens_its_scenario_and_no_other():
    desk = opened_desk()
    mine, other = kept(desk).head.id, kept(desk).head.id
    for access in ("read", "edit"):
        friend = holder(desk, mine, access)
        with desk.store.reading() as session:
            assert found(session, friend, mine).id == mine
            with pytest.raises(errors.UnknownScenarioError):
                found(session, friend, other)
            with pytest.raises(errors.TooLittleAccessError):
                found(session, friend, mine, "write")
        with pytest.raises(errors.TooLittleAccessError, match="link"):
            needs(friend, "read", office=True)


def test_the_unknown_and_what_belongs_to_others_are_refused_alike_after_the_same_look_ups():
    desk = opened_desk()
    scenario = kept(desk).head.id
    friend = holder(desk, kept(desk).head.id, "read")
    told = []
    with desk.store.reading() as session:
        for who, wanted in (
            (WRITER, numbered("sc", 404)),
            (STRANGER, scenario),
            (friend, scenario),
            (friend, numbered("sc", 404)),
        ):
            watched = Watched(session)
            with pytest.raises(errors.UnknownScenarioError) as refusal:
                found(watched, who, wanted, "admin")
            assert str(refusal.value) == wanted
            told.append((type(refusal.value), watched.calls))
    assert told == [(errors.UnknownScenarioError, ["scenarios.head"])] * 4


def test_what_lies_in_the_bin_is_said_to_its_office_and_unknown_to_whoever_has_a_link():
    desk = opened_desk()
    scenario = kept(desk).head.id
    friend = holder(desk, scenario, "edit")
    put_in_bin(desk, WRITER, scenario, 1)
    with desk.store.reading() as session:
        with pytest.raises(errors.BinnedError):
            found(session, READER, scenario)
        with pytest.raises(errors.UnknownScenarioError):
            found(session, friend, scenario)
        with pytest.raises(errors.UnknownScenarioError):
            found(session, STRANGER, scenario)
        assert found(session, WRITER, scenario, "write", binned_too=True).id == scenario


def shown(desk, token, **changes):
    with desk.store.writing() as session:
        session.credentials.add(credential(40, token=token, **changes))


def test_a_token_leads_to_its_office():
    desk = opened_desk()
    token = new_token("key")
    shown(desk, token, access="write", label="batch job")
    with desk.store.reading() as session:
        who, kept_of_it = identified(session, desk, token, "request-7")
    assert who == caller(kept_of_it, request_id="request-7")
    assert (who.office_id, who.access, who.label) == (numbered("of", 1), "write", "batch job")


def test_a_token_kept_under_an_older_secret_still_opens():
    desk = opened_desk(peppers=Peppers({1: PEPPERS.secrets[1], 2: b"the secret that came after"}))
    token = new_token("key")
    shown(desk, token)
    with desk.store.reading() as session:
        assert identified(session, desk, token)[1].pepper == 1


def test_a_token_that_was_revoked_has_expired_or_never_was_opens_nothing():
    desk = opened_desk()
    token = new_token("key")
    shown(desk, token, expires_at=desk.now() + timedelta(days=1))
    with desk.store.reading() as session:
        identified(session, desk, token)
        with pytest.raises(errors.UnknownTokenError):
            identified(session, desk, new_token("key"))
    desk.now.forward(days=1)
    with desk.store.reading() as session, pytest.raises(errors.UnknownTokenError):
        identified(session, desk, token)
    desk.now.forward(days=-1)
    with desk.store.writing() as session:
        session.credentials.revoke(numbered("ky", 40), desk.now())
    with desk.store.reading() as session, pytest.raises(errors.UnknownTokenError):
        identified(session, desk, token)


def test_a_mistyped_token_is_told_without_a_look_up():
    desk = opened_desk()
    with desk.store.reading() as session:
        watched = Watched(session)
        with pytest.raises(errors.MistypedTokenError):
            identified(watched, desk, new_token("key")[:-1])
    assert watched.calls == []
