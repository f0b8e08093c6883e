"""A lock that goes to whoever has waited longest.

SQLite lets one connection write and makes the others poll, so that one of many threads may wait
for seconds while others go twice. Threads of a process take turns here instead.
"""

import threading
from collections import deque
from types import TracebackType


class Turns:
    """Lets one thread in at a time, first come first served."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[tuple[int, threading.Lock]] = deque()
        self._holder: int | None = None

    def __enter__(self) -> None:
        """Wait for one's turn.

        Raises
        ------
        RuntimeError
            If the thread has it already: it would wait for itself.
        """
        me = threading.get_ident()
        with self._guard:
            if self._holder == me:
                message = "a writing session within another"
                raise RuntimeError(message)
            if self._holder is None:
                self._holder = me
                return
            gate = threading.Lock()
            gate.acquire()
            self._waiting.append((me, gate))
        gate.acquire()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Let the next one in."""
        with self._guard:
            if not self._waiting:
                self._holder = None
                return
            self._holder, gate = self._waiting.popleft()
            gate.release()
