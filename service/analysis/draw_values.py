"""Values that are drawn: a winter for each draw, and what varies around it.

Draws are made in blocks, each with a random stream of its own that hangs on the seed and the number
of the block alone. So the same seed gives the same draws whatever worker makes which block, and a
longer run begins with the draws of a shorter one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from service.costing.case import Picks
from service.costing.units import Array

BLOCK = 4096
"""Draws of a block, which is one run of the engine: enough for the arrays to outweigh the calls,
few enough for the processor's cache."""

MEAN_WINTER = -1
"""The made-up mean of all winters stands last among them."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How far one input may be off: a triangle from low to high with its top at usual."""

    path: str
    low: float
    usual: float
    high: float
    base: float
    """What the scenario has, with which sizes by rule are worked."""
    whole: bool
    """Whether it is drawn as a whole number."""
    asked: bool
    """Whether the question gave it; else it is a published range."""

    @property
    def moves(self) -> bool:
        """Whether it has more than one value."""
        return self.low < self.high


@dataclass(frozen=True, slots=True)
class Draws:
    """What is drawn, how often and from which seed."""

    count: int
    seed: int
    weights: Sequence[float]
    """Of the winters."""
    mean_winter: bool
    """Whether each draw has the mean winter instead of one that is picked."""
    spreads: Sequence[Spread]
    _moving: tuple[Spread, ...] = field(init=False)
    _chances: Array = field(init=False)
    """Of the winters, added up."""

    def __post_init__(self) -> None:
        """Lay out what every block needs; the order in which inputs were named changes nothing."""
        moving = sorted((s for s in self.spreads if s.moves), key=lambda spread: spread.path)
        object.__setattr__(self, "_moving", tuple(moving))
        summed = np.cumsum(np.asarray(self.weights, float))
        object.__setattr__(self, "_chances", summed / summed[-1])

    @property
    def blocks(self) -> int:
        """How many blocks there are; the last may be short."""
        return -(-self.count // BLOCK)

    def size(self, block: int) -> int:
        """Return how many draws a block has."""
        return min(BLOCK, self.count - block * BLOCK)

    def drawn(self, block: int) -> tuple[Picks, dict[str, Array]]:
        """Make the draws of a block.

        Returns
        -------
        picked : ndarray of int, shape (draws,)
            Number of the winter of each draw.
        values : dict of str to ndarray of shape (draws + 1,)
            Values of the inputs by path, and last the scenario's own.
        """
        size = self.size(block)
        rng = np.random.Generator(
            np.random.PCG64(np.random.SeedSequence(self.seed, spawn_key=(block,)))
        )
        chance = rng.random(BLOCK)[:size]
        picked: NDArray[np.intp] = (
            np.full(size, MEAN_WINTER)
            if self.mean_winter
            else np.searchsorted(self._chances, chance, side="right")
        )
        values = {
            spread.path: np.append(np.full(size, spread.usual), spread.base)
            for spread in self.spreads
            if not spread.moves and spread.usual != spread.base
        }
        if self._moving:
            values |= self._triangles(rng, size)
        return picked, values

    def _triangles(self, rng: np.random.Generator, size: int) -> dict[str, Array]:
        low, usual, high = (
            np.array([[getattr(spread, name)] for spread in self._moving])
            for name in ("low", "usual", "high")
        )
        table = rng.triangular(low, usual, high, size=(len(self._moving), BLOCK))[:, :size]
        return {
            spread.path: np.append(np.rint(row) if spread.whole else row, spread.base)
            for spread, row in zip(self._moving, table, strict=True)
        }
