"""Bodies of requests: taken as JSON alone, and acted on once where the caller asks for that."""

from collections.abc import Callable
from dataclasses import dataclass
from email.message import Message
from hashlib import sha256
from typing import TypeVar

from anyio.to_thread import run_sync
from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.desk import Caller, Desk
from service.scenarios.replays import Answer, Then, once
from service.web.answers import faults_told
from service.web.negotiation import JSON
from service.web.problem_kinds import INVALID_INPUT, NOT_JSON, UNSUPPORTED_MEDIA_TYPE
from service.web.problems import ProblemError
from service.web.strict_json import NotJsonError, Parsed, parse

LARGE_BODY = 32_768
"""Larger bodies are worked on in a thread, so that others are answered meanwhile."""

MERGE_PATCH = "application/merge-patch+json"
"""RFC 7396, section 4."""

CHARSETS = {"", "utf-8", "utf8", "us-ascii"}
IDEMPOTENCY_KEY = "Idempotency-Key"

T = TypeVar("T")


@dataclass
class Sent(Parsed):
    """A body as read, and its bytes."""

    raw: bytes


async def json_body(request: Request, *, merge_patch: bool = False, optional: bool = False) -> Sent:
    """Read the body of a request.

    Parameters
    ----------
    request : Request
        Whose body.
    merge_patch : bool
        Whether it may be a merge patch by its type.
    optional : bool
        Whether it may be absent, which is the same as an empty object.

    Raises
    ------
    ProblemError
        If it is of another type, or not JSON.
    """
    raw = await request.body()
    if optional and not raw:
        return Sent({}, sound=True, raw=raw)
    refuse_other_types(request, (JSON, MERGE_PATCH) if merge_patch else (JSON,))
    try:
        parsed = await run_sync(parse, raw) if len(raw) > LARGE_BODY else parse(raw)
    except NotJsonError as error:
        raise ProblemError(NOT_JSON, str(error)) from None
    return Sent(parsed.value, parsed.sound, raw)


async def no_body(request: Request) -> Sent:
    """Read the body of a request that needs none: nothing, or an empty object.

    Raises
    ------
    ProblemError
        If there is something in it.
    """
    sent = await json_body(request, optional=True)
    if sent.value != {}:
        detail = "This takes no body."
        raise ProblemError(INVALID_INPUT, errors=[{"pointer": "", "detail": detail}])
    return sent


def refuse_other_types(request: Request, types: tuple[str, ...] = (JSON,)) -> None:
    """Refuse a body that is not plain JSON.

    Raises
    ------
    ProblemError
        If its type is another, or it is compressed.
    """
    header = Message()
    header["Content-Type"] = request.headers.get("Content-Type", "none/none")
    charset = header.get_content_charset("") or ""
    if header.get_content_type() not in types or charset not in CHARSETS:
        raise ProblemError(
            UNSUPPORTED_MEDIA_TYPE,
            f"Send the body as Content-Type: {' or '.join(types)}, in UTF-8.",
            headers={"Accept": ", ".join(types)},
        )
    if request.headers.get("Content-Encoding", "identity").lower() != "identity":
        raise ProblemError(
            UNSUPPORTED_MEDIA_TYPE,
            "Send the body as it is, not compressed.",
            headers={"Accept-Encoding": "identity"},
        )


def posted_once(
    request: Request,
    desk: Desk,
    caller: Caller,
    sent: Sent,
    act: Callable[[Then[T]], T],
    answer_of: Callable[[T], Answer],
) -> Response:
    """Answer a POST that stores something, once for each Idempotency-Key that comes with it.

    Parameters
    ----------
    request : Request
        What was asked; the same key with another method, address or body is refused.
    desk : Desk
        Where it is kept.
    caller : Caller
        Who asks.
    sent : Sent
        Its body.
    act : callable
        Does it, calling what it is given before the commit.
    answer_of : callable
        Makes the answer of what was done.
    """
    acted = False

    def noting(then: Then[T]) -> T:
        nonlocal acted
        acted = True
        return act(then)

    with faults_told():
        answer = once(
            desk,
            caller,
            request.headers.get(IDEMPOTENCY_KEY),
            fingerprint_of(request, sent.raw),
            noting,
            answer_of,
        )
    headers = {"Cache-Control": "no-store", **answer.headers}
    if not acted:
        headers["Idempotency-Replayed"] = "true"
    return Response(answer.body, answer.status, headers=headers, media_type=JSON)


def fingerprint_of(request: Request, body: bytes) -> str:
    """Return what tells a request from another: a hash of method, path and body."""
    asked = f"{request.method} {request.url.path}\n".encode()
    return sha256(asked + body).hexdigest()
