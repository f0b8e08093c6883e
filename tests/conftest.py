"""What all tests share.

One Hypothesis profile: the same examples on every run, and no clock. A longer run with new
examples, by hand: ``pytest --hypothesis-profile=default``. Databases are made once and copied.
"""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.support.databases import PostgresqlServer, SqliteFiles, postgresql_server

settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def sqlite_files(tmp_path_factory: pytest.TempPathFactory) -> SqliteFiles:
    """Return where copies of a migrated SQLite file are made."""
    return SqliteFiles(tmp_path_factory.mktemp("sqlite"))


@pytest.fixture(scope="session")
def postgresql() -> Iterator[PostgresqlServer]:
    """Start a PostgreSQL; a test that asks for it is skipped where none can be had."""
    with postgresql_server() as server:
        yield server
