"""One revision after another: how a scenario is changed without losing what others did to it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from service.costing.errors import Fault, InputError
from service.scenarios.audit import entry
from service.scenarios.clock import not_before
from service.scenarios.desk import Caller, Desk
from service.scenarios.drafts import Draft, drafted
from service.scenarios.errors import ExternalIdTakenError, StaleRevisionError
from service.scenarios.kept import Kept, kept_at, standing
from service.scenarios.places import differing
from service.scenarios.records import Head, MadeBy
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.scenarios.winters import note_record

MOST_DIFFERING = 50
TAKEN = Fault("external_id", "Another scenario has this external id; choose another.")
"""Said to whoever holds a link, who is not told which."""


@dataclass(frozen=True, slots=True)
class Change:
    """What is asked for, but for the document."""

    scenario_id: str
    expected: int
    """Number of the revision that the caller has read."""
    made_by: MadeBy
    remark: str | None = None
    made_from: int | None = None


def changed(
    desk: Desk,
    caller: Caller,
    change: Change,
    document_of: Callable[[Session, Kept], Any],
    then: Then[Kept] = None,
) -> Kept:
    """Put a revision after the newest.

    A change whose result already stands makes none, whatever the caller expected: it is the repeat
    of one that was applied.

    Parameters
    ----------
    desk, caller
        Where and who.
    change : Change
        What is asked for.
    document_of : callable
        Returns the new document, given what stands.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    InputError
        If the new document cannot be costed as it stands.
    StaleRevisionError
        If another revision stands than the caller expected.
    ExternalIdTakenError
        If another scenario of the office has its external id.
    """
    with desk.store.reading() as session:
        now = standing(session, desk, caller, change.scenario_id, "change")
        document = document_of(session, now)
    try:
        draft = drafted(desk, caller.office_id, document, change.remark)
    except InputError:
        if change.expected != now.head.revision:
            raise stale(desk, now.head, change.expected) from None
        raise
    while change.expected == now.head.revision and not draft.says_what(now.document):
        kept = _advanced(desk, caller, change, now.head, draft, then)
        if kept is not None:
            return kept
        with desk.store.reading() as session:
            now = standing(session, desk, caller, change.scenario_id, "change")
    if not draft.says_what(now.document):
        raise stale(desk, now.head, change.expected)
    if then is not None:
        with desk.store.writing() as session:
            then(session, now)
    return now


def stale(desk: Desk, head: Head, expected: int) -> StaleRevisionError:
    """Return the error for whoever expected another revision than stands; it says what differs."""
    paths: list[str] = []
    if 1 <= expected < head.revision:
        with desk.store.reading() as session:
            before = kept_at(session, desk, head, expected)
            after = kept_at(session, desk, head, head.revision)
        paths = differing(before.document, after.document)[:MOST_DIFFERING]
    return StaleRevisionError(head.revision, paths)


def _advanced(
    desk: Desk, caller: Caller, change: Change, before: Head, draft: Draft, then: Then[Kept]
) -> Kept | None:
    """Put a revision after the one that stood; None if that does not stand any more."""
    action = "revision.restore" if change.made_by == "restore" else "scenario.change"
    try:
        with desk.store.writing() as session:
            head = replace(
                before,
                external_id=draft.external_id,
                name=draft.name,
                revision=before.revision + 1,
                updated_at=not_before(
                    session.scenarios.newest_change(before.office_id), desk.now()
                ),
            )
            revision = draft.revision(desk, caller, head, change.made_by, change.made_from)
            kept = Kept(head, revision, draft.document)
            if not session.scenarios.advance(head, revision):
                return None
            note_record(session, head.id, draft.document)
            session.audit.add(entry(desk, caller, action, head.id, head.revision))
            if then is not None:
                then(session, kept)
    except ExternalIdTakenError:
        if caller.kind == "link":
            raise InputError([TAKEN]) from None
        raise
    return kept
