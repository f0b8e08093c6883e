"""The same tests run on every store: in memory, on SQLite, on PostgreSQL."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.scenarios.repositories import Store
from service.settings import Settings
from service.store.database import Database
from tests.support.databases import DATABASES, opened
from tests.support.fake_store import FakeStore
from tests.support.installation import Stock, installation, stocked
from tests.support.offices import furnish


@pytest.fixture(params=["fake", *DATABASES])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Return an empty store."""
    if request.param == "fake":
        yield FakeStore()
        return
    with opened(request.param, request, tmp_path) as database:
        yield database


@pytest.fixture
def office_store(store: Store) -> Store:
    """Return a store with two offices, a key of the first, and a scenario of it."""
    furnish(store)
    return store


@pytest.fixture(params=DATABASES)
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """Return a database with the same in it."""
    with opened(request.param, request, tmp_path) as opened_one:
        furnish(opened_one)
        yield opened_one


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Return the settings of an installation that is not there yet."""
    return installation(tmp_path / "data")


@pytest.fixture(scope="session")
def stocked_once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Settings, Stock]:
    """Make an installation with something in it, to be copied."""
    once = installation(tmp_path_factory.mktemp("installation") / "data")
    return once, stocked(once)


@pytest.fixture
def stock(settings: Settings, stocked_once: tuple[Settings, Stock]) -> Stock:
    """Return what is kept in a copy of an installation."""
    once, kept_there = stocked_once
    shutil.copytree(once.data, settings.data)
    return kept_there
