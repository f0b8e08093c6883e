"""Sweeps and their chunks."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import cache
from itertools import islice
from typing import Any

from sqlalchemy import (
    Connection,
    Select,
    and_,
    bindparam,
    case,
    delete,
    func,
    insert,
    null,
    select,
    update,
)

from service.scenarios.records import JobState, Renewal
from service.scenarios.sweep_records import KeptChunk, Sweep, SweepChunk
from service.store.columns import UtcMs
from service.store.job_tables import CHUNK_AMISS, CHUNK_OPEN, IS_SWEEP, JOBS, OPEN, SWEEP_CHUNKS
from service.store.jobs import SWEEP
from service.store.shapes import Shape

CHUNK = Shape(SWEEP_CHUNKS, SweepChunk)
AT_ONCE = 50
"""Chunks that are handed to the database together, and held in memory."""

_J = JOBS.c
_C = SWEEP_CHUNKS.c
_THIS = and_(_J.id == bindparam("job"), IS_SWEEP)
_OF_OFFICE = and_(_J.office_id == bindparam("office"), IS_SWEEP)
_OWN = and_(_THIS, _OF_OFFICE)
_HELD = and_(_THIS, _J.state == "running", _J.worker == bindparam("holder"))
_QUEUED = _J.state == "queued"
_MOMENT = bindparam("moment", type_=UtcMs())

_ADD = insert(JOBS).values(kind="sweep", question="costing")
_ADD_CHUNKS = insert(SWEEP_CHUNKS).values(result_rows=0, failed_rows=0)
_GET = select(*SWEEP.columns).where(_OWN)
_RENEW = update(JOBS).where(_HELD).values(lease_until=bindparam("until")).returning(_J.cancel_at)
_COUNT = (
    update(JOBS)
    .where(_HELD)
    .values(
        done=_J.done + 1,
        result_rows=_J.result_rows + bindparam("more_rows"),
        failed_rows=_J.failed_rows + bindparam("more_failed"),
        attempts=1,
    )
)
_FINISH = (
    update(JOBS)
    .where(_HELD)
    .values(
        state=bindparam("ended"),
        finished_at=bindparam("at"),
        problem=bindparam("told"),
        worker=None,
        lease_until=None,
    )
)
_CANCEL = (
    update(JOBS)
    .where(_OWN, OPEN)
    .values(
        state=case((_QUEUED, "cancelled"), else_=_J.state),
        finished_at=case((_QUEUED, _MOMENT)),
        cancel_at=func.coalesce(_J.cancel_at, _MOMENT),
    )
    .returning(_J.state)
)
_STATE = select(_J.state).where(_OWN)
_DELETE = delete(JOBS).where(_OWN)
_PRUNE = delete(JOBS).where(_J.expires_at < bindparam("day"), IS_SWEEP)

_OF_SWEEP = _C.job_id == bindparam("job")
_CHUNK = and_(_OF_SWEEP, _C.number == bindparam("at"))
_HOLDS = select(_J.id).where(_HELD).exists()
_OPEN_CHUNKS = (
    select(_C.job_id, _C.number, _C.first_row, _C.row_count, _C.attempts)
    .where(_OF_SWEEP, CHUNK_OPEN)
    .order_by(_C.number)
)
_INPUTS = select(_C.inputs).where(_CHUNK)
_BEGIN = update(SWEEP_CHUNKS).where(_CHUNK, CHUNK_OPEN, _HOLDS).values(attempts=_C.attempts + 1)
_LEAVE = update(SWEEP_CHUNKS).where(_CHUNK, CHUNK_OPEN, _HOLDS).values(attempts=_C.attempts - 1)
_KEEP = (
    update(SWEEP_CHUNKS)
    .where(_CHUNK, CHUNK_OPEN)
    .values(
        inputs=null(),
        result=bindparam("rows"),
        problems=bindparam("amiss"),
        result_rows=bindparam("more_rows"),
        failed_rows=bindparam("more_failed"),
    )
)
_NEXT = (
    select(_C.number, _C.result)
    .where(_OF_SWEEP, _C.number > bindparam("after"), ~CHUNK_OPEN)
    .order_by(_C.number)
    .limit(1)
)
_NEXT_AMISS = (
    select(_C.number, _C.problems)
    .where(
        _OF_SWEEP,
        _C.number > bindparam("after"),
        CHUNK_AMISS,
        _C.first_row + _C.row_count - 1 > bindparam("after_row"),
    )
    .order_by(_C.number)
    .limit(1)
)


class SweepRows:
    """Sweeps and their chunks."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(
        self, sweep: Sweep, chunks: Iterable[SweepChunk], done: Iterable[KeptChunk] = ()
    ) -> None:
        self._connection.execute(_ADD, SWEEP.values(sweep))
        waiting = iter(chunks)
        while batch := [CHUNK.values(one) for one in islice(waiting, AT_ONCE)]:
            self._connection.execute(_ADD_CHUNKS, batch)
        for chunk in done:
            self._put(sweep.id, chunk)

    def get(self, office_id: str, sweep_id: str) -> Sweep | None:
        wanted = {"office": office_id, "job": sweep_id}
        return SWEEP.of_first(self._connection.execute(_GET, wanted).first())

    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[Sweep]:
        wanted: dict[str, Any] = {"office": office_id, "most": limit}
        if before_id is not None:
            wanted["before"] = before_id
        statement = _page(further=before_id is not None)
        return [SWEEP.of(row) for row in self._connection.execute(statement, wanted)]

    def open_chunks(self, sweep_id: str) -> Sequence[SweepChunk]:
        found = self._connection.execute(_OPEN_CHUNKS, {"job": sweep_id})
        return [SweepChunk(*row) for row in found]

    def inputs(self, sweep_id: str, number: int) -> bytes | None:
        return self._connection.execute(_INPUTS, {"job": sweep_id, "at": number}).scalar()

    def begin(self, sweep_id: str, worker: str, number: int) -> None:
        self._connection.execute(_BEGIN, {"job": sweep_id, "holder": worker, "at": number})

    def leave(self, sweep_id: str, worker: str, number: int) -> None:
        self._connection.execute(_LEAVE, {"job": sweep_id, "holder": worker, "at": number})

    def keep(self, sweep_id: str, worker: str, lease_until: datetime, chunk: KeptChunk) -> Renewal:
        held = {"job": sweep_id, "holder": worker}
        row = self._connection.execute(_RENEW, held | {"until": lease_until}).first()
        if row is None:
            return Renewal(held=False, cancelled=False)
        if self._put(sweep_id, chunk):
            self._connection.execute(_COUNT, held | _counted(chunk))
        return Renewal(held=True, cancelled=row[0] is not None)

    def _put(self, sweep_id: str, chunk: KeptChunk) -> bool:
        """Put down what a chunk came to; False if that is known already."""
        this = {"job": sweep_id, "at": chunk.number}
        kept = {"rows": chunk.result, "amiss": chunk.problems}
        return self._connection.execute(_KEEP, this | kept | _counted(chunk)).rowcount == 1

    def next_result(self, sweep_id: str, after: int) -> tuple[int, bytes] | None:
        row = self._connection.execute(_NEXT, {"job": sweep_id, "after": after}).first()
        return None if row is None else (row[0], row[1])

    def next_problems(self, sweep_id: str, after: int, after_row: int) -> tuple[int, bytes] | None:
        wanted = {"job": sweep_id, "after": after, "after_row": after_row}
        row = self._connection.execute(_NEXT_AMISS, wanted).first()
        return None if row is None else (row[0], row[1])

    def finish(self, sweep: Sweep, worker: str) -> bool:
        ended = {"ended": sweep.state, "at": sweep.finished_at, "told": sweep.problem}
        held = {"job": sweep.id, "holder": worker}
        return self._connection.execute(_FINISH, held | ended).rowcount == 1

    def cancel(self, office_id: str, sweep_id: str, at: datetime) -> JobState | None:
        wanted = {"office": office_id, "job": sweep_id}
        state: JobState | None = self._connection.execute(_CANCEL, wanted | {"moment": at}).scalar()
        return state or self._connection.execute(_STATE, wanted).scalar()

    def delete(self, office_id: str, sweep_id: str) -> bool:
        wanted = {"office": office_id, "job": sweep_id}
        return self._connection.execute(_DELETE, wanted).rowcount == 1

    def prune(self, expired_before: datetime) -> int:
        return self._connection.execute(_PRUNE, {"day": expired_before}).rowcount


def _counted(chunk: KeptChunk) -> dict[str, int]:
    return {"more_rows": chunk.result_rows, "more_failed": chunk.failed_rows}


@cache
def _page(*, further: bool) -> Select[Any]:
    statement = select(*SWEEP.columns).where(_OF_OFFICE)
    if further:
        statement = statement.where(_J.id < bindparam("before"))
    return statement.order_by(_J.id.desc()).limit(bindparam("most"))
