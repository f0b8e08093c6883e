"""What is kept: offices and their keys and links, scenarios and what hangs on them, traces."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

CredentialKind = Literal["key", "link"]
Access = Literal["read", "write", "admin", "edit"]
MadeBy = Literal["create", "put", "patch", "restore", "copy"]
JobState = Literal["queued", "running", "done", "failed", "cancelled"]


@dataclass(frozen=True, slots=True)
class Office:
    """An office: what belongs to one is not seen by another."""

    id: str
    name: str
    created_at: datetime


@dataclass(frozen=True, slots=True)
class Credential:
    """An office key or a share link; of its token only a keyed hash is kept."""

    id: str
    office_id: str
    scenario_id: str | None
    """The one scenario that a link opens; None for a key."""
    kind: CredentialKind
    access: Access
    label: str
    digest: bytes
    pepper: int
    """Number of the secret that the digest was made with."""
    hint: str
    """First characters of the token, to tell it from others."""
    created_at: datetime
    created_by: str
    expires_at: datetime
    revoked_at: datetime | None = None
    last_used_on: date | None = None
    seen_in_url_at: datetime | None = None

    def live(self, now: datetime) -> bool:
        """Whether it opens anything."""
        return self.revoked_at is None and now < self.expires_at


@dataclass(frozen=True, slots=True)
class Head:
    """What is known of a scenario beside its document."""

    id: str
    office_id: str
    external_id: str | None
    name: str
    revision: int
    """Number of the newest revision, from 1."""
    origin_id: str | None
    """The scenario that it was copied from."""
    origin_revision: int | None
    created_at: datetime
    updated_at: datetime
    binned_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class RevisionSummary:
    """Who made a revision, when and how."""

    scenario_id: str
    number: int
    document_schema: int
    document_sha256: str
    reference_edition: str
    made_by: MadeBy
    made_from: int | None
    """The revision that was restored."""
    author_id: str
    author_label: str
    remark: str | None
    created_at: datetime


@dataclass(frozen=True, slots=True)
class Revision(RevisionSummary):
    """A revision with its document; never changed once it is kept."""

    document: str
    """Canonical JSON."""


@dataclass(frozen=True, slots=True)
class CostingSummary:
    """A stored costing without its body."""

    id: str
    scenario_id: str
    revision: int
    engine_version: str
    reference_edition: str
    content_key: str
    best_system: str
    annual_equivalent_cost: float
    """Of the best system [currency/year]."""
    currency: str
    created_at: datetime
    opened_on: date


@dataclass(frozen=True, slots=True)
class StoredCosting(CostingSummary):
    """A costing as it was answered; never changed once it is kept."""

    result: bytes
    """The answer, JSON, compressed by gzip."""


@dataclass(frozen=True, slots=True)
class Note:
    """A remark about a revision, or about one input of it."""

    id: str
    scenario_id: str
    revision: int
    input_path: str | None
    body: str
    author_id: str
    author_label: str
    created_at: datetime


@dataclass(frozen=True, slots=True)
class PastWinter:
    """What was recorded of one winter of a scenario, as it stands."""

    scenario_id: str
    season: str
    """As 2026-27."""
    version: int
    """From 1; one more with each change."""
    planned_revision: int
    """The revision that was the plan."""
    system: str
    """Key of the system that was used."""
    facts: str
    """Canonical JSON, without the two above."""
    author_id: str
    """Of who recorded or changed it last."""
    author_label: str
    created_at: datetime
    updated_at: datetime


@dataclass(frozen=True, slots=True)
class WeatherRecord:
    """A record of daily weather of an office, without its days."""

    id: str
    office_id: str
    label: str
    source_format: str
    """How it was sent."""
    latitude: float
    """Of the station, north more than 0 [degree]."""
    first_day: date
    last_day: date
    missing_days: int
    """Days of the calendar without both temperatures [day]."""
    sha256: str
    """Of the days as they are kept, with the latitude; one office keeps each once."""
    classifier: str
    """The newest classification of its winters."""
    told: str
    """What was found when it was read, JSON: a list of warnings."""
    created_at: datetime


@dataclass(frozen=True, slots=True)
class StoredWeatherRecord(WeatherRecord):
    """A record of daily weather with its days."""

    days: bytes
    """Plain columns, CSV, compressed by gzip."""


@dataclass(frozen=True, slots=True)
class Classification:
    """How the winters of a record were counted once; never changed."""

    record_id: str
    classifier: str
    settings: str
    """Drainage, window and thresholds, JSON."""
    told: str
    """Winters that were dropped, and warnings, JSON."""
    created_at: datetime


@dataclass(frozen=True, slots=True)
class WeatherWinter:
    """One winter of a record under one classification."""

    record_id: str
    classifier: str
    season: str
    frozen: int
    snow_covered: int
    firm: int
    wet: int
    missing: int
    """Days filled in from those around them [day]."""
    detail: str
    """All else that is known of it, JSON."""


@dataclass(frozen=True, slots=True)
class JobSummary:
    """Work that is done in parts, for a question on a revision, without its answer."""

    id: str
    office_id: str
    scenario_id: str
    revision: int
    question: str
    request: str
    """The question in full, canonical JSON."""
    request_key: str
    """The same for the same question, revision, winters, engine and edition."""
    engine_version: str
    reference_edition: str
    seed: int
    state: JobState
    done: int
    """Parts that are done."""
    total: int
    """Parts in all."""
    attempts: int
    """How often it was taken up."""
    worker: str | None
    lease_until: datetime | None
    """Until when the worker has it for itself."""
    cancel_at: datetime | None
    """When it was asked to end early."""
    created_by: str
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    expires_at: datetime
    """When it is forgotten."""


@dataclass(frozen=True, slots=True)
class Job(JobSummary):
    """Work with its answer, or with what went wrong."""

    result: bytes | None = None
    """The answer, JSON, compressed by gzip."""
    problem: str | None = None
    """What went wrong, JSON."""


@dataclass(frozen=True, slots=True)
class Renewal:
    """What a worker hears when it says that it is still at work."""

    held: bool
    """Whether the work is still its own."""
    cancelled: bool
    """Whether it is to end early."""


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """Who did what, by ids alone: no name, no label, no value."""

    at: datetime
    office_id: str
    credential_id: str
    action: str
    object_id: str
    revision: int | None = None
    request_id: str = ""
    number: int = 0
    """Given by the store, rising."""


@dataclass(frozen=True, slots=True)
class Replay:
    """The answer to a POST that was sent with an Idempotency-Key; in flight while it has none."""

    credential_id: str
    key: str
    fingerprint: str
    claimed_at: datetime
    expires_at: datetime
    status: int | None = None
    headers: str = "{}"
    body: bytes = b""
    object_id: str | None = None


@dataclass(frozen=True, slots=True)
class Counts:
    """How much of each kind."""

    revisions: int = 0
    costings: int = 0
    notes: int = 0
    links: int = 0
    replays: int = 0
    analyses: int = 0
    winters: int = 0
    sweeps: int = 0


@dataclass(frozen=True, slots=True)
class Opened:
    """What a token is found to be, and what of a scenario is found for its office."""

    credential: Credential
    head: Head | None
    costing: StoredCosting | None
