"""Questions asked of a scenario: answered at once where that is quick, else queued as work.

The same question on the same revision, winters, engine and reference edition, with the same seed,
is answered once and kept.
"""

import gzip
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any, TypeAlias

from service.analysis.answering import prepared
from service.analysis.questions import Question, document_of, name_of, question_of, seed_of
from service.analysis.subject import Subject
from service.analysis.work import QUICK_PARTS, Work, answered
from service.costing.checks import faults_of
from service.costing.errors import Fault, InputError
from service.costing.overrides import with_settings
from service.costing.scenario import Scenario
from service.scenarios.access import found
from service.scenarios.audit import entry
from service.scenarios.canonical import canonical_text, sha256_of
from service.scenarios.costings import EDITION, packed
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import JobEndedError, TooManyJobsError, UnknownPartError
from service.scenarios.ids import new_id
from service.scenarios.kept import Kept, kept_at
from service.scenarios.records import Head, Job, JobSummary
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.scenarios.winters import Recorded, recorded

KEPT_DAYS = 400
MOST_WAITING = 20
"""Questions of an office that may wait or be worked on at once."""
ENDED = frozenset({"done", "failed", "cancelled"})
UNKNOWN = "The scenario has no analysis of that id."

Answered: TypeAlias = tuple[Job, bool]
"""An answer, or the work on it; and whether it is new."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, and of what it is asked."""

    question: Question
    revision: int | None = None
    """The newest, if not given."""
    settings: Mapping[str, Any] = field(default_factory=dict[str, Any])
    """Inputs changed before it is asked: value by path."""


def ask(
    desk: Desk, caller: Caller, scenario_id: str, asked: Asked, then: Then[Answered] = None
) -> Answered:
    """Ask a question of a revision.

    Parameters
    ----------
    desk, caller
        Where and who; needs write access.
    scenario_id : str
        Of which scenario.
    asked : Asked
        What is asked.
    then : callable, optional
        Called before the commit with what is returned.

    Returns
    -------
    tuple of Job and bool
        The answer, or the work on it; and whether it is new.

    Raises
    ------
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such revision that the caller may see.
    InputError
        If the question cannot be asked of it; carries every fault.
    TooManyJobsError
        If too much of the office waits already.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "write")
        number = head.revision if asked.revision is None else asked.revision
        kept = kept_at(session, desk, head, number)
    document, winters = _document_of(desk, kept, asked.settings)
    key = _key(desk, kept, asked, winters)
    before = _before(desk, scenario_id, key, then)
    if before is not None:
        return before, False
    work = prepared(subject_of(desk.read, document, winters), asked.question)
    job = _job(desk, caller, kept, asked, key, work)
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "write")
        waiting = session.jobs.waiting(head.office_id)
        twin = session.jobs.find(scenario_id, key)
        if twin is None:
            if job.state == "queued" and waiting >= MOST_WAITING:
                raise TooManyJobsError
            session.jobs.add(job)
            session.audit.add(entry(desk, caller, "analysis.create", job.id, number))
        if then is not None:
            then(session, (twin or job, twin is None))
    return twin or job, twin is None


def answer_now(
    read: Callable[[Document], Scenario],
    document: Document,
    question: Question,
    with_winters: Callable[[Document], Recorded] = Recorded,
) -> Document:
    """Answer a question about a document that is not kept.

    Parameters
    ----------
    read : callable
        Turns a document into a scenario or raises InputError with every fault.
    document : dict
        The scenario document, settings applied.
    question : Question
        What is asked.
    with_winters : callable, optional
        Puts the winters of a weather record in its place.

    Raises
    ------
    InputError
        If the question cannot be asked of it, or takes too long to be waited for.
    """
    read(document)
    winters = with_winters(document)
    work = prepared(subject_of(read, winters.document, winters), question)
    if work.total > QUICK_PARTS:
        detail = (
            f"This is work in {work.total} parts of about a second each, too much to wait for; ask "
            "less, or store the scenario and ask it there, where it is worked on meanwhile."
        )
        raise InputError(
            [Fault("question", detail, received=work.total, allowed=f"at most {QUICK_PARTS} parts")]
        )
    return answered(work)


def subject_of(
    read: Callable[[Document], Scenario], document: Document, winters: Recorded
) -> Subject:
    """Return what a question is asked of.

    Raises
    ------
    InputError
        If it cannot be costed as it stands: no question looks at that again.
    """
    scenario = read(document)
    faults = faults_of(scenario)
    if faults:
        raise InputError(faults)
    return Subject(document, scenario, read, winters.autumn_rain_in)


def analysis(session: Session, caller: Caller, scenario_id: str, job_id: str) -> Job:
    """Return an analysis of a scenario, as far as it is.

    Raises
    ------
    UnknownPartError
        If the scenario has none of that id.
    """
    head = found(session, caller, scenario_id)
    return _there(session.jobs.get(head.id, job_id))


def analyses(
    session: Session, caller: Caller, scenario_id: str, before_id: str | None, limit: int
) -> Sequence[JobSummary]:
    """Return the analyses of a scenario, newest first."""
    head = found(session, caller, scenario_id)
    return session.jobs.page(head.id, before_id, limit)


def cancel(desk: Desk, caller: Caller, scenario_id: str, job_id: str) -> Job:
    """Ask the work on a question to end; asked twice is asked once.

    Raises
    ------
    UnknownPartError
        If the scenario has none of that id.
    JobEndedError
        If it has ended already.
    """
    with desk.store.writing() as session:
        head = found(session, caller, scenario_id, "write")
        before = _there(session.jobs.get(head.id, job_id))
        if before.state in ENDED:
            raise JobEndedError(before.state)
        session.jobs.cancel(head.id, job_id, desk.now())
        if before.cancel_at is None:
            session.audit.add(entry(desk, caller, "analysis.cancel", job_id, before.revision))
        return _there(session.jobs.get(head.id, job_id))


def forget(desk: Desk, caller: Caller, scenario_id: str, job_id: str) -> None:
    """Forget an analysis; work that is being done on it comes to nothing.

    Raises
    ------
    UnknownPartError
        If the scenario has none of that id.
    """
    with desk.store.writing() as session:
        head = found(session, caller, scenario_id, "write")
        job = _there(session.jobs.get(head.id, job_id))
        session.jobs.delete(head.id, job_id)
        session.audit.add(entry(desk, caller, "analysis.delete", job_id, job.revision))


def result_of(job: Job) -> Document | None:
    """Return the answer, if there is one."""
    return None if job.result is None else json.loads(gzip.decompress(job.result))


def request_of(job: JobSummary) -> Document:
    """Return the question as it was asked, every default written out."""
    return json.loads(job.request)


def work_of(desk: Desk, job: Job, head: Head, session: Session) -> Callable[[], Work]:
    """Return what makes the work on a question ready again, to be called outside the session."""
    kept = kept_at(session, desk, head, job.revision)
    request = request_of(job)

    def ready() -> Work:
        document, winters = _document_of(desk, kept, request["set"])
        subject = subject_of(desk.read, document, winters)
        return prepared(subject, question_of(request))

    return ready


def _there(job: Job | None) -> Job:
    if job is None:
        raise UnknownPartError(UNKNOWN)
    return job


def _document_of(desk: Desk, kept: Kept, settings: Mapping[str, Any]) -> tuple[Document, Recorded]:
    """Return the document of a revision with settings and winters in their places."""
    document = kept.document | {EDITION: kept.revision.reference_edition}
    changed = with_settings(document, settings) if settings else document
    winters = recorded(desk, kept.head.office_id, changed)
    return winters.document, winters


def _key(desk: Desk, kept: Kept, asked: Asked, winters: Recorded) -> str:
    """Return what is the same for the same question, revision, winters, engine and edition."""
    return sha256_of(
        canonical_text(
            [
                document_of(asked.question),
                dict(sorted(asked.settings.items())),
                kept.revision.number,
                winters.classifier,
                desk.engine_version,
                kept.revision.reference_edition,
            ]
        )
    )


def _before(desk: Desk, scenario_id: str, key: str, then: Then[Answered]) -> Job | None:
    """Return what is kept of the same question."""
    with desk.store.reading() as session:
        job = session.jobs.find(scenario_id, key)
    if job is not None and then is not None:
        with desk.store.writing() as session:
            then(session, (job, False))
    return job


def _job(desk: Desk, caller: Caller, kept: Kept, asked: Asked, key: str, work: Work) -> Job:
    """Return a question to be kept, with its answer if that is quick."""
    now = desk.now()
    quick = work.total <= QUICK_PARTS
    result = packed(answered(work)) if quick else None
    ended = desk.now() if quick else None
    return Job(
        id=new_id("an", now),
        office_id=kept.head.office_id,
        scenario_id=kept.head.id,
        revision=kept.revision.number,
        question=name_of(asked.question),
        request=canonical_text(document_of(asked.question) | {"set": dict(asked.settings)}),
        request_key=key,
        engine_version=desk.engine_version,
        reference_edition=kept.revision.reference_edition,
        seed=seed_of(asked.question),
        state="done" if quick else "queued",
        done=work.total if quick else 0,
        total=work.total,
        attempts=0,
        worker=None,
        lease_until=None,
        cancel_at=None,
        created_by=caller.credential_id,
        created_at=now,
        started_at=now if quick else None,
        finished_at=ended,
        expires_at=now + timedelta(days=KEPT_DAYS),
        result=result,
    )
