"""Buckets: what one caller may spend in a moving minute, and how long to wait for more."""

import logging
import time
from collections.abc import Callable
from math import floor
from typing import cast

from anyio.to_thread import run_sync
from limits import RateLimitItemPerMinute
from limits.storage import SlidingWindowCounterSupport, Storage
from limits.strategies import SlidingWindowCounterRateLimiter

from service.web.limiting.counters import WindowCounters

SECONDS = 60
"""Length of the window [s]."""

log = logging.getLogger(__name__)


class Buckets:
    """Buckets of one size, one for each caller.

    Parameters
    ----------
    storage : Storage
        Where they are counted.
    name : str
        Tells them from others in the same storage.
    amount : int
        What one caller may spend in a minute [unit].
    clock : callable
        By which the storage's windows begin [s].
    """

    def __init__(
        self, storage: Storage, name: str, amount: int, clock: Callable[[], float] = time.time
    ) -> None:
        self._storage = storage
        self._limiter = SlidingWindowCounterRateLimiter(storage)
        self._limit = RateLimitItemPerMinute(amount, 1, f"winterground-{name}")
        self._clock = clock
        self._elsewhere = not isinstance(storage, WindowCounters)

    async def take(self, caller: str, units: int) -> int:
        """Take units out of a caller's bucket.

        Parameters
        ----------
        caller : str
            Whose.
        units : int
            How many; what is more than half a bucket is taken as half of one, or it would never be
            given.

        Returns
        -------
        int
            Seconds after which they will be there, if nothing else is taken meanwhile; 0 if they
            were taken.
        """
        units = min(units, max(1, self._limit.amount // 2))
        if not self._elsewhere:
            return self._taken(caller, units)
        try:
            return await run_sync(self._taken, caller, units)
        except Exception:  # noqa: BLE001 - whatever its client raises
            log.warning("limits cannot be counted: their storage does not answer")
            return 0  # rather no limit than no service

    async def charge(self, caller: str, units: int) -> None:
        """Charge what was spent already, down to an empty bucket, so that the next one waits."""
        if not self._elsewhere:
            self._charged(caller, units)
            return
        try:
            await run_sync(self._charged, caller, units)
        except Exception:  # noqa: BLE001 - whatever its client raises
            log.warning("limits cannot be counted: their storage does not answer")

    def _taken(self, caller: str, units: int) -> int:
        if self._limiter.hit(self._limit, caller, cost=units):
            return 0
        return self._seconds_until(caller, units)

    def _charged(self, caller: str, units: int) -> None:
        if not self._limiter.hit(self._limit, caller, cost=units):
            left = self._limiter.get_window_stats(self._limit, caller).remaining
            if left > 0:
                self._limiter.hit(self._limit, caller, cost=left)

    def _seconds_until(self, caller: str, units: int) -> int:
        """Return after how many whole seconds a bucket gives so many units.

        What was spent in the window before fades by the second until this one ends; then that of
        this one does.
        """
        windows = cast("SlidingWindowCounterSupport", self._storage)
        before, _, now, _ = windows.get_sliding_window(self._limit.key_for(caller), SECONDS)
        left = SECONDS - self._clock() % SECONDS
        room = self._limit.amount - units + 1  # what is spent must stay below it
        if now < room and before:
            seconds = left - (room - now) * SECONDS / before
        elif now:
            seconds = left + SECONDS - room * SECONDS / now
        else:
            seconds = 0.0
        return max(0, floor(seconds)) + 1
