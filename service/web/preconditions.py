"""Preconditions: what a caller has read before (RFC 9110, section 13.1)."""

import re
from collections.abc import Sequence
from typing import Literal

from starlette.requests import Request

from service.scenarios.access import Right, found
from service.scenarios.desk import Caller, Desk
from service.web.problem_kinds import BAD_REQUEST, PRECONDITION_REQUIRED
from service.web.problems import ProblemError

IF_MATCH = "If-Match"
IF_NONE_MATCH = "If-None-Match"
ANY = "*"
NO_REVISION = 0

ENTITY_TAG = r'(?P<weak>W/)?"(?P<tag>[\x21\x23-\x7e\x80-\xff]*)"'
TAG = re.compile(ENTITY_TAG)
"""Begins with what it cannot do without: to look for it takes one way through a long header."""

TAGS = re.compile(rf"\s*(?:{ENTITY_TAG}\s*(?:,\s*|$)|,\s*)")
"""Of a whole list, one after the other."""

REVISION = re.compile(r"([1-9][0-9]{0,8})(?:-(?:xlsx|csv))?")
"""A revision, and the form in which it was read, if not as JSON."""


def expected_revision(
    request: Request, desk: Desk, caller: Caller, scenario_id: str, right: Right
) -> int:
    """Return the revision that the caller has read and wants to change.

    ``*`` means the newest, whatever it is. Of several tags the one that stands counts, else the
    highest. A weak tag, or one that is no revision, matches nothing.

    Parameters
    ----------
    request : Request
        Has the header If-Match.
    desk : Desk
        Where the scenario is kept.
    caller : Caller
        Who asks.
    scenario_id : str
        The scenario that is to be changed.
    right : str
        What the change needs; looked at before the header is missed.

    Raises
    ------
    ProblemError
        If the header is missing, or is no list of entity tags.
    """
    header = _header(request, IF_MATCH)
    if not header:
        with desk.store.reading() as session:
            newest = found(session, caller, scenario_id, right).revision
        detail = f'Send If-Match with the ETag of the revision you have read; "{newest}" stands.'
        raise ProblemError(PRECONDITION_REQUIRED, detail)
    named = _revisions(header)
    if header != ANY and len(named) <= 1:
        return named[0] if named else NO_REVISION
    with desk.store.reading() as session:
        newest = found(session, caller, scenario_id, right).revision
    return newest if header == ANY or newest in named else max(named)


def expected_version(request: Request, stands: int | None) -> int | Literal["new"] | None:
    """Return what the caller knows of a thing that is made by PUT where there is none.

    Parameters
    ----------
    request : Request
        May have the header If-Match, or If-None-Match with ``*``.
    stands : int or None
        The version that stands; None if there is no such thing.

    Returns
    -------
    int, "new" or None
        The version that the caller has read, 0 for one that never was; that there is to be none
        yet; or None if the caller says nothing.

    Raises
    ------
    ProblemError
        If the header is no list of entity tags.
    """
    header = _header(request, IF_MATCH)
    if not header:
        return "new" if _header(request, IF_NONE_MATCH) == ANY else None
    named = _revisions(header)
    if header == ANY or stands in named:
        return stands or NO_REVISION
    return max(named, default=NO_REVISION)


def has_already(request: Request, etag: str) -> bool:
    """Whether the caller has what an entity tag stands for, by If-None-Match."""
    header = _header(request, IF_NONE_MATCH)
    if not header:
        return False
    return header == ANY or etag.strip('"') in {match["tag"] for match in TAG.finditer(header)}


def _revisions(header: str) -> Sequence[int]:
    if header == ANY:
        return ()
    place = 0
    named: list[int] = []
    while place < len(header):
        match = TAGS.match(header, place)
        if match is None or match.end() == place:
            detail = 'If-Match takes ETags as they were sent, with their quotes: "3".'
            raise ProblemError(BAD_REQUEST, detail)
        place = match.end()
        revision = REVISION.fullmatch(match["tag"] or "")
        if revision is not None and not match["weak"]:
            named.append(int(revision[1]))
    return named


def _header(request: Request, name: str) -> str:
    return ", ".join(request.headers.getlist(name)).strip()
