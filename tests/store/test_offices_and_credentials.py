"""Offices, their keys and the links of their scenarios, on every store."""

from datetime import UTC, date, datetime, timedelta

from tests.support.offices import DAY, START, credential, head, keep, numbered, office

LATER = START + timedelta(hours=5, milliseconds=1)
OTHER_DIGEST = bytes(range(32))


def test_an_office_comes_back_as_it_was_kept(store):
    kept = office(name="Büro Weiß · 牧場 \N{COW}", created_at=LATER)
    with store.writing() as session:
        session.offices.add(kept)
    with store.reading() as session:
        assert session.offices.get(kept.id) == kept
        assert session.offices.by_name(kept.name) == kept


def test_an_office_that_is_not_there_is_none(store):
    with store.reading() as session:
        assert session.offices.get(numbered("of", 1)) is None
        assert session.offices.by_name("Tansy") is None
        assert list(session.offices.every()) == []


def test_offices_are_told_apart_by_case_and_listed_by_id(store):
    offices = [office(3, name="tansy"), office(1, name="Tansy"), office(2, name="TANSY")]
    with store.writing() as session:
        keep(session, *offices)
    with store.reading() as session:
        assert [one.name for one in session.offices.every()] == ["Tansy", "TANSY", "tansy"]
        assert session.offices.by_name("tansy") == offices[0]


def test_a_key_comes_back_as_it_was_kept(office_store):
    kept = credential(
        2,
        access="write",
        label="tablet · 牧",
        digest=OTHER_DIGEST,
        pepper=7,
        expires_at=datetime(2027, 3, 9, 23, 59, 59, 999_000, tzinfo=UTC),
        revoked_at=LATER,
        last_used_on=date(2026, 2, 28),
        seen_in_url_at=LATER,
    )
    with office_store.writing() as session:
        session.credentials.add(kept)
    with office_store.reading() as session:
        assert session.credentials.find(kept.id) == kept


def test_a_link_comes_back_as_it_was_kept_with_what_is_unknown_as_none(office_store):
    kept = credential(5, scenario_id=head().id, access="edit")
    with office_store.writing() as session:
        session.credentials.add(kept)
    with office_store.reading() as session:
        found = session.credentials.find(kept.id)
    assert found == kept
    assert (found.revoked_at, found.last_used_on, found.seen_in_url_at) == (None, None, None)


def test_a_credential_is_found_under_any_of_the_digests(office_store):
    kept = credential(2, digest=OTHER_DIGEST)
    with office_store.writing() as session:
        session.credentials.add(kept)
    with office_store.reading() as session:
        assert session.credentials.by_digest([bytes(32), OTHER_DIGEST]) == kept
        assert session.credentials.by_digest(digest for digest in [OTHER_DIGEST]) == kept
        assert session.credentials.by_digest([bytes(32)]) is None
        assert session.credentials.by_digest([]) is None


def test_a_credential_is_got_through_its_office_alone(office_store):
    with office_store.reading() as session:
        assert session.credentials.get(office().id, credential().id) == credential()
        assert session.credentials.get(office(2).id, credential().id) is None
        assert session.credentials.get(office().id, numbered("ky", 9)) is None
        assert session.credentials.find(numbered("ky", 9)) is None


def test_keys_are_listed_by_office_oldest_first_page_by_page(office_store):
    keys = [credential(number) for number in (2, 3, 4)]
    revoked = credential(5, revoked_at=LATER)
    with office_store.writing() as session:
        link = credential(6, scenario_id=head().id)
        keep(session, *reversed(keys), revoked, link, credential(7, office_id=office(2).id))
    with office_store.reading() as session:
        first = session.credentials.keys(office().id, None, 2)
        second = session.credentials.keys(office().id, first[-1].id, 2)
        last = session.credentials.keys(office().id, second[-1].id, 2)
        assert list(session.credentials.keys(office().id, last[-1].id, 2)) == []
    assert list(first) == [credential(1), keys[0]]
    assert list(second) == keys[1:]
    assert list(last) == [revoked]


def test_links_are_listed_by_scenario_oldest_first_page_by_page(office_store):
    links = [credential(number, scenario_id=head().id) for number in (1, 2, 3)]
    with office_store.writing() as session:
        keep(session, head(2), *reversed(links), credential(4, scenario_id=head(2).id))
    with office_store.reading() as session:
        first = session.credentials.links(head().id, None, 2)
        assert list(first) == links[:2]
        assert list(session.credentials.links(head().id, first[-1].id, 2)) == links[2:]
        assert list(session.credentials.links(head().id, links[-1].id, 2)) == []


def test_live_links_are_those_neither_revoked_nor_expired(office_store):
    of = {"scenario_id": head().id}
    with office_store.writing() as session:
        keep(
            session,
            head(2),
            credential(1, **of, expires_at=LATER),
            credential(2, **of, expires_at=LATER + timedelta(milliseconds=1)),
            credential(3, **of, revoked_at=START),
            credential(4, scenario_id=head(2).id),
        )
    with office_store.reading() as session:
        assert session.credentials.live_links(head().id, START) == 2
        assert session.credentials.live_links(head().id, LATER) == 1
        assert session.credentials.live_links(head(3).id, START) == 0


def test_live_admin_keys_are_counted_by_office(office_store):
    with office_store.writing() as session:
        keep(
            session,
            credential(2, expires_at=LATER),
            credential(3, revoked_at=START),
            credential(4, access="write"),
            credential(5, office_id=office(2).id),
        )
    with office_store.reading() as session:
        assert session.credentials.live_admin_keys(office().id, START) == 2
        assert session.credentials.live_admin_keys(office().id, LATER) == 1
        assert session.credentials.live_admin_keys(office(2).id, START) == 1


def test_a_link_and_a_key_that_is_over_are_no_live_key(store):
    with store.writing() as session:
        keep(session, office(), head(), credential(1, scenario_id=head().id))
        keep(session, credential(2, revoked_at=START), credential(3, expires_at=LATER))
    with store.reading() as session:
        assert session.credentials.any_live_key(START)
        assert not session.credentials.any_live_key(LATER)


def test_a_credential_is_revoked_once(office_store):
    with office_store.writing() as session:
        assert session.credentials.revoke(credential().id, LATER)
    with office_store.writing() as session:
        assert not session.credentials.revoke(credential().id, LATER + timedelta(days=1))
        assert not session.credentials.revoke(numbered("ky", 9), LATER)
    with office_store.reading() as session:
        assert session.credentials.find(credential().id) == credential(revoked_at=LATER)


def test_the_day_of_use_is_noted_once_a_day(office_store):
    with office_store.writing() as session:
        assert session.credentials.mark_used(credential().id, DAY)
    with office_store.writing() as session:
        assert not session.credentials.mark_used(credential().id, DAY)
        assert session.credentials.mark_used(credential().id, DAY + timedelta(days=1))
        assert not session.credentials.mark_used(numbered("ky", 9), DAY)
    with office_store.reading() as session:
        used = session.credentials.find(credential().id).last_used_on
    assert used == DAY + timedelta(days=1)


def test_what_was_seen_in_an_address_is_marked(office_store):
    with office_store.writing() as session:
        session.credentials.mark_seen_in_url(credential().id, LATER)
    with office_store.reading() as session:
        assert session.credentials.find(credential().id) == credential(seen_in_url_at=LATER)


def test_a_rehashed_credential_is_found_under_the_new_digest_alone(office_store):
    with office_store.writing() as session:
        session.credentials.rehash(credential().id, OTHER_DIGEST, 2)
    with office_store.reading() as session:
        found = session.credentials.by_digest([OTHER_DIGEST])
        assert session.credentials.by_digest([credential().digest]) is None
    assert found == credential(digest=OTHER_DIGEST, pepper=2)


def test_acts_on_one_credential_leave_the_others_alone(office_store):
    other = credential(2)
    with office_store.writing() as session:
        keep(session, other)
        session.credentials.revoke(credential().id, LATER)
        session.credentials.mark_used(credential().id, DAY)
        session.credentials.mark_seen_in_url(credential().id, LATER)
        session.credentials.rehash(credential().id, OTHER_DIGEST, 2)
    with office_store.reading() as session:
        assert session.credentials.find(other.id) == other
