"""Text to rows of cells, with the line that each row stands on.

The text comes from strangers: its length, its lines and its cells are bounded before anything is
made of them.
"""

import csv
from dataclasses import dataclass
from io import StringIO
from operator import itemgetter

from service.costing.errors import Fault
from service.weather.findings import Findings

LONGEST_TEXT = 10_000_000
MOST_LINES = 400_000
MOST_COLUMNS = 500
LONGEST_FIRST_LINE = 20_000


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of one width."""

    header: tuple[str, ...]
    """Names of the columns in lower case."""
    rows: list[list[str]]
    lines: list[int]
    """Line of the text on which each row ends."""

    def column(self, name: str) -> list[str] | None:
        """Return the cells of a column, or None where there is none of that name."""
        if name not in self.header:
            return None
        return list(map(itemgetter(self.header.index(name)), self.rows))


def table_of(text: str, usual_header: tuple[str, ...], findings: Findings) -> Table | None:
    """Return the table in a text, or None where it cannot be taken apart.

    Parameters
    ----------
    text : str
        The text.
    usual_header : tuple of str
        Names of the columns where the format has no header; empty where it must have one.
    findings : Findings
        Takes the faults.
    """
    body = text.removeprefix("\ufeff")
    fault = _fault_of_text(body)
    if fault is not None:
        findings.fault(fault)
        return None
    rows, lines = _rows(body, findings)
    header = usual_header
    if rows:
        names = tuple(cell.strip().lower() for cell in rows[0])
        if not usual_header or "date" in names or "element" in names:
            header = names
            del rows[0], lines[0]
    if len(header) > MOST_COLUMNS:
        detail = "The file has too many columns."
        allowed = f"at most {MOST_COLUMNS}"
        findings.fault(Fault("csv", detail, received=len(header), allowed=allowed))
        return None
    return _even(Table(header, rows, lines), findings)


def _fault_of_text(body: str) -> Fault | None:
    if not body.strip():
        return Fault("csv", "There is nothing in the file.", allowed="a header and one line a day")
    if len(body) > LONGEST_TEXT:
        return Fault(
            "csv",
            "The file is too long; send fewer years, or only the columns that are used.",
            received=len(body),
            allowed=f"at most {LONGEST_TEXT:,}",
            unit="character",
        )
    lines = max(body.count("\n"), body.count("\r")) + 1
    if lines > MOST_LINES:
        return Fault(
            "csv",
            "The file has too many lines; send fewer years, or only the elements that are used.",
            received=lines,
            allowed=f"at most {MOST_LINES:,}",
            unit="line",
        )
    first = _first_line(body)
    if ";" in first and "," not in first:
        return Fault(
            "csv",
            "Semicolons separate the columns, as in files with decimal commas. Save the file with "
            "commas between the columns and a point in numbers.",
            received=";",
            allowed=", or a tab between columns, . in numbers",
        )
    return None


def _first_line(body: str) -> str:
    start = body.lstrip()[:LONGEST_FIRST_LINE]
    return start.splitlines()[0]


def _rows(body: str, findings: Findings) -> tuple[list[list[str]], list[int]]:
    """Return rows that are not blank, and the line that each ends on."""
    first = _first_line(body)
    separator = "\t" if "\t" in first and "," not in first else ","
    reader = csv.reader(StringIO(body, newline=None), delimiter=separator)
    rows: list[list[str]] = []
    lines: list[int] = []
    try:
        for row in reader:
            if any(row):
                rows.append(row)
                lines.append(reader.line_num)
    except csv.Error:
        detail = "The line holds a cell that is too long; a quotation mark may be left open."
        findings.fault_of_line(reader.line_num, detail, allowed="cells of a few letters")
    return rows, lines


def _even(table: Table, findings: Findings) -> Table:
    """Return the table without the rows that have too few cells, or too many."""
    width = len(table.header)
    odd = [
        at
        for at, row in enumerate(table.rows)
        if len(row) != width and (len(row) < width or any(row[width:]))
    ]
    if not odd:
        return table
    for at in findings.with_room(odd):
        findings.fault_of_line(
            table.lines[at],
            f"The line has {len(table.rows[at])} cells where there are {width} columns.",
            received=len(table.rows[at]),
            allowed=f"{width} cells",
        )
    left_out = set(odd)
    kept = [at for at in range(len(table.rows)) if at not in left_out]
    return Table(table.header, [table.rows[at] for at in kept], [table.lines[at] for at in kept])
