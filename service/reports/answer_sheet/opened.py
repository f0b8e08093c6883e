"""The cells of a workbook that was sent, as they stand, and what no cell may be."""

import io
import re
import warnings
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from zipfile import ZipFile

from service.costing.errors import InputError
from service.reports.answer_sheet.cell_text import is_empty
from service.reports.answer_sheet.csv_file import OWN_NOTES
from service.reports.answer_sheet.faults import CellFault, fault_in, fault_of_sheet
from service.reports.answer_sheet.layout import FIRST_ROW, NAME_ROW
from service.reports.answer_sheet.package import fault_of

if TYPE_CHECKING:
    from openpyxl.workbook.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

SHEET_PART = "xl/worksheets/"
FORMULA = re.compile(rb"<f[ />]")
ERROR, FORMULA_TYPE, TEXT_OF_FORMULA = "e", "f", "str"
CARRIAGE_RETURN = re.compile(r"_x000D_\n?")
"""How a workbook writes the first half of a line break."""

VISIBLE = "visible"
MOST_ROWS, MOST_COLUMNS = 5_000, 200
Position = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its filled cells by row and column, counted from 1."""

    name: str
    cells: Mapping[Position, Any] = field(default_factory=dict[Position, Any])

    def place(self, row: int, column: int) -> str:
        """Return what a cell is called."""
        return f"{self.name}!{letters(column)}{row}"

    def names(self) -> dict[int, str]:
        """Return the name of each column that has one."""
        return {
            column: str(value).strip()
            for (row, column), value in sorted(self.cells.items())
            if row == NAME_ROW
        }

    def rows(self) -> list[int]:
        """Return the rows that hold data."""
        return sorted({row for row, _ in self.cells if row >= FIRST_ROW})


def letters(column: int) -> str:
    """Return the letters of a column; the first is A."""
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def sheets_of(data: bytes, faults: list[CellFault]) -> dict[str, Sheet]:
    """Open a workbook and return its sheets by name, those left out that are notes.

    Parameters
    ----------
    data : bytes
        The file as it was sent.
    faults : list of CellFault
        What is wrong with single cells and sheets is added.

    Raises
    ------
    InputError
        If it cannot be opened, or must not be.
    """
    refused = fault_of(data)
    if refused:
        raise InputError([CellFault("", refused)])
    values = _loaded(data, values=True)
    formulas = _formulas(data)
    found: dict[str, Sheet] = {}
    for name in values.sheetnames:
        if name.startswith(OWN_NOTES):
            continue
        sheet = values[name]
        if not hasattr(sheet, "merged_cells"):
            faults.append(fault_of_sheet(name, "it is a chart; delete it."))
            continue
        faults.extend(_of_sheet(sheet))
        cells = dict(_cells(sheet, formulas.get(name, frozenset()), faults))
        found[name] = Sheet(name, cells)
    return found


def _loaded(data: bytes, *, values: bool) -> "Workbook":
    from openpyxl import load_workbook  # noqa: PLC0415 - it takes time, and few requests need it

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts that nobody reads, as drawings
            return load_workbook(io.BytesIO(data), data_only=values, keep_links=False)
    except Exception as error:
        message = "The workbook is damaged and cannot be opened; save it anew and send it again."
        raise InputError([CellFault("", message)]) from error


def _formulas(data: bytes) -> dict[str, frozenset[Position]]:
    """Return which cells have formulas; a second look that only workbooks with formulas need."""
    with ZipFile(io.BytesIO(data)) as archive:
        parts = [name for name in archive.namelist() if name.startswith(SHEET_PART)]
        if not any(FORMULA.search(archive.read(name)) for name in parts):
            return {}
    return {
        sheet.title: frozenset(
            (cell.row, cell.column) for cell in _own_cells(sheet) if cell.data_type == FORMULA_TYPE
        )
        for sheet in _loaded(data, values=False).worksheets
    }


def _own_cells(sheet: "Worksheet") -> Iterator[Any]:
    """Return the cells that are there; to ask for a range would make all that are not."""
    yield from sheet._cells.values()  # noqa: SLF001 # pyright: ignore[reportPrivateUsage, reportAttributeAccessIssue, reportUnknownMemberType, reportUnknownVariableType]


def _of_sheet(sheet: "Worksheet") -> Iterator[CellFault]:
    if sheet.sheet_state != VISIBLE:
        yield fault_of_sheet(
            sheet.title, "it is hidden; show it, so that what is sent can be seen."
        )
    for merged in sheet.merged_cells.ranges:
        if merged.max_row >= NAME_ROW:
            place = f"{sheet.title}!{merged.coord}"
            yield fault_in(place, "merged cells; unmerge them and fill in each.")


def _cells(
    sheet: "Worksheet", formulas: frozenset[Position], faults: list[CellFault]
) -> Iterator[tuple[Position, Any]]:
    for cell in _own_cells(sheet):
        position, value = (cell.row, cell.column), cell.value
        place = f"{sheet.title}!{cell.coordinate}"
        if value is None:
            if position in formulas and cell.data_type != TEXT_OF_FORMULA:
                detail = (
                    "a formula without its result; open and save the workbook, or enter the value."
                )
                faults.append(fault_in(place, detail))
            continue
        if cell.data_type == ERROR:
            detail = f"the formula gives {str(value)[:20]}; mend it or enter the value."
            faults.append(fault_in(place, detail, received=str(value)))
        elif cell.row > MOST_ROWS or cell.column > MOST_COLUMNS:
            last = f"{letters(MOST_COLUMNS)}{MOST_ROWS}"
            faults.append(fault_in(place, f"nothing is read beyond cell {last}; clear it."))
            return
        elif not is_empty(value):
            text = CARRIAGE_RETURN.sub("\n", value) if isinstance(value, str) else value
            yield position, text
