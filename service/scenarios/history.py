"""Revisions of a scenario: read, listed, and brought back."""

from collections.abc import Sequence

from service.scenarios.access import found
from service.scenarios.changing import Change, changed
from service.scenarios.desk import Caller, Desk
from service.scenarios.kept import Kept, kept_at
from service.scenarios.records import RevisionSummary
from service.scenarios.replays import Then
from service.scenarios.repositories import Session


def revision(session: Session, desk: Desk, caller: Caller, scenario_id: str, number: int) -> Kept:
    """Return a scenario at one of its revisions.

    Raises
    ------
    UnknownPartError
        If it has no such revision.
    """
    return kept_at(session, desk, found(session, caller, scenario_id), number)


def revisions(
    session: Session, caller: Caller, scenario_id: str, before: int | None, limit: int
) -> Sequence[RevisionSummary]:
    """Return revisions of a scenario without their documents, newest first.

    Parameters
    ----------
    session : Session
        In which they are read.
    caller : Caller
        Who asks.
    scenario_id : str
        Of which scenario.
    before : int or None
        Only those with a lower number.
    limit : int
        Most to return.
    """
    head = found(session, caller, scenario_id)
    return session.scenarios.revisions(head.id, before, limit)


def restore(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    expected: int,
    number: int,
    then: Then[Kept] = None,
) -> Kept:
    """Put the document of an earlier revision after the newest; nothing in between is lost.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        Of which scenario.
    expected : int
        Number of the revision that the caller has read.
    number : int
        The revision to bring back.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    UnknownPartError
        If it has no revision of that number.
    StaleRevisionError
        If another revision stands than the caller expected.
    InputError
        If the earlier document cannot be costed any more.
    """
    change = Change(scenario_id, expected, "restore", made_from=number)

    def earlier(session: Session, kept: Kept) -> object:
        return kept_at(session, desk, kept.head, number).document

    return changed(desk, caller, change, earlier, then)
