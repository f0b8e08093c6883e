"""Spells that a record of daily weather tells one by one, instead of their mean length."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.costing.case import Picks
from service.costing.figure import Figure
from service.costing.units import STATES, Array
from service.costing.winter import Spells, WinterRow


@dataclass(frozen=True, slots=True)
class RecordedSpells:
    """Length of every spell, shape (states, 1, rows + 1, spells), 0 where there is none.

    The made-up mean winter, the last row, has the spells of all winters in it, each counting as
    much as its winter does.
    """

    lengths: Figure
    times: Figure
    """How often each counts [none]."""


def mean_lengths(spells: Spells, state: str) -> float | None:
    """Return the mean length of the spells of a ground state [day]; 1 where it has none.

    A ground state without days has no spells, and nothing depends on their length.
    """
    if not spells.known:
        return None
    lengths: list[float] = getattr(spells, state)
    return float(np.mean(lengths)) if lengths else 1.0


def recorded_spells(
    rows: Sequence[WinterRow], seasons: Sequence[str], picked: Picks | None
) -> RecordedSpells | None:
    """Return the spells of all winters, or None where any winter has none written down."""
    if not rows or not all(row.spells.known for row in rows):
        return None
    by_state = [[list(getattr(row.spells, state)) for row in rows] for state in STATES]
    weight = np.array([row.weight for row in rows])
    share = weight / weight.sum()
    together = [[length for winter in winters for length in winter] for winters in by_state]
    counts = [
        [float(part) for winter, part in zip(winters, share, strict=True) for _ in winter]
        for winters in by_state
    ]
    most = max(len(lengths) for lengths in together)
    lengths: Array = np.zeros((len(STATES), 1, len(rows) + 1, most))
    times: Array = np.ones_like(lengths)
    for state, winters in enumerate(by_state):
        for row, spells in enumerate([*winters, together[state]]):
            lengths[state, 0, row, : len(spells)] = spells
        times[state, 0, -1, : len(counts[state])] = counts[state]
    if picked is not None:
        wanted = np.append(picked, -1)
        lengths, times = lengths[:, :, wanted], times[:, :, wanted]
        seasons = [seasons[number] for number in picked.tolist()]
    sources = tuple(
        (*(f"winter.rows.{season}.spells.{state}" for season in seasons), "winter.rows")
        for state in STATES
    )
    return RecordedSpells(
        Figure(lengths, "day", sources=sources, axes=("state", "draw", "row", "spell")),
        Figure(times, "none", sources="winter.rows", axes=("state", "draw", "row", "spell")),
    )
