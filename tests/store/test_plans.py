"""What is read from SQLite is searched for by an index: no table is gone through, none sorted.

So a page takes as long at a million scenarios as at a thousand. SQLite says how it would go about
a statement when asked by EXPLAIN QUERY PLAN (sqlite.org/eqp.html): SEARCH by an index, SCAN of a
whole table, TEMP B-TREE to sort.
"""

from contextlib import closing

import pytest
from sqlalchemy import event, text

from service.scenarios.repositories import Listing
from service.store.database import Database
from tests.support.offices import (
    START,
    classification,
    credential,
    furnish,
    head,
    job,
    keep,
    office,
    weather_record,
)


def page(**listing):
    return lambda session: session.scenarios.page(office().id, Listing(9, **listing))


AFTER = {"after_id": head().id}
SINCE = {"updated_since": START}
AFTER_SINCE = {**SINCE, **AFTER, "after_updated_at": START}
READS = {
    "scenarios": (page(), "ix_scenarios_listed (office_id=?"),
    "further scenarios": (page(**AFTER), "ix_scenarios_listed (office_id=? AND id<?"),
    "since": (page(**SINCE), "ix_scenarios_changed (office_id=? AND (updated_at,id)>(?,?)"),
    "further since": (
        page(**AFTER_SINCE),
        "ix_scenarios_changed (office_id=? AND (updated_at,id)>(?,?)",
    ),
    "bin": (page(binned=True), "ix_scenarios_bin (office_id=?"),
    "further bin": (page(binned=True, **AFTER), "ix_scenarios_bin (office_id=? AND id<?"),
    "binned before": (
        lambda session: session.scenarios.binned_before(START, 9),
        "ix_scenarios_binned (binned_at<?",
    ),
    "head": (lambda session: session.scenarios.head(office().id, head().id), "(id=?"),
    "copies": (lambda session: session.scenarios.copies(head().id), "ix_scenarios_origin ("),
    "revision": (
        lambda session: session.scenarios.revision(head().id, 1),
        "(scenario_id=? AND number=?",
    ),
    "revisions": (
        lambda session: session.scenarios.revisions(head().id, 7, 9),
        "(scenario_id=? AND number<?",
    ),
    "digest": (lambda session: session.credentials.by_digest([bytes(32)]), "(digest=?"),
    "keys": (
        lambda session: session.credentials.keys(office().id, credential().id, 9),
        "ix_credentials_keys (office_id=? AND id>?",
    ),
    "links": (
        lambda session: session.credentials.links(head().id, credential().id, 9),
        "ix_credentials_links (scenario_id=? AND id>?",
    ),
    "costing": (
        lambda session: session.costings.find(head().id, 1, "1", "2"),
        "(scenario_id=? AND revision=? AND engine_version=? AND reference_edition=?",
    ),
    "costings": (
        lambda session: session.costings.page(head().id, None, "ct", 9),
        "ix_costings_page (scenario_id=? AND id<?",
    ),
    "notes": (
        lambda session: session.notes.page(head().id, "nt", 9),
        "ix_notes_page (scenario_id=? AND id>?",
    ),
    "audit": (
        lambda session: session.audit.page(office().id, None, 9, 9),
        "ix_audit_office (office_id=? AND number<?",
    ),
    "audit of one": (
        lambda session: session.audit.page(office().id, head().id, 9, 9),
        "ix_audit_object (office_id=? AND object_id=? AND number<?",
    ),
    "weather records": (
        lambda session: session.weather_records.page(office().id, "wr", 9),
        "ix_weather_records_page (office_id=? AND id<?",
    ),
    "weather record": (
        lambda session: session.weather_records.get(office().id, weather_record().id),
        "(id=?",
    ),
    "classification": (
        lambda session: session.weather_records.classification(weather_record().id, "1"),
        "(record_id=? AND classifier=?",
    ),
    "classifications": (
        lambda session: session.weather_records.classifications(weather_record().id),
        "(record_id=?",
    ),
    "winters": (
        lambda session: session.weather_records.winters(weather_record().id, "1"),
        "(record_id=? AND classifier=?",
    ),
    "users": (
        lambda session: session.weather_records.users(weather_record().id, 9),
        "(record_id=?",
    ),
    "job": (lambda session: session.jobs.get(head().id, job().id), "(id=?"),
    "jobs": (
        lambda session: session.jobs.page(head().id, "an", 9),
        "ix_jobs_page (scenario_id=? AND id<?",
    ),
    "job of a question": (
        lambda session: session.jobs.find(head().id, "k"),
        "ix_jobs_request (scenario_id=? AND request_key=?",
    ),
    "open jobs": (
        lambda session: session.jobs.waiting(office().id),
        "ix_jobs_waiting (office_id=?",
    ),
    "parts done": (lambda session: session.jobs.parts_done(job().id), "(job_id=?"),
    "parts": (
        lambda session: list(session.jobs.parts(job().id)),
        "(job_id=? AND number>?",
    ),
    "past winter": (
        lambda session: session.past_winters.get(head().id, "2025-26"),
        "(scenario_id=? AND season=?",
    ),
    "past winters": (lambda session: session.past_winters.every(head().id), "(scenario_id=?"),
    "live links": (
        lambda session: session.credentials.live_links(head().id, START),
        "ix_credentials_links (scenario_id=?",
    ),
}


EXTERNAL_ID = "uq_scenarios_external_id (office_id=? AND external_id=?"
BY_EXTERNAL_ID = {
    "listed": (page(external_id="a"), EXTERNAL_ID),
    "in the bin": (page(external_id="a", binned=True), EXTERNAL_ID),
}
WRITES = {
    "renew": lambda session: session.jobs.renew(job().id, "A", START, 1),
    "release": lambda session: session.jobs.release(job().id, "A"),
    "finish": lambda session: session.jobs.finish(job(state="done"), "A"),
    "cancel": lambda session: session.jobs.cancel(head().id, job().id, START),
    "delete": lambda session: session.jobs.delete(head().id, job().id),
    "prune": lambda session: session.jobs.prune(START),
    "delete a weather record": lambda session: session.weather_records.delete(weather_record().id),
    "classify": lambda session: session.weather_records.classify(classification(), []),
}
SORTING = ["USE TEMP B-TREE FOR ORDER BY"]


def plans(database, act, *, writing=False):
    """Return how SQLite goes about what is read, or what is written."""
    said = []

    def note(*call):
        said.append(call[2:4])

    event.listen(database.engine, "before_cursor_execute", note)
    with database.writing() if writing else database.reading() as session:
        act(session)
    event.remove(database.engine, "before_cursor_execute", note)
    with database.engine.connect() as connection:
        return [
            row.detail
            for statement, parameters in said
            if statement.startswith(("SELECT", "INSERT", "UPDATE", "DELETE"))
            for row in connection.exec_driver_sql("EXPLAIN QUERY PLAN " + statement, parameters)
        ]


@pytest.fixture
def sqlite(sqlite_files, tmp_path):
    """Return a furnished database in a file."""
    with closing(Database.sqlite(sqlite_files.new(tmp_path), threads=2)) as database:
        furnish(database)
        yield database


@pytest.mark.parametrize(("read", "index"), BY_EXTERNAL_ID.values(), ids=BY_EXTERNAL_ID)
def test_an_external_id_leads_to_one_row_at_most_so_that_sorting_is_nothing(sqlite, read, index):
    assert [step for step in plans(sqlite, read) if index not in step] == SORTING


@pytest.mark.parametrize(("read", "index"), READS.values(), ids=READS)
def test_what_is_read_is_searched_for_by_an_index(sqlite, read, index):
    found = plans(sqlite, read)
    assert found
    assert any(index in step for step in found), found
    assert all(step.startswith("SEARCH") for step in found), found


def test_a_plan_shows_a_scan_and_a_sort_where_there_is_no_index(sqlite):
    with sqlite.engine.begin() as connection:
        connection.execute(text("drop index ix_scenarios_changed"))
    found = plans(sqlite, page(**SINCE))
    assert any("TEMP B-TREE" in step for step in found), found


@pytest.mark.parametrize("act", WRITES.values(), ids=WRITES)
def test_what_is_changed_is_searched_for_by_an_index(sqlite, act):
    with sqlite.writing() as session:
        keep(session, weather_record(), job(state="running", worker="A", lease_until=START))
    found = plans(sqlite, act, writing=True)
    assert any(step.startswith("SEARCH") for step in found), found
    assert not any(step.startswith(("SCAN", "USE TEMP")) for step in found), found


def test_work_is_looked_for_among_what_is_open_alone_in_the_order_of_its_age(sqlite):
    with sqlite.writing() as session:
        keep(session, job(1), *[job(number, state="done") for number in range(2, 40)])
    found = plans(sqlite, lambda session: session.jobs.claim("A", START, START), writing=True)
    look, take_up = found
    assert look == "SCAN jobs USING INDEX ix_jobs_open"
    assert take_up.endswith("(id=?)")
