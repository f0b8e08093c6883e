"""Who may do what: a token leads to a caller, a caller to an office, an office to its scenarios.

What belongs to another office is answered as what does not exist, by the same look-ups.
"""

from collections.abc import Mapping
from typing import Literal

from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import (
    BinnedError,
    TooLittleAccessError,
    UnknownScenarioError,
    UnknownTokenError,
)
from service.scenarios.records import Credential, Head
from service.scenarios.repositories import Session
from service.scenarios.tokens import kind_of

Right = Literal["read", "change", "write", "admin"]
"""``change``: a scenario's document, notes and winters; ``write``: all else an office does with its
scenarios; ``admin``: keys, audit, erasure and what lies in the bin."""

RIGHTS: Mapping[tuple[str, str], frozenset[Right]] = {
    ("link", "read"): frozenset({"read"}),
    ("link", "edit"): frozenset({"read", "change"}),
    ("key", "read"): frozenset({"read"}),
    ("key", "write"): frozenset({"read", "change", "write"}),
    ("key", "admin"): frozenset({"read", "change", "write", "admin"}),
}
NEEDED: Mapping[Right, str] = {
    "read": "any key or link",
    "change": "a key with write access, or an edit link of the scenario",
    "write": "an office key with write access",
    "admin": "an office key with admin access",
}

OFFICE_KEY = "an office key; a link opens its own scenario alone"


def identified(
    session: Session, desk: Desk, token: str, request_id: str = ""
) -> tuple[Caller, Credential]:
    """Return who shows a token, and what is kept of it.

    Raises
    ------
    MistypedTokenError
        If it does not add up; nothing is looked up.
    UnknownTokenError
        If it opens nothing: never made, revoked or expired.
    """
    kind_of(token)
    credential = session.credentials.by_digest(desk.peppers.digests(token))
    if credential is None:
        raise UnknownTokenError
    return caller_of(credential, desk, request_id), credential


def caller_of(credential: Credential, desk: Desk, request_id: str = "") -> Caller:
    """Return who shows a token, by what is kept of it.

    Raises
    ------
    UnknownTokenError
        If it was revoked or has expired.
    """
    if not credential.live(desk.now()):
        raise UnknownTokenError
    return Caller(
        credential_id=credential.id,
        office_id=credential.office_id,
        kind=credential.kind,
        access=credential.access,
        label=credential.label,
        expires_at=credential.expires_at,
        scenario_id=credential.scenario_id,
        request_id=request_id,
    )


def needs(caller: Caller, right: Right, *, office: bool = False) -> None:
    """Refuse whoever lacks a right.

    Parameters
    ----------
    caller : Caller
        Who asks.
    right : str
        What is needed.
    office : bool
        Whether it is about the office's scenarios together, so that a link is not enough.

    Raises
    ------
    TooLittleAccessError
        If the caller lacks it.
    """
    if right not in RIGHTS[caller.kind, caller.access]:
        raise TooLittleAccessError(NEEDED[right])
    if office and caller.kind == "link":
        raise TooLittleAccessError(OFFICE_KEY)


def found(
    session: Session,
    caller: Caller,
    scenario_id: str,
    right: Right = "read",
    *,
    binned_too: bool = False,
) -> Head:
    """Return a scenario that the caller may see, if the caller may do this with it.

    Raises
    ------
    UnknownScenarioError
        If there is none of that id that the caller may see.
    TooLittleAccessError
        If the caller lacks the right.
    BinnedError
        If it lies in the bin and the caller is of its office.
    """
    head = session.scenarios.head(caller.office_id, scenario_id)
    return reached(head, caller, scenario_id, right, binned_too=binned_too)


def reached(
    head: Head | None,
    caller: Caller,
    scenario_id: str,
    right: Right = "read",
    *,
    binned_too: bool = False,
) -> Head:
    """Return a scenario as it was looked up, by the rules of `found`."""
    if head is None or caller.scenario_id not in {None, head.id}:
        raise UnknownScenarioError(scenario_id)
    if head.binned_at is not None and caller.kind == "link":
        raise UnknownScenarioError(scenario_id)
    needs(caller, right)
    if head.binned_at is not None and not binned_too:
        raise BinnedError(scenario_id)
    return head
