"""From a table to one column of cells for each element, whichever way the format lays them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.errors import Fault, nearest
from service.weather.cells import allowed_dates, day_in, flags_in, last_year
from service.weather.csv_table import Table
from service.weather.findings import Findings, shown
from service.weather.formats import ELEMENTS, FORMAT_OF, REQUIRED, Element, Format

Whole = NDArray[np.integer[Any]]
LONG_HEADER = ("id", "date", "element", "value", "m", "q", "s", "time")
"""Columns of a file by station, which has no header of its own."""

OTHER_NAMES = {
    "station": "id",
    "data_value": "value",
    "data value": "value",
    "m_flag": "m",
    "m-flag": "m",
    "q_flag": "q",
    "q-flag": "q",
    "year/month/day": "date",
}
"""What headers call the columns of a file by station that has one."""

SEVERAL_DAY_TOTAL = "mdpr"
"""Element: precipitation of several days that was read at once."""


@dataclass(frozen=True, slots=True)
class Cells:
    """One column as it stands in the file."""

    name: str
    days: Whole
    """Day of each cell, as an ordinal."""
    lines: Whole
    values: Sequence[str]
    measurement: Sequence[str] = ()
    """Measurement flag of each, if the file has flags."""
    quality: Sequence[str] = ()
    """Quality flag of each, if the file has flags."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a file holds, taken apart but not yet read."""

    columns: dict[Element, Cells] = field(default_factory=dict)
    stations: Sequence[str] = ()
    latitudes: Sequence[str] = ()
    """Distinct cells, in the order of the file."""
    several_day_totals: int = 0


def sheet_of(table: Table, layout: Format, findings: Findings) -> Sheet | None:
    """Return the columns of a table, or None where a needed one is not there."""
    table = Table(_names(table.header, layout), table.rows, table.lines)
    if not _has_columns(table, layout, findings):
        return None
    days, table = _dated(table, findings)
    laid_out = _by_element if layout.by_element else _wide
    return Sheet(
        columns=laid_out(table, days, layout),
        stations=_distinct(table.column("id" if layout.by_element else "station")),
        latitudes=_distinct(table.column("latitude")),
        several_day_totals=_several_day_totals(table, layout),
    )


def _names(header: tuple[str, ...], layout: Format) -> tuple[str, ...]:
    return tuple(OTHER_NAMES.get(name, name) for name in header) if layout.by_element else header


def _has_columns(table: Table, layout: Format, findings: Findings) -> bool:
    needed = _needed(layout)
    used = needed
    if not layout.by_element:
        used = ["date", *(layout.columns[element].lower() for element in ELEMENTS)]
    faults = [
        Fault(
            f"csv.{_spelt(name, layout)}",
            f"There is no column {_spelt(name, layout)}.",
            received=shown(", ".join(table.header)),
            allowed=f"a header with {', '.join(_spelt(each, layout) for each in needed)}",
            suggestion=_other_format(table.header, layout) or nearest(name, table.header[:100]),
        )
        for name in needed
        if name not in table.header
    ]
    faults += [
        Fault(
            f"csv.{_spelt(name, layout)}",
            f"There are {table.header.count(name)} columns {_spelt(name, layout)}; keep one.",
        )
        for name in used
        if table.header.count(name) > 1
    ]
    for fault in faults:
        findings.fault(fault)
    return not faults


def _spelt(name: str, layout: Format) -> str:
    """Return the name of a column as the format writes it."""
    return name if layout.name == "plain" else name.upper()


def _other_format(header: tuple[str, ...], layout: Format) -> str | None:
    """Return the formats whose columns these are."""
    names = {*header, *(OTHER_NAMES.get(name, name) for name in header)}
    fitting = [
        other.name
        for other in FORMAT_OF.values()
        if other is not layout and names.issuperset(_needed(other))
    ]
    return " or ".join(fitting) or None


def _needed(layout: Format) -> list[str]:
    """Return the columns that a format must have, as a table names them."""
    if layout.by_element:
        return list(LONG_HEADER[:6])
    return ["date", *(layout.columns[element].lower() for element in REQUIRED)]


def _dated(table: Table, findings: Findings) -> tuple[Whole, Table]:
    """Return the day of each row, and the table without rows that have none."""
    cells = table.column("date") or []
    last = last_year()
    known = {cell: day_in(cell, last) for cell in set(cells)}
    days = [known[cell] for cell in cells]
    if all(isinstance(day, int) for day in known.values()):
        return np.array(days, dtype=np.int64), table
    kept = [at for at, day in enumerate(days) if isinstance(day, int)]
    wrong = [at for at, day in enumerate(days) if isinstance(day, str)]
    for at in findings.with_room(wrong):
        findings.fault_of_line(table.lines[at], str(days[at]), cells[at], allowed_dates())
    return np.array([days[at] for at in kept], dtype=np.int64), Table(
        table.header, [table.rows[at] for at in kept], [table.lines[at] for at in kept]
    )


def _wide(table: Table, days: Whole, layout: Format) -> dict[Element, Cells]:
    lines = np.array(table.lines, dtype=np.int64)
    columns: dict[Element, Cells] = {}
    for element in ELEMENTS:
        name = layout.columns[element]
        values = table.column(name.lower())
        if values is None:
            continue
        attributes = table.column(f"{name.lower()}_attributes") or []
        known = {cell: flags_in(cell) for cell in set(attributes)}
        measurement = [known[cell][0] for cell in attributes]
        quality = [known[cell][1] for cell in attributes]
        columns[element] = Cells(name, days, lines, values, measurement, quality)
    return columns


def _by_element(table: Table, days: Whole, layout: Format) -> dict[Element, Cells]:
    lines = np.array(table.lines, dtype=np.int64)
    rows_of = _rows_by_element(table)
    columns: dict[Element, Cells] = {}
    for element in ELEMENTS:
        name = layout.columns[element]
        rows = rows_of.get(name)
        if rows is None:
            continue
        its = Table(table.header, [table.rows[at] for at in rows], [])
        values, measurement, quality = (
            [cell.strip() for cell in its.column(column) or []] for column in ("value", "m", "q")
        )
        columns[element] = Cells(name, days[rows], lines[rows], values, measurement, quality)
    return columns


def _rows_by_element(table: Table) -> dict[str, list[int]]:
    cells = table.column("element") or []
    spelt = {cell: cell.strip().upper() for cell in set(cells)}
    rows: dict[str, list[int]] = {}
    for at, cell in enumerate(cells):
        rows.setdefault(spelt[cell], []).append(at)
    return rows


def _several_day_totals(table: Table, layout: Format) -> int:
    """Return how many totals of several days the file holds."""
    if layout.by_element:
        return len(_rows_by_element(table).get(SEVERAL_DAY_TOTAL.upper(), []))
    return sum(1 for cell in table.column(SEVERAL_DAY_TOTAL) or [] if cell.strip())


def _distinct(cells: list[str] | None) -> list[str]:
    return [cell for cell in dict.fromkeys(cells or []) if cell.strip()]
