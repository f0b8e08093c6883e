"""What hangs on scenarios and on requests, in memory."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Literal

from service.scenarios.errors import KeyInFlightError
from service.scenarios.records import (
    AuditEntry,
    CostingSummary,
    Note,
    Opened,
    Replay,
    StoredCosting,
)
from tests.support.fake_tables import Part, by_id, dropped, must_stand, summary_of, well_formed

LONGEST_NOTE = 4_000


class FakeCostings(Part):
    """Stored costings."""

    def find(
        self, scenario_id: str, revision: int, engine_version: str, reference_edition: str
    ) -> StoredCosting | None:
        wanted = (scenario_id, revision, engine_version, reference_edition)
        return next((one for one in self._tables.costings.values() if cause(one) == wanted), None)

    def get(self, scenario_id: str, costing_id: str) -> StoredCosting | None:
        costing = self._tables.costings.get(costing_id)
        return costing if costing and costing.scenario_id == scenario_id else None

    def opened(self, digests: Iterable[bytes], scenario_id: str, costing_id: str) -> Opened | None:
        wanted = set(digests)
        credentials = self._tables.credentials.values()
        credential = next((one for one in credentials if one.digest in wanted), None)
        if credential is None:
            return None
        head = self._tables.heads.get(scenario_id)
        if head is None or head.office_id != credential.office_id:
            return Opened(credential, None, None)
        return Opened(credential, head, self.get(scenario_id, costing_id))

    def add(self, costing: StoredCosting) -> StoredCosting:
        tables = self._changing
        must_stand((costing.scenario_id, costing.revision), tables.revisions)
        kept = self.find(*cause(costing))
        if kept is None:
            assert costing.id not in tables.costings
            kept = tables.costings[costing.id] = well_formed(costing)
        return kept

    def page(
        self, scenario_id: str, revision: int | None, before_id: str | None, limit: int
    ) -> Sequence[CostingSummary]:
        return [
            summary_of(CostingSummary, one)
            for one in reversed(by_id(self._tables.costings.values()))
            if one.scenario_id == scenario_id
            and revision in {None, one.revision}
            and (before_id is None or one.id < before_id)
        ][:limit]

    def mark_opened(self, costing_id: str, on: date) -> None:
        costings = self._changing.costings
        if costing_id in costings:
            costings[costing_id] = replace(costings[costing_id], opened_on=on)

    def prune(self, opened_before: date) -> int:
        tables = self._changing
        old = [
            one.id
            for one in tables.costings.values()
            if one.opened_on < opened_before
            and one.revision != tables.heads[one.scenario_id].revision
        ]
        return dropped(tables.costings, old)


class FakeNotes(Part):
    """Remarks."""

    def add(self, note: Note) -> None:
        tables = self._changing
        assert note.id not in tables.notes
        must_stand((note.scenario_id, note.revision), tables.revisions)
        assert len(note.body) <= LONGEST_NOTE
        tables.notes[note.id] = well_formed(note)

    def page(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Note]:
        return [
            one
            for one in by_id(self._tables.notes.values())
            if one.scenario_id == scenario_id and one.id > (after_id or "")
        ][:limit]


class FakeAudit(Part):
    """Who did what."""

    def add(self, entry: AuditEntry) -> None:
        tables = self._changing
        tables.audit_number += 1
        tables.audit[tables.audit_number] = replace(well_formed(entry), number=tables.audit_number)

    def page(
        self, office_id: str, object_id: str | None, before: int | None, limit: int
    ) -> Sequence[AuditEntry]:
        return [
            entry
            for number, entry in sorted(self._tables.audit.items(), reverse=True)
            if entry.office_id == office_id
            and object_id in {None, entry.object_id}
            and (before is None or number < before)
        ][:limit]

    def prune(self, before: datetime) -> int:
        audit = self._changing.audit
        return dropped(audit, [number for number, entry in audit.items() if entry.at < before])


class FakeReplays(Part):
    """Answers to requests that may be sent again."""

    def claim(self, replay: Replay, stale_before: datetime) -> Replay | None:
        replays = self._changing.replays
        kept = replays.get((replay.credential_id, replay.key))
        ahead = replay.claimed_at + (replay.claimed_at - stale_before)
        if kept is not None and not (
            kept.expires_at < replay.claimed_at
            or (kept.status is None and not stale_before <= kept.claimed_at <= ahead)
        ):
            return kept
        replays[replay.credential_id, replay.key] = well_formed(replay)
        return None

    def complete(self, replay: Replay) -> None:
        replays = self._changing.replays
        key = (replay.credential_id, replay.key)
        if key not in replays or replays[key].status is not None:
            raise KeyInFlightError
        replays[key] = replace(
            replays[key],
            status=replay.status,
            headers=replay.headers,
            body=replay.body,
            object_id=replay.object_id,
        )

    def release(self, credential_id: str, key: str) -> None:
        replays = self._changing.replays
        kept = replays.get((credential_id, key))
        if kept is not None and kept.status is None:
            del replays[credential_id, key]

    def prune(self, before: datetime) -> int:
        replays = self._changing.replays
        return dropped(replays, [key for key, one in replays.items() if one.expires_at < before])


class FakeErasures(Part):
    """A copy of the journal."""

    def add(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None:
        self._changing.erasures.setdefault((act, object_id), at)

    def ids(self) -> set[tuple[str, str]]:
        return set(self._tables.erasures)


def cause(costing: CostingSummary) -> tuple[str, int, str, str]:
    """Return what makes one costing differ from another."""
    return (
        costing.scenario_id,
        costing.revision,
        costing.engine_version,
        costing.reference_edition,
    )
