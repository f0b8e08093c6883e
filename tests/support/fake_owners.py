"""Offices with their keys and links, and scenarios with their revisions, in memory."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from service.scenarios.errors import ExternalIdTakenError
from service.scenarios.records import Counts, Credential, Head, Office, Revision, RevisionSummary
from service.scenarios.repositories import Listing
from service.scenarios.sweep_records import Sweep
from tests.support.fake_tables import (
    Part,
    by_id,
    dropped,
    dropped_sweeps,
    must_stand,
    summary_of,
    well_formed,
)

DIGEST_BYTES = 32
ACCESSES = {"key": {"read", "write", "admin"}, "link": {"read", "edit"}}


class FakeOffices(Part):
    """Offices."""

    def add(self, office: Office) -> None:
        offices = self._changing.offices
        assert office.id not in offices
        assert office.name not in {other.name for other in offices.values()}
        offices[office.id] = well_formed(office)

    def get(self, office_id: str) -> Office | None:
        return self._tables.offices.get(office_id)

    def by_name(self, name: str) -> Office | None:
        return next((one for one in self._tables.offices.values() if one.name == name), None)

    def every(self) -> Sequence[Office]:
        return by_id(self._tables.offices.values())


class FakeCredentials(Part):
    """Keys and links."""

    def add(self, credential: Credential) -> None:
        tables = self._changing
        assert credential.id not in tables.credentials
        must_stand(credential.office_id, tables.offices)
        assert (credential.kind == "link") == (credential.scenario_id is not None)
        must_stand(credential.scenario_id, tables.heads)
        assert credential.access in ACCESSES[credential.kind]
        assert len(credential.digest) == DIGEST_BYTES
        assert credential.digest not in {one.digest for one in tables.credentials.values()}
        tables.credentials[credential.id] = well_formed(credential)

    def by_digest(self, digests: Iterable[bytes]) -> Credential | None:
        wanted = set(digests)
        return next(
            (one for one in self._tables.credentials.values() if one.digest in wanted), None
        )

    def get(self, office_id: str, credential_id: str) -> Credential | None:
        credential = self._tables.credentials.get(credential_id)
        return credential if credential and credential.office_id == office_id else None

    def find(self, credential_id: str) -> Credential | None:
        return self._tables.credentials.get(credential_id)

    def keys(self, office_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        return self._of("key", after_id, limit, office_id=office_id)

    def links(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Credential]:
        return self._of("link", after_id, limit, scenario_id=scenario_id)

    def live_links(self, scenario_id: str, now: datetime) -> int:
        return sum(one.scenario_id == scenario_id and one.live(now) for one in self._every("link"))

    def live_admin_keys(self, office_id: str, now: datetime) -> int:
        return sum(
            one.office_id == office_id and one.access == "admin" and one.live(now)
            for one in self._every("key")
        )

    def any_live_key(self, now: datetime) -> bool:
        return any(one.live(now) for one in self._every("key"))

    def revoke(self, credential_id: str, at: datetime) -> bool:
        credential = self._tables.credentials.get(credential_id)
        if credential is None or credential.revoked_at is not None:
            return False
        return self._change(credential_id, revoked_at=at)

    def mark_used(self, credential_id: str, on: date) -> bool:
        credential = self._tables.credentials.get(credential_id)
        if credential is None or (credential.last_used_on or date.min) >= on:
            return False
        return self._change(credential_id, last_used_on=on)

    def mark_seen_in_url(self, credential_id: str, at: datetime) -> None:
        self._change(credential_id, seen_in_url_at=at)

    def rehash(self, credential_id: str, digest: bytes, pepper: int) -> None:
        self._change(credential_id, digest=digest, pepper=pepper)

    def _change(self, credential_id: str, **changes: Any) -> bool:
        credentials = self._changing.credentials
        if credential_id in credentials:
            changed = replace(credentials[credential_id], **changes)
            credentials[credential_id] = well_formed(changed)
        return credential_id in credentials

    def _every(self, kind: str) -> list[Credential]:
        return by_id(one for one in self._tables.credentials.values() if one.kind == kind)

    def _of(
        self, kind: str, after_id: str | None, limit: int, **wanted: str
    ) -> Sequence[Credential]:
        return [
            one
            for one in self._every(kind)
            if one.id > (after_id or "")
            and all(getattr(one, name) == value for name, value in wanted.items())
        ][:limit]


class FakeScenarios(Part):
    """Scenarios and their revisions."""

    def add(self, head: Head, revision: Revision) -> None:
        tables = self._changing
        assert head.id not in tables.heads
        must_stand(head.office_id, tables.offices)
        must_stand(head.origin_id, tables.heads)
        assert (head.origin_id is None) == (head.origin_revision is None)
        assert (revision.scenario_id, revision.number) == (head.id, head.revision)
        self._refuse_taken(head)
        tables.heads[head.id] = well_formed(head)
        tables.revisions[head.id, head.revision] = well_formed(revision)

    def head(self, office_id: str, scenario_id: str) -> Head | None:
        head = self._tables.heads.get(scenario_id)
        return head if head and head.office_id == office_id else None

    def page(self, office_id: str, listing: Listing) -> Sequence[Head]:
        heads = [
            head
            for head in self._tables.heads.values()
            if head.office_id == office_id
            and (head.binned_at is not None) == listing.binned
            and listing.external_id in {None, head.external_id}
        ]
        if listing.updated_since is None:
            after = listing.after_id
            newest_first = reversed(by_id(heads))
            return [one for one in newest_first if after is None or one.id < after][: listing.limit]
        since = (listing.after_updated_at or listing.updated_since, listing.after_id or "")
        in_order = sorted((head.updated_at, head.id) for head in heads)
        return [self._tables.heads[key[1]] for key in in_order if key > since][: listing.limit]

    def newest_change(self, office_id: str) -> datetime | None:
        heads = self._tables.heads.values()
        own = [one for one in heads if one.office_id == office_id and one.binned_at is None]
        return max((one.updated_at for one in own), default=None)

    def advance(self, head: Head, revision: Revision) -> bool:
        tables = self._changing
        assert (revision.scenario_id, revision.number) == (head.id, head.revision)
        kept = self.head(head.office_id, head.id)
        if kept is None or kept.revision != head.revision - 1 or kept.binned_at is not None:
            return False
        self._refuse_taken(head)
        tables.heads[head.id] = well_formed(
            replace(
                kept,
                external_id=head.external_id,
                name=head.name,
                revision=head.revision,
                updated_at=head.updated_at,
            )
        )
        tables.revisions[head.id, head.revision] = well_formed(revision)
        return True

    def put_in_bin(self, scenario_id: str, revision: int, at: datetime) -> bool:
        kept = self._tables.heads.get(scenario_id)
        if kept is None or kept.revision != revision or kept.binned_at is not None:
            return False
        changed = replace(kept, binned_at=at, updated_at=at)
        self._changing.heads[scenario_id] = well_formed(changed)
        return True

    def take_from_bin(self, scenario_id: str, at: datetime) -> bool:
        kept = self._tables.heads.get(scenario_id)
        if kept is None or kept.binned_at is None:
            return False
        changed = replace(kept, binned_at=None, updated_at=at)
        self._changing.heads[scenario_id] = well_formed(changed)
        return True

    def binned_before(self, at: datetime, limit: int) -> Sequence[Head]:
        binned = [
            head for head in self._tables.heads.values() if head.binned_at and head.binned_at < at
        ]
        return sorted(binned, key=lambda head: (head.binned_at, head.id))[:limit]

    def revision(self, scenario_id: str, number: int) -> Revision | None:
        return self._tables.revisions.get((scenario_id, number))

    def revisions(
        self, scenario_id: str, before: int | None, limit: int
    ) -> Sequence[RevisionSummary]:
        numbers = sorted(
            (number for owner, number in self._tables.revisions if owner == scenario_id),
            reverse=True,
        )
        return [
            summary_of(RevisionSummary, self._tables.revisions[scenario_id, number])
            for number in numbers
            if before is None or number < before
        ][:limit]

    def copies(self, scenario_id: str) -> Sequence[Head]:
        return by_id(one for one in self._tables.heads.values() if one.origin_id == scenario_id)

    def erase(self, scenario_id: str) -> Counts:
        tables = self._changing
        for copy in self.copies(scenario_id):
            tables.heads[copy.id] = replace(copy, origin_id=None, origin_revision=None)
        notes = [one.id for one in tables.notes.values() if one.scenario_id == scenario_id]
        links = [one.id for one in tables.credentials.values() if one.scenario_id == scenario_id]
        jobs = [one.id for one in tables.jobs.values() if one.scenario_id == scenario_id]
        sweeps = [one for one in jobs if isinstance(tables.jobs[one], Sweep)]
        gone = {scenario_id, *notes, *links, *jobs}
        replays = [
            key
            for key, one in tables.replays.items()
            if one.object_id in gone or one.credential_id in gone
        ]
        costings = [one.id for one in tables.costings.values() if one.scenario_id == scenario_id]
        revisions = [key for key in tables.revisions if key[0] == scenario_id]
        winters = [key for key in tables.past_winters if key[0] == scenario_id]
        tables.heads.pop(scenario_id, None)
        dropped(tables.weather_uses, [key for key in tables.weather_uses if key[1] == scenario_id])
        dropped(tables.job_parts, [key for key in tables.job_parts if key[0] in jobs])
        return Counts(
            revisions=dropped(tables.revisions, revisions),
            costings=dropped(tables.costings, costings),
            notes=dropped(tables.notes, notes),
            links=dropped(tables.credentials, links),
            replays=dropped(tables.replays, replays),
            analyses=dropped(tables.jobs, [one for one in jobs if one not in sweeps]),
            sweeps=dropped_sweeps(tables, sweeps),
            winters=dropped(tables.past_winters, winters),
        )

    def _refuse_taken(self, head: Head) -> None:
        for other in self._tables.heads.values():
            if (
                head.external_id is not None
                and (other.office_id, other.external_id) == (head.office_id, head.external_id)
                and other.id != head.id
            ):
                raise ExternalIdTakenError(other.id, binned=other.binned_at is not None)
