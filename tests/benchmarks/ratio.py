"""Ratios taken between alternating runs in one process, with their quartiles.

Each round works one side for a hundredth of a second at least, then the other; the ratio of a
round is less shaken by neighbors on the machine than either time is.
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.measure import MILLISECONDS, Measure

ROUNDS = 21
LEAST_SECONDS = 0.01
"""Of either side of a round."""
BLOCK = 4_000_000
"""Floats that are taken and given back once, so that the C library keeps what arrays leave."""

Work = Callable[[], object]
Clock = Callable[[], float]


@dataclass(frozen=True)
class Ratio(Measure):
    """A ratio with a floor that it must reach and an aim that it should."""

    aim: float | None = None

    @property
    def target(self) -> str:
        """Both in words."""
        told = super().target
        return told if self.aim is None else f"{told}, aim {self.aim:g}"


@dataclass(frozen=True)
class NotTaken(Measure):
    """A ratio that has no counterpart here, or that is taken under another name."""

    value: float = 0.0
    unit: str = ""

    @property
    def line(self) -> str:
        """What it says, and no figure."""
        return self.name


@dataclass(frozen=True)
class Compared:
    """What came of alternating runs: time of each side, and of the first over the second."""

    first_ms: float
    second_ms: float
    low: float
    median: float
    high: float

    def ratio(self, name: str, **bounds: float) -> Ratio:
        """Return it as a figure, with the quartiles in its name."""
        return Ratio(f"{name} ({self.low:.2f}-{self.high:.2f})", self.median, "times", **bounds)

    def turned(self) -> "Compared":
        """Return the second over the first."""
        return Compared(self.second_ms, self.first_ms, 1 / self.high, 1 / self.median, 1 / self.low)


def compared(
    first: Work, second: Work, rounds: int = ROUNDS, clock: Clock = time.process_time
) -> Compared:
    """Work two things by turns and return what the first takes against the second.

    Parameters
    ----------
    first, second : callable
        Each does its work once.
    rounds : int
        How often each gets its turn.
    clock : callable
        What is looked at; processor time of this process, if nothing else is said.
    """
    np.empty(BLOCK)
    firsts: list[float] = []
    seconds: list[float] = []
    times = [_times(work, clock) for work in (first, second)]
    for _ in range(rounds):
        firsts.append(_each(first, times[0], clock))
        seconds.append(_each(second, times[1], clock))
    ratios = [one / other for one, other in zip(firsts, seconds, strict=True)]
    low, median, high = statistics.quantiles(ratios, n=4, method="inclusive")
    return Compared(
        statistics.median(firsts) * MILLISECONDS,
        statistics.median(seconds) * MILLISECONDS,
        low,
        median,
        high,
    )


def _times(work: Work, clock: Clock) -> int:
    """Return how often a work is done in one turn; the first time warms up."""
    work()
    return max(1, round(LEAST_SECONDS / max(_each(work, 1, clock), LEAST_SECONDS / 1_000)))


def _each(work: Work, times: int, clock: Clock) -> float:
    start = clock()
    for _ in range(times):
        work()
    return (clock() - start) / times
