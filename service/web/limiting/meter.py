"""What a request turns out to cost, noted where it shows, and whose token it brought.

The meter of a request hangs on its context, which the threads that work on it share. Where there
is none (the command line, workers, a service without limits) nothing is noted.
"""

from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(slots=True)
class Meter:
    """What has been noted of one request."""

    documents: int = 0
    """Documents read as scenarios."""
    systems: int = 0
    """Systems of all of them."""
    system_winters: int = 0
    """Systems times winters, of all of them."""
    recorded_winters: int = 0
    """Winters as they were whose facts were read."""
    parts: int = 0
    """Parts of the work on new questions."""
    credential_id: str | None = None
    """Of the key or link that was shown and is good."""
    refused: bool = False
    """Whether a token was looked up and opened nothing."""


METER: ContextVar[Meter | None] = ContextVar("winterground.meter", default=None)


def document_read(systems: int, winters: int) -> None:
    """Note that a document was read as a scenario of so many systems and winters."""
    if (meter := METER.get()) is not None:
        meter.documents += 1
        meter.systems += systems
        meter.system_winters += systems * winters


def recorded_winter_read() -> None:
    """Note that the facts of a winter were read."""
    if (meter := METER.get()) is not None:
        meter.recorded_winters += 1


def parts_asked(parts: int) -> None:
    """Note that work in so many parts was begun."""
    if (meter := METER.get()) is not None:
        meter.parts += parts


def token_known(credential_id: str) -> None:
    """Note whose token was shown."""
    if (meter := METER.get()) is not None:
        meter.credential_id = credential_id


def token_refused() -> None:
    """Note that a token was shown that opens nothing."""
    if (meter := METER.get()) is not None:
        meter.refused = True
