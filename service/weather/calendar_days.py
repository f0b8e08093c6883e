"""From rows in any order to one value for each day of the calendar."""

from collections.abc import Mapping
from datetime import date
from math import nan

import numpy as np

from service.costing.errors import Fault
from service.costing.units import Array
from service.weather.columns import Column
from service.weather.findings import Findings
from service.weather.formats import Element
from service.weather.series import DailySeries
from service.weather.sheet import Whole

MOST_YEARS = 150
DAYS_PER_YEAR = 365.25
REPEATED = "repeated_values"
"""Reason: the same value of the same day stands there again."""


def series_of(columns: Mapping[Element, Column], findings: Findings) -> DailySeries | None:
    """Return the columns by the calendar, or None where that cannot be.

    Parameters
    ----------
    columns : mapping
        The columns, both temperatures among them.
    findings : Findings
        Takes the faults.

    Returns
    -------
    DailySeries or None
        From the first to the last day that has a row; a column without any value is left out.
    """
    rows = [column.days for column in columns.values() if len(column.days)]
    if not rows:
        return None
    first, last = int(min(map(np.min, rows))), int(max(map(np.max, rows)))
    days = last - first + 1
    if days > MOST_YEARS * DAYS_PER_YEAR:
        findings.fault(
            Fault(
                "csv",
                f"The days reach from {date.fromordinal(first)} to {date.fromordinal(last)}. Send "
                "fewer years, or look for a date that is wrong.",
                received=round(days / DAYS_PER_YEAR),
                allowed=f"at most {MOST_YEARS}",
                unit="year",
            )
        )
        return None
    laid = {element: _by_day(column, first, days, findings) for element, column in columns.items()}

    def known(element: Element) -> Array | None:
        values = laid.get(element)
        return None if values is None or np.isnan(values).all() else values

    return DailySeries(
        first_day=date.fromordinal(first),
        tmax_c=laid["tmax_c"],
        tmin_c=laid["tmin_c"],
        precipitation_mm=known("precipitation_mm"),
        snow_depth_cm=known("snow_depth_cm"),
    )


def _by_day(column: Column, first: int, days: int, findings: Findings) -> Array:
    order = np.argsort(column.days, kind="stable")
    _mind_repeats(column, order, findings)
    values = np.full(days, nan)
    values[column.days[order] - first] = column.values[order]
    return values


def _mind_repeats(column: Column, order: Whole, findings: Findings) -> None:
    """Note each day with two values that differ; count those that agree."""
    days, sent, lines = column.days[order], column.sent[order], column.lines[order]
    again = np.flatnonzero(days[1:] == days[:-1])
    before, after = sent[again], sent[again + 1]
    differs = (before != after) & ~(np.isnan(before) & np.isnan(after))
    findings.count(REPEATED, column.name, int(len(again) - differs.sum()))
    for at in findings.with_room(again[differs].tolist()):
        value = float(sent[at + 1])
        findings.fault_of_line(
            int(lines[at + 1]),
            f"{column.name} of {date.fromordinal(int(days[at]))} is another than on line "
            f"{lines[at]}; keep the right one.",
            None if np.isnan(value) else value,
            "one value a day, or the same again",
            column.measure.unit,
        )
