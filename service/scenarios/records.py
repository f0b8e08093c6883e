"""What is kept: offices and their keys and links, scenarios, revisions, costings, notes, traces."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

CredentialKind = Literal["key", "link"]
Access = Literal["read", "write", "admin", "edit"]
MadeBy = Literal["create", "put", "patch", "restore", "copy"]


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


@dataclass(frozen=True, slots=True)
class Opened:
    """What a token is found to be, and what of a scenario is found for its office."""

    credential: Credential
    head: Head | None
    costing: StoredCosting | None
