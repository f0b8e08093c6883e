"""Writes values into a sheet so that text stays text and numbers keep all their digits."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import import_module
from io import BytesIO
from typing import Any

from service.costing.table_cells import FORMULA_STARTS

Book = Any
Sheet = Any
Format = Any
"""Workbook, sheet and format of a library that ships no types."""

Style = Mapping[str, Any]

PLAIN: Style = {}
WRAPPED: Style = {"text_wrap": True, "valign": "top"}
TOP: Style = {"valign": "top"}
HEAD: Style = {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1}
SMALL_HEAD: Style = {"italic": True, "font_color": "#444444", "text_wrap": True, "valign": "top"}
TITLE: Style = {"bold": True, "font_size": 14}
BOLD: Style = {"bold": True}
REMARK: Style = {"italic": True}

NO_SURPRISES = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "nan_inf_to_errors": False,
}
AS_TEXT: Style = {"quote_prefix": True}
"""Keeps a text that looks like a formula a text, also after somebody edits its cell."""

LINE_HEIGHT = 15
"""Of one line of text [point]."""
TALLEST = 409
"""No row is taller [point]."""

COUNTED = frozenset({"winter"})
"""Units of what is counted in whole numbers."""

WHOLE, ONE_DECIMAL, CENTS, SHARE = "#,##0", "#,##0.0", "#,##0.00", "0.000"
LONGEST_TEXT = 32_767
"""A cell holds no more characters."""


def new_book(out: BytesIO) -> Book:
    """Return an empty workbook that writes into memory and takes no text for anything else."""
    return _library("workbook").Workbook(out, NO_SURPRISES)


def _library(part: str) -> Any:  # noqa: ANN401 - ships no types
    """Import a part of the library, which takes time, when it is first needed."""
    return import_module(f"xlsxwriter.{part}")


@cache
def number_style(unit: str, currency: str) -> Style:
    """Return how a number is shown: money whole, money for one of something in cents.

    Only what is shown is rounded; the cell keeps the number.
    """
    per = unit.partition("/")
    if per[0] == currency:
        return {"num_format": WHOLE if per[2] in {"", "year"} else CENTS}
    if per[0] == "fraction":
        return {"num_format": SHARE}
    if not unit or unit in COUNTED:
        return PLAIN
    return {"num_format": ONE_DECIMAL}


@dataclass
class SheetWriter:
    """One sheet, written row by row."""

    book: Book
    sheet: Sheet
    currency: str
    _formats: dict[tuple[tuple[str, Any], ...], Format] = field(
        default_factory=dict[tuple[tuple[str, Any], ...], Format]
    )

    @classmethod
    def added(cls, book: Book, name: str, currency: str) -> "SheetWriter":
        """Add a sheet that prints on pages one sheet wide."""
        sheet = book.add_worksheet(name)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.hide_gridlines(2)
        return cls(book, sheet, currency)

    def write(
        self,
        row: int,
        column: int,
        value: Any,  # noqa: ANN401 - any plain value
        style: Style = PLAIN,
        unit: str = "",
    ) -> None:
        """Write one value; None leaves the cell empty.

        Parameters
        ----------
        row, column : int
            Place, from 0.
        value : str, float, bool or None
            What to write. No text ever becomes a formula, a number or a link.
        style : mapping
            How it looks.
        unit : str
            Unit of a number, which decides on the decimals that are shown.
        """
        if value is None:
            return
        if isinstance(value, bool):
            self.sheet.write_boolean(row, column, value, self.format(style))
        elif isinstance(value, int | float):
            shown = number_style(unit, self.currency)
            shown = self.format({**style, **shown} if style else shown)
            self.sheet.write_number(row, column, value, shown)
        else:
            text = str(value)[:LONGEST_TEXT]
            looks_like_formula = text.lstrip().startswith(FORMULA_STARTS)
            shown = self.format({**style, **AS_TEXT} if looks_like_formula else style)
            self.sheet.write_string(row, column, text, shown)

    def write_row(
        self, row: int, values: Iterable[Any], style: Style = PLAIN, units: Sequence[str] = ()
    ) -> None:
        """Write values side by side; ``units`` go with them, or are missing."""
        for column, value in enumerate(values):
            unit = units[column] if column < len(units) else ""
            self.write(row, column, value, style, unit)

    def write_wrapped(
        self, row: int, values: Sequence[Any], widths: Sequence[float], style: Style
    ) -> None:
        """Write texts side by side in a row tall enough for all their lines."""
        lines = max(
            (
                math.ceil(len(str(value)) / width)
                for value, width in zip(values, widths, strict=False)
                if value is not None
            ),
            default=1,
        )
        self.sheet.set_row(row, min(TALLEST, max(1, lines) * LINE_HEIGHT))
        self.write_row(row, values, style)

    def keep_head(self, rows: int = 1, columns: int = 0) -> None:
        """Keep the first rows and columns in sight, and the rows on every printed page."""
        self.sheet.freeze_panes(rows, columns)
        self.sheet.repeat_rows(0, rows - 1)

    def widths(self, *characters: float) -> None:
        """Set the widths of the first columns."""
        for column, width in enumerate(characters):
            self.sheet.set_column(column, column, width)

    def address(self, row: int, column: int) -> str:
        """Return what formulas call a cell, wherever they are copied."""
        return _library("utility").xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)

    def format(self, style: Style) -> Format:
        """Return the format of a style, made once for the sheet."""
        if not style:
            return None
        key = tuple(sorted(style.items()))
        if key not in self._formats:
            self._formats[key] = self.book.add_format(dict(style))
        return self._formats[key]
