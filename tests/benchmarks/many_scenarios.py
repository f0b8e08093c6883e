"""Databases with very many scenarios, filled past the service, for the time that a list takes."""

import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import insert, text

from service.store.database import Database
from service.store.tables import OFFICES, SCENARIOS
from tests.support.databases import PostgresqlServer, migrate

OFFICE, OTHERS = "of_1", "of_2"
START = datetime(2026, 1, 1, tzinfo=UTC)
CHUNK = 50_000
EVERY_OTHER = 2
"""Every other scenario belongs to the office whose list is measured."""


@contextmanager
def filled(count: int, server: PostgresqlServer | None) -> Iterator[Database]:
    """Yield a database that holds so many scenarios, half of them of one office."""
    if server is None:
        with (
            tempfile.TemporaryDirectory() as folder,
            closing(Database.sqlite(Path(folder) / "many.sqlite", 1)) as database,
        ):
            migrate(database)
            _fill(database, count)
            yield database
        return
    with server.new() as address, closing(Database.postgres(address, 1)) as database:
        _fill(database, count)
        yield database


def position(count: int, depth: float) -> tuple[str, datetime]:
    """Return id and time of change of the scenario so deep in a list by time of change."""
    return _id(int(count * depth)), _changed(int(count * depth))


def _fill(database: Database, count: int) -> None:
    with database.engine.begin() as connection:
        connection.execute(
            insert(OFFICES), [{"id": i, "name": i, "created_at": START} for i in (OFFICE, OTHERS)]
        )
    for first in range(0, count, CHUNK):
        rows = [_row(number) for number in range(first, min(first + CHUNK, count))]
        with database.engine.begin() as connection:
            connection.execute(insert(SCENARIOS), rows)
    with database.engine.connect() as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT")
        connection.execute(text("ANALYZE"))


def _row(number: int) -> dict[str, object]:
    return {
        "id": _id(number),
        "office_id": OTHERS if number % EVERY_OTHER else OFFICE,
        "name": f"Farm {number}",
        "revision": 1,
        "created_at": START,
        "updated_at": _changed(number),
    }


def _id(number: int) -> str:
    return f"sc_{number:026d}"


def _changed(number: int) -> datetime:
    return START + timedelta(milliseconds=number)
