"""Which system is the best in each draw, and what the others would have cost more."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.costing.units import Array


@dataclass(frozen=True, slots=True)
class Best:
    """The best system of each draw."""

    first: NDArray[np.int16]
    """Its number; of several alike the one that was given first."""
    score: Array
    """What it came to [currency/year]."""


def best_of(scores: Array, short: NDArray[np.bool_]) -> Best:
    """Return the best system of each draw among those that feed all animals.

    Where none does it is the best of them all: a draw always has one.

    Parameters
    ----------
    scores : ndarray of shape (systems, draws)
        What systems are ranked by, the least first [currency/year].
    short : ndarray of bool, shape (systems, draws)
        Where animals are left without a place to be fed.
    """
    draws = scores.shape[1]
    best = _least(
        (np.where(left, np.inf, row) for row, left in zip(scores, short, strict=True)), draws
    )
    stranded = np.flatnonzero(np.isinf(best.score))
    if stranded.size:
        others = _least((row[stranded] for row in scores), stranded.size)
        best.first[stranded] = others.first
        best.score[stranded] = others.score
    return best


def _least(rows: Iterable[Array], draws: int) -> Best:
    """Return the least of each column, row by row, so that the table is never copied."""
    best = Best(np.zeros(draws, np.int16), np.full(draws, np.inf))
    for number, row in enumerate(rows):
        better = row < best.score
        best.first[better] = number
        np.copyto(best.score, row, where=better)
    return best
