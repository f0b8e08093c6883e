"""Sharing: keys of an office, links to a scenario, and what their use leaves behind.

A token is in the returned value of whatever makes it, and nowhere else.
"""

import logging
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from service.costing.errors import InputError
from service.scenarios.access import found, needs
from service.scenarios.audit import Action, entry, operator_entry
from service.scenarios.credentials import (
    KEY_ACCESSES,
    LINK_ACCESSES,
    MOST_DAYS,
    Wish,
    made,
    revoke,
)
from service.scenarios.desk import OPERATOR, Caller, Desk
from service.scenarios.errors import (
    LastAdminKeyError,
    StoreBusyError,
    TooManyLinksError,
    UnknownPartError,
)
from service.scenarios.ids import new_id
from service.scenarios.plain_text import storable, text_fault
from service.scenarios.records import AuditEntry, Credential, Office
from service.scenarios.replays import Then
from service.scenarios.repositories import Session

__all__ = [
    "DEFAULT_KEY_DAYS",
    "DEFAULT_LINK_DAYS",
    "MOST_DAYS",
    "MOST_LINKS",
    "keys",
    "keys_on_host",
    "links",
    "make_key",
    "make_key_on_host",
    "make_link",
    "noted_use",
    "revoke_key",
    "revoke_link",
    "revoke_on_host",
    "seen_in_url",
    "use_to_note",
]

DEFAULT_KEY_DAYS = 365
DEFAULT_LINK_DAYS = 90
MOST_LINKS = 20
LONGEST_OFFICE = 80
PAGE = 200

log = logging.getLogger(__name__)


def make_link(
    desk: Desk,
    caller: Caller,
    scenario_id: str,
    access: str,
    label: str,
    days: int,
    then: Then[tuple[Credential, str]] = None,
) -> tuple[Credential, str]:
    """Make a link to a scenario.

    Parameters
    ----------
    desk, caller
        Where and who.
    scenario_id : str
        What it opens.
    access : str
        ``read`` or ``edit``.
    label : str
        To tell it from others.
    days : int
        How long it lives [day].
    then : callable, optional
        Called before the commit, with link and token.

    Returns
    -------
    tuple of Credential and str
        The link, and its token, which cannot be had again.

    Raises
    ------
    InputError
        If anything is wrong with the wish.
    TooManyLinksError
        If the scenario has as many as it can have.
    """
    wish = Wish(access, label, days)
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id, "write")
    wish.check(LINK_ACCESSES)
    pair = made(desk, wish, head.office_id, caller.credential_id, head.id)
    with desk.store.writing() as session:
        found(session, caller, scenario_id, "write")
        if session.credentials.live_links(scenario_id, desk.now()) >= MOST_LINKS:
            message = f"It has {MOST_LINKS}, the most that it can have; revoke one first."
            raise TooManyLinksError(message)
        session.credentials.add(pair[0])
        session.audit.add(entry(desk, caller, "link.create", pair[0].id))
        if then is not None:
            then(session, pair)
    return pair


def links(
    session: Session, caller: Caller, scenario_id: str, after_id: str | None, limit: int
) -> Sequence[Credential]:
    """Return the links of a scenario, oldest first, from behind ``after_id``."""
    head = found(session, caller, scenario_id, "write")
    return session.credentials.links(head.id, after_id, limit)


def revoke_link(desk: Desk, caller: Caller, scenario_id: str, link_id: str) -> None:
    """Revoke a link; one that was revoked before stays so.

    Raises
    ------
    UnknownPartError
        If the scenario has no such link.
    """
    with desk.store.writing() as session:
        head = found(session, caller, scenario_id, "write")
        link = _known(session, caller, link_id)
        if link is None or link.scenario_id != head.id:
            message = "The scenario has no such link."
            raise UnknownPartError(message)
        revoke(session, desk, link, entry(desk, caller, "link.revoke", link.id))


def make_key(
    desk: Desk,
    caller: Caller,
    access: str,
    label: str,
    days: int,
    then: Then[tuple[Credential, str]] = None,
) -> tuple[Credential, str]:
    """Make another key of the caller's office.

    Parameters
    ----------
    desk, caller
        Where and who.
    access : str
        ``read``, ``write`` or ``admin``.
    label : str
        To tell it from others.
    days : int
        How long it lives [day].
    then : callable, optional
        Called before the commit, with key and token.

    Returns
    -------
    tuple of Credential and str
        The key, and its token, which cannot be had again.

    Raises
    ------
    InputError
        If anything is wrong with the wish.
    """
    needs(caller, "admin", office=True)
    wish = Wish(access, label, days)
    wish.check(KEY_ACCESSES)
    pair = made(desk, wish, caller.office_id, caller.credential_id)
    with desk.store.writing() as session:
        session.credentials.add(pair[0])
        session.audit.add(entry(desk, caller, "key.create", pair[0].id))
        if then is not None:
            then(session, pair)
    return pair


def keys(
    session: Session, caller: Caller, after_id: str | None, limit: int
) -> Sequence[Credential]:
    """Return the keys of the caller's office, oldest first, from behind ``after_id``."""
    needs(caller, "admin", office=True)
    return session.credentials.keys(caller.office_id, after_id, limit)


def revoke_key(desk: Desk, caller: Caller, key_id: str) -> None:
    """Revoke a key of the caller's office; one that was revoked before stays so.

    Raises
    ------
    UnknownPartError
        If the office has no such key.
    LastAdminKeyError
        If nobody of the office could manage keys any more.
    """
    needs(caller, "admin", office=True)
    with desk.store.writing() as session:
        key = _known(session, caller, key_id)
        if key is None or key.kind != "key":
            message = "The office has no such key."
            raise UnknownPartError(message)
        now = desk.now()
        if key.access == "admin" and key.live(now):
            others = session.credentials.live_admin_keys(caller.office_id, now) - 1
            if others < 1:
                raise LastAdminKeyError
        revoke(session, desk, key, entry(desk, caller, "key.revoke", key.id))


def make_key_on_host(
    desk: Desk, office_name: str, access: str, label: str, days: int
) -> tuple[Office, Credential, str]:
    """Make a key for an office, which is made too if there is none of that name.

    Raises
    ------
    InputError
        If anything is wrong with the wish.
    """
    wish = Wish(access, label, days)
    fault = text_fault("office", "The name of the office", office_name, LONGEST_OFFICE)
    faults = [*([fault] if fault else []), *wish.faults(KEY_ACCESSES)]
    if faults:
        raise InputError(faults)
    name, now = office_name.strip(), desk.now()
    with desk.store.writing() as session:
        office = session.offices.by_name(name)
        if office is None:
            office = Office(new_id("of", now), name, now)
            session.offices.add(office)
        credential, token = made(desk, wish, office.id, OPERATOR)
        session.credentials.add(credential)
        session.audit.add(operator_entry(desk, office.id, "key.create", credential.id))
    return office, credential, token


def keys_on_host(session: Session) -> list[tuple[Office, Credential]]:
    """Return the keys of every office."""
    found_keys: list[tuple[Office, Credential]] = []
    for office in session.offices.every():
        page = session.credentials.keys(office.id, None, PAGE)
        while page:
            found_keys += [(office, key) for key in page]
            page = session.credentials.keys(office.id, page[-1].id, PAGE)
    return found_keys


def revoke_on_host(desk: Desk, credential_id: str) -> Credential:
    """Revoke any key or link, the last admin key too, and return it as it stands then.

    Raises
    ------
    UnknownPartError
        If there is none of that id.
    """
    with desk.store.writing() as session:
        credential = session.credentials.find(credential_id) if storable(credential_id) else None
        if credential is None:
            message = "There is no key or link of that id."
            raise UnknownPartError(message)
        action = "key.revoke" if credential.kind == "key" else "link.revoke"
        audit = operator_entry(desk, credential.office_id, action, credential.id)
        at = revoke(session, desk, credential, audit)
    return credential if at is None else replace(credential, revoked_at=at)


def use_to_note(desk: Desk, credential: Credential) -> bool:
    """Whether a token was not used before today, or is hashed with an older secret."""
    unused = (credential.last_used_on or date.min) < desk.now().date()
    return unused or credential.pepper < desk.peppers.newest


def noted_use(desk: Desk, credential: Credential, token: str) -> None:
    """Note the day on which a token was used, and hash it with the newest secret.

    What was asked is answered all the same if that cannot be written now: the token's next use
    notes it.

    Parameters
    ----------
    desk : Desk
        Keeps it.
    credential : Credential
        As it was looked up; if it has it all, nothing is opened.
    token : str
        As it was shown.
    """
    if not use_to_note(desk, credential):
        return
    try:
        _note_use(desk, credential, token)
    except StoreBusyError:
        log.warning("the use of %s could not be noted", credential.id)


def _note_use(desk: Desk, credential: Credential, token: str) -> None:
    today, newest = desk.now().date(), desk.peppers.newest
    with desk.store.writing() as session:
        if credential.pepper < newest:
            session.credentials.rehash(credential.id, desk.peppers.digest(token), newest)
        first_today = session.credentials.mark_used(credential.id, today)
        if first_today and credential.scenario_id is not None:
            session.audit.add(_by_itself(desk, credential, "link.read", credential.scenario_id))


def seen_in_url(desk: Desk, credential: Credential) -> None:
    """Note that a token stood in an address where it must not."""
    with desk.store.writing() as session:
        session.credentials.mark_seen_in_url(credential.id, desk.now())
        session.audit.add(_by_itself(desk, credential, "token.seen_in_url", credential.id))


def _by_itself(desk: Desk, credential: Credential, action: Action, object_id: str) -> AuditEntry:
    """Return what is written down of a token that was shown."""
    return AuditEntry(
        at=desk.now(),
        office_id=credential.office_id,
        credential_id=credential.id,
        action=action,
        object_id=object_id,
    )


def _known(session: Session, caller: Caller, credential_id: str) -> Credential | None:
    if not storable(credential_id):
        return None
    return session.credentials.get(caller.office_id, credential_id)
