"""Pages of scenarios, on every store."""

from datetime import timedelta

import pytest

from service.scenarios.repositories import Listing
from tests.support.offices import START, head, keep, office

MINUTE = timedelta(minutes=1)
SAME = START + 5 * MINUTE


@pytest.fixture
def listed(office_store):
    """Return what gives the numbers of the scenarios on a page of office 1."""
    with office_store.writing() as session:
        keep(
            session,
            head(2, updated_at=SAME, external_id="a"),
            head(3, updated_at=START + 9 * MINUTE, external_id="b"),
            head(4, updated_at=SAME),
            head(5, updated_at=SAME, external_id="c"),
            head(6, updated_at=START + MINUTE),
            head(7, updated_at=SAME),
            head(8, office_id=office(2).id, updated_at=SAME, external_id="a"),
            head(9, updated_at=SAME, external_id="z"),
        )
        session.scenarios.put_in_bin(head(9).id, 1, SAME)

    def numbers(office_number=1, **listing):
        with office_store.reading() as session:
            page = session.scenarios.page(office(office_number).id, Listing(**listing))
            return [int(one.id[3:]) for one in page]

    return numbers


def test_without_a_time_the_newest_come_first_page_by_page(listed):
    assert listed(limit=3) == [7, 6, 5]
    assert listed(limit=3, after_id=head(5).id) == [4, 3, 2]
    assert listed(limit=3, after_id=head(2).id) == [1]
    assert listed(limit=3, after_id=head(1).id) == []


def test_since_a_time_what_was_changed_first_comes_first(listed):
    assert listed(limit=9, updated_since=START) == [1, 6, 2, 4, 5, 7, 3]


def test_what_was_changed_at_the_very_time_is_listed(listed):
    assert listed(limit=9, updated_since=SAME) == [2, 4, 5, 7, 3]
    assert listed(limit=9, updated_since=SAME + timedelta(milliseconds=1)) == [3]
    assert listed(limit=9, updated_since=START + 10 * MINUTE) == []


def test_pages_since_a_time_go_on_within_scenarios_changed_at_the_same_time(listed):
    since = {"limit": 2, "updated_since": START}
    assert listed(**since) == [1, 6]
    second = since | {"after_id": head(6).id, "after_updated_at": START + MINUTE}
    assert listed(**second) == [2, 4]
    third = since | {"after_id": head(4).id, "after_updated_at": SAME}
    assert listed(**third) == [5, 7]
    last = since | {"after_id": head(7).id, "after_updated_at": SAME}
    assert listed(**last) == [3]
    none = since | {"after_id": head(3).id, "after_updated_at": START + 9 * MINUTE}
    assert listed(**none) == []


def test_a_scenario_is_listed_by_its_external_id(listed):
    assert listed(limit=9, external_id="a") == [2]
    assert listed(limit=9, external_id="A") == []
    assert listed(limit=9, external_id="z") == []
    assert listed(limit=9, external_id="a", after_id=head(2).id) == []
    assert listed(limit=9, external_id="b", updated_since=SAME) == [3]
    assert listed(limit=9, external_id="a", updated_since=START + 6 * MINUTE) == []


def test_the_bin_is_a_list_of_its_own(listed):
    assert listed(limit=9, binned=True) == [9]
    assert listed(limit=9, binned=True, external_id="z") == [9]
    assert listed(limit=9, binned=True, updated_since=SAME) == [9]
    assert listed(limit=9, binned=True, after_id=head(9).id) == []


def test_an_office_lists_its_own_scenarios_alone(listed):
    assert listed(2, limit=9) == [8]
    assert listed(2, limit=9, external_id="a") == [8]
    assert listed(3, limit=9) == []


def test_a_whole_walk_meets_every_scenario_once(office_store):
    made = [head(number, updated_at=START + MINUTE * (number % 7)) for number in range(2, 60)]
    with office_store.writing() as session:
        keep(session, *made)
    everything = [head(), *made]
    by_id, by_change = [], []
    with office_store.reading() as session:
        page = session.scenarios.page(office().id, Listing(limit=9))
        while page:
            by_id += page
            page = session.scenarios.page(office().id, Listing(limit=9, after_id=page[-1].id))
        page = session.scenarios.page(office().id, Listing(limit=9, updated_since=START))
        while page:
            by_change += page
            page = session.scenarios.page(
                office().id,
                Listing(
                    limit=9,
                    updated_since=START,
                    after_id=page[-1].id,
                    after_updated_at=page[-1].updated_at,
                ),
            )
    assert by_id == sorted(everything, key=lambda one: one.id, reverse=True)
    assert by_change == sorted(everything, key=lambda one: (one.updated_at, one.id))


def test_a_change_that_is_committed_late_is_missed_unless_asked_for_from_a_little_before(store):
    early, late = head(1, updated_at=START), head(2, updated_at=START + MINUTE / 2)
    with store.writing() as session:
        keep(session, office(), late)
    with store.reading() as session:
        [seen] = session.scenarios.page(office().id, Listing(9, updated_since=START - MINUTE))
    with store.writing() as session:
        keep(session, early)
    with store.reading() as session:
        since = Listing(9, updated_since=seen.updated_at)
        before = Listing(9, updated_since=seen.updated_at - MINUTE)
        assert list(session.scenarios.page(office().id, since)) == [late]
        assert list(session.scenarios.page(office().id, before)) == [early, late]
