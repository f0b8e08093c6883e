"""Gaps in a record: short ones are filled, long ones part it."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.units import Array
from service.weather.series import DailySeries

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class FilledDays:
    """A record with its short gaps filled; arrays of shape (days,)."""

    tmax_c: Array
    tmin_c: Array
    precipitation_mm: Array | None
    """None where the record has none at all; not a number in long gaps [mm]."""
    usable: Flags
    """Days on which all is known or filled."""
    filled: Flags
    """Usable days on which something was filled."""

    def stretches(self) -> Iterator[slice]:
        """Yield the runs of usable days, in the order of time."""
        for start, length, usable in runs(self.usable):
            if usable:
                yield slice(start, start + length)


def filled_days(series: DailySeries, longest: int) -> FilledDays:
    """Fill gaps up to a length: temperatures on a straight line, precipitation with none.

    Parameters
    ----------
    series : DailySeries
        The record.
    longest : int
        Longest gap that is filled [day].

    Returns
    -------
    FilledDays
        The record to work on.
    """
    precipitation = series.precipitation_mm
    if precipitation is not None and bool(np.isnan(precipitation).all()):
        precipitation = None
    columns = [series.tmax_c, series.tmin_c]
    tmax, tmin = (_on_a_line(column, longest) for column in columns)
    usable = ~(np.isnan(tmax) | np.isnan(tmin))
    missing = np.isnan(series.tmax_c) | np.isnan(series.tmin_c)
    if precipitation is not None:
        missing |= np.isnan(precipitation)
        precipitation = np.where(_short_gaps(precipitation, longest), 0.0, precipitation)
        usable &= ~np.isnan(precipitation)
    return FilledDays(tmax, tmin, precipitation, usable, missing & usable)


def runs(values: NDArray[Any]) -> Iterator[tuple[int, int, Any]]:
    """Yield start, length and value of each run of equal values.

    Parameters
    ----------
    values : ndarray of shape (days,)
        Values of the days.

    Yields
    ------
    tuple
        Position of the first day, number of days, value.
    """
    changes = np.flatnonzero(values[1:] != values[:-1]) + 1
    edges: list[int] = [0, *changes.tolist(), len(values)]
    for start, stop in pairwise(edges):
        if stop > start:
            yield start, stop - start, values[start].item()


def _short_gaps(column: Array, longest: int) -> Flags:
    """Return the days of gaps up to a length that have known days on both sides."""
    short = np.zeros(len(column), dtype=np.bool_)
    for start, length, missing in runs(np.isnan(column)):
        inside = start > 0 and start + length < len(column)
        if missing and inside and length <= longest:
            short[start : start + length] = True
    return short


def _on_a_line(column: Array, longest: int) -> Array:
    short = _short_gaps(column, longest)
    if not short.any():
        return column
    known = np.flatnonzero(~np.isnan(column))
    line = np.interp(np.flatnonzero(short), known, column[known])
    filled = column.copy()
    filled[short] = line
    return filled
