"""What happens while the service runs: counted, and of work done in parts said by its id.

Nothing is told of what the work is about.
"""

import logging
from typing import Literal, Protocol

from service.costing.tally import Tally
from service.scenarios.records import JobState

JobEvent = Literal["claimed", "handed_back", "left"] | JobState
"""Left: an attempt went wrong, and another follows."""

JOB_EVENTS = Tally()
"""Events of the jobs that this process worked on."""

STORE_BUSY = Tally()
"""How often the store did not answer, or was busy for too long."""

ABOUT = "about"
"""Name under which a record of the log carries what it tells in fields of their own."""

log = logging.getLogger(__name__)


class AnyJob(Protocol):
    """A question or a sweep, as it stands."""

    @property
    def id(self) -> str:
        """Its id."""
        ...

    @property
    def office_id(self) -> str:
        """Whose it is."""
        ...

    @property
    def attempts(self) -> int:
        """How often it was taken up."""
        ...


def job_event(job: AnyJob, event: JobEvent) -> None:
    """Say and count what happened to a job."""
    JOB_EVENTS.add(event)
    about = {"job": job.id, "event": event, "office": job.office_id, "attempt": job.attempts}
    log.info("job", extra={ABOUT: about})
