"""Sweeps: many farms or settings of one base, costed in chunks that are kept one by one.

A sweep is work like a question that takes long: it waits in the same queue and is taken up by the
same workers. What is small is done while the caller waits.
"""

import gzip
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from hashlib import sha256
from typing import Any

from service.costing.errors import Fault, InputError
from service.scenarios.access import found, needs
from service.scenarios.analyses import ENDED, MOST_WAITING
from service.scenarios.audit import entry
from service.scenarios.canonical import plain
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import SweepEndedError, TooManyJobsError, UnknownSweepError
from service.scenarios.ids import new_id
from service.scenarios.plain_text import text_fault
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.scenarios.sweep_bases import Base, base_of, faults_of_base, faults_of_fixed
from service.scenarios.sweep_records import KeptChunk, Sweep, SweepChunk
from service.sweeps.chunk import chunk_payload, chunks, run_chunk
from service.sweeps.records import DEFAULT_FIGURES, ChunkResult, FarmRow, SweepSpec
from service.sweeps.spec import columns, faults_of_sweep

KEPT_DAYS = 90
QUICK_COSTINGS = 20
"""So many are costed while the caller waits: about half a second."""
LONGEST_EXTERNAL_ID = 100
LEVEL = 6
"""Of compression."""


@dataclass(frozen=True, slots=True)
class NewSweep:
    """A sweep as it is asked for: of a stored scenario, or of a document that comes with it."""

    farms: tuple[FarmRow, ...]
    document: Document = field(default_factory=dict[str, Any])
    scenario_id: str | None = None
    vary: Mapping[str, tuple[Any, ...]] = field(default_factory=dict[str, tuple[Any, ...]])
    figures: tuple[str, ...] = DEFAULT_FIGURES
    seed: int = 0


def start_sweep(desk: Desk, caller: Caller, asked: NewSweep, then: Then[Sweep] = None) -> Sweep:
    """Keep a sweep, to be worked on; one of few costings is done at once.

    Parameters
    ----------
    desk, caller
        Where and who; needs an office key with write access.
    asked : NewSweep
        What is asked for.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    InputError
        If something is wrong with it as a whole; carries every fault. A farm that cannot be costed
        is none. Inputs of the base begin with ``document.``, those of varied ones with ``vary.``;
        ``farms.1`` is the first farm.
    UnknownScenarioError, BinnedError
        If there is no such scenario that the caller may see.
    TooManyJobsError
        If too much of the office waits already.
    """
    needs(caller, "write", office=True)
    base, faults = base_of(desk, caller, asked.scenario_id, asked.document)
    spec = SweepSpec(base.document, asked.farms, asked.vary, asked.figures, asked.seed)
    faults += [*faults_of_fixed(spec.paths, spec.vary), *_faults_of_ids(asked.farms)]
    faults += [*faults_of_sweep(spec), *faults_of_base(desk.read, base, covered(asked))]
    if faults:
        raise InputError(faults)
    sweep, waiting = _sweep(desk, caller, base, spec)
    done: list[KeptChunk] = []
    if spec.costings <= QUICK_COSTINGS:
        done = [kept_chunk(one.number, run_chunk(one.inputs or b"", desk.read)) for one in waiting]
        sweep = _done_at_once(desk, sweep, done)
    with desk.store.writing() as session:
        if base.scenario_id is not None:
            found(session, caller, base.scenario_id, "write")
        if sweep.state == "queued" and session.jobs.waiting(caller.office_id) >= MOST_WAITING:
            raise TooManyJobsError
        session.sweeps.add(sweep, waiting, done)
        session.audit.add(entry(desk, caller, "sweep.create", sweep.id, base.revision))
        if then is not None:
            then(session, sweep)
    return sweep


def covered(asked: NewSweep) -> set[str]:
    """Return the inputs that each costing of a sweep gives anew, so that the base's do not count.

    Parameters
    ----------
    asked : NewSweep
        The sweep.
    """
    by_all = set(asked.farms[0].set) if asked.farms else set[str]()
    for farm in asked.farms:
        by_all &= farm.set.keys()
    return by_all | set(asked.vary)


def sweep_of(session: Session, caller: Caller, sweep_id: str) -> Sweep:
    """Return a sweep of the caller's office, as far as it is; needs an office key.

    Raises
    ------
    UnknownSweepError
        If the office has none of that id.
    """
    needs(caller, "read", office=True)
    sweep = session.sweeps.get(caller.office_id, sweep_id)
    if sweep is None:
        raise UnknownSweepError(sweep_id)
    return sweep


def sweeps_of(
    session: Session, caller: Caller, before_id: str | None, limit: int
) -> Sequence[Sweep]:
    """Return the sweeps of the caller's office, newest first; needs an office key."""
    needs(caller, "read", office=True)
    return session.sweeps.page(caller.office_id, before_id, limit)


def cancel_sweep(desk: Desk, caller: Caller, sweep_id: str) -> Sweep:
    """Ask a sweep to end; asked twice is asked once. The rows that are done stay.

    Raises
    ------
    UnknownSweepError
        If the office has none of that id.
    SweepEndedError
        If it has ended already.
    """
    needs(caller, "write", office=True)
    with desk.store.writing() as session:
        before = sweep_of(session, caller, sweep_id)
        if before.state in ENDED:
            raise SweepEndedError(before.state)
        session.sweeps.cancel(caller.office_id, sweep_id, desk.now())
        if before.cancel_at is None:
            session.audit.add(entry(desk, caller, "sweep.cancel", sweep_id, before.revision))
        return sweep_of(session, caller, sweep_id)


def forget_sweep(desk: Desk, caller: Caller, sweep_id: str) -> None:
    """Forget a sweep with its rows; work that is being done on it comes to nothing.

    Raises
    ------
    UnknownSweepError
        If the office has none of that id.
    """
    needs(caller, "write", office=True)
    with desk.store.writing() as session:
        sweep = sweep_of(session, caller, sweep_id)
        session.sweeps.delete(caller.office_id, sweep_id)
        session.audit.add(entry(desk, caller, "sweep.delete", sweep_id, sweep.revision))


def results(desk: Desk, sweep: Sweep) -> Iterator[bytes]:
    """Yield the rows that are there, CSV without a header, chunk by chunk.

    Each is looked up by itself, so that no more than one is held and no session stays open.

    Raises
    ------
    UnknownSweepError
        If the sweep was forgotten meanwhile.
    """
    yielded = number = 0
    while yielded < sweep.done:
        with desk.store.reading() as session:
            following = session.sweeps.next_result(sweep.id, number)
        if following is None:
            raise UnknownSweepError(sweep.id)
        number = following[0]
        yielded += 1
        yield gzip.decompress(following[1])


def problems(
    session: Session, caller: Caller, sweep_id: str, after_row: int, limit: int
) -> list[Document]:
    """Return what was wrong with farms, in the order of the rows.

    Parameters
    ----------
    session, caller
        In which it is looked up, and for whom.
    sweep_id : str
        Of which sweep.
    after_row : int
        Only rows of a greater number; the first page is after 0.
    limit : int
        Most to return.

    Raises
    ------
    UnknownSweepError
        If the office has none of that id.
    """
    sweep = sweep_of(session, caller, sweep_id)
    told: list[Document] = []
    number = 0
    while len(told) < limit:
        following = session.sweeps.next_problems(sweep.id, number, after_row)
        if following is None:
            break
        number = following[0]
        listed: list[Document] = json.loads(gzip.decompress(following[1]))
        told += [one for one in listed if one["row"] > after_row]
    return told[:limit]


def kept_chunk(number: int, result: ChunkResult) -> KeptChunk:
    """Return what a chunk came to as it is kept, the same bytes each time."""
    problems_text = json.dumps(result.problems, separators=(",", ":")).encode()
    return KeptChunk(
        number=number,
        result=gzip.compress(result.csv, LEVEL, mtime=0),
        result_rows=result.rows,
        failed_rows=result.failed,
        problems=gzip.compress(problems_text, LEVEL, mtime=0) if result.problems else None,
    )


def request_of(sweep: Sweep) -> Document:
    """Return what was asked, without the farms."""
    return json.loads(sweep.request)


def _faults_of_ids(farms: Sequence[FarmRow]) -> Iterator[Fault]:
    for number, farm in enumerate(farms, start=1):
        if farm.external_id is None:
            continue
        place = f"farms.{number}.external_id"
        fault = text_fault(place, "external_id", farm.external_id, LONGEST_EXTERNAL_ID)
        if fault is not None:
            yield fault


def _sweep(
    desk: Desk, caller: Caller, base: Base, spec: SweepSpec
) -> tuple[Sweep, list[SweepChunk]]:
    """Return a sweep to be kept, with its chunks."""
    now = desk.now()
    sweep_id = new_id("sw", now)
    waiting = [
        SweepChunk(
            job_id=sweep_id,
            number=one.number,
            first_row=one.first_row,
            row_count=one.row_count,
            inputs=chunk_payload(spec, one.number),
        )
        for one in chunks(spec)
    ]
    request = {
        "farms": len(spec.farms),
        "vary": {path: list(values) for path, values in spec.vary.items()},
        "figures": list(spec.figures),
        "columns": list(columns(spec)),
        "costings": spec.costings,
    }
    key = sha256(f"{desk.engine_version} {base.edition}".encode())
    for chunk in waiting:
        key.update(chunk.inputs or b"")
    return Sweep(
        id=sweep_id,
        office_id=caller.office_id,
        scenario_id=base.scenario_id,
        revision=base.revision,
        request=json.dumps(plain(request), separators=(",", ":"), allow_nan=False),
        request_key=key.hexdigest(),
        engine_version=desk.engine_version,
        reference_edition=base.edition,
        seed=spec.seed,
        state="queued",
        done=0,
        total=len(waiting),
        result_rows=0,
        failed_rows=0,
        attempts=0,
        worker=None,
        lease_until=None,
        cancel_at=None,
        created_by=caller.credential_id,
        created_at=now,
        started_at=None,
        finished_at=None,
        expires_at=now + timedelta(days=KEPT_DAYS),
    ), waiting


def _done_at_once(desk: Desk, sweep: Sweep, done: Sequence[KeptChunk]) -> Sweep:
    return replace(
        sweep,
        state="done",
        done=len(done),
        result_rows=sum(one.result_rows for one in done),
        failed_rows=sum(one.failed_rows for one in done),
        started_at=sweep.created_at,
        finished_at=desk.now(),
    )
