"""What a place to keep things must offer; the database and the tests' fake both do.

A session is one transaction. Nothing here knows who asks: whoever calls has found the scenario
through its office first.
"""

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, Protocol

from service.scenarios.job_repository import Jobs, Sweeps
from service.scenarios.past_winter_repository import PastWinters
from service.scenarios.records import (
    AuditEntry,
    CostingSummary,
    Counts,
    Credential,
    Head,
    Note,
    Office,
    Opened,
    Replay,
    Revision,
    RevisionSummary,
    StoredCosting,
)
from service.scenarios.weather_repository import WeatherRecords


@dataclass(frozen=True, slots=True)
class Listing:
    """Which scenarios of an office to list, and from where on.

    Without ``updated_since`` the newest come first, by id. With it, what was changed at or after
    that time comes in the order of its change, the oldest first.
    """

    limit: int
    external_id: str | None = None
    binned: bool = False
    updated_since: datetime | None = None
    after_id: str | None = None
    """The last id of the page before."""
    after_updated_at: datetime | None = None
    """When that was changed; only together with ``updated_since``."""


class Offices(Protocol):
    """Offices by id and by name."""

    def add(self, office: Office) -> None: ...
    def get(self, office_id: str) -> Office | None: ...
    def by_name(self, name: str) -> Office | None: ...
    def every(self) -> Sequence[Office]: ...


class Credentials(Protocol):
    """Keys and links."""

    def add(self, credential: Credential) -> None: ...
    def by_digest(self, digests: Iterable[bytes]) -> Credential | None: ...
    def get(self, office_id: str, credential_id: str) -> Credential | None: ...
    def find(self, credential_id: str) -> Credential | None:
        """Find one of any office; only for whoever runs the host."""
        ...

    def keys(self, office_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        """Return the keys of an office, oldest first, revoked ones too."""
        ...

    def links(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        """Return the links of a scenario, oldest first, revoked ones too."""
        ...

    def live_links(self, scenario_id: str, now: datetime) -> int: ...
    def live_admin_keys(self, office_id: str, now: datetime) -> int: ...
    def any_live_key(self, now: datetime) -> bool: ...
    def revoke(self, credential_id: str, at: datetime) -> bool:
        """Revoke it; False if it was revoked before or there is none."""
        ...

    def mark_used(self, credential_id: str, on: date) -> bool:
        """Note the day of use; False if that day was noted already."""
        ...

    def mark_seen_in_url(self, credential_id: str, at: datetime) -> None: ...
    def rehash(self, credential_id: str, digest: bytes, pepper: int) -> None: ...


class Scenarios(Protocol):
    """Scenarios and their revisions."""

    def add(self, head: Head, revision: Revision) -> None:
        """Keep a new scenario with its first revision.

        Raises
        ------
        ExternalIdTakenError
            If another of the office has the external id.
        """
        ...

    def head(self, office_id: str, scenario_id: str) -> Head | None:
        """Return it, from the bin too."""
        ...

    def page(self, office_id: str, listing: Listing) -> Sequence[Head]: ...
    def newest_change(self, office_id: str) -> datetime | None:
        """Return when the one of the office was changed that was changed last; not of the bin."""
        ...

    def advance(self, head: Head, revision: Revision) -> bool:
        """Put a revision after the one before it, in one statement that checks that it stands.

        ``head`` is the scenario as it will be; its ``revision`` is that of the new revision. False
        if the revision before it is not the newest any more, or the scenario lies in the bin.

        Raises
        ------
        ExternalIdTakenError
            If another scenario of the office has the external id.
        """
        ...

    def put_in_bin(self, scenario_id: str, revision: int, at: datetime) -> bool:
        """Bin it if ``revision`` is its newest and it is not binned."""
        ...

    def take_from_bin(self, scenario_id: str, at: datetime) -> bool:
        """Take it out; False if it is not in it."""
        ...

    def binned_before(self, at: datetime, limit: int) -> Sequence[Head]:
        """Return what any office binned before a time, oldest first."""
        ...

    def revision(self, scenario_id: str, number: int) -> Revision | None: ...
    def revisions(
        self, scenario_id: str, before: int | None, limit: int
    ) -> Sequence[RevisionSummary]:
        """Return revisions, newest first, from below ``before``."""
        ...

    def copies(self, scenario_id: str) -> Sequence[Head]:
        """Return what was copied from it, in the bin too, oldest first."""
        ...

    def erase(self, scenario_id: str) -> Counts:
        """Delete it with all that hangs on it.

        That is revisions, costings, notes, winters as they were, links, analyses, sweeps, replays,
        and its uses of weather records.
        """
        ...


class Costings(Protocol):
    """Stored costings."""

    def find(
        self, scenario_id: str, revision: int, engine_version: str, reference_edition: str
    ) -> StoredCosting | None: ...
    def get(self, scenario_id: str, costing_id: str) -> StoredCosting | None: ...
    def opened(self, digests: Iterable[bytes], scenario_id: str, costing_id: str) -> Opened | None:
        """Return in one look-up what a token is, its office's scenario and that one's costing.

        The same as `Credentials.by_digest`, `Scenarios.head` and `get` one after the other, for
        what is asked most. None if no credential has any of the digests.
        """
        ...

    def add(self, costing: StoredCosting) -> StoredCosting:
        """Keep it, unless one of the same revision, engine and edition is kept; return what is."""
        ...

    def page(
        self, scenario_id: str, revision: int | None, before_id: str | None, limit: int
    ) -> Sequence[CostingSummary]:
        """Return costings, newest first."""
        ...

    def mark_opened(self, costing_id: str, on: date) -> None: ...
    def prune(self, opened_before: date) -> int:
        """Delete those not opened since, save those of a scenario's newest revision."""
        ...


class Notes(Protocol):
    """Remarks."""

    def add(self, note: Note) -> None: ...
    def page(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Note]:
        """Return notes, oldest first."""
        ...


class Audit(Protocol):
    """Who did what. Only added to."""

    def add(self, entry: AuditEntry) -> None: ...
    def page(
        self, office_id: str, object_id: str | None, before: int | None, limit: int
    ) -> Sequence[AuditEntry]:
        """Return entries of an office, newest first, from below number ``before``."""
        ...

    def prune(self, before: datetime) -> int: ...


class Replays(Protocol):
    """Answers to requests that may be sent again."""

    def claim(self, replay: Replay, stale_before: datetime) -> Replay | None:
        """Keep it if there is none of its credential and key; else return the one there is.

        One in flight that was claimed before ``stale_before`` is replaced: whoever worked on it is
        gone. So is one that expired before ``replay.claimed_at``, and one in flight that was
        claimed as long after it: the clock was set back.
        """
        ...

    def complete(self, replay: Replay) -> None:
        """Fill in the answer.

        Raises
        ------
        KeyInFlightError
            If nothing of its key is in flight any more: another has taken over.
        """
        ...

    def release(self, credential_id: str, key: str) -> None:
        """Forget one that is in flight."""
        ...

    def prune(self, before: datetime) -> int: ...


class Erasures(Protocol):
    """A copy of the journal of what was erased and revoked."""

    def add(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None: ...
    def ids(self) -> set[tuple[str, str]]:
        """Return pairs of act and id."""
        ...


class Session(Protocol):
    """One transaction."""

    @property
    def offices(self) -> Offices: ...
    @property
    def credentials(self) -> Credentials: ...
    @property
    def scenarios(self) -> Scenarios: ...
    @property
    def costings(self) -> Costings: ...
    @property
    def notes(self) -> Notes: ...
    @property
    def past_winters(self) -> PastWinters: ...
    @property
    def weather_records(self) -> WeatherRecords: ...
    @property
    def jobs(self) -> Jobs: ...
    @property
    def sweeps(self) -> Sweeps: ...
    @property
    def audit(self) -> Audit: ...
    @property
    def replays(self) -> Replays: ...
    @property
    def erasures(self) -> Erasures: ...


class Store(Protocol):
    """Where things are kept."""

    def reading(self) -> AbstractContextManager[Session]:
        """Open a session that only reads; each statement sees what is committed."""
        ...

    @property
    def answers_at_once(self) -> bool:
        """Whether a look-up by key takes less time than handing it to a thread."""
        ...

    def at_once(self) -> AbstractContextManager[Session]:
        """Open a session for look-ups by key that never waits for another, if that can be had."""
        ...

    def writing(self) -> AbstractContextManager[Session]:
        """Open a session that writes; committed at the end, undone by an exception.

        Raises
        ------
        UnknownScenarioError
            If something was to hang on a scenario that was erased meanwhile.
        """
        ...

    def scrub(self) -> bool:
        """Make deleted text leave the files; False if it will only with time."""
        ...

    def check(self) -> None:
        """Raise if the store does not answer."""
        ...


class Journal(Protocol):
    """A file outside the store of what was erased and revoked, replayed after a restore."""

    def append(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None: ...
    def entries(self) -> Sequence[tuple[str, str]]:
        """Return pairs of act and id, oldest first."""
        ...
