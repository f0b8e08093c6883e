"""How often something has happened in this process."""

import threading


class Tally:
    """A count that threads add to."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._counts: dict[str, int] = {}

    def add(self, what: str = "") -> None:
        """Count one more.

        Parameters
        ----------
        what : str
            Of which sort, where several are told apart.
        """
        with self._guard:
            self._counts[what] = self._counts.get(what, 0) + 1

    def of(self, what: str = "") -> int:
        """Return how many there were of a sort."""
        return self._counts.get(what, 0)


ENGINE_RUNS = Tally()
"""Runs of the engine; many variants of one scenario laid side by side are one."""
