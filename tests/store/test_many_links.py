"""A hundred thousand links: of one office, of one scenario. No time is asserted.

A token is found by an index, and by as few statements as when there is one link; SQLite says how by
EXPLAIN QUERY PLAN (sqlite.org/eqp.html), PostgreSQL by EXPLAIN (its documentation, section 14.1).
"""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from itertools import islice

import pytest
from sqlalchemy import event, func, insert, select, text

from service.scenarios.credentials import Wish, made
from service.scenarios.records import Credential
from service.store.credentials import CREDENTIAL
from service.store.database import Database
from service.store.tables import CREDENTIALS
from service.web.app import create_app
from tests.support.databases import DATABASES, SqliteFiles
from tests.support.offices import desk as new_desk
from tests.web.keeping import HERE, Keeping

LINKS = 100_000
ONE_SCENARIO, MANY_SCENARIOS = 1, 500
CHUNK = 10_000
PAGE = 200


@dataclass
class Crowd:
    """A service with very many links, and some of their tokens."""

    keeping: Keeping
    database: Database
    scenarios: list[str]
    tokens: dict[str, list[tuple[str, str]]]
    """By scenario: ids and tokens of the first of its links, oldest first."""
    total: int


@contextmanager
def opened_once(kind, request, folder) -> Iterator[Database]:
    """Open a database that lasts for the module."""
    if kind == "sqlite":
        files: SqliteFiles = request.getfixturevalue("sqlite_files")
        with closing(Database.sqlite(files.new(folder), 4)) as database:
            yield database
        return
    with (
        request.getfixturevalue("postgresql").new() as address,
        closing(Database.postgres(address, 4)) as database,
    ):
        yield database


@pytest.fixture(
    scope="module",
    params=[(kind, number) for kind in DATABASES for number in (ONE_SCENARIO, MANY_SCENARIOS)],
    ids=lambda given: f"{given[0]}, {given[1]} scenarios",
)
def crowd(request, tmp_path_factory) -> Iterator[Crowd]:
    kind, number = request.param
    with opened_once(kind, request, tmp_path_factory.mktemp("links")) as database:
        keeping = Keeping(create_app(), new_desk(store=database))
        first = keeping.stored(name="Larkspur Bottom")
        copies = [
            keeping("POST", f"/v1/scenarios/{first}/copies", "write", json={}).json()["id"]
            for _ in range(1, number)
        ]
        scenarios = [first, *copies]
        tokens = {scenario: [] for scenario in scenarios}
        with database.reading() as session:
            office = session.offices.by_name(HERE).id
        rows = links(keeping.desk, office, scenarios, tokens)
        for chunk in iter(lambda: list(islice(rows, CHUNK)), []):
            with database.engine.begin() as connection:
                connection.execute(insert(CREDENTIALS), chunk)
        with database.engine.connect() as connection:
            connection.execution_options(isolation_level="AUTOCOMMIT")
            connection.execute(text("ANALYZE"))
            total = connection.execute(select(func.count()).select_from(CREDENTIALS)).scalar_one()
        yield Crowd(keeping, database, scenarios, tokens, total)


def links(desk, office, scenarios, tokens):
    """Yield rows of links, made and hashed as the service does it; keep the first tokens."""
    for number in range(LINKS):
        scenario = scenarios[number % len(scenarios)]
        wish = Wish("read" if number % 3 else "edit", f"link {number}", 90)
        credential, token = made(desk, wish, office, "ky_made", scenario)
        if len(tokens[scenario]) < 4:
            tokens[scenario].append((credential.id, token))
        yield CREDENTIAL.values(credential)


@contextmanager
def heard(database):
    """Note the statements that a database is asked, and what they bind."""
    asked = []

    def note(_connection, _cursor, statement, parameters, _context, _many):
        asked.append((statement, parameters))

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(database.engine, "before_cursor_execute", note)


def plans(database, asked):
    """Return how a database goes about statements, a line for each step."""
    sqlite = database.kind == "sqlite"
    found = []
    with database.engine.connect() as connection:
        for statement, bound in asked:
            if statement.lstrip().upper().startswith(("SELECT", "UPDATE")):
                how = "EXPLAIN QUERY PLAN " if sqlite else "EXPLAIN "
                rows = connection.exec_driver_sql(how + statement, bound)
                found += [row[3] if sqlite else row[0] for row in rows]
    return [step for step in found if "credentials" in step]


def searched(steps, sqlite, postgresql):
    """Assert that keys and links are looked up by an index, and that nothing is gone through."""
    assert steps
    assert any(sqlite in step or postgresql in step for step in steps), steps
    assert not any("SCAN" in step or "Seq Scan" in step for step in steps), steps


def test_there_are_as_many_as_was_said(crowd):
    assert crowd.total >= LINKS
    with crowd.database.engine.connect() as connection:
        of_first = select(func.count()).where(CREDENTIALS.c.scenario_id == crowd.scenarios[0])
        held = connection.execute(of_first).scalar_one()
    assert held == LINKS // len(crowd.scenarios)


def test_a_token_is_found_by_an_index(crowd):
    scenario = crowd.scenarios[-1]
    token = crowd.tokens[scenario][0][1]
    crowd.keeping.get(f"/v1/scenarios/{scenario}", token)  # the first use of a day is noted
    with heard(crowd.database) as asked:
        answer = crowd.keeping.get(f"/v1/scenarios/{scenario}", token)
    assert answer.status_code == 200
    searched(plans(crowd.database, asked), "(digest=?)", "uq_credentials_digest")


def test_a_token_that_opens_nothing_is_looked_for_by_the_same_index(crowd):
    _, unknown = made(crowd.keeping.desk, Wish("read", "never kept", 1), "of", "ky", "sc")
    with heard(crowd.database) as asked:
        answer = crowd.keeping.get(f"/v1/scenarios/{crowd.scenarios[0]}", unknown)
    assert answer.status_code == 401
    searched(plans(crowd.database, asked), "(digest=?)", "uq_credentials_digest")


def test_it_takes_the_same_statements_as_with_one_link(crowd, request, tmp_path):
    scenario = crowd.scenarios[0]
    token = crowd.tokens[scenario][1][1]

    def statements(keeping, database, path, shown):
        keeping.get(path, shown)
        with heard(database) as asked:
            assert keeping.get(path, shown).status_code == 200
        return [statement for statement, _ in asked]

    many = statements(crowd.keeping, crowd.database, f"/v1/scenarios/{scenario}", token)
    with opened_once(crowd.database.kind, request, tmp_path) as database:
        few = Keeping(create_app(), new_desk(store=database))
        alone = few.stored()
        one = statements(few, database, f"/v1/scenarios/{alone}", few.link(alone))
    assert many == one
    assert many


def test_every_link_is_listed_once_page_by_page(crowd):
    scenario = crowd.scenarios[0]
    with crowd.database.reading() as session:
        ids, page = [], session.credentials.links(scenario, None, CHUNK)
        while page:
            ids += [one.id for one in page]
            page = session.credentials.links(scenario, ids[-1], CHUNK)
    assert len(ids) == len(set(ids)) == LINKS // len(crowd.scenarios)

    path, listed = f"/v1/scenarios/{scenario}/links?limit={PAGE - 1}", []
    for _ in range(3):
        page = crowd.keeping.get(path, "write").json()
        assert len(page["items"]) <= PAGE - 1
        listed += [one["id"] for one in page["items"]]
        path = page["next"]
        if path is None:
            break
    assert listed == ids[: len(listed)]
    assert len(listed) == min(len(ids), 3 * (PAGE - 1))


def test_a_page_is_read_in_the_order_of_an_index(crowd):
    path = f"/v1/scenarios/{crowd.scenarios[0]}/links?limit=20"
    following = crowd.keeping.get(path, "write").json()["next"]
    with heard(crowd.database) as asked:
        assert crowd.keeping.get(following, "write").status_code == 200
    steps = plans(crowd.database, asked)
    # Where all links are of one scenario the order of the primary key is as good a way to them.
    index = "pk_credentials" if len(crowd.scenarios) == ONE_SCENARIO else "ix_credentials_links"
    searched(steps, "ix_credentials_links", index)
    assert not any("TEMP B-TREE" in step or "Sort" in step for step in steps), steps


def test_the_keys_of_the_office_are_listed_past_its_links(crowd):
    with heard(crowd.database) as asked:
        answer = crowd.keeping.get("/v1/keys")
    assert len(answer.json()["items"]) == 3
    searched(plans(crowd.database, asked), "ix_credentials_keys", "ix_credentials_keys")


def test_one_is_revoked_and_no_other(crowd):
    scenario = crowd.scenarios[0]
    (revoked, its_token), (_, other) = crowd.tokens[scenario][2:4]
    address = f"/v1/scenarios/{scenario}"
    assert crowd.keeping.get(address, its_token).status_code == 200
    with heard(crowd.database) as asked:
        answer = crowd.keeping("DELETE", f"{address}/links/{revoked}", "write")
    assert answer.status_code == 204
    assert crowd.keeping.get(address, its_token).status_code == 401
    assert crowd.keeping.get(address, other).status_code == 200
    searched(plans(crowd.database, asked), "(id=?)", "pk_credentials")
    with crowd.database.engine.connect() as connection:
        gone = select(CREDENTIALS.c.id).where(CREDENTIALS.c.revoked_at.is_not(None))
        assert connection.execute(gone).scalars().all() == [revoked]


def test_no_more_are_made_where_there_are_too_many_and_one_is_where_there_is_none(crowd):
    sent = {"access": "read", "label": "phone", "expires_in_days": 1}
    full = f"/v1/scenarios/{crowd.scenarios[0]}/links"
    with heard(crowd.database) as asked:
        answer = crowd.keeping("POST", full, "write", json=sent)
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/too-many-links"
    if len(crowd.scenarios) > 1:  # else nearly all rows are counted, and an index is of no use
        searched(plans(crowd.database, asked), "ix_credentials_links", "ix_credentials_links")
    fresh = crowd.keeping.stored(name="Quillwort End")
    token = crowd.keeping.link(fresh)
    assert crowd.keeping.get(f"/v1/scenarios/{fresh}", token).status_code == 200
    assert isinstance(found(crowd, token), Credential)


def found(crowd, token):
    with crowd.database.reading() as session:
        return session.credentials.by_digest(crowd.keeping.desk.peppers.digests(token))
