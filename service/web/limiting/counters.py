"""Counters of a moving window, in the memory of a process.

They take the place of the library's own storage in memory, which starts a thread again and again
to look through everything it holds, keeps an entry of each address for good, and goes by a clock
that can be set back. These need no thread, forget a whole window at once, hold a bounded number of
counters, and go by a clock that only goes forward.
"""

from collections.abc import Callable
from math import floor
from time import monotonic

from limits.storage import SlidingWindowCounterSupport, Storage

MOST_COUNTERS = 50_000
"""Of one window; whoever comes after these shares counters with others."""

SHARED = 1024
"""How many counters they share."""


class WindowCounters(Storage, SlidingWindowCounterSupport):
    """Counts of this window and of the one before, which fades as this one goes on.

    Parameters
    ----------
    seconds : int
        Length of a window [s]; all limits that are counted here have it.
    clock : callable
        Returns the time [s].
    most : int
        Counters held for one window.
    """

    STORAGE_SCHEME = None

    def __init__(
        self, seconds: int, clock: Callable[[], float] = monotonic, most: int = MOST_COUNTERS
    ) -> None:
        super().__init__()
        self._seconds = seconds
        self._clock = clock
        self._most = most
        self._number = 0
        self._before: dict[str, int] = {}
        self._now: dict[str, int] = {}

    def __len__(self) -> int:
        """Return how many counters are held."""
        return len(self._before) + len(self._now)

    @property
    def base_exceptions(self) -> type[Exception]:
        """What may go wrong here."""
        return ValueError

    def acquire_sliding_window_entry(
        self, key: str, limit: int, expiry: int, amount: int = 1
    ) -> bool:
        """Count an amount, unless the limit does not allow for it."""
        before, weight_seconds, now, _ = self.get_sliding_window(key, expiry)
        if floor(before * weight_seconds / expiry + now) + amount > limit:
            return False
        self.incr(key, expiry, amount)
        return True

    def get_sliding_window(self, key: str, expiry: int) -> tuple[int, float, int, float]:
        """Return the count before and its seconds left, the count now and its seconds left."""
        left = self._turned() if expiry == self._seconds else self._refuse(expiry)
        place = self._place(key)
        return self._before.get(place, 0), left, self._now.get(place, 0), left + expiry

    def clear_sliding_window(self, key: str, expiry: int) -> None:
        """Forget what was counted."""
        del expiry
        self.clear(key)

    def incr(self, key: str, expiry: int, amount: int = 1) -> int:
        """Count an amount in this window whatever the limit; return what it comes to."""
        del expiry
        self._turned()
        place = self._place(key)
        self._now[place] = found = self._now.get(place, 0) + amount
        return found

    def get(self, key: str) -> int:
        """Return the count of this window."""
        self._turned()
        return self._now.get(self._place(key), 0)

    def get_expiry(self, key: str) -> float:
        """Return when this window ends, by the clock [s]."""
        del key
        return self._clock() + self._turned()

    def check(self) -> bool:
        """Say that memory is there."""
        return True

    def reset(self) -> int:
        """Forget everything."""
        held = len(self)
        self._before, self._now = {}, {}
        return held

    def clear(self, key: str) -> None:
        """Forget what was counted under a key."""
        place = self._place(key)
        self._before.pop(place, None)
        self._now.pop(place, None)

    def _turned(self) -> float:
        """Begin a new window if it is time; return the seconds that are left of this one."""
        number, gone = divmod(self._clock(), self._seconds)
        passed = int(number) - self._number
        if passed:
            self._before = self._now if passed == 1 else {}
            self._now = {}
            self._number += passed
        return self._seconds - gone

    def _place(self, key: str) -> str:
        if key in self._now or len(self._now) < self._most:
            return key
        return f"shared {hash(key) % SHARED}"

    def _refuse(self, expiry: int) -> float:
        message = f"windows are {self._seconds} s long here, not {expiry}"
        raise ValueError(message)
