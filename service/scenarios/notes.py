"""Notes: remarks about a revision, or about one input or part of it."""

from collections.abc import Sequence

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import LONGEST_NAME
from service.scenarios.access import found
from service.scenarios.audit import entry
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.ids import new_id
from service.scenarios.kept import kept_at
from service.scenarios.places import places
from service.scenarios.plain_text import text_fault
from service.scenarios.records import Note
from service.scenarios.replays import Then
from service.scenarios.repositories import Session

LONGEST_NOTE = 4_000


def add_note(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    body: str,
    revision: int | None,
    input_path: str | None,
    then: Then[Note] = None,
) -> Note:
    """Keep a note.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        About which scenario.
    body : str
        What it says.
    revision : int or None
        About which revision; the newest if None.
    input_path : str or None
        About which value or part of that.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    UnknownPartError
        If there is no such revision.
    InputError
        If it says nothing or too much, or the path leads nowhere.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "change")
        number = head.revision if revision is None else revision
        kept = kept_at(session, desk, head, number)
    faults = [
        text_fault("text", "The note", body, LONGEST_NOTE, lines=True),
        _fault_of_path(kept.document, input_path),
    ]
    if any(faults):
        raise InputError(fault for fault in faults if fault)
    now = desk.now()
    note = Note(
        id=new_id("nt", now),
        scenario_id=scenario_id,
        revision=number,
        input_path=input_path,
        body=body.strip(),
        author_id=caller.credential_id,
        author_label=caller.label,
        created_at=now,
    )
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "change")
        session.notes.add(note)
        session.audit.add(entry(desk, caller, "note.add", note.id, number))
        if then is not None:
            then(session, note)
    return note


def notes(
    session: Session, caller: Caller, scenario_id: str, after_id: str | None, limit: int
) -> Sequence[Note]:
    """Return the notes about a scenario, oldest first, from behind ``after_id``."""
    head = found(session, caller, scenario_id)
    return session.notes.page(head.id, after_id, limit)


def _fault_of_path(document: Document, path: str | None) -> Fault | None:
    if path is None:
        return None
    known = places(document)
    if path in known:
        return None
    shown = path[:LONGEST_NAME]
    near = nearest(shown, known)
    hint = f"; did you mean {near}?" if near else "; name one of its inputs or parts."
    return Fault(
        "input",
        f"The revision has nothing at {shown!r}{hint}",
        received=shown,
        allowed="path of a value or of a part such as a system, a step or a group",
        suggestion=near,
    )
