"""Stored costings."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import Connection, Select, and_, bindparam, delete, select, update

from service.scenarios.records import CostingSummary, Opened, StoredCosting
from service.store.columns import bounded
from service.store.credentials import CREDENTIAL
from service.store.inserts import unless_there
from service.store.prepared import Prepared, driver_of
from service.store.scenario_pages import HEAD
from service.store.shapes import Shape
from service.store.tables import COSTINGS, CREDENTIALS, SCENARIOS

COSTING = Shape(COSTINGS, StoredCosting)
COSTING_SUMMARY = Shape(COSTINGS, CostingSummary)

_C = COSTINGS.c
_K = CREDENTIALS.c
_OF_SCENARIO = _C.scenario_id == bindparam("scenario")

_ADD = unless_there(_C.scenario_id, _C.revision, _C.engine_version, _C.reference_edition)
_FIND = select(*COSTING.columns).where(
    _OF_SCENARIO,
    _C.revision == bindparam("number"),
    _C.engine_version == bindparam("engine"),
    _C.reference_edition == bindparam("edition"),
)
_GET = select(*COSTING.columns).where(_C.id == bindparam("costing"), _OF_SCENARIO)
_MARK_OPENED = update(COSTINGS).where(_C.id == bindparam("costing"))
_PRUNE = delete(COSTINGS).where(
    _C.opened_on < bindparam("day"),
    _C.revision
    != select(SCENARIOS.c.revision)
    .where(SCENARIOS.c.id == _C.scenario_id)
    .correlate(COSTINGS)
    .scalar_subquery(),
)


_OPENED = (
    select(*CREDENTIAL.columns, *HEAD.columns, *COSTING.columns)
    .select_from(CREDENTIALS)
    .outerjoin(
        SCENARIOS,
        and_(SCENARIOS.c.id == bindparam("scenario"), SCENARIOS.c.office_id == _K.office_id),
    )
    .outerjoin(COSTINGS, and_(_C.id == bindparam("costing"), _C.scenario_id == SCENARIOS.c.id))
    .where(_K.digest == bindparam("digest"))
)
_OPENED_AT_HAND = Prepared(_OPENED)
MOST_REMEMBERED = 256
"""Costings whose bytes are held, some 30 kB each."""

_HEAD_FROM = len(CREDENTIAL.columns)
_COSTING_FROM = _HEAD_FROM + len(HEAD.columns)


class CostingRows:
    """Stored costings."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def find(
        self, scenario_id: str, revision: int, engine_version: str, reference_edition: str
    ) -> StoredCosting | None:
        wanted = {
            "scenario": scenario_id,
            "number": bounded(revision),
            "engine": engine_version,
            "edition": reference_edition,
        }
        return COSTING.of_first(self._connection.execute(_FIND, wanted).first())

    def get(self, scenario_id: str, costing_id: str) -> StoredCosting | None:
        wanted = {"scenario": scenario_id, "costing": costing_id}
        return COSTING.of_first(self._connection.execute(_GET, wanted).first())

    def opened(self, digests: Iterable[bytes], scenario_id: str, costing_id: str) -> Opened | None:
        for digest in digests:
            row = self._opened({"digest": digest, "scenario": scenario_id, "costing": costing_id})
            if row is not None:
                return Opened(
                    CREDENTIAL.of(row[:_HEAD_FROM]),
                    HEAD.of_joined(row[_HEAD_FROM:_COSTING_FROM]),
                    COSTING.of_joined(row[_COSTING_FROM:]),
                )
        return None

    def _opened(self, wanted: Mapping[str, Any]) -> Sequence[Any] | None:
        return self._connection.execute(_OPENED, wanted).first()

    def add(self, costing: StoredCosting) -> StoredCosting:
        add = _ADD[self._connection.dialect.name]
        if self._connection.execute(add, COSTING.values(costing)).rowcount == 1:
            return costing
        kept = self.find(
            costing.scenario_id,
            costing.revision,
            costing.engine_version,
            costing.reference_edition,
        )
        return kept or costing

    def page(
        self, scenario_id: str, revision: int | None, before_id: str | None, limit: int
    ) -> Sequence[CostingSummary]:
        wanted: dict[str, Any] = {"scenario": scenario_id, "most": limit}
        if revision is not None:
            wanted["number"] = bounded(revision)
        if before_id is not None:
            wanted["before"] = before_id
        statement = _page(of_one=revision is not None, further=before_id is not None)
        return [COSTING_SUMMARY.of(row) for row in self._connection.execute(statement, wanted)]

    def mark_opened(self, costing_id: str, on: date) -> None:
        self._connection.execute(_MARK_OPENED, {"costing": costing_id, "opened_on": on})

    def prune(self, opened_before: date) -> int:
        return self._connection.execute(_PRUNE, {"day": opened_before}).rowcount


class CostingRowsAtHand(CostingRows):
    """The same, on a connection to SQLite that is kept for what must be quick, and never writes.

    What was looked up is remembered until anybody writes anything, in this process or another:
    SQLite then tells another version of its data (sqlite.org/pragma.html#pragma_data_version).
    """

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        self._version: int | None = None
        self._known: dict[tuple[bytes, str, str], Opened] = {}

    def opened(self, digests: Iterable[bytes], scenario_id: str, costing_id: str) -> Opened | None:
        version: int = driver_of(self._connection).execute("PRAGMA data_version").fetchone()[0]
        if version != self._version or len(self._known) >= MOST_REMEMBERED:
            self._known.clear()
            self._version = version
        newest, *older = digests
        asked = (newest, scenario_id, costing_id)
        if asked not in self._known:
            found = super().opened((newest, *older), scenario_id, costing_id)
            if found is None or found.costing is None:
                return found  # looked up again each time, for what is another's as for what is not
            self._known[asked] = found
        return self._known[asked]

    def _opened(self, wanted: Mapping[str, Any]) -> Sequence[Any] | None:
        return _OPENED_AT_HAND.first(self._connection, wanted)


@cache
def _page(*, of_one: bool, further: bool) -> Select[Any]:
    statement = select(*COSTING_SUMMARY.columns).where(_OF_SCENARIO)
    if of_one:
        statement = statement.where(_C.revision == bindparam("number"))
    if further:
        statement = statement.where(_C.id < bindparam("before"))
    return statement.order_by(_C.id.desc()).limit(bindparam("most"))
