"""The worker: takes up questions and sweeps that wait, and can be stopped at any time.

What a part came to is kept as soon as it is done. A worker that dies loses its lease; whoever takes
up its work next goes on from the parts that are there.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Literal

from service.analysis.work import Work
from service.costing.errors import InputError
from service.scenarios.analyses import work_of
from service.scenarios.canonical import text_of
from service.scenarios.clock import ClockWatch, Lapsed
from service.scenarios.costings import packed
from service.scenarios.desk import Desk, Document
from service.scenarios.errors import StoreBusyError
from service.scenarios.events import job_event
from service.scenarios.records import Job, Renewal
from service.scenarios.repositories import Session
from service.scenarios.sweep_records import Sweep
from service.scenarios.sweep_working import InterruptedSweepError, end_sweep, work_on_sweep

LEASE = timedelta(seconds=60)
"""A worker that does not say for so long that it is at work is taken for dead."""
MOST_ATTEMPTS = 3
SECONDS_BETWEEN_TRIES = 1.0
"""How soon it is seen that a store answers again, or has room."""

INVALID_INPUT = "invalid-input"
INTERNAL_ERROR = "internal-error"
GIVEN_UP = f"It was taken up {MOST_ATTEMPTS} times and did not come to an end."
WENT_WRONG = "Something went wrong in the service while it was worked on."

log = logging.getLogger(__name__)


def work_on_next(
    desk: Desk,
    worker: str,
    stopping: Callable[[], bool] = lambda: False,
    watch: ClockWatch | None = None,
) -> bool:
    """Take up the question or sweep that has waited longest and work on it to its end.

    Parameters
    ----------
    desk : Desk
        Where the questions wait.
    worker : str
        Name of the worker, of no other.
    stopping : callable, optional
        Whether to stop after the part that is being worked on; the rest is left to others.
    watch : ClockWatch, optional
        Of who looks again and again, so that work in hand is not taken for left when the clock is
        set.

    Returns
    -------
    bool
        Whether there was any.
    """
    now = desk.now()
    lapsed = Lapsed.at(now, LEASE) if watch is None else watch.lapsed(LEASE)
    with desk.store.reading() as session:
        if not session.jobs.any_to_claim(now, lapsed):
            return False
    with desk.store.writing() as session:
        job = session.jobs.claim(worker, now, now + LEASE, lapsed)
        ready = _ready(desk, job, session) if isinstance(job, Job) else None
    if job is None:
        return False
    job_event(job, "claimed")
    if isinstance(job, Sweep):
        _sweep(desk, job, worker, stopping)
        return True
    if ready is None or job.attempts > MOST_ATTEMPTS:
        _end(desk, job, worker, "failed", problem=_problem(INTERNAL_ERROR, GIVEN_UP))
        return True
    try:
        _work(desk, job, worker, ready(), stopping)
    except InputError as error:
        faults = [{"input": fault.input, "detail": fault.detail} for fault in error.faults]
        _end(desk, job, worker, "failed", problem=_problem(INVALID_INPUT, str(error), faults))
    except StoreBusyError:
        _given_back(job, stopping, lambda: _release(desk, job, worker))
    except Exception:
        log.exception("analysis %s, attempt %s", job.id, job.attempts)
        if job.attempts < MOST_ATTEMPTS:
            _let_go(desk, job, worker)
        else:
            _end(desk, job, worker, "failed", problem=_problem(INTERNAL_ERROR, WENT_WRONG))
    return True


def _ready(desk: Desk, job: Job, session: Session) -> Callable[[], Work] | None:
    head = session.scenarios.head(job.office_id, job.scenario_id)
    return None if head is None else work_of(desk, job, head, session)


def _sweep(desk: Desk, sweep: Sweep, worker: str, stopping: Callable[[], bool]) -> None:
    """Work on a sweep; what goes wrong with all of it is tried again, and then told."""
    detail = GIVEN_UP
    try:
        ending = work_on_sweep(desk, sweep, worker, stopping, LEASE)
    except InterruptedSweepError as interrupted:
        _given_back(sweep, stopping, interrupted.hand_back)
        return
    except Exception:
        log.exception("sweep %s, attempt %s", sweep.id, sweep.attempts)
        with desk.store.reading() as session:
            reached = session.sweeps.get(sweep.office_id, sweep.id) or sweep
        if reached.attempts < MOST_ATTEMPTS:
            _let_go(desk, sweep, worker)
            return
        ending, detail = "given_up", WENT_WRONG
    if ending == "given_up":
        end_sweep(desk, sweep, worker, "failed", _problem(INTERNAL_ERROR, detail))
        job_event(sweep, "failed")
    elif ending != "lost":
        job_event(sweep, ending)


def _work(desk: Desk, job: Job, worker: str, work: Work, stopping: Callable[[], bool]) -> None:
    with desk.store.reading() as session:
        done = session.jobs.parts_done(job.id)
    for number in range(work.total):
        if number in done:
            continue
        if stopping():
            _release(desk, job, worker)
            job_event(job, "handed_back")
            return
        if _is_over(desk, job, worker, _renewed(desk, job, worker, len(done))):
            return
        part = work.part(number)
        done.add(number)
        renewal = _renewed(desk, job, worker, len(done), (number, part))
        if _is_over(desk, job, worker, renewal):
            return
    with desk.store.reading() as session:
        result = work.result(session.jobs.parts(job.id))
    _end(desk, job, worker, "done", result=packed(result))


def _renewed(
    desk: Desk, job: Job, worker: str, done: int, part: tuple[int, bytes] | None = None
) -> Renewal:
    """Say that the worker is still at work, and keep a part if the work is still its own."""
    with desk.store.writing() as session:
        renewal = session.jobs.renew(job.id, worker, desk.now() + LEASE, done)
        if part is not None and renewal.held:
            session.jobs.add_part(job.id, *part)
    return renewal


def _is_over(desk: Desk, job: Job, worker: str, renewal: Renewal) -> bool:
    """Whether the worker is to stop: another has taken over, or nobody wants to know any more."""
    if renewal.held and renewal.cancelled:
        _end(desk, job, worker, "cancelled")
    return renewal.cancelled or not renewal.held


def _release(desk: Desk, job: Job | Sweep, worker: str) -> None:
    with desk.store.writing() as session:
        session.jobs.release(job.id, worker)


def _given_back(
    job: Job | Sweep, stopping: Callable[[], bool], give_back: Callable[[], None]
) -> None:
    """Give work back that the store did not keep up with, once it does; no attempt is counted.

    The work is not at fault. If the worker is to stop before that, its lease runs out.
    """
    log.warning("work on %s rests until the store keeps again what comes of it", job.id)
    while not stopping():
        time.sleep(SECONDS_BETWEEN_TRIES)
        try:
            give_back()
        except StoreBusyError:
            continue
        job_event(job, "handed_back")
        return


def _let_go(desk: Desk, job: Job | Sweep, worker: str) -> None:
    """Let the lease end now, so that it is taken up again as another attempt."""
    with desk.store.writing() as session:
        session.jobs.renew(job.id, worker, desk.now(), 0)
    job_event(job, "left")


def _end(
    desk: Desk,
    job: Job,
    worker: str,
    state: Literal["done", "failed", "cancelled"],
    *,
    result: bytes | None = None,
    problem: str | None = None,
) -> None:
    with desk.store.writing() as session:
        reached = session.jobs.get(job.scenario_id, job.id) or job
        ended = replace(
            reached,
            state=state,
            done=job.total if state == "done" else reached.done,
            finished_at=desk.now(),
            result=result,
            problem=problem,
        )
        finished = session.jobs.finish(ended, worker)
    if finished:
        job_event(job, state)


def _problem(kind: str, detail: str, errors: list[Document] | None = None) -> str:
    return text_of({"kind": kind, "detail": detail, "errors": errors or []})
