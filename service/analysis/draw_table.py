"""What systems came to in many draws, as a table that can be kept as bytes."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from service.analysis.draws import Drawn
from service.costing.case import Picks
from service.costing.units import Array

BITS = 8
"""In a byte."""


@dataclass(frozen=True, slots=True)
class Form:
    """Which columns a table has."""

    systems: int
    by_margin: bool
    """Whether systems are ranked by something else than their cost."""

    def record(self, draws: int) -> np.dtype[np.void]:
        """Return how the table of so many draws lies in memory, a bit for each shortfall."""
        columns: list[tuple[str, str, tuple[int, ...]]] = [
            ("costs", "<f8", (self.systems, draws)),
            ("short", "u1", (self.systems, -(-draws // BITS))),
            ("picked", "<i4", (draws,)),
        ]
        if self.by_margin:
            columns.append(("scores", "<f8", (self.systems, draws)))
        return np.dtype(columns)


@dataclass(frozen=True, slots=True)
class DrawTable:
    """Costs, scores and shortfalls of shape (systems, draws), and the winter of each draw.

    Where systems are ranked by cost, scores and costs are the same array.
    """

    costs: Array
    scores: Array
    short: NDArray[np.bool_]
    picked: NDArray[np.int32]

    @classmethod
    def empty(cls, form: Form, draws: int) -> Self:
        """Return a table to be filled."""
        costs = np.empty((form.systems, draws))
        scores = np.empty_like(costs) if form.by_margin else costs
        return cls(costs, scores, np.empty(costs.shape, bool), np.empty(draws, np.int32))

    @classmethod
    def of(cls, drawn: Drawn, picked: Picks) -> Self:
        """Return what one run of the engine came to."""
        return cls(drawn.costs, drawn.scores, drawn.short, picked.astype(np.int32))

    def place(self, start: int, part: "DrawTable") -> None:
        """Put the draws of a part where they belong."""
        where = slice(start, start + len(part.picked))
        self.costs[:, where] = part.costs
        self.short[:, where] = part.short
        self.picked[where] = part.picked
        if self.scores is not self.costs:
            self.scores[:, where] = part.scores

    def packed(self, form: Form) -> bytes:
        """Return the table as bytes."""
        record = np.zeros(1, form.record(len(self.picked)))
        record["costs"] = self.costs
        record["short"] = np.packbits(self.short, axis=1)
        record["picked"] = self.picked
        if form.by_margin:
            record["scores"] = self.scores
        return record.tobytes()

    @classmethod
    def unpacked(cls, packed: bytes, form: Form, draws: int) -> Self:
        """Return the table that bytes hold."""
        record = np.frombuffer(packed, form.record(draws))[0]
        short = np.unpackbits(record["short"], axis=1, count=draws).astype(bool)
        scores = record["scores"] if form.by_margin else record["costs"]
        return cls(record["costs"], scores, short, record["picked"])
