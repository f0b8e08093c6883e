"""Leaving off in the middle of a chunk."""

from collections.abc import Callable
from typing import Protocol


class Flag(Protocol):
    """What can say that work is no longer wanted."""

    def is_set(self) -> bool:
        """Whether it is so."""
        ...


class StoppedError(Exception):
    """The chunk was left off before its end; nothing of it is kept."""


_flags: list[Flag] = []
"""Flags that hold for all work of this process."""


def heed(flag: Flag) -> None:
    """Let all chunks of this process leave off once the flag is set."""
    _flags.append(flag)


def refuse_if_stopping(stopping: Callable[[], bool] | None = None) -> None:
    """Leave off if asked to.

    Raises
    ------
    StoppedError
        If so.
    """
    if (stopping is not None and stopping()) or any(flag.is_set() for flag in _flags):
        raise StoppedError
