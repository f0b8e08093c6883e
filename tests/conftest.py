"""What all tests share.

One Hypothesis profile: the same examples on every run, and no clock. A longer run with new
examples, by hand: ``pytest --hypothesis-profile=default``. Databases are made once and copied.
After the last test, logs and files are searched for tokens.
"""

import logging
import re
from collections.abc import Iterator

import pytest
from hypothesis import settings

from service.scenarios.tokens import TOKEN
from tests.support.databases import PostgresqlServer, SqliteFiles, postgresql_server

TOKEN_BYTES = re.compile(TOKEN.pattern.encode())

settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
settings.load_profile("fixed")


class Heard(logging.Handler):
    """Keeps what a log said that looks like a token."""

    def __init__(self) -> None:
        super().__init__()
        self.tokens: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Look through one record, its traceback too."""
        self.tokens += TOKEN.findall(self.format(record))


@pytest.fixture(scope="session", autouse=True)
def no_token_is_left_behind(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Look, after the whole suite, for tokens in what was logged and in every file that was made.

    Tokens are shown once and kept as keyed hashes: neither a database, its log of writes, a
    backup nor a journal may hold one.
    """
    heard = Heard()
    logging.getLogger().addHandler(heard)
    yield
    logging.getLogger().removeHandler(heard)
    assert heard.tokens == []
    files = [path for path in tmp_path_factory.getbasetemp().rglob("*") if path.is_file()]
    holding = [path for path in files if TOKEN_BYTES.search(path.read_bytes())]
    assert holding == []


@pytest.fixture(scope="session")
def sqlite_files(tmp_path_factory: pytest.TempPathFactory) -> SqliteFiles:
    """Return where copies of a migrated SQLite file are made."""
    return SqliteFiles(tmp_path_factory.mktemp("sqlite"))


@pytest.fixture(scope="session")
def postgresql() -> Iterator[PostgresqlServer]:
    """Start a PostgreSQL; a test that asks for it is skipped where none can be had."""
    with postgresql_server() as server:
        yield server
