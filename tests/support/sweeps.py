"""Plain constructors of sweeps and their chunks."""

import gzip
from dataclasses import replace
from datetime import timedelta
from typing import Any

from service.scenarios.sweep_records import KeptChunk, Sweep, SweepChunk
from tests.support.offices import START, numbered, office

CHUNK_ROWS = 250


def sweep(number: int = 1, **changes: Any) -> Sweep:
    """Return a sweep of two chunks that waits, of a document that came with it."""
    made = Sweep(
        id=numbered("sw", number),
        office_id=office().id,
        scenario_id=None,
        revision=None,
        request='{"farms":500}',
        request_key=f"{number:064d}",
        engine_version="1.0.0",
        reference_edition="2026.1",
        seed=0,
        state="queued",
        done=0,
        total=2,
        result_rows=0,
        failed_rows=0,
        attempts=0,
        worker=None,
        lease_until=None,
        cancel_at=None,
        created_by=numbered("ky", 1),
        created_at=START,
        started_at=None,
        finished_at=None,
        expires_at=START + timedelta(days=90),
    )
    return replace(made, **changes)


def chunk(of: Sweep, number: int, inputs: bytes | None = b"inputs") -> SweepChunk:
    """Return a chunk of a sweep that is to be done."""
    return SweepChunk(of.id, number, 1 + CHUNK_ROWS * (number - 1), CHUNK_ROWS, inputs=inputs)


def result(number: int, failed: int = 0) -> KeptChunk:
    """Return what a chunk came to: as many rows as its number says."""
    told = gzip.compress(b"[]", mtime=0) if failed else None
    return KeptChunk(number, f"rows of {number}".encode(), number, failed, told)
