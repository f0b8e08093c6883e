"""Work of the engine takes turns, beside the requests that only read and write.

On the event loop it would stop everybody for as long as it takes: a read comes back to the loop
several times, and each time all that wait to be costed would go first. Several at once gain
nothing, since they hold the interpreter by turns, and would take the threads that reads need.
"""

from collections.abc import Callable
from typing import TypeVar

from anyio import CapacityLimiter
from anyio.to_thread import run_sync

T = TypeVar("T")

ENGINE = CapacityLimiter(1)


async def in_turn(work: Callable[[], T]) -> T:
    """Do a piece of work in a thread, when those that asked before are done."""
    return await run_sync(work, limiter=ENGINE)
