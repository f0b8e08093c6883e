"""What is kept of sweeps: what was asked, the chunks that are left, what came of the others."""

from dataclasses import dataclass
from datetime import datetime

from service.scenarios.records import JobState


@dataclass(frozen=True, slots=True)
class Sweep:
    """Many farms or settings of one base document, costed in chunks; without rows and inputs."""

    id: str
    office_id: str
    scenario_id: str | None
    """The stored scenario that is the base; None where the base came with the request."""
    revision: int | None
    request: str
    """What was asked, without the farms, canonical JSON."""
    request_key: str
    """The same for the same farms, base, figures and seed."""
    engine_version: str
    reference_edition: str
    seed: int
    state: JobState
    done: int
    """Chunks that are done."""
    total: int
    """Chunks in all."""
    result_rows: int
    """Rows of the results so far."""
    failed_rows: int
    """Those of them that are refused or failed."""
    attempts: int
    """How often it was taken up since a chunk was kept."""
    worker: str | None
    lease_until: datetime | None
    cancel_at: datetime | None
    created_by: str
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    expires_at: datetime
    problem: str | None = None
    """What went wrong, JSON."""


@dataclass(frozen=True, slots=True)
class SweepChunk:
    """A part of a sweep that is still to be worked on."""

    job_id: str
    number: int
    first_row: int
    row_count: int
    attempts: int = 0
    """How often it was begun."""
    inputs: bytes | None = None
    """All that it needs, compressed; None in a listing, and once it is done."""


@dataclass(frozen=True, slots=True)
class KeptChunk:
    """What a part of a sweep came to."""

    number: int
    result: bytes
    """Rows as CSV without a header, compressed by gzip."""
    result_rows: int
    failed_rows: int
    problems: bytes | None = None
    """What was wrong with farms, JSON, compressed by gzip; None if nothing was."""
