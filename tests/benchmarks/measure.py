"""One figure with its target, and how times are taken."""

import time
from collections.abc import Callable
from dataclasses import dataclass

ROUNDS = 40
MILLISECONDS = 1e3


@dataclass(frozen=True)
class Measure:
    """One figure: what it is, how much, and the most or the least it may be."""

    name: str
    value: float
    unit: str
    most: float | None = None
    least: float | None = None

    @property
    def missed(self) -> bool:
        """Whether a target is stated and not met."""
        too_much = self.most is not None and self.value > self.most
        return too_much or (self.least is not None and self.value < self.least)

    @property
    def target(self) -> str:
        """The target in words."""
        if self.most is not None:
            return f"at most {self.most:g}"
        return "" if self.least is None else f"at least {self.least:g}"

    @property
    def line(self) -> str:
        """What is printed of it."""
        told = f"{self.name:62s} {self.value:10.2f} {self.unit:8s} {self.target:14s}"
        return f"{told} MISSED" if self.missed else told


def least(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the least processor time of one run, in ms."""
    times: list[float] = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times) * MILLISECONDS
