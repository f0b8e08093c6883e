"""Scenarios and revisions side by side as a workbook of one sheet."""

from collections.abc import Mapping
from io import BytesIO
from typing import Any

from service.reports.results_workbook.sheet_writer import HEAD, PLAIN, SheetWriter, new_book
from service.reports.results_workbook.workbook import NO_DAY
from service.reports.tables.comparison_table import comparison_table

Document = Mapping[str, Any]

SHEET = "Compared"
WIDTH, TEXT_WIDTH = 13, 32
TEXTS = frozenset({"scenario", "name", "costing", "system_title"})


def comparison_workbook(compared: Document) -> bytes:
    """Return a comparison as a workbook, the same bytes for the same comparison.

    Parameters
    ----------
    compared : mapping
        The comparison as it is answered.
    """
    found = comparison_table(compared)
    out = BytesIO()
    book = new_book(out)
    book.set_properties({"title": "Winter feeding compared", "created": NO_DAY})
    currency = str(found.rows[0]["currency"]) if found.rows else ""
    writer = SheetWriter.added(book, SHEET, currency)
    heads = [
        f"{column.title} [{column.unit}]" if column.unit else column.title
        for column in found.columns
    ]
    widths = [TEXT_WIDTH if column.name in TEXTS else WIDTH for column in found.columns]
    writer.write_wrapped(0, heads, widths, HEAD)
    for number, row in enumerate(found.rows, start=1):
        for place, column in enumerate(found.columns):
            writer.write(number, place, row.get(column.name), PLAIN, column.unit)
    writer.keep_head()
    writer.widths(*widths)
    writer.sheet.autofilter(0, 0, len(found.rows), len(found.columns) - 1)
    book.close()
    return out.getvalue()
