"""Jobs as they stand while they are worked on and after."""

from datetime import timedelta
from typing import Any

from service.scenarios.records import Job, JobState
from service.scenarios.repositories import Store
from tests.support.offices import START, head, job

MINUTE = timedelta(minutes=1)
NOW = START + 5 * MINUTE
LEASE = NOW + MINUTE
ENDED: tuple[JobState, ...] = ("done", "failed", "cancelled")


def running(number: int = 1, **changes: Any) -> Job:
    """Return work that worker A has taken up."""
    held = {"worker": "A", "lease_until": LEASE, "started_at": NOW, "attempts": 1}
    return job(number, state="running", **(held | changes))


def ended(number: int = 1, state: JobState = "done", **changes: Any) -> Job:
    """Return work that has ended."""
    return job(number, state=state, finished_at=NOW, **changes)


def kept_job(store: Store, number: int = 1) -> Job | None:
    """Return what is kept of a job of scenario 1."""
    with store.reading() as session:
        return session.jobs.get(head().id, job(number).id)
