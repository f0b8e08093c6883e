"""POSTs that may be sent again: one with an Idempotency-Key acts once and is answered as before.

An answer that holds a token is not kept, and so is not given a second time.
"""

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TypeAlias, TypeVar

from service.costing.errors import Fault, InputError
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import KeyInFlightError, KeyReusedError, SecretShownError
from service.scenarios.records import Replay
from service.scenarios.repositories import Session
from service.scenarios.tokens import masked

T = TypeVar("T")
Then: TypeAlias = Callable[[Session, T], None] | None
"""Called with what an act made, in its transaction, just before that is committed."""

KEEP = timedelta(hours=24)
STALE = timedelta(seconds=60)
"""Whoever has worked on a request for longer is gone."""

KEY = re.compile(r"[\x21-\x7e]{1,255}")
WITHHELD = ""
"""Stands in place of the headers of an answer that is not kept."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a request is answered with."""

    status: int
    body: bytes
    headers: Mapping[str, str]
    object_id: str
    """What the request made."""
    secret: bool = False
    """Whether it holds a token."""


def once(
    desk: Desk,
    caller: Caller,
    key: str | None,
    fingerprint: str,
    act: Callable[[Then[T]], T],
    answer_of: Callable[[T], Answer],
) -> Answer:
    """Act once for each key, however often the request is sent.

    Parameters
    ----------
    desk : Desk
        Keeps the answers.
    caller : Caller
        Whose key it is.
    key : str or None
        The Idempotency-Key; without one the act is done each time.
    fingerprint : str
        The same for the same request.
    act : callable
        Does it, and calls what it is handed inside its transaction.
    answer_of : callable
        Makes the answer of what was done.

    Raises
    ------
    InputError
        If it is no key.
    KeyReusedError
        If the key was sent with another request.
    KeyInFlightError
        If the same request is being worked on.
    SecretShownError
        If the answer held a token.
    """
    if key is None:
        return answer_of(act(None))
    claim = _claimed(desk, caller, key, fingerprint)
    if isinstance(claim, Answer):
        return claim
    answers: list[Answer] = []

    def complete(session: Session, made: T) -> None:
        answers.append(answer_of(made))
        session.replays.complete(_answered(claim, answers[-1]))

    try:
        act(complete)
    except BaseException:
        with desk.store.writing() as session:
            session.replays.release(claim.credential_id, claim.key)
        raise
    return answers[-1]


def _claimed(desk: Desk, caller: Caller, key: str, fingerprint: str) -> Replay | Answer:
    """Return the claim to work on a request, or the answer that it was given before."""
    if not KEY.fullmatch(key) or masked(key) != key:
        allowed = "1 to 255 visible ASCII characters, without blanks, and no token"
        raise InputError(
            [Fault("Idempotency-Key", f"Idempotency-Key must have {allowed}.", allowed=allowed)]
        )
    now = desk.now()
    claim = Replay(
        credential_id=caller.credential_id,
        key=key,
        fingerprint=fingerprint,
        claimed_at=now,
        expires_at=now + KEEP,
    )
    with desk.store.writing() as session:
        earlier = session.replays.claim(claim, now - STALE)
    if earlier is None:
        return claim
    if earlier.fingerprint != fingerprint:
        raise KeyReusedError
    if earlier.status is None:
        raise KeyInFlightError
    object_id = earlier.object_id or ""
    if earlier.headers == WITHHELD:
        raise SecretShownError(object_id)
    return Answer(earlier.status, earlier.body, json.loads(earlier.headers), object_id)


def _answered(claim: Replay, answer: Answer) -> Replay:
    return replace(
        claim,
        status=answer.status,
        headers=WITHHELD if answer.secret else json.dumps(dict(answer.headers)),
        body=b"" if answer.secret else answer.body,
        object_id=answer.object_id,
    )
