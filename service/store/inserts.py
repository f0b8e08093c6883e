"""Inserts that leave or replace what stands already: each database has its own."""

from collections.abc import Mapping

from sqlalchemy import Column, Table
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.dialects.postgresql import Insert as PostgresInsert
from sqlalchemy.dialects.sqlite import Insert as SqliteInsert

Insert = SqliteInsert | PostgresInsert


def by_database(table: Table) -> Mapping[str, Insert]:
    """Return the plain insert of each database, by the name of the database.

    It counts its rows, which an insert by itself does not: on PostgreSQL it would say -1.
    """
    return {
        "sqlite": sqlite.insert(table).execution_options(preserve_rowcount=True),
        "postgresql": postgresql.insert(table).execution_options(preserve_rowcount=True),
    }


def unless_there(*key: Column[object]) -> Mapping[str, Insert]:
    """Return the insert that does nothing if a row of the same key is there."""
    return {
        kind: insert.on_conflict_do_nothing(index_elements=list(key))
        for kind, insert in by_database(key[0].table).items()
    }
