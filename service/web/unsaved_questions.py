"""Questions of which nothing is kept: read, with what they are about, and answered."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from service.analysis.questions import document_of
from service.costing.errors import Fault, InputError
from service.costing.json_shapes import is_object
from service.costing.reference.table import newest_edition
from service.costing.result import ENGINE_VERSION
from service.scenarios.analyses import answer_now
from service.scenarios.costings import EDITION
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.winters import Recorded, recorded
from service.web.analysis_answers import unsaved_body
from service.web.answers import faults_told
from service.web.bodies import Sent
from service.web.costing_request import (
    CostingRequest,
    envelope_pointer,
    faults_of_subject,
    subject_in,
)
from service.web.identifiers import possible
from service.web.leaf_rules import shortened
from service.web.problem_kinds import INVALID_INPUT
from service.web.problems import MOST_ERRORS, ProblemError, errors_of
from service.web.question_models import AskedOfScenario, question_in
from service.web.question_reading import pointer_in, read_question
from service.web.reading import scenario_of
from service.web.stored_revision import revision_of
from service.web.strict_json import Doubled

SUBJECT = frozenset({"document", "scenario", "set"})


@dataclass(frozen=True, slots=True)
class UnsavedQuestion:
    """A question and what it is about, as sent."""

    about: CostingRequest
    body: Document
    asked: AskedOfScenario | None
    """None if it has faults."""
    faults: Sequence[Fault]
    """Of the question, to be told together with those of the document."""


def read_unsaved(sent: Sent) -> UnsavedQuestion:
    """Read a question with what it is about.

    Raises
    ------
    ProblemError
        If the body is no such request. The faults inside the document are not looked for here.
    """
    body = sent.value
    with faults_told(pointer_in(body, envelope_pointer)):
        if not is_object(body):
            _, faults = read_question(body)
            raise InputError(faults)
        own = {name: member for name, member in body.items() if name not in SUBJECT}
        asked, faults = read_question(own)
        faults += _doubled(body)
        envelope = [*faults_of_subject(body), *_revision_faults(body)]
        if envelope:
            raise InputError([*faults, *envelope])
    return UnsavedQuestion(subject_in(body, sound=sent.sound), body, asked, faults)


def answered(
    question: UnsavedQuestion, desk: Desk | None = None, caller: Caller | None = None
) -> Document:
    """Return the answer to a question.

    Parameters
    ----------
    question : UnsavedQuestion
        As it was sent.
    desk, caller : optional
        Where scenarios and weather records are kept, and who may see some of them.

    Raises
    ------
    ProblemError
        If it cannot be asked of the document; names every fault.
    """
    about, asked, kept = question.about, question.asked, None
    with_winters: Callable[[Document], Recorded] = Recorded
    if desk is not None and caller is not None:
        with_winters = partial(recorded, desk, caller.office_id)
        if about.scenario is not None:
            number = asked.revision if asked else None
            kept = revision_of(desk, caller, possible(about.scenario), number)
            about = about.about(kept.document | {EDITION: kept.revision.reference_edition})
    of_question = pointer_in(question.body, about.pointer)
    document, faults = about.settled()
    errors = errors_of(question.faults, of_question)
    with faults_told():
        errors += errors_of(_faults(document, faults, sound=about.sound), about.pointer)
    if errors or asked is None:
        raise ProblemError(INVALID_INPUT, errors=errors[:MOST_ERRORS], errors_in_all=len(errors))
    with faults_told(of_question):
        found = question_in(asked)
        result = answer_now(scenario_of, document, found, with_winters)
    of: Document = {
        "scenario": kept.head.id if kept else None,
        "revision": kept.revision.number if kept else None,
        "engine_version": ENGINE_VERSION,
        EDITION: document.get(EDITION) or newest_edition(),
    }
    return unsaved_body(of, document_of(found) | {"set": about.settings}, result)


def _faults(document: Document, faults: Sequence[Fault], *, sound: bool) -> Sequence[Fault]:
    """Return what is wrong with a document and its settings."""
    try:
        scenario_of(document, faults, sound=sound)
    except InputError as error:
        return error.faults
    return ()


def _doubled(body: Document) -> list[Fault]:
    names = body.names if isinstance(body, Doubled) else []
    return [Fault(name, f"{shortened(name)!r} is given more than once.") for name in names]


def _revision_faults(body: Document) -> list[Fault]:
    if body.get("revision") is None or body.get("scenario") is not None:
        return []
    return [Fault("revision", "revision is that of a stored scenario; a document has none.")]
