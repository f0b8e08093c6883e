"""Work on a sweep: a few chunks in flight on an executor, each kept as it is done.

How often a chunk was begun is kept too, so that one which ends its worker each time is known by it
and does not keep the others from being done.
"""

import logging
from collections import deque
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass, field, replace
from datetime import timedelta
from time import monotonic
from typing import Literal

from service.scenarios.desk import Desk
from service.scenarios.errors import StoreBusyError
from service.scenarios.records import JobState, Renewal
from service.scenarios.sweep_records import Sweep, SweepChunk
from service.scenarios.sweeps import kept_chunk
from service.sweeps.chunk import failed_chunk, run_chunk
from service.sweeps.executors import Serial, executor_of, width_of
from service.sweeps.records import ChunkResult
from service.sweeps.stopping import StoppedError

MOST_ATTEMPTS = 3
"""So often a chunk is begun; then its rows have failed."""
SECONDS_BETWEEN_RENEWALS = 1.0
"""How soon a worker hears that its sweep is cancelled; the lease is made longer with it."""
SECONDS_BETWEEN_LOOKS = 0.2

Ending = Literal["done", "cancelled", "handed_back", "lost", "given_up"]

log = logging.getLogger(__name__)


class InterruptedSweepError(Exception):
    """The store did not keep up; the rest is to be handed back once it does."""

    def __init__(self, hand_back: Callable[[], None]) -> None:
        self.hand_back = hand_back
        super().__init__("the store did not keep what came of a sweep")


def work_on_sweep(
    desk: Desk, sweep: Sweep, worker: str, stopping: Callable[[], bool], lease: timedelta
) -> Ending:
    """Work on a sweep that was claimed, to its end or until it is to stop.

    Parameters
    ----------
    desk : Desk
        Where it is kept; says what chunks are run on.
    sweep : Sweep
        As it was claimed.
    worker : str
        Name of the worker who holds it.
    stopping : callable
        Whether to leave the rest to others.
    lease : timedelta
        For how long it is claimed each time.

    Returns
    -------
    str
        How it ended; ``given_up`` if it was taken up again and again and no chunk was done.

    Raises
    ------
    ValueError, ConnectionError
        If there is nothing to run chunks on.
    InterruptedSweepError
        If the store does not answer, or has no room.
    """
    work = _Work(desk, sweep, worker, stopping, lease, deque())
    try:
        return _worked_on(work)
    except StoreBusyError as error:
        raise InterruptedSweepError(work.hand_back) from error


def _worked_on(work: "_Work") -> Ending:
    sweep = work.sweep
    with work.desk.store.reading() as session:
        waiting = session.sweeps.open_chunks(sweep.id)
    work.waiting = deque(waiting)
    work.renew()
    if work.over is None and waiting:
        worst = max(chunk.attempts for chunk in waiting)
        if sweep.attempts > MOST_ATTEMPTS and worst < MOST_ATTEMPTS:
            return "given_up"
        _run(work)
    if work.over == "lost":
        return "lost"
    if work.over == "cancelled":
        return _end(work, "cancelled")
    if work.waiting or work.in_flight:
        work.hand_back()
        return "handed_back"
    return _end(work, "done")


def _run(work: "_Work") -> None:
    executor = executor_of(work.desk.executor)
    try:
        while (work.waiting or work.in_flight) and not work.to_stop():
            work.send(executor)
            ready, _ = wait(
                work.in_flight, timeout=SECONDS_BETWEEN_LOOKS, return_when=FIRST_COMPLETED
            )
            for future in ready:
                work.receive(future)
        for future in [one for one in work.in_flight if one.done()]:
            work.receive(future)
    finally:
        executor.shutdown(wait=not work.in_flight, cancel_futures=bool(work.in_flight))


@dataclass
class _Work:
    """What is to be done of a sweep, and what is being done."""

    desk: Desk
    sweep: Sweep
    worker: str
    stopping: Callable[[], bool]
    lease: timedelta
    waiting: deque[SweepChunk]
    in_flight: dict[Future[ChunkResult], SweepChunk] = field(
        default_factory=dict[Future[ChunkResult], SweepChunk]
    )
    over: Literal["lost", "cancelled"] | None = None
    """Why nothing more is to be done, if so."""
    renewed_at: float = 0.0

    def to_stop(self) -> bool:
        """Whether to leave off; keeps the lease alive by being asked."""
        if self.over is None and monotonic() - self.renewed_at >= SECONDS_BETWEEN_RENEWALS:
            self.renew()
        return self.over is not None or self.stopping()

    def renew(self) -> None:
        """Say that the worker is still at work, and hear whether it is to go on."""
        with self.desk.store.writing() as session:
            until = self.desk.now() + self.lease
            self._heard(session.jobs.renew(self.sweep.id, self.worker, until, 0))

    def _heard(self, renewal: Renewal) -> None:
        self.renewed_at = monotonic()
        if not renewal.held:
            self.over = "lost"
        elif renewal.cancelled:
            self.over = "cancelled"

    def send(self, executor: Executor) -> None:
        """Send chunks until as many are in flight as may be.

        One that was begun before is sent alone: if it ends its worker, it takes no other with it.
        """
        width = width_of(executor)
        self.waiting = deque(sorted(self.waiting, key=lambda one: (-one.attempts, one.number)))
        while self.waiting and len(self.in_flight) < width and not self.to_stop():
            alone = any(one.attempts for one in self.in_flight.values())
            if alone or (self.waiting[0].attempts and self.in_flight):
                return
            self._submit(executor, self.waiting.popleft())

    def _submit(self, executor: Executor, chunk: SweepChunk) -> None:
        with self.desk.store.writing() as session:
            payload = session.sweeps.inputs(self.sweep.id, chunk.number)
            if payload is not None and chunk.attempts < MOST_ATTEMPTS:
                session.sweeps.begin(self.sweep.id, self.worker, chunk.number)
        if payload is None:
            return  # another has kept it meanwhile
        if chunk.attempts >= MOST_ATTEMPTS:
            self._keep(chunk, failed_chunk(payload))
        elif isinstance(executor, Serial):
            self.in_flight[executor.submit(run_chunk, payload, self.desk.read, self.to_stop)] = (
                chunk
            )
        else:
            self.in_flight[executor.submit(run_chunk, payload, self.desk.read)] = chunk

    def receive(self, future: Future[ChunkResult]) -> None:
        """Keep what came of a chunk, or put it back.

        Raises
        ------
        ConnectionError
            If the cluster has gone.
        StoreBusyError
            If the store does not answer, or has no room.
        """
        error = None if future.cancelled() else future.exception()
        if isinstance(error, ConnectionError):
            raise error
        chunk = self.in_flight[future]
        if isinstance(error, StoreBusyError):
            raise error  # it asked meanwhile whether to stop; the chunk is not at fault
        if future.cancelled() or isinstance(error, StoppedError):
            self._leave(chunk)
            self.waiting.append(chunk)
        elif error is not None:
            if not isinstance(error, BrokenExecutor):
                log.error("chunk %s of sweep %s broke down", chunk.number, self.sweep.id)
            self.waiting.append(replace(chunk, attempts=chunk.attempts + 1))
        else:
            self._keep(chunk, future.result())
        del self.in_flight[future]  # only now: what could not be kept is handed back

    def _keep(self, chunk: SweepChunk, result: ChunkResult) -> None:
        kept = kept_chunk(chunk.number, result)
        with self.desk.store.writing() as session:
            until = self.desk.now() + self.lease
            self._heard(session.sweeps.keep(self.sweep.id, self.worker, until, kept))

    def _leave(self, chunk: SweepChunk) -> None:
        with self.desk.store.writing() as session:
            session.sweeps.leave(self.sweep.id, self.worker, chunk.number)

    def hand_back(self) -> None:
        """Leave the rest to others, as if it had not been begun."""
        with self.desk.store.writing() as session:
            for chunk in self.in_flight.values():
                session.sweeps.leave(self.sweep.id, self.worker, chunk.number)
            session.jobs.release(self.sweep.id, self.worker)


def _end(work: _Work, state: Literal["done", "cancelled"]) -> Ending:
    ended = end_sweep(work.desk, work.sweep, work.worker, state)
    return state if ended else "lost"


def end_sweep(
    desk: Desk, sweep: Sweep, worker: str, state: JobState, problem: str | None = None
) -> bool:
    """Put down how a sweep ended; False if the worker does not hold it any more.

    Parameters
    ----------
    desk : Desk
        Where it is kept.
    sweep : Sweep
        Which.
    worker : str
        Who worked on it.
    state : str
        How it ended.
    problem : str, optional
        What went wrong, JSON.
    """
    ended = replace(sweep, state=state, finished_at=desk.now(), problem=problem)
    with desk.store.writing() as session:
        return session.sweeps.finish(ended, worker)
