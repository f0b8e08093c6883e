"""What a place to keep work that is done in parts must offer."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from service.scenarios.clock import Lapsed
from service.scenarios.records import Job, JobState, JobSummary, Renewal
from service.scenarios.sweep_records import KeptChunk, Sweep, SweepChunk


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
        """Return how many of an office are queued or running, sweeps too.

        Of two writing sessions that ask, the second waits for the end of the first.
        """
        ...

    def open_by_state(self) -> Mapping[JobState, int]:
        """Return how many of all offices are queued and how many running."""
        ...

    def any_to_claim(self, now: datetime, lapsed: Lapsed | None = None) -> bool:
        """Whether there is one to take up, a sweep too, looked at without writing."""
        ...

    def claim(
        self, worker: str, now: datetime, lease_until: datetime, lapsed: Lapsed | None = None
    ) -> Job | Sweep | None:
        """Take up the oldest that is queued, or whose worker has let its lease lapse.

        Without ``lapsed`` those have that end by now. Questions and sweeps stand in one queue.

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


class Sweeps(Protocol):
    """Sweeps and their chunks; what all work has in common is done by ``Jobs``."""

    def add(
        self, sweep: Sweep, chunks: Iterable[SweepChunk], done: Iterable[KeptChunk] = ()
    ) -> None:
        """Keep a sweep with its chunks, and what some of them came to already."""
        ...

    def get(self, office_id: str, sweep_id: str) -> Sweep | None: ...
    def page(self, office_id: str, before_id: str | None, limit: int) -> Sequence[Sweep]:
        """Return the sweeps of an office, newest first."""
        ...

    def open_chunks(self, sweep_id: str) -> Sequence[SweepChunk]:
        """Return the chunks that are still to be done, in order, without their inputs."""
        ...

    def inputs(self, sweep_id: str, number: int) -> bytes | None: ...
    def begin(self, sweep_id: str, worker: str, number: int) -> None:
        """Note that a chunk is begun once more, if the worker holds the sweep."""
        ...

    def leave(self, sweep_id: str, worker: str, number: int) -> None:
        """Take that back: the chunk was left through no fault of its own."""
        ...

    def keep(self, sweep_id: str, worker: str, lease_until: datetime, chunk: KeptChunk) -> Renewal:
        """Keep the sweep for longer and what a chunk came to, if the worker holds the sweep.

        A chunk that is kept already stays as it is. The count of attempts begins again.
        """
        ...

    def next_result(self, sweep_id: str, after: int) -> tuple[int, bytes] | None:
        """Return the first chunk after a number that is done, and its rows."""
        ...

    def next_problems(self, sweep_id: str, after: int, after_row: int) -> tuple[int, bytes] | None:
        """Return the first chunk after a number in which something was wrong with a farm.

        It reaches beyond a row.
        """
        ...

    def finish(self, sweep: Sweep, worker: str) -> bool:
        """Put down how it ended; False if the worker does not hold it. Its rows stay."""
        ...

    def cancel(self, office_id: str, sweep_id: str, at: datetime) -> JobState | None:
        """Ask it to end; at once if it is queued. Return its state after that, None without it."""
        ...

    def delete(self, office_id: str, sweep_id: str) -> bool: ...
    def prune(self, expired_before: datetime) -> int: ...
