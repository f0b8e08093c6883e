"""How long a request may take to arrive: whoever sends slowly is not waited for without end."""

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.web.problem_kinds import REQUEST_TIMEOUT
from service.web.problems import ProblemError

BYTES_A_SECOND = 8_192
"""A body that comes at this rate or faster is waited for, however large it may be."""

CLOSE = {"Connection": "close"}
"""What comes after the answer is not waited for either (RFC 9110, section 15.5.9)."""


class Arrival:
    """Refuses a body that does not come within its time.

    Parameters
    ----------
    app : ASGI application
        What is waited for.
    seconds : float
        How long a body may take [s]; each 8 KiB that came give it another second.
    """

    def __init__(self, app: ASGIApp, seconds: float) -> None:
        self.app = app
        self.seconds = seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        loop = asyncio.get_running_loop()
        until = loop.time() + self.seconds
        came, whole, answered = 0, False, False

        async def in_time() -> Message:
            nonlocal came, whole
            if whole or answered:
                return await receive()  # what comes now is that the caller has gone
            try:
                async with asyncio.timeout_at(until + came / BYTES_A_SECOND):
                    message = await receive()
            except TimeoutError:
                detail = (
                    f"{came:,} bytes of the body came, then too little; {self.seconds:g} s are "
                    f"waited, and a second more for each {BYTES_A_SECOND:,} bytes."
                )
                raise ProblemError(REQUEST_TIMEOUT, detail, headers=CLOSE) from None
            came += len(message.get("body", b""))
            whole = not message.get("more_body", False)
            return message

        async def noting(message: Message) -> None:
            nonlocal answered
            answered = True
            await send(message)

        await self.app(scope, in_time, noting)
