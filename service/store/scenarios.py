"""Scenarios and their revisions."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Generator, Sequence
from contextlib import contextmanager
from datetime import datetime

from sqlalchemy import Connection, bindparam, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.scenarios.errors import ExternalIdTakenError
from service.scenarios.records import Counts, Head, Revision, RevisionSummary
from service.scenarios.repositories import Listing
from service.store.columns import LARGEST_NUMBER, bounded
from service.store.scenario_erasure import erased
from service.store.scenario_pages import HEAD, page, page_values
from service.store.shapes import Shape
from service.store.tables import REVISIONS, SCENARIOS

REVISION = Shape(REVISIONS, Revision)
REVISION_SUMMARY = Shape(REVISIONS, RevisionSummary)

_S = SCENARIOS.c
_R = REVISIONS.c
_THIS = _S.id == bindparam("scenario")
_NEWEST_CHANGE = (
    select(_S.updated_at)
    .where(_S.office_id == bindparam("office"), _S.binned_at.is_(None))
    .order_by(_S.updated_at.desc(), _S.id.desc())
    .limit(1)
)

_ADD = insert(SCENARIOS)
_GET = select(*HEAD.columns).where(_THIS, _S.office_id == bindparam("office"))
_BY_EXTERNAL_ID = select(_S.id, _S.binned_at).where(
    _S.office_id == bindparam("office"), _S.external_id == bindparam("external")
)
_ADVANCE = update(SCENARIOS).where(
    _THIS,
    _S.office_id == bindparam("office"),
    _S.revision == bindparam("before"),
    _S.binned_at.is_(None),
)
_PUT_IN_BIN = update(SCENARIOS).where(
    _THIS, _S.revision == bindparam("newest"), _S.binned_at.is_(None)
)
_TAKE_FROM_BIN = update(SCENARIOS).where(_THIS, _S.binned_at.is_not(None))
_BINNED_BEFORE = (
    select(*HEAD.columns)
    .where(_S.binned_at < bindparam("day"))
    .order_by(_S.binned_at, _S.id)
    .limit(bindparam("most"))
)
_COPIES = select(*HEAD.columns).where(_S.origin_id == bindparam("origin")).order_by(_S.id)

_ADD_REVISION = insert(REVISIONS)
_REVISION = select(*REVISION.columns).where(
    _R.scenario_id == bindparam("scenario"), _R.number == bindparam("wanted")
)
_REVISIONS = (
    select(*REVISION_SUMMARY.columns)
    .where(_R.scenario_id == bindparam("scenario"), _R.number < bindparam("before"))
    .order_by(_R.number.desc())
    .limit(bindparam("most"))
)


class ScenarioRows:
    """Scenarios and their revisions."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, head: Head, revision: Revision) -> None:
        with self._external_id_of(head):
            self._connection.execute(_ADD, HEAD.values(head))
        self._connection.execute(_ADD_REVISION, REVISION.values(revision))

    def head(self, office_id: str, scenario_id: str) -> Head | None:
        wanted = {"scenario": scenario_id, "office": office_id}
        return HEAD.of_first(self._connection.execute(_GET, wanted).first())

    def page(self, office_id: str, listing: Listing) -> Sequence[Head]:
        rows = self._connection.execute(page(listing), page_values(office_id, listing))
        return [HEAD.of(row) for row in rows]

    def newest_change(self, office_id: str) -> datetime | None:
        return self._connection.execute(_NEWEST_CHANGE, {"office": office_id}).scalar()

    def advance(self, head: Head, revision: Revision) -> bool:
        wanted = {"scenario": head.id, "office": head.office_id, "before": head.revision - 1}
        changes = {
            "external_id": head.external_id,
            "name": head.name,
            "revision": head.revision,
            "updated_at": head.updated_at,
        }
        with self._external_id_of(head):
            changed = self._connection.execute(_ADVANCE, wanted | changes).rowcount == 1
        if changed:
            self._connection.execute(_ADD_REVISION, REVISION.values(revision))
        return changed

    def put_in_bin(self, scenario_id: str, revision: int, at: datetime) -> bool:
        changes = {"binned_at": at, "updated_at": at}
        wanted = {"scenario": scenario_id, "newest": bounded(revision)}
        return self._connection.execute(_PUT_IN_BIN, wanted | changes).rowcount == 1

    def take_from_bin(self, scenario_id: str, at: datetime) -> bool:
        changes = {"scenario": scenario_id, "binned_at": None, "updated_at": at}
        return self._connection.execute(_TAKE_FROM_BIN, changes).rowcount == 1

    def binned_before(self, at: datetime, limit: int) -> Sequence[Head]:
        rows = self._connection.execute(_BINNED_BEFORE, {"day": at, "most": limit})
        return [HEAD.of(row) for row in rows]

    def revision(self, scenario_id: str, number: int) -> Revision | None:
        wanted = {"scenario": scenario_id, "wanted": bounded(number)}
        return REVISION.of_first(self._connection.execute(_REVISION, wanted).first())

    def revisions(
        self, scenario_id: str, before: int | None, limit: int
    ) -> Sequence[RevisionSummary]:
        below = LARGEST_NUMBER if before is None else bounded(before)
        wanted = {"scenario": scenario_id, "before": below, "most": limit}
        return [REVISION_SUMMARY.of(row) for row in self._connection.execute(_REVISIONS, wanted)]

    def copies(self, scenario_id: str) -> Sequence[Head]:
        rows = self._connection.execute(_COPIES, {"origin": scenario_id})
        return [HEAD.of(row) for row in rows]

    def erase(self, scenario_id: str) -> Counts:
        return erased(self._connection, scenario_id)

    @contextmanager
    def _external_id_of(self, head: Head) -> Generator[None]:
        """Write a scenario; say whose its external id is, if it is another's.

        The index decides, for two may write at the same time. A savepoint keeps the transaction
        alive on PostgreSQL, where a failed statement would end it.
        """
        if head.external_id is None:
            yield
            return
        try:
            with self._connection.begin_nested():
                yield
        except IntegrityError:
            wanted = {"office": head.office_id, "external": head.external_id}
            other = self._connection.execute(_BY_EXTERNAL_ID, wanted).first()
            if other is None or other.id == head.id:
                raise
            raise ExternalIdTakenError(other.id, binned=other.binned_at is not None) from None
