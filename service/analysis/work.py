"""Work that is done in parts, so that it can report how far it is, end early, and be resumed."""

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Protocol

Document = dict[str, Any]

QUICK_PARTS = 2
"""Work of so many parts is done while the caller waits; a part takes about a second."""


class Work(Protocol):
    """One question on its way to its answer.

    The same question gives the same parts, whatever worker does them and in whatever order.
    """

    @property
    def total(self) -> int:
        """Parts that it has."""
        ...

    def part(self, number: int) -> bytes:
        """Do one part, numbered from 0, and return what it came to."""
        ...

    def result(self, parts: Iterable[bytes]) -> Document:
        """Return the answer, from what the parts came to in the order of their numbers."""
        ...


@dataclass(frozen=True)
class AtOnce:
    """Work that is done in one part."""

    answer: Callable[[], Document]
    total: int = 1

    def part(self, number: int) -> bytes:
        """Work the answer."""
        del number
        return json.dumps(self.answer(), allow_nan=False).encode()

    def result(self, parts: Iterable[bytes]) -> Document:
        """Return the answer."""
        return json.loads(next(iter(parts)))


def answered(work: Work) -> Document:
    """Do all parts one after the other and return the answer."""
    return work.result(work.part(number) for number in range(work.total))
