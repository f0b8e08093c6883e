"""The results of one costing as a workbook."""

from collections.abc import Mapping
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

from service.reports.results_workbook.sheet_writer import new_book
from service.reports.results_workbook.summary_sheet import add_summary
from service.reports.results_workbook.table_sheets import (
    add_by_winter,
    add_cash_flow,
    add_figures,
    add_ground_days,
    add_inputs,
    add_lines,
)
from service.reports.results_workbook.text_sheets import add_cautions, add_how_computed

Document = Mapping[str, Any]

NO_DAY = datetime(1980, 1, 1, tzinfo=UTC)
"""What stands for the time of a costing that is not stored: the first day that a ZIP can have."""

SHEETS = (
    add_lines,
    add_cash_flow,
    add_figures,
    add_by_winter,
    add_ground_days,
    add_inputs,
    add_how_computed,
    add_cautions,
)
"""After the summary, in this order."""


def workbook_of(body: Document, about: Document) -> bytes:
    """Return a costing as a workbook, the same bytes for the same costing.

    Parameters
    ----------
    body : mapping
        The costing as a document.
    about : mapping
        ``scenario``, ``external_id`` and ``revision``; None where nothing is stored. With
        ``created_at``, a time, the file says that it was made then.
    """
    out = BytesIO()
    book = new_book(out)
    made = (about.get("created_at") or NO_DAY).astimezone(UTC)
    book.set_properties({"title": "Winter feeding costed", "created": made})
    add_summary(book, body, about)
    for add in SHEETS:
        add(book, body)
    book.close()
    return out.getvalue()
