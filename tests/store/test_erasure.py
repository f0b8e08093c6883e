"""Erasing a scenario with all that hangs on it, on every store."""

from dataclasses import replace
from datetime import timedelta

from service.scenarios.records import Counts
from service.scenarios.repositories import Listing
from tests.support.offices import (
    START,
    advanced,
    costing,
    credential,
    entry,
    head,
    job,
    keep,
    note,
    numbered,
    office,
    past_winter,
    replay,
    revision,
    weather_record,
)

STALE = START - timedelta(minutes=2)


def hang(session, number):
    """Hang two of each kind on a scenario that is kept, and answers to what made them."""
    owner = head(number)
    second = advanced(owner)
    assert session.scenarios.advance(second, revision(second))
    link = credential(10 * number, scenario_id=owner.id)
    edit = credential(10 * number + 1, scenario_id=owner.id, access="edit")
    notes = [note(10 * number, owner), note(10 * number + 1, second)]
    keep(session, link, edit, *notes)
    keep(session, costing(10 * number, owner), costing(10 * number + 1, second))
    jobs = [job(10 * number, owner), job(10 * number + 1, second)]
    keep(session, weather_record(10 * number), *jobs)
    session.jobs.add_part(jobs[0].id, 0, b"part")
    session.weather_records.use(weather_record(10 * number).id, owner.id)
    keep(session, past_winter("2024-25", owner), past_winter("2025-26", owner))
    for made in (owner, link, notes[0], jobs[0]):
        answered(session, made.id)
    answered(session, notes[1].id, credential_id=edit.id)


def answered(session, object_id, **changes):
    claimed = replay(f"made {object_id}", **changes)
    assert session.replays.claim(claimed, STALE) is None
    session.replays.complete(replace(claimed, status=201, body=b"made", object_id=object_id))


def standing(session, number):
    """Return all that hangs on a scenario."""
    owner = head(number)
    return {
        "head": session.scenarios.head(office().id, owner.id),
        "listed": [
            one for one in session.scenarios.page(office().id, Listing(99)) if one.id == owner.id
        ],
        "revisions": list(session.scenarios.revisions(owner.id, None, 9)),
        "revision": session.scenarios.revision(owner.id, 1),
        "costings": list(session.costings.page(owner.id, None, None, 9)),
        "costing": session.costings.get(owner.id, costing(10 * number).id),
        "notes": list(session.notes.page(owner.id, None, 9)),
        "winters": list(session.past_winters.every(owner.id)),
        "links": list(session.credentials.links(owner.id, None, 9)),
        "link": session.credentials.find(numbered("ln", 10 * number)),
        "jobs": list(session.jobs.page(owner.id, None, 9)),
        "job": session.jobs.get(owner.id, job(10 * number).id),
        "found": session.jobs.find(owner.id, job(10 * number).request_key),
        "parts": list(session.jobs.parts(job(10 * number).id)),
        "uses": list(session.weather_records.users(weather_record(10 * number).id, 9)),
    }


def test_all_that_hangs_on_a_scenario_goes_and_is_counted(office_store):
    with office_store.writing() as session:
        hang(session, 1)
    with office_store.reading() as session:
        assert all(standing(session, 1).values())
    with office_store.writing() as session:
        counts = session.scenarios.erase(head().id)
    with office_store.reading() as session:
        assert not any(standing(session, 1).values())
    assert counts == Counts(
        revisions=2, costings=2, notes=2, links=2, replays=5, analyses=2, winters=2
    )


def test_answers_that_tell_of_it_are_forgotten(office_store):
    with office_store.writing() as session:
        hang(session, 1)
        session.scenarios.erase(head().id)
    with office_store.writing() as session:
        for object_id in (head().id, numbered("ln", 10), numbered("nt", 10), job(10).id):
            assert session.replays.claim(replay(f"made {object_id}"), STALE) is None


def test_other_scenarios_are_left_alone(office_store):
    with office_store.writing() as session:
        keep(session, head(2))
        hang(session, 1)
        hang(session, 2)
    with office_store.reading() as session:
        before = standing(session, 2)
    with office_store.writing() as session:
        session.scenarios.erase(head().id)
    with office_store.writing() as session:
        assert standing(session, 2) == before
        kept = session.replays.claim(replay(f"made {head(2).id}"), STALE)
        assert session.credentials.find(credential().id) == credential()
    assert kept is not None
    assert kept.body == b"made"


def test_a_weather_record_outlives_the_scenario_that_used_it(office_store):
    with office_store.writing() as session:
        hang(session, 1)
        session.scenarios.erase(head().id)
    with office_store.reading() as session:
        kept = weather_record(10)
        assert session.weather_records.days(kept.id) == kept.days
        assert len(session.weather_records.winters(kept.id, kept.classifier)) == 1


def test_copies_stay_and_forget_where_they_came_from(office_store):
    copy = head(2, origin_id=head().id, origin_revision=1, external_id="what if")
    grandchild = head(3, origin_id=copy.id, origin_revision=1)
    with office_store.writing() as session:
        keep(session, copy, grandchild)
        session.scenarios.erase(head().id)
    with office_store.reading() as session:
        found = session.scenarios.head(office().id, copy.id)
        assert session.scenarios.head(office().id, grandchild.id) == grandchild
        assert session.scenarios.revision(copy.id, 1) == revision(copy)
    assert found == replace(copy, origin_id=None, origin_revision=None)


def test_a_scenario_is_erased_from_the_bin(office_store):
    with office_store.writing() as session:
        session.scenarios.put_in_bin(head().id, 1, START)
    with office_store.writing() as session:
        assert session.scenarios.erase(head().id) == Counts(revisions=1)
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) is None


def test_erasing_what_is_not_there_counts_nothing(office_store):
    with office_store.writing() as session:
        assert session.scenarios.erase(numbered("sc", 9)) == Counts()
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head().id) == head()


def test_the_audit_outlives_what_it_names(office_store):
    with office_store.writing() as session:
        keep(session, entry())
        session.scenarios.erase(head().id)
    with office_store.reading() as session:
        assert len(session.audit.page(office().id, head().id, None, 9)) == 1


def test_an_external_id_is_free_again_after_the_erasure(office_store):
    with office_store.writing() as session:
        keep(session, head(2, external_id="a"))
    with office_store.writing() as session:
        session.scenarios.erase(head(2).id)
        keep(session, head(3, external_id="a"))
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(3).id) == head(3, external_id="a")
