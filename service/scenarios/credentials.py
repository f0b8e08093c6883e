"""Keys and links as such: checked, made, revoked."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, cast

from service.costing.errors import Fault, InputError
from service.scenarios.desk import Desk
from service.scenarios.ids import Prefix, new_id
from service.scenarios.plain_text import text_fault
from service.scenarios.records import Access, AuditEntry, Credential
from service.scenarios.repositories import Session
from service.scenarios.tokens import TokenKind, hint_of, new_token

KEY_ACCESSES: Sequence[Access] = ("read", "write", "admin")
LINK_ACCESSES: Sequence[Access] = ("read", "edit")
LONGEST_LABEL = 80
MOST_DAYS = 400


@dataclass(frozen=True, slots=True)
class Wish:
    """A key or a link as it is asked for."""

    access: str
    label: str
    days: int

    def faults(self, accesses: Sequence[Access]) -> list[Fault]:
        """Return everything that is wrong with it."""
        faults = [text_fault("label", "The label", self.label, LONGEST_LABEL)]
        if self.access not in accesses:
            words = ", ".join(accesses)
            faults.append(Fault("access", f"access must be one of {words}.", allowed=words))
        days: Any = self.days
        if not isinstance(days, int) or isinstance(days, bool) or not 1 <= days <= MOST_DAYS:
            allowed = f"a whole number from 1 to {MOST_DAYS}"
            detail = f"expires_in_days must be {allowed}."
            faults.append(Fault("expires_in_days", detail, allowed=allowed, unit="day"))
        return [fault for fault in faults if fault]

    def check(self, accesses: Sequence[Access]) -> None:
        """Refuse it if anything is wrong with it.

        Raises
        ------
        InputError
            With every fault.
        """
        if faults := self.faults(accesses):
            raise InputError(faults)


def made(
    desk: Desk, wish: Wish, office_id: str, created_by: str, scenario_id: str | None = None
) -> tuple[Credential, str]:
    """Return a new credential, not kept yet, and its token, which is not kept at all.

    Parameters
    ----------
    desk : Desk
        Knows the time and the secret to hash with.
    wish : Wish
        Has been checked.
    office_id : str
        Whose it is.
    created_by : str
        Id of whoever makes it.
    scenario_id : str, optional
        The scenario that a link opens; without it, it is a key.
    """
    is_link = scenario_id is not None
    kind: TokenKind = "key"
    prefix: Prefix = "ky"
    if is_link:
        kind, prefix = ("edit_link" if wish.access == "edit" else "read_link"), "ln"
    token, now = new_token(kind), desk.now()
    credential = Credential(
        id=new_id(prefix, now),
        office_id=office_id,
        scenario_id=scenario_id,
        kind="link" if is_link else "key",
        access=cast("Access", wish.access),
        label=wish.label.strip(),
        digest=desk.peppers.digest(token),
        pepper=desk.peppers.newest,
        hint=hint_of(token),
        created_at=now,
        created_by=created_by,
        expires_at=now + timedelta(days=wish.days),
    )
    return credential, token


def revoke(
    session: Session, desk: Desk, credential: Credential, audit: AuditEntry
) -> datetime | None:
    """Revoke a credential, as the last thing before the commit; None if it was revoked before.

    Parameters
    ----------
    session : Session
        In which it is revoked.
    desk : Desk
        Has the journal, which tells of it after a restore of the database.
    credential : Credential
        What is revoked.
    audit : AuditEntry
        What is written down of it.
    """
    now = desk.now()
    if not session.credentials.revoke(credential.id, now):
        return None
    session.audit.add(audit)
    session.erasures.add("revoke", credential.id, now)
    desk.journal.append("revoke", credential.id, now)
    return now
