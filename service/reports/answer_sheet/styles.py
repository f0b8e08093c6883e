"""How the cells of the answer sheet look: shades that stay apart on a grey printer."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeAlias

Workbook: TypeAlias = Any
Worksheet: TypeAlias = Any
Format: TypeAlias = Any
"""Of a library that declares no types."""

FONT, SIZE, SMALL, LARGE = "Arial", 10, 8, 14
INK, FAINT = "#000000", "#595959"
SHADE, LIGHT_SHADE, LINE = "#D9D9D9", "#F2F2F2", "#A6A6A6"
AS_TEXT = "@"


class Exact(float):
    """A number that is written with all the digits it has; the library would stop at 16."""

    def __format__(self, spec: str) -> str:
        """Return the shortest text that is read back as the same number."""
        del spec
        return repr(float(self))


@dataclass(frozen=True, slots=True)
class Styles:
    """The formats of one workbook."""

    plain: Format
    heading: Format
    hint: Format
    unit: Format
    title: Format
    needed: Format
    name: Format
    number: Format
    text: Format
    help: Format
    help_number: Format
    fixed: Format
    label: Format
    body: Format


def styles_of(workbook: Workbook) -> Styles:
    """Declare the formats in a workbook."""

    def style(**more: Any) -> Format:  # noqa: ANN401 - properties of a format
        return workbook.add_format({"font_name": FONT, "font_size": SIZE, "valign": "top", **more})

    left: dict[str, Any] = {"align": "left", "indent": 1}
    box: dict[str, Any] = {"border": 1, "border_color": LINE}
    head: dict[str, Any] = {**box, "bg_color": SHADE, "text_wrap": True, "valign": "vcenter"}
    helping: dict[str, Any] = {**box, "bg_color": LIGHT_SHADE, "font_color": FAINT}
    return Styles(
        plain=style(),
        heading=style(bold=True, font_size=LARGE),
        hint=style(font_color=FAINT),
        unit=style(font_size=SMALL, italic=True, text_wrap=True, valign="bottom"),
        title=style(**head),
        needed=style(bold=True, **head),
        name=style(font_size=SMALL, font_color=FAINT, **box),
        number=style(locked=False, **box),
        text=style(locked=False, num_format=AS_TEXT, **left, **box),
        help=style(font_size=SMALL, text_wrap=True, **left, **helping),
        help_number=style(num_format="#,##0.######", **helping),
        fixed=style(num_format=AS_TEXT, **left, bg_color=LIGHT_SHADE, **box),
        label=style(bold=True),
        body=style(text_wrap=True),
    )


def write(sheet: Worksheet, row: int, column: int, value: object, style: Format) -> None:
    """Write one cell; row and column count from 0.

    Raises
    ------
    ValueError
        If a text is longer than a cell can hold.
    """
    if value is None or value == "":
        sheet.write_blank(row, column, None, style)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        sheet.write_number(row, column, Exact(value), style)
    elif sheet.write_string(row, column, str(value), style):
        message = "the text is longer than a cell of a workbook can hold"
        raise ValueError(message)


PROTECTED = {
    "format_columns": True,
    "format_rows": True,
    "insert_rows": True,
    "delete_rows": True,
    "sort": True,
    "autofilter": True,
}
"""What may be done on a sheet whose other cells are locked, without a password."""


SMALL_PER_WIDTH = 1.4
"""Small letters that fit where one of usual size does."""

FIRST_HEIGHT, NEXT_HEIGHT, MOST_LINES = 14.0, 10.5, 4
"""Height of a row of one line, and of each more in small letters [point]."""

MOST_ON_A_PAGE = 12
"""Sheets of more columns are printed on several pages side by side."""

SCALE_OF_WIDE = 70
HEIGHT_OF_HEADING = 22
"""In points."""


def height_of(texts: Iterable[tuple[str, float]]) -> float:
    """Return the height of a row of wrapped texts in small letters [point].

    Parameters
    ----------
    texts : iterable of (str, float)
        Each text with the width of its column.
    """
    lines = max((len(text) / (width * SMALL_PER_WIDTH) for text, width in texts), default=1)
    return FIRST_HEIGHT + NEXT_HEIGHT * (min(math.ceil(max(lines, 1)), MOST_LINES) - 1)


def clear_above(sheet: Worksheet, rows: int, columns: int, styles: Styles) -> None:
    """Keep the frames of the columns out of the lines above the table."""
    for row in range(rows):
        for column in range(columns):
            sheet.write_blank(row, column, None, styles.plain)


def finish(sheet: Worksheet, frozen_rows: int, frozen_columns: int, columns: int) -> None:
    """Set what all sheets have in common: panes, protection, and how it prints."""
    sheet.set_row(0, HEIGHT_OF_HEADING)
    sheet.set_landscape()
    if frozen_rows:
        sheet.freeze_panes(frozen_rows, frozen_columns)
        sheet.repeat_rows(0, frozen_rows - 1)
    if columns > MOST_ON_A_PAGE:
        sheet.repeat_columns(0, frozen_columns - 1)
        sheet.set_print_scale(SCALE_OF_WIDE)
    else:
        sheet.fit_to_pages(1, 0)
    sheet.protect("", PROTECTED)
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer("&L&A&RPage &P of &N")
