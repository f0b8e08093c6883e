"""A store in memory that keeps the promises of the database, for tests of what stands above it.

What is written is seen by others once the session ends well. Keys that must exist, names that must
be unique and forms that the database demands are asserted, so that a test on this store does not
pass with what a database would refuse.
"""

# ruff: noqa: D102 - the protocols say what each does

import threading
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import datetime
from typing import Literal

from tests.support.fake_owners import FakeCredentials, FakeOffices, FakeScenarios
from tests.support.fake_sweeps import FakeSweeps
from tests.support.fake_tables import Place, Tables
from tests.support.fake_traces import FakeAudit, FakeCostings, FakeErasures, FakeNotes, FakeReplays
from tests.support.fake_winters import FakePastWinters
from tests.support.fake_work import FakeJobs, FakeWeatherRecords


class Committed:
    """What is committed by now."""

    def __init__(self, store: "FakeStore") -> None:
        self._store = store

    @property
    def tables(self) -> Tables:
        return self._store.tables

    @property
    def changing(self) -> Tables:
        message = "a reading session does not write"
        raise AssertionError(message)


class Draft:
    """A copy that one writing session changes."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables

    @property
    def changing(self) -> Tables:
        return self.tables


class FakeSession:
    """One transaction."""

    def __init__(self, place: Place) -> None:
        self.offices = FakeOffices(place)
        self.credentials = FakeCredentials(place)
        self.scenarios = FakeScenarios(place)
        self.costings = FakeCostings(place)
        self.notes = FakeNotes(place)
        self.past_winters = FakePastWinters(place)
        self.weather_records = FakeWeatherRecords(place)
        self.jobs = FakeJobs(place)
        self.sweeps = FakeSweeps(place)
        self.audit = FakeAudit(place)
        self.replays = FakeReplays(place)
        self.erasures = FakeErasures(place)


class FakeStore:
    """Keeps everything in dictionaries."""

    def __init__(self) -> None:
        self.tables = Tables()
        self.written = 0
        """How many writing sessions were committed."""
        self.scrubbed = 0
        """How often deleted text was made to leave the files."""
        self._turn = threading.Lock()
        self._writer: int | None = None

    @contextmanager
    def reading(self) -> Iterator[FakeSession]:
        yield FakeSession(Committed(self))

    answers_at_once = True

    def at_once(self) -> AbstractContextManager[FakeSession]:
        return self.reading()

    @contextmanager
    def writing(self) -> Iterator[FakeSession]:
        assert self._writer != threading.get_ident(), "a writing session within another"
        with self._turn:
            self._writer = threading.get_ident()
            try:
                draft = Draft(self.tables.copied())
                yield FakeSession(draft)
                self.tables = draft.tables
                self.written += 1
            finally:
                self._writer = None

    def scrub(self) -> bool:
        assert self._writer != threading.get_ident(), "text leaves the files after the commit"
        self.scrubbed += 1
        return True

    def check(self) -> None:
        """Answer, as it always does."""

    def close(self) -> None:
        """Close nothing; for tests that run on every store."""


class FakeJournal:
    """A journal in memory."""

    def __init__(self) -> None:
        self.lines: list[tuple[str, str, datetime]] = []

    def append(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None:
        self.lines.append((act, object_id, at))

    def entries(self) -> Sequence[tuple[str, str]]:
        return [(act, object_id) for act, object_id, _ in self.lines]
