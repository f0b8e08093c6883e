"""What a place to keep work that is done in parts must offer."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Protocol

from service.scenarios.records import Job, JobState, JobSummary, Renewal


class Jobs(Protocol):
    """Work that is done in parts, by whichever process comes to it."""

    def add(self, job: Job) -> None: ...
    def get(self, scenario_id: str, job_id: str) -> Job | None: ...
    def find(self, scenario_id: str, request_key: str) -> Job | None:
        """Return the newest of that key that is done, running or queued."""
        ...

    def page(self, scenario_id: str, before_id: str | None, limit: int) -> Sequence[JobSummary]:
        """Return the jobs of a scenario, newest first."""
        ...

    def waiting(self, office_id: str) -> int:
        """Return how many of an office are queued or running.

        Of two writing sessions that ask, the second waits for the end of the first.
        """
        ...

    def any_to_claim(self, now: datetime) -> bool:
        """Whether there is one to take up, looked at without writing."""
        ...

    def claim(self, worker: str, now: datetime, lease_until: datetime) -> Job | None:
        """Take up the oldest that is queued, or whose worker has let its lease run out.

        It is running from then on, with one attempt more. Of two that claim at once, each gets
        another one or none.
        """
        ...

    def renew(self, job_id: str, worker: str, lease_until: datetime, done: int) -> Renewal:
        """Keep it for longer and note how far it is, which never falls; only while it is held."""
        ...

    def release(self, job_id: str, worker: str) -> None:
        """Put it back into the queue, as if this attempt had not been made, if it is held."""
        ...

    def add_part(self, job_id: str, number: int, result: bytes) -> None:
        """Keep what one part came to, unless it is kept."""
        ...

    def parts_done(self, job_id: str) -> set[int]: ...
    def parts(self, job_id: str) -> Iterator[bytes]:
        """Return what the parts came to, one after the other, in the order of their numbers."""
        ...

    def finish(self, job: Job, worker: str) -> bool:
        """Put down how it ended and drop its parts; False if the worker does not hold it."""
        ...

    def cancel(self, scenario_id: str, job_id: str, at: datetime) -> JobState | None:
        """Ask it to end; at once if it is queued. Return its state after that, None without it."""
        ...

    def delete(self, scenario_id: str, job_id: str) -> bool: ...
    def requeue(self) -> int:
        """Put all that is running back into the queue, as after a restore."""
        ...

    def prune(self, expired_before: datetime) -> int: ...
