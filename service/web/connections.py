"""Connections: none is held without end by a caller who neither sends nor takes.

The server's own time-out is for the pause between two requests. Here are those for a head that
does not end, for what is left of a body that was answered before it had come, and for an answer
that nobody takes. How long a body may take that is read is told in ``arriving``.
"""

from asyncio import TimerHandle
from typing import Any

from uvicorn.protocols.http.httptools_impl import STATUS_LINE, HttpToolsProtocol

from service.web.problem_kinds import BAD_REQUEST, HEAD_TOO_LARGE, Kind
from service.web.problems import problem_response

LARGEST_HEAD = 65_536
"""Most bytes that may come without a request, or its body, getting on."""

TOO_LARGE = f"The head of a request may have at most {LARGEST_HEAD:,} bytes."

MOST_LEFT_OVER = 16 * 1_048_576
"""Most bytes that are read of a body whose request was answered already: as much as lets a caller
who sends first and reads then see the answer, where a closed connection would hide it."""

SECONDS_BETWEEN_LOOKS = 1.0
LOOKS = 4
"""How often a connection is looked at in the time that it has, at the least."""


class PatientConnection(HttpToolsProtocol):
    """A connection that is closed when nothing has moved upon it for some time.

    Parameters
    ----------
    seconds : float
        How long a head may take, the rest of a body that was answered already, and an answer of
        which nothing more is taken [s].
    **given
        As the server makes its connections.
    """

    def __init__(self, *, seconds: float, **given: Any) -> None:  # noqa: ANN401 - the server's own
        super().__init__(**given)
        self._seconds = seconds
        self._every = min(SECONDS_BETWEEN_LOOKS, seconds / LOOKS)
        self._next_look: TimerHandle | None = None
        self._resting_since = 0.0
        """Since when nobody is being answered."""
        self._asked = False
        self._body_due = False
        self._steps = 0
        """How often a head, a body or a part of it came."""
        self._idle_bytes = 0
        """How many bytes came since the last of them."""
        self._left_over = 0
        self._unsent = 0
        self._unsent_since = 0.0

    def connection_made(self, transport: Any) -> None:  # noqa: ANN401 - as the server declares it
        """Begin to look after the connection."""
        super().connection_made(transport)
        self._resting_since = self.loop.time()
        self._next_look = self.loop.call_later(self._every, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Look no more."""
        if self._next_look is not None:
            self._next_look.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Take what came, as long as it leads anywhere."""
        steps = self._steps
        super().data_received(data)
        if self._steps == steps:
            self._idle_bytes += len(data)
            if self._idle_bytes > LARGEST_HEAD and not self.transport.is_closing():
                self._end(HEAD_TOO_LARGE, TOO_LARGE)
            return
        self._idle_bytes = 0
        if self._body_due and self.cycle.response_complete:
            self._left_over += len(data)
            if self._left_over > MOST_LEFT_OVER:
                self.flow.pause_reading()

    def on_headers_complete(self) -> None:
        """Note that a head has come."""
        self._steps += 1
        self._asked = self._body_due = True
        self._left_over = 0
        super().on_headers_complete()

    def on_body(self, body: bytes) -> None:
        """Note that a part of a body has come."""
        self._steps += 1
        super().on_body(body)

    def on_message_complete(self) -> None:
        """Note that a request has come whole."""
        self._steps += 1
        self._body_due = False
        super().on_message_complete()
        if self.cycle.response_complete:
            self._resting_since = self.loop.time()

    def on_response_complete(self) -> None:
        """Wait for the next request from now on."""
        self._resting_since = self.loop.time()
        super().on_response_complete()

    def resume_writing(self) -> None:
        """Note that something of an answer was taken."""
        self._unsent = 0
        super().resume_writing()

    def _look(self) -> None:
        """End the connection if nothing has moved for too long; else look again later."""
        if self.transport.get_protocol() is not self:
            return
        now = self.loop.time()
        if self._not_taken(now):
            self.transport.abort()
            return
        if self._at_rest() and now - self._resting_since > self._seconds:
            self.transport.close()
        self._next_look = self.loop.call_later(self._every, self._look)

    def _at_rest(self) -> bool:
        return not self._asked or (not self.pipeline and self.cycle.response_complete)

    def _not_taken(self, now: float) -> bool:
        """Whether an answer waits of which nothing was taken for too long."""
        unsent = self.transport.get_write_buffer_size()
        if not unsent or unsent != self._unsent:
            self._unsent, self._unsent_since = unsent, now
            return False
        return now - self._unsent_since > self._seconds

    def send_400_response(self, msg: str) -> None:
        """Refuse what is no HTTP."""
        del msg
        self._end(BAD_REQUEST, "This is not HTTP/1.1 as RFC 9112 has it.")

    def _end(self, kind: Kind, detail: str) -> None:
        """Close the connection, with an answer where none is being given."""
        if not self._asked or self._at_rest() or not self.cycle.response_started:
            told = problem_response(kind, detail, headers={"Connection": "close"})
            fields = b"".join(b"%b: %b\r\n" % field for field in told.raw_headers)
            self.transport.write(
                STATUS_LINE[told.status_code] + fields + b"\r\n" + bytes(told.body)
            )
        self.transport.close()
