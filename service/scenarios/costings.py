"""Stored costings: one for each revision, engine and reference edition, made on first reading.

One that is stored never changes. When the engine or the edition moves, a new one is made beside it.
"""

import gzip
import json
import logging
from collections.abc import Callable, Sequence
from typing import Any

from service.costing.document import content_key
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.reference.table import NO_EDITION
from service.costing.result import costing_document
from service.scenarios.access import caller_of, found, reached
from service.scenarios.changes import changes_between, currency_of
from service.scenarios.desk import Caller, Desk
from service.scenarios.differences import difference_of
from service.scenarios.effect import effect_of, sentence
from service.scenarios.errors import (
    StoreBusyError,
    StoreFullError,
    UnknownPartError,
    UnknownTokenError,
)
from service.scenarios.ids import new_id
from service.scenarios.kept import Kept, kept_at
from service.scenarios.records import CostingSummary, Credential, Head, StoredCosting
from service.scenarios.repositories import Session
from service.scenarios.tokens import kind_of
from service.scenarios.winters import recorded

Document = dict[str, Any]

GZIP_LEVEL = 6
EDITION = "reference_edition"
ENGINE = "engine_version"
FIRST = "First revision."

log = logging.getLogger(__name__)


def costing_now(
    desk: Desk, caller: Caller, scenario_id: str, revision: int | None = None, *, keep: bool = True
) -> StoredCosting:
    """Return the costing of a revision by the engine of now, stored when it is first asked for.

    Parameters
    ----------
    desk : Desk
        Where scenarios are kept.
    caller : Caller
        Who asks.
    scenario_id : str
        The scenario.
    revision : int, optional
        The newest, if not given.
    keep : bool
        Whether to store it and to note that it was opened. One that is not stored, or for which
        there is no room, has no id.

    Raises
    ------
    UnknownScenarioError, BinnedError, UnknownPartError
        If there is no such revision that the caller may see.
    InputError
        If the revision cannot be costed.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id)
        kept = kept_at(session, desk, head, head.revision if revision is None else revision)
        stored_before = _find(session, desk, kept)
    if stored_before is not None:
        return note_opened(desk, stored_before) if keep else stored_before
    return _made(desk, caller, kept, keep=keep)


def opened_before(desk: Desk, costing: StoredCosting) -> bool:
    """Whether a stored costing was last opened before today, so that it is to be noted."""
    return costing.opened_on < desk.now().date()


def note_opened(desk: Desk, costing: StoredCosting) -> StoredCosting:
    """Note that a stored costing was opened today; the store is written to once a day at most.

    If that cannot be written now, the next one who opens it notes it.
    """
    if opened_before(desk, costing):
        try:
            with desk.store.writing() as session:
                session.costings.mark_opened(costing.id, desk.now().date())
        except StoreBusyError:
            log.warning("that %s was opened could not be noted", costing.id)
    return costing


def opened(
    session: Session, desk: Desk, token: str, scenario_id: str, costing_id: str
) -> tuple[Credential, StoredCosting]:
    """Return what is kept of a token, and a stored costing that it opens, as it was answered.

    By the rules of `identified` and `found`, in one look-up: this is what is asked most.

    Raises
    ------
    UnknownTokenError
        If the token opens nothing.
    UnknownScenarioError
        If there is no such scenario that it may see.
    UnknownPartError
        If the scenario has no costing of that id.
    """
    kind_of(token)
    known = session.costings.opened(desk.peppers.digests(token), scenario_id, costing_id)
    if known is None:
        raise UnknownTokenError
    reached(known.head, caller_of(known.credential, desk), scenario_id)
    return known.credential, _there(known.costing)


def costings(
    session: Session,
    caller: Caller,
    scenario_id: str,
    revision: int | None,
    before_id: str | None,
    limit: int,
) -> Sequence[CostingSummary]:
    """Return the stored costings of a scenario, or of one revision of it, newest first."""
    head = found(session, caller, scenario_id)
    return session.costings.page(head.id, revision, before_id, limit)


def body_of(costing: StoredCosting) -> Document:
    """Return a stored costing as a document."""
    return json.loads(gzip.decompress(costing.result))


def moved(desk: Desk, costing: CostingSummary) -> dict[str, dict[str, str]]:
    """Return what has moved since a costing was made: the engine, the newest edition, or neither.

    One that takes nothing from the editions is not touched by a new one.
    """
    then = {ENGINE: costing.engine_version, EDITION: costing.reference_edition}
    now = {ENGINE: desk.engine_version, EDITION: _edition_now(desk, costing.reference_edition)}
    return {
        part: {"then": then[part], "now": now[part]} for part in then if then[part] != now[part]
    }


def difference(desk: Desk, caller: Caller, scenario_id: str, costing_id: str) -> Document:
    """Return what has changed in the answer since a costing was stored, by system and line.

    The same revision is costed by the engine of now under the newest edition. That is stored only
    if it is the revision's own edition.
    """
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id)
        then = _stored(session, head, costing_id)
        kept = kept_at(session, desk, head, then.revision)
    edition = _edition_now(desk, kept.revision.reference_edition)
    if edition == kept.revision.reference_edition:
        now = costing_now(desk, caller, scenario_id, then.revision)
        against, body = now.id, body_of(now)
    else:
        against, body = None, _costed(desk, kept, edition)
    parts = moved(desk, then)
    return {
        "scenario": then.scenario_id,
        "revision": then.revision,
        "costing": then.id,
        "against": against,
        "moved": parts,
        **difference_of(body_of(then), body, parts),
    }


def changes(
    desk: Desk, caller: Caller, scenario_id: str, number: int, since: int | None = None
) -> Document:
    """Return what a revision changed, and in a sentence what that did to the answer.

    Parameters
    ----------
    desk : Desk
        Where scenarios are kept.
    caller : Caller
        Who asks.
    scenario_id : str
        The scenario.
    number : int
        The revision.
    since : int, optional
        The revision that it is held against; the one before it, if not given.

    Returns
    -------
    dict
        ``effect`` is null for the first revision, and where one of the two cannot be costed.
    """
    start = number - 1 if since is None else since
    with desk.store.reading() as session:
        head = found(session, caller, scenario_id)
        after = kept_at(session, desk, head, number)
        if since is None and start == 0:
            return _answer(after, 0, [], None, FIRST)
        before = kept_at(session, desk, head, start)
    listed = changes_between(before.document, after.document)
    shown = [change.as_document() for change in listed]
    currency = currency_of(after.document)
    bodies: list[Document] = []
    refused: list[str] = []
    for kept in (before, after):
        try:
            costing = costing_now(desk, caller, scenario_id, kept.revision.number)
        except InputError:
            refused.append(f"Revision {kept.revision.number} cannot be costed by the engine of now")
        else:
            bodies.append(body_of(costing))
    if refused:
        said = f"{sentence(listed, None, currency)} {'; '.join(refused).capitalize()}."
        return _answer(after, start, shown, None, said)
    effect = effect_of(*bodies)
    return _answer(after, start, shown, effect, sentence(listed, effect, currency))


def _answer(
    after: Kept, start: int, shown: list[Document], effect: Document | None, said: str
) -> Document:
    return {
        "scenario": after.head.id,
        "from": start,
        "to": after.revision.number,
        "changes": shown,
        "effect": effect,
        "sentence": said,
    }


def _stored(session: Session, head: Head, costing_id: str) -> StoredCosting:
    return _there(session.costings.get(head.id, costing_id))


def _there(costing: StoredCosting | None) -> StoredCosting:
    if costing is None:
        message = "The scenario has no costing of that id."
        raise UnknownPartError(message)
    return costing


def _find(session: Session, desk: Desk, kept: Kept) -> StoredCosting | None:
    revision = kept.revision
    return session.costings.find(
        kept.head.id, revision.number, desk.engine_version, revision.reference_edition
    )


def _made(desk: Desk, caller: Caller, kept: Kept, *, keep: bool) -> StoredCosting:
    """Cost a revision, outside any transaction, and store the answer if it is to be kept."""
    body = _costed(desk, kept, kept.revision.reference_edition)
    if keep:
        costing = _costing(desk, kept, body, new_id("ct", desk.now()))
        try:
            with desk.store.writing() as session:
                found(session, caller, kept.head.id)
                return session.costings.add(costing)
        except StoreFullError:
            log.warning("there is no room for a costing; it is answered and not kept")
    return _costing(desk, kept, body, "")


def _costing(desk: Desk, kept: Kept, body: Document, costing_id: str) -> StoredCosting:
    now = desk.now()
    best = next(system for system in body["systems"] if system["system"] == body["best_system"])
    return StoredCosting(
        id=costing_id,
        scenario_id=kept.head.id,
        revision=kept.revision.number,
        engine_version=desk.engine_version,
        reference_edition=kept.revision.reference_edition,
        content_key=body["content_key"],
        best_system=body["best_system"],
        annual_equivalent_cost=best["annual_equivalent_cost"],
        currency=body["currency"],
        created_at=now,
        opened_on=now.date(),
        result=packed(body | {"id": costing_id or None}),
    )


def _costed(desk: Desk, kept: Kept, edition: str) -> Document:
    given = kept.document | {EDITION: edition}
    asked = recorded(desk, kept.head.office_id, given).document
    body = costing_document(cost(desk.read(asked)), given=given)
    return body | {
        ENGINE: desk.engine_version,
        "content_key": content_key(body["inputs_used"], desk.engine_version),
    }


def packed(body: Document) -> bytes:
    """Return an answer as it is stored: JSON, compressed; the same answer gives the same bytes."""
    text = json.dumps(
        body, ensure_ascii=False, allow_nan=False, separators=(",", ":"), default=_plain
    )
    return gzip.compress(text.encode(), GZIP_LEVEL, mtime=0)


def _plain(value: object) -> object:
    """Return an array or a number of numpy as JSON has it."""
    listing: Callable[[], object] | None = getattr(value, "tolist", None)
    if listing is None:
        message = f"{type(value).__name__} has no place in JSON"
        raise TypeError(message)
    return listing()


def _edition_now(desk: Desk, edition: str) -> str:
    return edition if edition == NO_EDITION else desk.newest_edition()
