"""One line a request: what was asked for by its template, how it ended, how long it took.

The path as it was sent, its query, headers and bodies are never told: a token or the name of a farm
may stand in each. Plain ASGI, around all that may answer.
"""

import logging
from dataclasses import dataclass
from time import perf_counter
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.scenarios.events import ABOUT

METHODS = frozenset(
    {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "QUERY"}
)
OTHER = "_OTHER"
"""Stands for a method that HTTP does not have (OpenTelemetry semantic conventions, HTTP spans)."""

SEEN = "seen"
CLOSE = (b"connection", b"close")

log = logging.getLogger(__name__)


@dataclass(slots=True)
class Seen:
    """What becomes known of a request on its way."""

    route: str | None = None
    office: str | None = None
    credential: str | None = None
    status: int | None = None
    bytes_in: int = 0
    bytes_out: int = 0


def seen_of(scope: Scope) -> Seen | None:
    """Return where to note what is known of a request; None where nobody looks."""
    return scope.get("state", {}).get(SEEN)


class RequestLog:
    """Says of each request how it ended, and counts it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        seen = Seen()
        scope.setdefault("state", {})[SEEN] = seen
        at = scope["app"].state
        body_asked = scope["method"] != "HEAD"

        async def taking() -> Message:
            message = await receive()
            seen.bytes_in += len(message.get("body", b""))
            return message

        async def giving(message: Message) -> None:
            if message["type"] == "http.response.start":
                seen.status = message["status"]
                if at.stopping.told:
                    message["headers"] = [*message.get("headers", ()), CLOSE]
            elif body_asked:
                seen.bytes_out += len(message.get("body", b""))
            await send(message)

        at.in_flight.begin()
        began = perf_counter()
        try:
            await self.app(scope, taking, giving)
        finally:
            seconds = perf_counter() - began
            at.in_flight.end()
            method = scope["method"] if scope["method"] in METHODS else OTHER
            if at.meters is not None:
                at.meters.answered(method, seen.route, seen.status, seconds)
            if log.isEnabledFor(logging.INFO):
                log.info("request", extra={ABOUT: _told(scope, method, seen, seconds)})


class RouteNoted:
    """Notes which route took a request; stands next to the routes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        try:
            await self.app(scope, receive, send)
        finally:
            seen = seen_of(scope)
            if seen is not None:
                seen.route = getattr(scope.get("route"), "path", None)


class InFlight:
    """How many requests are being answered; begun and ended on the event loop alone."""

    def __init__(self) -> None:
        self.count = 0

    def begin(self) -> None:
        """Count one more."""
        self.count += 1

    def end(self) -> None:
        """Count one less."""
        self.count -= 1


def _told(scope: Scope, method: str, seen: Seen, seconds: float) -> dict[str, Any]:
    told: dict[str, Any] = {
        "request_id": scope.get("request_id"),
        "method": method,
        "route": seen.route,
        "status": seen.status,
        "milliseconds": round(seconds * 1000, 1),
        "bytes_in": seen.bytes_in,
        "bytes_out": seen.bytes_out,
    }
    if seen.credential is not None:
        told |= {"office": seen.office, "credential": seen.credential}
    return told
