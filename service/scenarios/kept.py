"""A scenario at one of its revisions, with its document read."""

import json
from dataclasses import dataclass

from service.scenarios.access import Right, found
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.errors import UnknownPartError, UnknownScenarioError
from service.scenarios.records import Head, Revision
from service.scenarios.repositories import Session
from service.scenarios.schema_upgrades import upgraded


@dataclass(frozen=True, slots=True)
class Kept:
    """A scenario, one of its revisions, and the document of that in the newest schema."""

    head: Head
    revision: Revision
    document: Document


def kept_at(session: Session, desk: Desk, head: Head, number: int) -> Kept:
    """Return a scenario at a revision.

    Raises
    ------
    UnknownPartError
        If it has no such revision.
    UnknownScenarioError
        If it was erased since its head was read.
    """
    if not 1 <= number <= head.revision:
        message = f"The scenario has no revision {number}; its newest is {head.revision}."
        raise UnknownPartError(message)
    revision = session.scenarios.revision(head.id, number)
    if revision is None:
        raise UnknownScenarioError(head.id)
    document = upgraded(json.loads(revision.document), revision.document_schema, desk.upgrades)
    return Kept(head, revision, document)


def standing(
    session: Session, desk: Desk, caller: Caller, scenario_id: str, right: Right = "read"
) -> Kept:
    """Return a scenario that the caller has a right to, at its newest revision."""
    head = found(session, caller, scenario_id, right)
    return kept_at(session, desk, head, head.revision)
