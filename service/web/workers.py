"""Threads that work on questions that take long, beside the requests."""

import logging
import threading
from time import monotonic
from uuid import uuid4

import numpy as np

from service.scenarios.clock import ClockWatch
from service.scenarios.desk import Desk
from service.scenarios.working import work_on_next

SECONDS_BETWEEN_LOOKS = 2.0
"""How soon work is seen that another process has put into the queue."""

SECONDS_FOR_A_PART = 30.0
"""A part takes two seconds at most; this is for a machine that is busy with all else."""

BLOCK = 4_000_000
"""Floats of a block that is taken and given back once: the C library then keeps what the arrays of
later work leave, instead of handing it back to the system each time."""

log = logging.getLogger(__name__)


class Workers:
    """Some threads, or none, that take up what waits."""

    def __init__(self, desk: Desk | None, count: int) -> None:
        self._desk = desk
        self._count = count if desk is not None else 0
        self._stopping = threading.Event()
        self._woken = threading.Event()
        self._threads: list[threading.Thread] = []

    def start(self) -> None:
        """Start the threads."""
        np.empty(BLOCK)
        for _ in range(self._count):
            thread = threading.Thread(target=self._run, args=(uuid4().hex,), daemon=True)
            thread.start()
            self._threads.append(thread)

    def wake(self) -> None:
        """Let them look at once, since something was put into the queue."""
        self._woken.set()

    def hand_back(self) -> None:
        """Let each give its work back after the part that it is at; others go on from there."""
        self._stopping.set()
        self._woken.set()

    def stop(self, patience: float = SECONDS_FOR_A_PART) -> None:
        """Let each give its work back, and wait for that.

        Parameters
        ----------
        patience : float
            Seconds to wait at most. The work of a thread that takes longer is taken up by others
            once its lease has run out.
        """
        self.hand_back()
        until = monotonic() + patience
        for thread in self._threads:
            thread.join(max(0, until - monotonic()))
        if any(thread.is_alive() for thread in self._threads):
            log.warning("work was not handed back in time; others take it up when its lease ends")

    def _run(self, name: str) -> None:
        desk = self._desk
        assert desk is not None  # noqa: S101 - no thread is started without one
        watch = ClockWatch(desk.now)
        while not self._stopping.is_set():
            self._woken.clear()
            try:
                busy = work_on_next(desk, name, self._stopping.is_set, watch)
            except Exception:
                log.exception("a question could not be taken up")
                busy = False
            if not busy:
                self._woken.wait(SECONDS_BETWEEN_LOOKS)
