"""How the server ends: told to, it says so, answers for a while yet, and only then ends.

A proxy that asks whether the server is ready needs that while to send requests elsewhere.
"""

import asyncio
import signal
import threading
from collections.abc import Callable, Generator
from contextlib import contextmanager
from types import FrameType
from typing import Any


def seconds_of_notice(seconds_to_stop: int) -> int:
    """Return how long new requests are still taken: half of the time there is.

    The other half is for those that are being answered then.
    """
    return seconds_to_stop // 2


def seconds_to_finish(seconds_to_stop: int) -> int:
    """Return how long requests may take that are being answered after the notice."""
    return seconds_to_stop - seconds_of_notice(seconds_to_stop)


class Stopping:
    """Whether the process has been told to end."""

    def __init__(self, notice: float = 0) -> None:
        """Keep how long it goes on answering.

        Parameters
        ----------
        notice : float
            Seconds between being told and taking no more requests.
        """
        self.told = False
        self.notice = notice

    @contextmanager
    def listening(self, begin: Callable[[], None]) -> Generator[None]:
        """Hear the signal to end before the server does, which then hears it after the notice.

        A second one ends the notice. Where no server waits for signals nothing is changed.

        Parameters
        ----------
        begin : callable
            Called on the event loop when the process has been told.
        """
        server = signal.getsignal(signal.SIGTERM)
        in_main = threading.current_thread() is threading.main_thread()
        if not in_main or not callable(server):
            yield
            return
        loop = asyncio.get_running_loop()

        def hear(number: int, frame: FrameType | None) -> None:
            if self.told:
                server(number, frame)
                return
            self.told = True
            loop.call_soon_threadsafe(self._begin, begin, server)

        signal.signal(signal.SIGTERM, hear)
        try:
            yield
        finally:
            signal.signal(signal.SIGTERM, server)

    def _begin(self, begin: Callable[[], None], server: Callable[..., Any]) -> None:
        begin()
        asyncio.get_running_loop().call_later(self.notice, server, signal.SIGTERM, None)
