"""Keys and links: made, used, revoked, and never kept as they are shown."""

from datetime import timedelta

import pytest

from service.costing.errors import InputError
from service.scenarios import errors
from service.scenarios.access import identified
from service.scenarios.audit import audited
from service.scenarios.keeping import put_in_bin
from service.scenarios.sharing import (
    MOST_LINKS,
    keys,
    keys_on_host,
    links,
    make_key,
    make_key_on_host,
    make_link,
    noted_use,
    revoke_key,
    revoke_link,
    revoke_on_host,
    seen_in_url,
)
from service.scenarios.tokens import Peppers, kind_of, new_token
from tests.support.desks import (
    ADMIN,
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    now_of,
    opened_desk,
)
from tests.support.offices import PEPPERS, START, numbered


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    return kept(desk).head.id


def who_shows(desk, token):
    with desk.store.reading() as session:
        return identified(session, desk, token)


def faults_of(refusal):
    return {fault.input: fault for fault in refusal.value.faults}


def everything_kept(desk):
    tables = vars(desk.store.tables).values()
    return repr([[repr(row) for row in t.values()] for t in tables if isinstance(t, dict)])


@pytest.mark.parametrize("access", ["read", "edit"])
def test_a_link_opens_its_scenario_until_it_expires(desk, scenario, access):
    link, token = make_link(desk, WRITER, scenario, access, "  farmer's phone ", 90)
    assert kind_of(token) == f"{access}_link"
    assert (link.kind, link.access, link.scenario_id) == ("link", access, scenario)
    assert (link.label, link.hint) == ("farmer's phone", token[:8])
    assert (link.created_by, link.expires_at) == (WRITER.credential_id, START + timedelta(days=90))
    caller, credential = who_shows(desk, token)
    assert credential == link
    assert now_of(desk, scenario, caller).head.id == scenario
    assert done(desk)[-1] == ("link.create", link.id, None)
    desk.now.forward(days=90)
    with pytest.raises(errors.UnknownTokenError):
        who_shows(desk, token)


def test_a_token_is_in_what_is_returned_and_nowhere_else(desk, scenario):
    _, link = make_link(desk, WRITER, scenario, "read", "phone", 90)
    _, key = make_key(desk, ADMIN, "write", "batch job", 30)
    _, _, first = make_key_on_host(desk, "Sorrel", "admin", "first", 30)
    told = everything_kept(desk)
    for token in (link, key, first):
        assert token[:8] in told
        assert token[8:] not in told


def test_everything_wrong_with_a_wish_is_told_at_once(desk, scenario):
    for make in (
        lambda: make_link(desk, WRITER, scenario, "admin", "  ", 0),
        lambda: make_key(desk, ADMIN, "edit", "x" * 81, 401),
        lambda: make_key_on_host(desk, "Sorrel", "edit", "two\nlines", "30"),
        lambda: make_key(desk, ADMIN, None, None, days=True),
    ):
        with pytest.raises(InputError) as refusal:
            make()
        assert set(faults_of(refusal)) == {"access", "label", "expires_in_days"}
        assert all(fault.allowed for fault in refusal.value.faults)
    with pytest.raises(InputError) as refusal:
        make_key_on_host(desk, "", "admin", f"it is {new_token('key')}", 30)
    assert set(faults_of(refusal)) == {"office", "label"}
    with desk.store.reading() as session:
        assert len(session.offices.every()) == 2
        assert links(session, WRITER, scenario, None, 10) == []


@pytest.mark.parametrize(("label", "days"), [("x", 1), ("x" * 80, 400)])
def test_the_limits_themselves_are_allowed(desk, scenario, label, days):
    assert make_link(desk, WRITER, scenario, "read", label, days)[0].label == label
    assert make_key(desk, ADMIN, "read", label, days)[0].label == label


def test_a_scenario_has_twenty_live_links_at_most(desk, scenario):
    made = [make_link(desk, WRITER, scenario, "read", "phone", 90)[0] for _ in range(MOST_LINKS)]
    assert MOST_LINKS == 20
    with pytest.raises(errors.TooManyLinksError, match="20"):
        make_link(desk, WRITER, scenario, "edit", "phone", 90)
    make_link(desk, WRITER, kept(desk).head.id, "read", "phone", 90)
    revoke_link(desk, WRITER, scenario, made[0].id)
    make_link(desk, WRITER, scenario, "read", "phone", 90)
    with pytest.raises(errors.TooManyLinksError):
        make_link(desk, WRITER, scenario, "read", "phone", 90)
    desk.now.forward(days=90)
    make_link(desk, WRITER, scenario, "read", "phone", 90)


def test_links_are_made_listed_and_revoked_with_a_key_that_writes(desk, scenario):
    link = make_link(desk, WRITER, scenario, "edit", "phone", 90)[0]
    friend = holder(desk, scenario, "edit")
    for who, error in (
        (READER, errors.TooLittleAccessError),
        (friend, errors.TooLittleAccessError),
        (STRANGER, errors.UnknownScenarioError),
    ):
        with pytest.raises(error):
            make_link(desk, who, scenario, "read", "", 0)
        with desk.store.reading() as session, pytest.raises(error):
            links(session, who, scenario, None, 10)
        with pytest.raises(error):
            revoke_link(desk, who, scenario, link.id)
    with desk.store.reading() as session:
        first = links(session, WRITER, scenario, None, 1)
        rest = links(session, WRITER, scenario, first[0].id, 10)
    assert {one.id for one in (*first, *rest)} == {link.id, friend.credential_id}
    assert len(first) == len(rest) == 1


def test_a_revoked_link_opens_nothing_and_is_in_the_journal(desk, scenario):
    link, token = make_link(desk, WRITER, scenario, "read", "phone", 90)
    other, other_token = make_link(desk, WRITER, scenario, "read", "tablet", 90)
    later = desk.now.forward(hours=1)
    revoke_link(desk, WRITER, scenario, link.id)
    revoke_link(desk, WRITER, scenario, link.id)
    with pytest.raises(errors.UnknownTokenError):
        who_shows(desk, token)
    assert who_shows(desk, other_token)[1] == other
    assert desk.journal.lines == [("revoke", link.id, later)]
    with desk.store.reading() as session:
        assert session.erasures.ids() == {("revoke", link.id)}
        now = {one.id: one.revoked_at for one in links(session, WRITER, scenario, None, 10)}
    assert now == {link.id: later, other.id: None}
    assert [entry for entry in done(desk) if entry[0] == "link.revoke"] == [
        ("link.revoke", link.id, None)
    ]


def test_only_what_belongs_to_the_scenario_is_revoked_with_it(desk, scenario):
    other = kept(desk).head.id
    link = make_link(desk, WRITER, other, "read", "phone", 90)[0]
    for unknown in (link.id, ADMIN.credential_id, numbered("ln", 404), "a\0b"):
        with pytest.raises(errors.UnknownPartError, match="no such link"):
            revoke_link(desk, WRITER, scenario, unknown)
    assert desk.journal.lines == []


def test_keys_are_for_the_admin_of_the_office(desk):
    for who in (READER, WRITER, holder(desk, kept(desk).head.id, "edit")):
        with pytest.raises(errors.TooLittleAccessError):
            make_key(desk, who, "read", "", 0)
        with pytest.raises(errors.TooLittleAccessError):
            revoke_key(desk, who, ADMIN.credential_id)
        with desk.store.reading() as session, pytest.raises(errors.TooLittleAccessError):
            keys(session, who, None, 10)
    key, token = make_key(desk, ADMIN, "write", "batch job", 30)
    assert (kind_of(token), key.kind, key.access, key.scenario_id) == ("key", "key", "write", None)
    assert done(desk)[-1] == ("key.create", key.id, None)
    with desk.store.reading() as session:
        ids = [one.id for one in keys(session, ADMIN, None, 10)]
        assert ids == [*(numbered("ky", number) for number in (1, 2, 3)), key.id]
        assert [one.id for one in keys(session, ADMIN, ids[1], 1)] == ids[2:3]
        assert [one.id for one in keys(session, STRANGER, None, 10)] == [numbered("ky", 9)]


def test_a_key_of_another_office_is_as_unknown_as_one_that_never_was(desk):
    link = holder(desk, kept(desk).head.id, "read").credential_id
    for unknown in (STRANGER.credential_id, numbered("ky", 404), link, "a\0b"):
        with pytest.raises(errors.UnknownPartError, match="no such key"):
            revoke_key(desk, ADMIN, unknown)
    assert desk.journal.lines == []


def test_the_last_live_admin_key_cannot_be_revoked_but_on_the_host(desk):
    with pytest.raises(errors.LastAdminKeyError):
        revoke_key(desk, ADMIN, ADMIN.credential_id)
    second = make_key(desk, ADMIN, "admin", "second", 30)[0]
    desk.now.forward(days=30)
    with pytest.raises(errors.LastAdminKeyError):
        revoke_key(desk, ADMIN, ADMIN.credential_id)
    third = make_key(desk, ADMIN, "admin", "third", 30)[0]
    revoke_key(desk, ADMIN, ADMIN.credential_id)
    revoke_key(desk, ADMIN, ADMIN.credential_id)
    revoke_key(desk, ADMIN, second.id)
    with pytest.raises(errors.LastAdminKeyError):
        revoke_key(desk, ADMIN, third.id)
    gone = revoke_on_host(desk, third.id)
    assert gone.revoked_at == desk.now()
    assert [object_id for _, object_id, _ in desk.journal.lines] == [
        ADMIN.credential_id,
        second.id,
        third.id,
    ]


def test_a_key_that_only_writes_can_always_be_revoked(desk):
    revoke_key(desk, ADMIN, WRITER.credential_id)
    assert done(desk)[-1] == ("key.revoke", WRITER.credential_id, None)


def test_the_first_key_of_an_office_is_made_on_the_host(desk):
    office, key, token = make_key_on_host(desk, "  Sorrel  ", "admin", "first", 365)
    assert (office.name, office.created_at, key.office_id) == ("Sorrel", START, office.id)
    caller, found = who_shows(desk, token)
    assert (caller.office_id, found) == (office.id, key)
    same, second, _ = make_key_on_host(desk, "Sorrel", "read", "second", 365)
    other, _, _ = make_key_on_host(desk, "sorrel", "read", "third", 365)
    assert (same, second.access) == (office, "read")
    assert other.id != office.id
    with desk.store.reading() as session:
        entries = audited(session, caller, None, None, 10)
    assert {(entry.credential_id, entry.action) for entry in entries} == {
        ("operator", "key.create")
    }
    assert {entry.object_id for entry in entries} == {key.id, second.id}


def test_the_host_sees_the_keys_of_every_office_and_no_links(desk):
    holder(desk, kept(desk).head.id, "read")
    for number in range(250):
        make_key_on_host(desk, "Sorrel", "read", f"key {number}", 30)
    with desk.store.reading() as session:
        pairs = keys_on_host(session)
    assert len(pairs) == len({key.id for _, key in pairs}) == 4 + 250
    assert all(key.office_id == office.id and key.kind == "key" for office, key in pairs)


def test_the_host_revokes_any_key_or_link(desk):
    link = holder(desk, kept(desk).head.id, "read").credential_id
    first = revoke_on_host(desk, link)
    desk.now.forward(hours=1)
    assert revoke_on_host(desk, link).revoked_at == first.revoked_at == START
    revoke_on_host(desk, STRANGER.credential_id)
    for unknown in (numbered("ky", 404), "a\0b"):
        with pytest.raises(errors.UnknownPartError):
            revoke_on_host(desk, unknown)
    with desk.store.reading() as session:
        entry = session.audit.page(numbered("of", 2), None, None, 10)[0]
    assert (entry.credential_id, entry.action) == ("operator", "key.revoke")
    assert done(desk)[-1] == ("link.revoke", link, None)
    assert [object_id for _, object_id, _ in desk.journal.lines] == [
        link,
        STRANGER.credential_id,
    ]


def test_the_use_of_a_token_is_noted_once_a_day(desk, scenario):
    _, token = make_link(desk, WRITER, scenario, "read", "phone", 90)
    written = desk.store.written
    for _ in range(3):
        noted_use(desk, who_shows(desk, token)[1], token)
    assert desk.store.written == written + 1
    assert who_shows(desk, token)[1].last_used_on == START.date()
    desk.now.forward(days=1)
    seen = who_shows(desk, token)[1]
    noted_use(desk, seen, token)
    noted_use(desk, seen, token)
    reads = [entry for entry in done(desk) if entry[0] == "link.read"]
    assert reads == [("link.read", scenario, None)] * 2


def test_the_use_of_a_key_leaves_no_entry(desk):
    key, token = make_key(desk, ADMIN, "read", "batch job", 30)
    before = done(desk)
    noted_use(desk, key, token)
    assert who_shows(desk, token)[1].last_used_on == START.date()
    assert done(desk) == before


def test_a_token_in_use_moves_to_the_newest_secret():
    desk = opened_desk()
    key, token = make_key(desk, ADMIN, "read", "batch job", 30)
    noted_use(desk, key, token)
    newer = opened_desk_with(desk, Peppers({1: PEPPERS.secrets[1], 2: b"the secret after it"}))
    noted_use(newer, who_shows(newer, token)[1], token)
    moved = who_shows(newer, token)[1]
    assert (moved.pepper, moved.id) == (2, key.id)
    only_new = opened_desk_with(desk, Peppers({2: b"the secret after it"}))
    assert who_shows(only_new, token)[1] == moved
    written = desk.store.written
    noted_use(newer, moved, token)
    assert desk.store.written == written


def opened_desk_with(desk, peppers):
    return type(desk)(desk.store, desk.journal, desk.read, peppers, desk.now)


def test_a_token_that_stood_in_an_address_is_marked(desk):
    key, token = make_key(desk, ADMIN, "admin", "careless", 30)
    seen_in_url(desk, key)
    assert who_shows(desk, token)[1].seen_in_url_at == START
    with desk.store.reading() as session:
        entry = audited(session, ADMIN, key.id, None, 10)[0]
    assert (entry.action, entry.credential_id) == ("token.seen_in_url", key.id)


def test_the_use_of_what_is_gone_leaves_nothing(desk, scenario):
    link, token = make_link(desk, WRITER, scenario, "read", "phone", 90)
    with desk.store.writing() as session:
        session.scenarios.erase(scenario)
    before = done(desk)
    noted_use(desk, link, token)
    assert done(desk) == before


def test_links_sleep_while_the_scenario_is_in_the_bin(desk, scenario):
    friend = holder(desk, scenario, "read")
    put_in_bin(desk, WRITER, scenario, 1)
    with pytest.raises(errors.UnknownScenarioError):
        now_of(desk, scenario, friend)
    with pytest.raises(errors.BinnedError):
        make_link(desk, WRITER, scenario, "read", "phone", 90)
