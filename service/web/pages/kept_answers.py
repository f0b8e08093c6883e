"""What was asked and drawn of a costing, kept in memory for the next who opens its page."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock
from typing import Generic, TypeVar

Answer = TypeVar("Answer")

MOST_KEPT = 64
"""Costings whose pictures are kept: some 70 kB each."""


@dataclass
class KeptAnswers(Generic[Answer]):
    """Answers by the content of what they are about, the ones asked for last."""

    most: int = MOST_KEPT
    _answers: OrderedDict[str, Answer] = field(default_factory=OrderedDict[str, Answer])
    _turn: Lock = field(default_factory=Lock)

    def get(self, key: str, work: Callable[[], Answer]) -> Answer:
        """Return the answer of a key, worked now if it is not at hand.

        Two who ask at the same time may both work it: waiting for each other would take as long.
        """
        with self._turn:
            if key in self._answers:
                self._answers.move_to_end(key)
                return self._answers[key]
        answer = work()
        with self._turn:
            self._answers[key] = answer
            while len(self._answers) > self.most:
                self._answers.popitem(last=False)
        return answer

    def forget(self) -> None:
        """Drop all that is kept."""
        with self._turn:
            self._answers.clear()
