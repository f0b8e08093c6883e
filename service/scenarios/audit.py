"""Who did what: an entry stands in the transaction of the change that it tells of."""

from collections.abc import Sequence
from typing import Literal

from service.scenarios.access import needs
from service.scenarios.desk import OPERATOR, Caller, Desk
from service.scenarios.plain_text import storable
from service.scenarios.records import AuditEntry
from service.scenarios.repositories import Session

Action = Literal[
    "scenario.create",
    "scenario.change",
    "scenario.bin",
    "scenario.unbin",
    "scenario.copy",
    "scenario.erase",
    "revision.restore",
    "note.add",
    "winter.record",
    "winter.change",
    "link.create",
    "link.revoke",
    "link.read",
    "key.create",
    "key.revoke",
    "token.seen_in_url",
    "weather_record.create",
    "weather_record.classify",
    "weather_record.delete",
    "analysis.create",
    "analysis.cancel",
    "analysis.delete",
    "sweep.create",
    "sweep.cancel",
    "sweep.delete",
]


def entry(
    desk: Desk, caller: Caller, action: Action, object_id: str, revision: int | None = None
) -> AuditEntry:
    """Return what is written down of a caller's act.

    Parameters
    ----------
    desk : Desk
        Knows the time.
    caller : Caller
        Who acts.
    action : str
        What is done.
    object_id : str
        To what.
    revision : int, optional
        Number of the revision that came of it.
    """
    return AuditEntry(
        at=desk.now(),
        office_id=caller.office_id,
        credential_id=caller.credential_id,
        action=action,
        object_id=object_id,
        revision=revision,
        request_id=caller.request_id,
    )


def operator_entry(desk: Desk, office_id: str, action: Action, object_id: str) -> AuditEntry:
    """Return what is written down of an act of whoever runs the host."""
    return AuditEntry(
        at=desk.now(),
        office_id=office_id,
        credential_id=OPERATOR,
        action=action,
        object_id=object_id,
    )


def audited(
    session: Session, caller: Caller, object_id: str | None, before: int | None, limit: int
) -> Sequence[AuditEntry]:
    """Return the entries of the caller's office, newest first.

    Parameters
    ----------
    session : Session
        In which it is read.
    caller : Caller
        Who asks; needs admin access.
    object_id : str or None
        Only entries about this.
    before : int or None
        Only entries with a lower number.
    limit : int
        Most entries to return.
    """
    needs(caller, "admin", office=True)
    if object_id is not None and not storable(object_id):
        return []
    return session.audit.page(caller.office_id, object_id, before, limit)
