"""The time, which is taken here alone, and what is done about a clock that somebody sets.

The day of a costing, the end of a link and the age of a backup go by the clock on the wall, set or
not. What must hold all the same: changes stand in the order in which they were made, a worker's
lease is not taken for one that has run out, and nothing is erased by a clock that has just jumped.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

STEP = timedelta(milliseconds=1)
"""The least by which two times differ that are kept."""
JUMP = timedelta(seconds=5)
"""A clock that is off by more was set; one that is slewed stays below that between two looks."""
EARLIEST = datetime(1970, 1, 1, tzinfo=UTC)
LATEST = datetime(9999, 12, 31, tzinfo=UTC)

log = logging.getLogger(__name__)


def elapsed() -> float:
    """Return seconds that only grow, those that the machine slept through among them if known."""
    boot: int | None = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot is None else time.clock_gettime(boot)


def utc_now() -> datetime:
    """Return the time in UTC, to the millisecond that is kept."""
    now = datetime.now(UTC)
    return now.replace(microsecond=now.microsecond // 1000 * 1000)


def not_before(newest: datetime | None, now: datetime) -> datetime:
    """Return the time to write to a change so that it stands after all that were made before.

    Parameters
    ----------
    newest : datetime or None
        The time of the newest change; None if there is none.
    now : datetime
        What the clock shows.

    Examples
    --------
    >>> noon = datetime(2026, 2, 3, 12, tzinfo=UTC)
    >>> not_before(noon, noon - timedelta(hours=1)).isoformat(timespec="milliseconds")
    '2026-02-03T12:00:00.001+00:00'
    """
    return now if newest is None or newest <= now else newest + STEP


@dataclass(frozen=True, slots=True)
class Lapsed:
    """Which leases have lapsed: those that end at or before one time, or after another.

    No lease is made for as long as the later one says: its worker wrote it down before the clock
    was set back, and has not renewed it since.
    """

    before: datetime
    after: datetime

    @classmethod
    def at(cls, now: datetime, lease: timedelta) -> "Lapsed":
        """Return which have lapsed at a time, if leases are so long."""
        return cls(now, now + 2 * lease)


NONE_LAPSED = Lapsed(EARLIEST, LATEST)


class ClockWatch:
    """Tells whether a clock was set, by a second one that only goes forward.

    Parameters
    ----------
    now : callable
        The clock.
    passed : callable, optional
        Returns seconds that only grow.
    """

    def __init__(self, now: Callable[[], datetime], passed: Callable[[], float] = elapsed) -> None:
        self._now = now
        self._passed = passed
        self._seen = now()
        self._seen_at = passed()
        self._set_at: float | None = None

    def look(self) -> timedelta:
        """Return by how much the clock was set since the last look; zero if it was not."""
        now, at = self._now(), self._passed()
        off = now - self._seen - timedelta(seconds=at - self._seen_at)
        self._seen, self._seen_at = now, at
        if abs(off) <= JUMP:
            return timedelta(0)
        self._set_at = at
        return off

    def may_erase(self) -> bool:
        """Whether nothing would go too early by it: it was not set ahead since the last look.

        One that stays so is believed at the next look.
        """
        ahead = timedelta(seconds=round(self.look().total_seconds()))
        if ahead > timedelta(0):
            log.warning("the clock was set %s ahead; nothing is erased by it for now", ahead)
        return ahead <= timedelta(0)

    def lapsed(self, lease: timedelta) -> Lapsed:
        """Return which leases have lapsed by now.

        For the length of a lease after the clock was set there are none: in that time whoever
        lives renews by the new clock.
        """
        self.look()
        if self._set_at is not None and self._passed() - self._set_at < lease.total_seconds():
            return NONE_LAPSED
        return Lapsed.at(self._seen, lease)
