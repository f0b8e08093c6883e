"""The rows of a sweep: one for each farm and setting, found by their number."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from service.sweeps.records import SweepSpec


@dataclass(frozen=True, slots=True)
class Row:
    """One costing: a farm with one combination of the varied values."""

    number: int
    external_id: str | None
    set: Mapping[str, Any]


def rows_of(spec: SweepSpec, first: int, count: int) -> Iterator[Row]:
    """Yield consecutive rows.

    Parameters
    ----------
    spec : SweepSpec
        The sweep.
    first : int
        Number of the first, counted from 1.
    count : int
        How many.
    """
    settings = spec.settings
    for number in range(first, first + count):
        farm, setting = divmod(number - 1, settings)
        chosen = spec.farms[farm]
        yield Row(number, chosen.external_id, {**chosen.set, **_combination(spec.vary, setting)})


def _combination(vary: Mapping[str, tuple[Any, ...]], number: int) -> dict[str, Any]:
    """Return one combination by its number, as counted by `itertools.product`."""
    found: dict[str, Any] = {}
    for path in reversed(list(vary)):
        number, position = divmod(number, len(vary[path]))
        found[path] = vary[path][position]
    return {path: found[path] for path in vary}


def stream_of(seed: int, row: int, chunk: int) -> np.random.Generator:
    """Return the random numbers of one row of one chunk.

    They depend on these three alone, so that they are the same whichever worker draws them, and
    in whichever order.
    """
    return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(row, chunk)))
