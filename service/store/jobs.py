"""Work that is done in parts."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import (
    Connection,
    Integer,
    Select,
    and_,
    bindparam,
    case,
    delete,
    func,
    insert,
    or_,
    select,
    update,
)

from service.scenarios.clock import LATEST, Lapsed
from service.scenarios.records import Job, JobState, JobSummary, Renewal
from service.scenarios.sweep_records import Sweep
from service.store.columns import UtcMs
from service.store.inserts import unless_there
from service.store.job_tables import JOB_PARTS, JOBS, OPEN
from service.store.shapes import Shape
from service.store.tables import OFFICES

JOB = Shape(JOBS, Job)
JOB_SUMMARY = Shape(JOBS, JobSummary)
SWEEP = Shape(JOBS, Sweep)

_J = JOBS.c
_P = JOB_PARTS.c
_THIS = _J.id == bindparam("job")
_OF_SCENARIO = and_(_J.scenario_id == bindparam("scenario"), _J.kind == "analysis")
_QUEUED = _J.state == "queued"
_RUNNING = _J.state == "running"
_HELD = and_(_THIS, _RUNNING, _J.worker == bindparam("holder"))
_NOT_HELD = {"worker": None, "lease_until": None}
_MOMENT = bindparam("moment", type_=UtcMs())

_ADD = insert(JOBS)
_GET = select(*JOB.columns).where(_THIS, _OF_SCENARIO)
_FIND = (
    select(*JOB.columns)
    .where(
        _OF_SCENARIO,
        _J.request_key == bindparam("asked"),
        _J.state.in_(["queued", "running", "done"]),
    )
    .order_by(_J.id.desc())
    .limit(1)
)
_WAITING = select(func.count()).select_from(JOBS).where(_J.office_id == bindparam("office"), OPEN)

_OPEN_BY_STATE = select(_J.state, func.count()).where(OPEN).group_by(_J.state)

_LAPSED = or_(
    _J.lease_until <= bindparam("over_by", type_=UtcMs()),
    _J.lease_until > bindparam("none_after", type_=UtcMs()),
)
_FREE = (OPEN, or_(_QUEUED, _LAPSED))
_FIRST_FREE = select(_J.id).where(*_FREE).limit(1)
# Of two who look at once on PostgreSQL, the second passes over the row that the first has locked.
_OLDEST = (
    select(_J.id)
    .where(*_FREE)
    .order_by(_J.created_at, _J.id)
    .limit(1)
    .with_for_update(skip_locked=True)
)
_TAKE_UP = (
    update(JOBS)
    .where(_THIS)
    .values(
        state="running",
        attempts=_J.attempts + 1,
        worker=bindparam("holder"),
        lease_until=bindparam("until"),
        started_at=func.coalesce(_J.started_at, _MOMENT),
    )
    .returning(*_J)
)
_REACHED = bindparam("reached", type_=Integer())
_FURTHER = case((_J.done < _REACHED, _REACHED), else_=_J.done)
_RENEW = (
    update(JOBS)
    .where(_HELD)
    .values(lease_until=bindparam("until"), done=_FURTHER)
    .returning(_J.cancel_at)
)
_RELEASE = (
    update(JOBS)
    .where(_HELD)
    .values(
        state="queued",
        attempts=_J.attempts - 1,
        started_at=case((_J.attempts > 1, _J.started_at)),
        **_NOT_HELD,
    )
)
_REQUEUE = update(JOBS).where(OPEN, _RUNNING).values(state="queued", **_NOT_HELD)
_FINISH = update(JOBS).where(_HELD).values(done=_FURTHER, **_NOT_HELD)
_CANCEL = (
    update(JOBS)
    .where(_THIS, _OF_SCENARIO, OPEN)
    .values(
        state=case((_QUEUED, "cancelled"), else_=_J.state),
        finished_at=case((_QUEUED, _MOMENT)),
        cancel_at=func.coalesce(_J.cancel_at, _MOMENT),
    )
    .returning(_J.state)
)
_STATE = select(_J.state).where(_THIS, _OF_SCENARIO)
_DELETE = delete(JOBS).where(_THIS, _OF_SCENARIO)
_PRUNE = delete(JOBS).where(_J.expires_at < bindparam("day"), _J.kind == "analysis")

# Whoever counts in order to add waits for the one before. SQLite lets one write at a time anyway.
_LOCK_OFFICE = (
    select(OFFICES.c.id).where(OFFICES.c.id == bindparam("office")).with_for_update(key_share=True)
)

_OF_JOB = _P.job_id == bindparam("job")
_ADD_PART = unless_there(_P.job_id, _P.number)
_PARTS_DONE = select(_P.number).where(_OF_JOB)
_NEXT_PART = (
    select(_P.number, _P.result)
    .where(_OF_JOB, _P.number > bindparam("after"))
    .order_by(_P.number)
    .limit(1)
)
_DROP_PARTS = delete(JOB_PARTS).where(_OF_JOB)


class JobRows:
    """Work that is done in parts, by whichever process comes to it."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, job: Job) -> None:
        self._connection.execute(_ADD, JOB.values(job))

    def get(self, scenario_id: str, job_id: str) -> Job | None:
        wanted = {"scenario": scenario_id, "job": job_id}
        return JOB.of_first(self._connection.execute(_GET, wanted).first())

    def find(self, scenario_id: str, request_key: str) -> Job | None:
        wanted = {"scenario": scenario_id, "asked": request_key}
        return JOB.of_first(self._connection.execute(_FIND, wanted).first())

    def page(self, scenario_id: str, before_id: str | None, limit: int) -> Sequence[JobSummary]:
        wanted: dict[str, Any] = {"scenario": scenario_id, "most": limit}
        if before_id is not None:
            wanted["before"] = before_id
        statement = _page(further=before_id is not None)
        return [JOB_SUMMARY.of(row) for row in self._connection.execute(statement, wanted)]

    def waiting(self, office_id: str) -> int:
        self._connection.execute(_LOCK_OFFICE, {"office": office_id})
        return self._connection.execute(_WAITING, {"office": office_id}).scalar_one()

    def open_by_state(self) -> Mapping[JobState, int]:
        return {state: count for state, count in self._connection.execute(_OPEN_BY_STATE)}  # noqa: C416

    def any_to_claim(self, now: datetime, lapsed: Lapsed | None = None) -> bool:
        return self._connection.execute(_FIRST_FREE, _bounds(now, lapsed)).first() is not None

    def claim(
        self, worker: str, now: datetime, lease_until: datetime, lapsed: Lapsed | None = None
    ) -> Job | Sweep | None:
        oldest = self._connection.execute(_OLDEST, _bounds(now, lapsed)).scalar()
        if oldest is None:
            return None
        taken = {"job": oldest, "holder": worker, "moment": now, "until": lease_until}
        row = self._connection.execute(_TAKE_UP, taken).mappings().one()
        if row[_J.kind] == "sweep":
            return SWEEP.of([row[column] for column in SWEEP.columns])
        return JOB.of([row[column] for column in JOB.columns])

    def renew(self, job_id: str, worker: str, lease_until: datetime, done: int) -> Renewal:
        values = {"job": job_id, "holder": worker, "until": lease_until, "reached": done}
        row = self._connection.execute(_RENEW, values).first()
        return Renewal(held=row is not None, cancelled=row is not None and row[0] is not None)

    def release(self, job_id: str, worker: str) -> None:
        self._connection.execute(_RELEASE, {"job": job_id, "holder": worker})

    def add_part(self, job_id: str, number: int, result: bytes) -> None:
        add = _ADD_PART[self._connection.dialect.name]
        self._connection.execute(add, {"job_id": job_id, "number": number, "result": result})

    def parts_done(self, job_id: str) -> set[int]:
        return set(self._connection.execute(_PARTS_DONE, {"job": job_id}).scalars())

    def parts(self, job_id: str) -> Iterator[bytes]:
        # One by one: all of them together may be more than a process should hold.
        after = -1
        while row := self._connection.execute(_NEXT_PART, {"job": job_id, "after": after}).first():
            after = row.number
            yield row.result

    def finish(self, job: Job, worker: str) -> bool:
        ended = {
            "state": job.state,
            "finished_at": job.finished_at,
            "result": job.result,
            "problem": job.problem,
        }
        held = {"job": job.id, "holder": worker, "reached": job.done}
        finished = self._connection.execute(_FINISH, held | ended).rowcount == 1
        if finished:
            self._connection.execute(_DROP_PARTS, {"job": job.id})
        return finished

    def cancel(self, scenario_id: str, job_id: str, at: datetime) -> JobState | None:
        wanted = {"scenario": scenario_id, "job": job_id}
        state: JobState | None = self._connection.execute(_CANCEL, wanted | {"moment": at}).scalar()
        if state == "cancelled":
            self._connection.execute(_DROP_PARTS, {"job": job_id})
        return state or self._connection.execute(_STATE, wanted).scalar()

    def delete(self, scenario_id: str, job_id: str) -> bool:
        wanted = {"scenario": scenario_id, "job": job_id}
        return self._connection.execute(_DELETE, wanted).rowcount == 1

    def requeue(self) -> int:
        return self._connection.execute(_REQUEUE).rowcount

    def prune(self, expired_before: datetime) -> int:
        return self._connection.execute(_PRUNE, {"day": expired_before}).rowcount


def _bounds(now: datetime, lapsed: Lapsed | None) -> dict[str, datetime]:
    lapsed = lapsed or Lapsed(now, LATEST)
    return {"over_by": lapsed.before, "none_after": lapsed.after}


@cache
def _page(*, further: bool) -> Select[Any]:
    statement = select(*JOB_SUMMARY.columns).where(_OF_SCENARIO)
    if further:
        statement = statement.where(_J.id < bindparam("before"))
    return statement.order_by(_J.id.desc()).limit(bindparam("most"))
