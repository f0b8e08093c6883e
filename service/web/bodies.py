"""Bodies of requests: taken as JSON alone, and acted on once where the caller asks for that."""

from collections.abc import Callable
from dataclasses import dataclass
from email.message import Message
from functools import cached_property
from hashlib import sha256
from typing import Any, TypeVar

from starlette.requests import Request
from starlette.responses import Response

from service.scenarios.desk import Caller, Desk
from service.scenarios.replays import Answer, Then, once
from service.web.answers import faults_told
from service.web.negotiation import JSON
from service.web.problem_kinds import INVALID_INPUT, NOT_JSON, UNSUPPORTED_MEDIA_TYPE
from service.web.problems import ProblemError
from service.web.strict_json import NotJsonError, Parsed, parse

MERGE_PATCH = "application/merge-patch+json"
"""RFC 7396, section 4."""

CHARSETS = {"", "utf-8", "utf8", "us-ascii"}
NOTHING = b"{}"
IDEMPOTENCY_KEY = "Idempotency-Key"

T = TypeVar("T")


@dataclass
class Body:
    """A body as it was sent."""

    raw: bytes


@dataclass
class Sent(Body):
    """A body in JSON: its bytes, and what they say, read when it is asked for.

    That is in the thread that works on the request, after its token was looked up: whoever only
    waits for the network is not kept waiting for it.
    """

    @property
    def value(self) -> Any:  # noqa: ANN401 - any JSON value
        """What was sent."""
        return self._parsed.value

    @property
    def sound(self) -> bool:
        """Whether all its numbers are finite and no name is given twice."""
        return self._parsed.sound

    @cached_property
    def _parsed(self) -> Parsed:
        try:
            return parse(self.raw)
        except NotJsonError as error:
            raise ProblemError(NOT_JSON, str(error)) from None


async def json_body(request: Request, *, merge_patch: bool = False, optional: bool = False) -> Sent:
    """Take the body of a request; it is read when its value is asked for.

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
        If it is of another type.
    """
    raw = await request.body()
    if optional and not raw:
        return Sent(NOTHING)
    refuse_other_types(request, (JSON, MERGE_PATCH) if merge_patch else (JSON,))
    return Sent(raw)


def refuse_content(sent: Sent) -> None:
    """Refuse the body of a request that needs none, unless it is an empty object.

    Raises
    ------
    ProblemError
        If there is something in it.
    """
    if sent.value != {}:
        detail = "This takes no body."
        raise ProblemError(INVALID_INPUT, errors=[{"pointer": "", "detail": detail}])


def refuse_other_types(request: Request, types: tuple[str, ...] = (JSON,)) -> str:
    """Refuse a body that is of none of some types, plain JSON if not given; return which it is.

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
    return header.get_content_type()


def posted_once(
    request: Request,
    desk: Desk,
    caller: Caller,
    sent: Body,
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
