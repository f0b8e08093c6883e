"""A column of cells to numbers: what is missing, flagged, a trace or impossible is told apart."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

from service.costing.errors import Fault
from service.costing.units import Array
from service.weather.cells import number_fault, number_in
from service.weather.findings import Findings
from service.weather.formats import CELSIUS, MEASURED_FROM_ZERO, Element, Format, Measure
from service.weather.plausible_limits import (
    DAY_OF_RAIN,
    HOTTEST_FAHRENHEIT,
    SNOW,
    TEMPERATURE,
    Limit,
)
from service.weather.sheet import Cells, Whole

Marks = NDArray[np.bool_]

TRACE = "T"
"""Measurement flag, and in some files the cell itself: too little to be measured."""

SEVERAL_DAYS = "A"
"""Measurement flag: the total of several days."""

PRESUMED_ZERO = "P"
"""Measurement flag: nothing was written down, and 0 was presumed."""

QUALITY = "quality_flags"
TOTALS = "several_day_totals"
PRESUMED = "presumed_zero"
NEGATIVE = "negative_values"
"""Reasons why a value is set aside or doubted."""

STAND_INS = (-99.0, -99.9, -999.0, -999.9, 999.0, 999.9, -9999.9, 9999.9)
"""Numbers that are written for missing where nothing says so."""

LIMITS: dict[Element, tuple[Limit, str]] = {
    "tmax_c": (TEMPERATURE, "°C"),
    "tmin_c": (TEMPERATURE, "°C"),
    "precipitation_mm": (DAY_OF_RAIN, "mm"),
    "snow_depth_cm": (SNOW, "cm"),
}


@dataclass(frozen=True, slots=True)
class Column:
    """One element, by the rows of the file."""

    element: Element
    name: str
    measure: Measure
    days: Whole
    """Day of each value, as an ordinal."""
    lines: Whole
    sent: Array
    """Values as they were sent; not a number where there is none."""
    values: Array
    """The same in the unit of a series, without those that stand in for missing."""
    stands_in: Marks
    """Where a value looks like a number for missing, and cannot be measured."""


def column_of(cells: Cells, element: Element, layout: Format, findings: Findings) -> Column:
    """Return the numbers of a column.

    Parameters
    ----------
    cells : Cells
        The column as it stands in the file.
    element : str
        What it measures.
    layout : Format
        How the file is laid out.
    findings : Findings
        Takes faults, and counts of what is set aside.

    Returns
    -------
    Column
        Values by the rows of the file.
    """
    from_zero = element in MEASURED_FROM_ZERO
    sent = _numbers(cells, findings, trace=from_zero)
    _mind_flags(sent, cells, findings, from_zero=from_zero)
    if from_zero:
        negative = sent < 0
        findings.count(NEGATIVE, cells.name, int(negative.sum()))
        sent[negative] = nan
    measure = layout.measures[element]
    values = measure.to_series(sent)
    stands_in = np.isin(sent, STAND_INS) & (np.abs(values) > LIMITS[element][0].value)
    values = np.where(stands_in, nan, values)
    return Column(element, cells.name, measure, cells.days, cells.lines, sent, values, stands_in)


def _numbers(cells: Cells, findings: Findings, *, trace: bool) -> Array:
    known = {cell: number_in(cell) for cell in set(cells.values)}
    if trace:
        known.update({cell: 0.0 for cell in known if cell.strip().upper() == TRACE})
    unread = {cell for cell, number in known.items() if number is None}
    if unread:
        wrong = [at for at, cell in enumerate(cells.values) if cell in unread]
        for at in findings.with_room(wrong):
            cell = cells.values[at]
            findings.fault_of_line(
                int(cells.lines[at]),
                number_fault(cell, cells.name),
                cell,
                "a number, or nothing where it is missing",
            )
    numbers = {cell: nan if number is None else number for cell, number in known.items()}
    return np.array([numbers[cell] for cell in cells.values], dtype=np.float64)


def _mind_flags(sent: Array, cells: Cells, findings: Findings, *, from_zero: bool) -> None:
    """Set aside what failed a check, and totals of several days; make traces 0."""
    failed = _marked(cells.quality, set(cells.quality) - {""}, sent)
    findings.count(QUALITY, cells.name, int(failed.sum()))
    sent[failed] = nan
    if from_zero:
        sent[_marked(cells.measurement, {TRACE}, sent)] = 0
        totals = _marked(cells.measurement, {SEVERAL_DAYS}, sent)
        findings.count(TOTALS, cells.name, int(totals.sum()))
        sent[totals] = nan
        presumed = _marked(cells.measurement, {PRESUMED_ZERO}, sent) & (sent == 0)
        findings.count(PRESUMED, cells.name, int(presumed.sum()))


def _marked(flags: Sequence[str], those: set[str], sent: Array) -> Marks:
    """Return which values have one of some flags."""
    if those.isdisjoint(flags):
        return np.zeros(len(sent), dtype=bool)
    return np.array([flag in those for flag in flags], dtype=bool) & ~np.isnan(sent)


def fault_of_decimals(column: Column) -> Fault | None:
    """Return the fault of a column with decimals where the format has whole numbers."""
    decimals = ~np.isnan(column.sent) & (np.floor(column.sent) != column.sent)
    if not column.measure.whole or not decimals.any():
        return None
    at = int(np.argmax(decimals))
    return Fault(
        f"csv.{column.name}",
        f"{int(decimals.sum()):,} values of {column.name} have decimals, the first on line "
        f"{column.lines[at]}; this format counts whole {column.measure.unit}. If the file is an "
        "order in °C and mm, send it as order_metric; in °F and inches, as order_us.",
        received=float(column.sent[at]),
        allowed="whole numbers",
        unit=column.measure.unit,
    )


def faults_of_stand_ins(column: Column) -> list[Fault]:
    """Return a fault for each number that seems to stand for missing."""
    faults: list[Fault] = []
    for code in np.unique(column.sent[column.stands_in]).tolist():
        found = np.flatnonzero(column.sent == code)
        more = f" and on {len(found) - 1:,} more" if len(found) > 1 else ""
        faults.append(
            Fault(
                f"csv.{column.name}",
                f"{column.name} is {code:g} on line {column.lines[found[0]]}{more}. If that stands "
                "for missing, leave the cell empty.",
                received=code,
                allowed="a measured value, or nothing",
                unit=column.measure.unit,
            )
        )
    return faults


def faults_of_lines(column: Column, findings: Findings) -> None:
    """Note each value that no weather reaches."""
    limit, unit = LIMITS[column.element]
    least = 0 if column.element in MEASURED_FROM_ZERO else -limit.value
    bounds = column.measure.as_sent(np.array([least, limit.value])).tolist()
    beyond = np.abs(column.values) > limit.value
    for at in findings.with_room(np.flatnonzero(beyond).tolist()):
        value, sent = float(column.values[at]), float(column.sent[at])
        hot = column.measure is CELSIUS and limit.value < sent <= HOTTEST_FAHRENHEIT.value
        findings.fault_of_line(
            int(column.lines[at]),
            f"{column.name} is {value:,.6g} {unit}, which no weather reaches"
            f"{'; if the file is in °F, send it as order_us' if hot else ''}.",
            sent,
            f"{bounds[0]:,.6g} to {bounds[1]:,.6g}",
            column.measure.unit,
        )
