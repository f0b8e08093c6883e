"""What surrounds every request: its id, its size, its headers, and what happens if all else fails.

Plain ASGI: each class wraps the application and adds next to nothing to the time of a request.
"""

import logging
import re
from asyncio import CancelledError
from collections.abc import Iterable, Mapping
from uuid import uuid4

from starlette.datastructures import Headers
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.scenarios.tokens import masked
from service.web.negotiation import CSV, XLSX
from service.web.problem_kinds import BODY_TOO_LARGE, INTERNAL_ERROR, NOT_READY
from service.web.problems import ProblemError, problem_response

CUT_OFF = "The service is stopping, and this took longer than it waits."
LATER = {"Retry-After": "5"}

LARGEST_BODY = 1_048_576
"""Most bytes of a request's body: 1 MiB."""

LARGER_BODIES: Mapping[str, int] = {
    "/v1/weather-records": 10 * LARGEST_BODY,
    "/v1/sweeps": 10 * LARGEST_BODY,
}
"""Where more is taken: decades of daily weather, and thousands of farms."""

LARGEST_SHEET = 4_000_000
"""Most bytes of an answer sheet."""

SHEETS = (XLSX, CSV)
TAKING_SHEETS = re.compile(r"POST /v1/scenarios|PUT /v1/scenarios/[^/]+")

LONGEST_LENGTH = 12
"""A Content-Length of more digits than this is too large, whatever the digits are."""

REQUEST_ID = "X-Request-Id"
LAWFUL_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")

SECURITY_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}
RAW_SECURITY_HEADERS = [
    (name.lower().encode(), value.encode()) for name, value in SECURITY_HEADERS.items()
]
RAW_REQUEST_ID = REQUEST_ID.lower().encode()

log = logging.getLogger(__name__)


class RequestId:
    """Takes the caller's request id, or makes one, and sends it back."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        given = Headers(scope=scope).get(REQUEST_ID, "")
        lawful = LAWFUL_ID.fullmatch(given) and masked(given) == given  # no token goes back
        request_id = given if lawful else uuid4().hex
        scope["request_id"] = request_id
        await self.app(scope, receive, _adding(send, [(RAW_REQUEST_ID, request_id.encode())]))


class SecurityHeaders:
    """Adds the headers that keep browsers careful; a route's own ones stay."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] == "http":
            send = _adding(send, RAW_SECURITY_HEADERS)
        await self.app(scope, receive, send)


class LastResort:
    """Answers with a problem where the application failed; the cause goes to the log alone."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = False

        async def noting(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, noting)
        except ClientDisconnect:
            return  # whoever asked has gone before the body was whole: nothing was done, or is told
        except CancelledError:
            if started or not scope["app"].state.stopping.told:
                raise
            request_id = str(scope.get("request_id", ""))
            response = problem_response(NOT_READY, CUT_OFF, headers=LATER, request_id=request_id)
            await response(scope, receive, send)
        except Exception:
            request_id = str(scope.get("request_id", ""))
            log.exception("request %s failed", request_id)
            if started:
                raise
            response = problem_response(INTERNAL_ERROR, request_id=request_id)
            await response(scope, receive, send)


class HeadAsGet:
    """Answers HEAD wherever GET is answered, with the same headers and no body."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return

        async def without_body(message: Message) -> None:
            if message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        asked = {**scope, "method": "GET", "winterground.head": True}
        await self.app(asked, receive, without_body)


class BodyLimit:
    """Refuses a body that is too large, at the latest when the first byte too many arrives."""

    def __init__(
        self, app: ASGIApp, most: int = LARGEST_BODY, larger: Mapping[str, int] = LARGER_BODIES
    ) -> None:
        self.app = app
        self.most = most
        self.larger = larger

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        most = self._most(scope, headers)
        announced = headers.get("Content-Length", "")
        if len(announced) > LONGEST_LENGTH or (announced.isdecimal() and int(announced) > most):
            response = problem_response(BODY_TOO_LARGE, _too_large(most))
            await response(scope, receive, send)
            return
        taken = 0

        async def counting() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise ProblemError(BODY_TOO_LARGE, _too_large(most))
            return message

        await self.app(scope, counting, send)

    def _most(self, scope: Scope, headers: Headers) -> int:
        """Return how many bytes are taken: by the address, and by the type where sheets go."""
        kind = headers.get("Content-Type", "").partition(";")[0].strip().lower()
        if kind in SHEETS and TAKING_SHEETS.fullmatch(f"{scope['method']} {scope['path']}"):
            return LARGEST_SHEET
        return self.larger.get(scope["path"], self.most)


def _too_large(most: int) -> str:
    return f"The body may have at most {most:,} bytes."


def _adding(send: Send, headers: Iterable[tuple[bytes, bytes]]) -> Send:
    """Return what sends an answer on with the headers that it lacks, their names in lower case."""

    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            found: list[tuple[bytes, bytes]] = message["headers"]
            names = {name for name, _ in found}
            found.extend(header for header in headers if header[0] not in names)
        await send(message)

    return with_headers
