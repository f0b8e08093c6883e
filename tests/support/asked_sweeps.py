"""Sweeps that are asked of a desk, and what stands of them; chunks are of a few rows."""

import csv
import gzip
import io
import json

from service.scenarios import sweep_working, sweeps
from service.scenarios.sweeps import NewSweep
from service.sweeps import chunk as sweep_chunks
from service.sweeps.records import FarmRow
from tests.support.offices import small_document

ROWS = 3
PATH = "hay.price_per_ton"
FIGURES = ("annual_equivalent_cost", "rank")


class ServerKilled(BaseException):
    """The process ends in the middle of a chunk: nobody catches this."""


def small_chunks(monkeypatch):
    """Cut sweeps into chunks of three rows, and let more than two costings wait."""
    monkeypatch.setattr(sweep_chunks, "CHUNK_ROWS", ROWS)
    monkeypatch.setattr(sweeps, "QUICK_COSTINGS", 2)


def farms(count):
    """Return farms that differ in the price of hay."""
    return tuple(FarmRow(f"{number:04d}", {PATH: 60 + number}) for number in range(1, count + 1))


def asked(count=7, **more):
    """Return a sweep that is asked for."""
    settled = {"farms": farms(count), "document": small_document(), "figures": FIGURES}
    return NewSweep(**(settled | more))


def standing(desk, sweep):
    """Return a sweep as it stands."""
    with desk.store.reading() as session:
        return session.sweeps.get(sweep.office_id, sweep.id)


def open_numbers(desk, sweep):
    """Return the chunks that are left."""
    with desk.store.reading() as session:
        return [one.number for one in session.sweeps.open_chunks(sweep.id)]


def text(desk, sweep):
    """Return the rows that are there, without a header."""
    return b"".join(sweeps.results(desk, standing(desk, sweep))).decode()


def rows(desk, sweep):
    """Return the rows that are there, by column."""
    names = sweeps.request_of(sweep)["columns"]
    return list(csv.DictReader(io.StringIO(text(desk, sweep)), names))


class Watched:
    """Runs chunks as the service does, notes which, and does first what a test wants."""

    def __init__(self, monkeypatch):
        self.ran = []
        self.before = lambda _number: None
        self._run = sweep_chunks.run_chunk
        monkeypatch.setattr(sweep_working, "run_chunk", self)

    def __call__(self, payload, reader, stopping=None):
        """Run a chunk."""
        number = json.loads(gzip.decompress(payload))["number"]
        self.before(number)
        found = self._run(payload, reader, stopping)
        self.ran.append(number)
        return found
