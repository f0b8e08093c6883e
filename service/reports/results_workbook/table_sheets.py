"""The sheets that hold the tables of a costing, laid out to be read."""

from collections.abc import Mapping, Sequence
from typing import Any

from service.costing.lines import GROUPS
from service.reports.results_workbook.sheet_writer import (
    HEAD,
    PLAIN,
    SMALL_HEAD,
    Book,
    SheetWriter,
)
from service.reports.tables.costing_tables import KINDS, Shape, table
from service.reports.tables.figure_paths import costing_figures, system_figures
from service.reports.tables.table import IDENTIFYING, Column, Table, in_currency

Document = Mapping[str, Any]

LINES, CASH_FLOW, FIGURES = "Lines", "Cash flow", "Figures"
BY_WINTER, GROUND_DAYS, INPUTS = "By winter", "Ground days", "Inputs used"

KEY_WIDTH, TITLE_WIDTH, NUMBER_WIDTH, TEXT_WIDTH = 22, 36, 13, 60
UNIT_WIDTH, SYSTEM_WIDTH = 14, 17


def add_lines(book: Book, body: Document) -> None:
    """Add one row a system and line, with the kinds of money beside the whole."""
    writer = SheetWriter.added(book, LINES, body["currency"])
    found = _own_columns("lines", body)
    rows = [row | {"group": GROUPS[str(row["group"])]} for row in found.rows]
    _write_table(writer, Table(found.name, found.columns, rows))
    kinds = [NUMBER_WIDTH] * len(KINDS)
    writer.widths(KEY_WIDTH, TITLE_WIDTH, KEY_WIDTH, KEY_WIDTH, TITLE_WIDTH, 12, UNIT_WIDTH, *kinds)


def add_cash_flow(book: Book, body: Document) -> None:
    """Add one row a system and line, one column a year, not discounted."""
    writer = SheetWriter.added(book, CASH_FLOW, body["currency"])
    currency = body["currency"]
    years = len(body["systems"][0]["lines"][0]["by_year"])
    heads = ["System", "Title of the system", "Line", "Title of the line", "Unit"]
    writer.write_row(0, [*heads, *(f"Year {year}" for year in range(years))], HEAD)
    row = 0
    for system in body["systems"]:
        for line in system["lines"]:
            row += 1
            called = [system["system"], system["title"], line["line"], line["title"], currency]
            writer.write_row(row, called)
            for year, value in enumerate(line["by_year"], start=len(heads)):
                writer.write(row, year, value, unit=currency)
    writer.keep_head(1, len(heads))
    writer.sheet.autofilter(0, 0, row, len(heads) - 1)
    writer.widths(KEY_WIDTH, TITLE_WIDTH, KEY_WIDTH, TITLE_WIDTH, UNIT_WIDTH)


def add_figures(book: Book, body: Document) -> None:
    """Add one row a figure, one column a system."""
    writer = SheetWriter.added(book, FIGURES, body["currency"])
    listed, by_system = system_figures(body)
    of_costing, whole = costing_figures(body)
    columns = [*by_system, whole]
    heads = ["Figure", "What it is", "Unit", *_titles(body), "All systems"]
    widths = (48, TEXT_WIDTH, UNIT_WIDTH, *([SYSTEM_WIDTH] * len(columns)))
    writer.write_wrapped(0, heads, widths, HEAD)
    writer.write_row(1, [None, None, None, *(s["system"] for s in body["systems"])], SMALL_HEAD)
    for row, figure in enumerate((*listed, *of_costing), start=2):
        unit = in_currency(figure.unit, body["currency"])
        writer.write_row(row, [figure.path, figure.meaning, unit])
        for column, own in enumerate(columns, start=3):
            writer.write(row, column, own.get(figure.path), unit=unit)
    writer.keep_head(2, 3)
    writer.widths(*widths)


def add_by_winter(book: Book, body: Document) -> None:
    """Add one row a winter, one column a system."""
    writer = SheetWriter.added(book, BY_WINTER, body["currency"])
    unit = f"{body['currency']}/year"
    widths = (KEY_WIDTH, UNIT_WIDTH, *([SYSTEM_WIDTH] * len(body["systems"])))
    writer.write_wrapped(0, ["Winter", "Unit", *_titles(body)], widths, HEAD)
    writer.write_row(1, [None, None, *(s["system"] for s in body["systems"])], SMALL_HEAD)
    seasons = [row["season"] for row in body["systems"][0]["by_winter"]]
    for row, season in enumerate(seasons):
        writer.write_row(row + 2, [season, unit])
        for column, system in enumerate(body["systems"], start=2):
            cost = system["by_winter"][row]["annual_equivalent_cost"]
            writer.write(row + 2, column, cost, unit=unit)
    writer.keep_head(2, 2)
    writer.widths(*widths)


def add_ground_days(book: Book, body: Document) -> None:
    """Add one row a system, step and ground state."""
    writer = SheetWriter.added(book, GROUND_DAYS, body["currency"])
    _write_table(writer, _own_columns("ground_days", body))
    writer.widths(KEY_WIDTH, TITLE_WIDTH, KEY_WIDTH, KEY_WIDTH, KEY_WIDTH, NUMBER_WIDTH)


def add_inputs(book: Book, body: Document) -> None:
    """Add one row an input, with where it is from."""
    writer = SheetWriter.added(book, INPUTS, body["currency"])
    found = _own_columns("inputs", body)
    _write_table(writer, found, as_given=True)
    writer.widths(56, TITLE_WIDTH, 18, UNIT_WIDTH, 12, 44, 10, 10, 10, TEXT_WIDTH, 40, 14)


def _own_columns(name: str, body: Document, shape: Shape = "wide") -> Table:
    """Return a table without the identifying columns: they stand on the summary."""
    found = table(name, body, {}, shape)
    return Table(name, found.columns[len(IDENTIFYING) :], found.rows)


def _titles(body: Document) -> Sequence[str]:
    return [system["title"] for system in body["systems"]]


def _head(column: Column) -> str:
    return f"{column.title} [{column.unit}]" if column.unit else column.title


def _write_table(writer: SheetWriter, found: Table, *, as_given: bool = False) -> None:
    """Write a table under one row of titles that stays in sight.

    A number is shown as its unit asks for, or as it was given.
    """
    heads = [_head(column) for column in found.columns]
    writer.write_wrapped(0, heads, [NUMBER_WIDTH] * len(heads), HEAD)
    for number, row in enumerate(found.rows, start=1):
        unit = row.get("unit")
        for place, column in enumerate(found.columns):
            shown = "" if as_given else column.unit or (unit if isinstance(unit, str) else "")
            writer.write(number, place, row.get(column.name), PLAIN, shown)
    writer.keep_head()
    writer.sheet.autofilter(0, 0, len(found.rows), len(found.columns) - 1)
