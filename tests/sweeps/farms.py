"""Sweeps over invented farms, how their rows are read back, and readers that do not survive."""

import csv
import io
import os
import signal
from hashlib import sha256
from pathlib import Path

from service.demo import demo_document
from service.sweeps.chunk import chunk_payload, chunks, run_chunk
from service.sweeps.records import FarmRow, SweepSpec
from service.sweeps.spec import columns
from service.web.reading import scenario_of
from tests.analysis.hand_farm import hand_farm

MARK = "SWEEP_TEST_MARK"
"""Names a file that stands once a reader has ended its process."""
UNLUCKY = 77
"""Head of the farm whose reading ends the process."""
ENDS_EVERY_TIME = 78


def by_hand(*farms, **more):
    """Return a sweep over the farm on which every cost can be worked in the head."""
    return SweepSpec(hand_farm(), farms, **more)


def rows(spec, read=scenario_of):
    """Run a sweep here and return its rows by column."""
    text = b"".join(
        run_chunk(chunk_payload(spec, chunk.number), read).csv for chunk in chunks(spec)
    )
    return read_back(spec, text)


def read_back(spec, text):
    """Return the rows of a CSV without header, by column."""
    return list(csv.DictReader(io.StringIO(text.decode(), newline=""), columns(spec)))


def demo_sweep(farms, *, chosen=("lot_open_rings", "grass_first"), **more):
    """Return a sweep over so many farms that differ from the demo in three inputs."""
    document = demo_document()
    document["systems"] = {key: document["systems"][key] for key in chosen}
    listed = tuple(
        FarmRow(
            f"F{number:05d}",
            {
                "herd.cows.head": 40 + number % 37,
                "hay.price_per_ton": 60.0 + number % 41,
                "prices.labor_per_hour": 14 + number % 11 / 4,
            },
        )
        for number in range(farms)
    )
    return SweepSpec(document, listed, **more)


class Shelf(dict):
    """Keeps what came of chunks by number, as a database would."""

    def keep(self, number, result):
        """Keep a chunk that is not kept yet."""
        assert number not in self
        self[number] = result

    @property
    def csv(self):
        """All rows in their order."""
        return b"".join(self[number].csv for number in sorted(self))

    @property
    def digest(self):
        """SHA-256 of all rows."""
        return sha256(self.csv).hexdigest()


def read_and_die_once(document):
    """Read a document; the first time that the unlucky farm comes, end the process."""
    if document["herd"]["cows"]["head"] == UNLUCKY:
        mark = Path(os.environ[MARK])
        if not mark.exists():
            mark.touch()
            os.kill(os.getpid(), signal.SIGKILL)
    return scenario_of(document)


def read_and_die(document):
    """Read a document, but end the process each time a certain farm comes."""
    if document["herd"]["cows"]["head"] == ENDS_EVERY_TIME:
        os.kill(os.getpid(), signal.SIGKILL)
    return scenario_of(document)
