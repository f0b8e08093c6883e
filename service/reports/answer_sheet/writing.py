"""The answer sheet as a workbook: empty, or filled in with a scenario."""

import io
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from service.reports.answer_sheet.grid_sheets import write_grid
from service.reports.answer_sheet.layout import ASSUMPTIONS, FARM, README, TEMPLATE, layout
from service.reports.answer_sheet.list_sheets import write_assumptions, write_farm
from service.reports.answer_sheet.styles import Styles, Worksheet, finish, styles_of, write
from service.reports.answer_sheet.usual import guide

MADE = datetime(2000, 1, 1, tzinfo=UTC)
"""The same document gives the same bytes on every day."""

HOW = (
    ("How to fill it in", ""),
    ("Where", "White cells are yours. Grey cells help and are not read."),
    ("Empty", "An empty cell means not given, never 0. Bold titles must be filled in."),
    (
        "Rows",
        (
            "Farm has a row for each input. On the other sheets add a row for each group, field, "
            "machine, winter, system, step or structure. The key is what other sheets call it by."
        ),
    ),
    (
        "Units",
        (
            "Each cell has the unit that stands with it. Another may stand behind the number: "
            "590 kg, 12 ha, 4 t/ha, 1.2 m, 7 %. A ton has 2,000 lb; t is the metric ton."
        ),
    ),
    ("Numbers", "Use a decimal point. Fractions lie between 0 and 1, or are written as 7 %."),
    ("Days", "As 12-01, Dec 1 or a date; the year does not count."),
    ("Several words", "Separated by commas: frozen, firm."),
    (
        "Said to be empty",
        "(none) is a list with nothing in it, (not given) is an input left open on purpose.",
    ),
    ("Your own notes", "On sheets and in columns whose names begin with an underscore: _notes."),
    (
        "Send it back",
        (
            "Save it as .xlsx, without a password and macros. All of it is taken or, if a cell is "
            "not understood, nothing; each fault then names its sheet and cell."
        ),
    ),
    (
        "What it is for",
        (
            "Planning figures. Not a design, not a permit, not a promise of cost-share. Local "
            "codes and licensed engineers and veterinarians come first."
        ),
    ),
)
FIRST_LINE = 6
WIDTHS = (24, 100)
HEIGHT_OF_TWO_LINES = 27
"""In points."""


@dataclass(frozen=True, slots=True)
class About:
    """Which stored scenario a workbook holds."""

    scenario: str = ""
    revision: int | None = None


def template(document: Mapping[str, Any] | None = None, about: About | None = None) -> bytes:
    """Return the answer sheet as a workbook.

    Parameters
    ----------
    document : mapping, optional
        A scenario document that fits the schema, to fill it in with; empty if not given.
    about : About, optional
        What to say of where it came from.

    Raises
    ------
    UnknownAddressError
        If the document has what no scenario has.
    """
    import xlsxwriter  # noqa: PLC0415 # pyright: ignore[reportMissingTypeStubs] - it takes time

    data = io.BytesIO()
    filled = document or {}
    helping = guide(filled.get("reference_edition"))
    workbook: Any
    with xlsxwriter.Workbook(data, {"in_memory": True}) as workbook:
        workbook.set_properties({"title": "Winter feeding: answer sheet", "created": MADE})
        styles = styles_of(workbook)
        edition = str(filled.get("reference_edition") or helping.edition.name)
        _write_read_me(workbook.add_worksheet(README), about or About(), edition, styles)
        write_farm(workbook.add_worksheet(FARM), filled, helping, styles)
        for grid in layout().grids:
            write_grid(workbook.add_worksheet(grid.sheet), grid, filled, helping, styles)
        write_assumptions(workbook.add_worksheet(ASSUMPTIONS), filled, helping, styles)
    return data.getvalue()


def _write_read_me(sheet: Worksheet, about: About, edition: str, styles: Styles) -> None:
    for column, width in enumerate(WIDTHS):
        sheet.set_column(column, column, width)
    facts = {
        "Template": TEMPLATE,
        "Scenario": about.scenario,
        "Revision": "" if about.revision is None else str(about.revision),
        "Reference edition": edition,
    }
    write(sheet, 0, 0, "Winter feeding: answer sheet", styles.heading)
    for row, (label, text) in enumerate(facts.items(), start=1):
        write(sheet, row, 0, label, styles.label)
        write(sheet, row, 1, text, styles.body)
    for row, (label, text) in enumerate(HOW, start=FIRST_LINE):
        if len(text) > WIDTHS[1]:
            sheet.set_row(row, HEIGHT_OF_TWO_LINES)
        write(sheet, row, 0, label, styles.heading if not text else styles.label)
        write(sheet, row, 1, text, styles.body)
    finish(sheet, 0, 0, len(WIDTHS))
