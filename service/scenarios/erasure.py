"""Erasure: a scenario gone for good, and gone again after the database was restored."""

from collections.abc import Iterable
from dataclasses import astuple, dataclass
from datetime import date, datetime, timedelta

from service.scenarios.access import found
from service.scenarios.audit import entry
from service.scenarios.desk import Caller, Desk
from service.scenarios.records import AuditEntry, Counts, Head
from service.scenarios.repositories import Session

BACKUP_DAYS = 35
"""The last backup that knows of something forgets it so much later [day]."""


@dataclass(frozen=True, slots=True)
class Erased:
    """What was erased, and what of it is left somewhere."""

    scenario_id: str
    erased_at: datetime
    counts: Counts
    copies: tuple[str, ...]
    """Copies of it, and copies of those, that remain."""
    erased_copies: tuple[str, ...]
    gone_from_files: bool
    """Whether the text has left the database's files; if not, it does with time."""
    backups_forget_on: date


def erase(desk: Desk, caller: Caller, scenario_id: str, *, copies: bool = False) -> Erased:
    """Erase a scenario with all that hangs on it, from the bin too.

    Parameters
    ----------
    desk, caller
        Where and who; needs admin access.
    scenario_id : str
        What is erased.
    copies : bool
        Whether its copies are erased with it, and copies of those.
    """
    now = desk.now()
    with desk.store.writing() as session:
        head = found(session, caller, scenario_id, "admin", binned_too=True)
        chain = tuple(copy.id for copy in _copies(session, head))
        doomed = (scenario_id, *chain) if copies else (scenario_id,)
        audit = [entry(desk, caller, "scenario.erase", gone) for gone in doomed]
        counts = erased_for_good(session, desk, audit)
    return Erased(
        scenario_id=scenario_id,
        erased_at=now,
        counts=counts,
        copies=() if copies else chain,
        erased_copies=chain if copies else (),
        gone_from_files=desk.store.scrub(),
        backups_forget_on=now.date() + timedelta(days=BACKUP_DAYS),
    )


def erased_for_good(session: Session, desk: Desk, audit: Iterable[AuditEntry]) -> Counts:
    """Erase scenarios, as the last thing before the commit.

    Parameters
    ----------
    session : Session
        In which they are erased.
    desk : Desk
        Has the journal, which tells of it after a restore of the database.
    audit : iterable of AuditEntry
        What is written down of each; its object is erased.
    """
    entries = tuple(audit)
    counts = Counts()
    for gone in entries:
        counts = _sum(counts, session.scenarios.erase(gone.object_id))
        session.erasures.add("erase", gone.object_id, gone.at)
        session.audit.add(gone)
    for gone in entries:
        desk.journal.append("erase", gone.object_id, gone.at)
    return counts


def replay_journal(desk: Desk) -> tuple[int, int]:
    """Erase and revoke again what a restored database has back; to be done after every restore.

    Returns
    -------
    tuple of int
        How many scenarios were erased and how many keys and links revoked.
    """
    scenarios = credentials = 0
    now = desk.now()
    with desk.store.writing() as session:
        known = session.erasures.ids()
        for act, object_id in dict.fromkeys(desk.journal.entries()):
            if act == "erase":
                scenarios += session.scenarios.erase(object_id).revisions > 0
                done = "erase"
            else:
                credentials += session.credentials.revoke(object_id, now)
                done = "revoke"
            if (act, object_id) not in known:
                session.erasures.add(done, object_id, now)
    desk.store.scrub()
    return scenarios, credentials


def _copies(session: Session, head: Head) -> list[Head]:
    """Return the copies of a scenario, and the copies of those."""
    chain: list[Head] = []
    waiting = [head]
    while waiting:
        copies = session.scenarios.copies(waiting.pop(0).id)
        chain += copies
        waiting += copies
    return chain


def _sum(one: Counts, other: Counts) -> Counts:
    return Counts(*(a + b for a, b in zip(astuple(one), astuple(other), strict=True)))
