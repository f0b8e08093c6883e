"""Scenarios: made, read, changed, copied, put into the bin and taken out of it."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.costing.overrides import with_settings
from service.scenarios.access import found, needs
from service.scenarios.audit import Action, entry
from service.scenarios.changing import Change, changed, stale
from service.scenarios.clock import not_before
from service.scenarios.desk import Caller, Desk, Document
from service.scenarios.drafts import UNNAMED, Draft, drafted
from service.scenarios.errors import NotBinnedError
from service.scenarios.ids import new_id
from service.scenarios.kept import Kept, kept_at, standing
from service.scenarios.merge_patch import patched
from service.scenarios.plain_text import storable
from service.scenarios.records import Head, MadeBy
from service.scenarios.replays import Then
from service.scenarios.repositories import Listing, Session
from service.scenarios.winters import note_record

__all__ = [
    "Kept",
    "copy",
    "create",
    "current",
    "listed",
    "patch",
    "put_in_bin",
    "replace",
    "take_from_bin",
]

LONGEST_NAME = 200
OF_A_COPY = " (copy)"


def create(
    desk: Desk,
    caller: Caller,
    document: Document,
    remark: str | None = None,
    then: Then[Kept] = None,
) -> Kept:
    """Keep a new scenario.

    Raises
    ------
    InputError
        If its document cannot be costed as it stands.
    ExternalIdTakenError
        If another scenario of the office has its external id.
    """
    needs(caller, "write", office=True)
    draft = drafted(desk, caller.office_id, document, remark)
    with desk.store.writing() as session:
        kept = _first(session, desk, caller, draft, "create")
        _add(session, desk, caller, kept, "scenario.create")
        if then is not None:
            then(session, kept)
    return kept


def current(session: Session, desk: Desk, caller: Caller, scenario_id: str) -> Kept:
    """Return a scenario at its newest revision."""
    return standing(session, desk, caller, scenario_id)


def replace(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    expected: int,
    document: Document,
    remark: str | None = None,
) -> Kept:
    """Put another document in the place of the newest.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        Of which scenario.
    expected : int
        Number of the revision that the caller has read.
    document : dict
        The new document.
    remark : str, optional
        What the author says of the change.

    Raises
    ------
    InputError
        If the document cannot be costed as it stands.
    StaleRevisionError
        If another revision stands.
    ExternalIdTakenError
        If another scenario of the office has its external id.
    """
    change = Change(scenario_id, expected, "put", remark)
    return changed(desk, caller, change, lambda _session, _kept: document)


def patch(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    expected: int,
    patch: Document,
    remark: str | None = None,
) -> Kept:
    """Apply a merge patch to the newest document; the rest is as in `replace`."""
    change = Change(scenario_id, expected, "patch", remark)
    return changed(desk, caller, change, lambda _, kept: patched(kept.document, patch))


def copy(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    revision: int | None,
    settings: Mapping[str, Any],
    name: str | None,
    external_id: str | None,
    then: Then[Kept] = None,
) -> Kept:
    """Keep a copy of a scenario, to try out what would be if.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        What is copied.
    revision : int or None
        Which revision of it; the newest if None.
    settings : mapping
        Single inputs to change in the copy: value by path.
    name : str or None
        Of the copy; if None, that of the scenario with "(copy)" after it.
    external_id : str or None
        Of the copy; if None it has none.
    then : callable, optional
        Called before the commit.

    Raises
    ------
    UnknownPartError
        If there is no such revision.
    InputError
        If a setting leads nowhere, or the copy cannot be costed as it stands.
    ExternalIdTakenError
        If another scenario of the office has the external id.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "write")
        number = head.revision if revision is None else revision
        origin = kept_at(session, desk, head, number)
    document = with_settings(origin.document, settings)
    if name is not None:
        document = {**document, "name": name}
    elif "name" not in settings:
        base = str(document.get("name") or UNNAMED)[: LONGEST_NAME - len(OF_A_COPY)]
        document = {**document, "name": base + OF_A_COPY}
    if external_id is not None:
        document = {**document, "external_id": external_id}
    elif "external_id" not in settings:
        document = {key: value for key, value in document.items() if key != "external_id"}
    draft = drafted(desk, caller.office_id, document)
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "write")
        kept = _first(session, desk, caller, draft, "copy", (scenario_id, number))
        _add(session, desk, caller, kept, "scenario.copy")
        if then is not None:
            then(session, kept)
    return kept


def put_in_bin(desk: Desk, caller: Caller, scenario_id: str, expected: int) -> Head:
    """Put a scenario into the bin, where it lies until it is erased.

    Raises
    ------
    StaleRevisionError
        If another revision stands than the caller has read.
    BinnedError
        If it lies there already.
    """
    with desk.store.writing() as session:
        head = found(session, caller, scenario_id, "write")
        if head.revision == expected and session.scenarios.put_in_bin(
            scenario_id, expected, desk.now()
        ):
            session.audit.add(entry(desk, caller, "scenario.bin", scenario_id, expected))
            return found(session, caller, scenario_id, "write", binned_too=True)
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "write")
    raise stale(desk, head, expected)


def take_from_bin(desk: Desk, caller: Caller, scenario_id: str) -> Kept:
    """Take a scenario out of the bin, as it was.

    Raises
    ------
    NotBinnedError
        If it does not lie there.
    """
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "write", binned_too=True)
        at = not_before(session.scenarios.newest_change(caller.office_id), desk.now())
        if not session.scenarios.take_from_bin(scenario_id, at):
            raise NotBinnedError
        kept = standing(session, desk, caller, scenario_id, "write")
        session.audit.add(entry(desk, caller, "scenario.unbin", scenario_id, kept.head.revision))
    return kept


def listed(session: Session, caller: Caller, listing: Listing) -> Sequence[Head]:
    """Return a page of the scenarios of the caller's office, or of those in its bin."""
    needs(caller, "admin" if listing.binned else "read", office=True)
    if listing.external_id is not None and not storable(listing.external_id):
        return []
    return session.scenarios.page(caller.office_id, listing)


def _first(
    session: Session,
    desk: Desk,
    caller: Caller,
    draft: Draft,
    made_by: MadeBy,
    origin: tuple[str, int] | tuple[None, None] = (None, None),
) -> Kept:
    """Return a new scenario at its first revision, not kept yet."""
    now = desk.now()
    head = Head(
        id=new_id("sc", now),
        office_id=caller.office_id,
        external_id=draft.external_id,
        name=draft.name,
        revision=1,
        origin_id=origin[0],
        origin_revision=origin[1],
        created_at=now,
        updated_at=not_before(session.scenarios.newest_change(caller.office_id), now),
    )
    return Kept(head, draft.revision(desk, caller, head, made_by), draft.document)


def _add(session: Session, desk: Desk, caller: Caller, kept: Kept, action: Action) -> None:
    session.scenarios.add(kept.head, kept.revision)
    note_record(session, kept.head.id, kept.document)
    session.audit.add(entry(desk, caller, action, kept.head.id, kept.head.revision))
