"""What an office suite makes of the tables and the workbook: numbers, names, and no formulas.

LibreOffice is started without a window and asked to turn one kind of file into the other.
"""

import csv
import io
import os
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

from service.reports.results_workbook.workbook import workbook_of
from service.reports.tables.costing_tables import table
from service.web.tables import table as as_csv
from tests.reports.table_bodies import ABOUT, FORMULA, HOSTILE, hostile_body

REQUIRED = "WINTERGROUND_REQUIRE_OFFICE"
NEEDED = "LibreOffice is needed: install libreoffice-calc, so that soffice is on the path."
LONGEST = 240
"""Seconds that a conversion may take on a busy machine."""

ALL_SHEETS = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,true,false,false,false,false,-1"
"""Commas, UTF-8, text in quotes, numbers as they are kept, every sheet to a file of its own."""

DIGITS = 1e-14
"""Fifteen digits are kept (ISO/IEC 29500-1)."""


@pytest.fixture(scope="module")
def office(tmp_path_factory):
    """Return a function that converts a file, or skip where there is no office suite."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(NEEDED)
        pytest.skip(NEEDED)
    home = tmp_path_factory.mktemp("office")

    def convert(source: Path, to: str, *more: str) -> Path:
        folder = tmp_path_factory.mktemp("converted")
        command = [
            program,
            "--headless",
            f"-env:UserInstallation={home.as_uri()}",
            *more,
            "--convert-to",
            to,
            "--outdir",
            str(folder),
            str(source),
        ]
        done = subprocess.run(  # noqa: S603 - our own files
            command, capture_output=True, text=True, timeout=LONGEST, check=False
        )
        assert any(folder.iterdir()), done.stdout + done.stderr
        return folder

    return convert


@pytest.fixture(scope="module")
def sheets(office, tmp_path_factory):
    """Return the rows of each sheet of a hostile workbook, as the office suite reads them."""
    source = tmp_path_factory.mktemp("written") / "results.xlsx"
    source.write_bytes(workbook_of(hostile_body(), ABOUT | {"external_id": FORMULA}))
    folder = office(source, ALL_SHEETS)
    return {
        path.stem.partition("-")[2]: list(csv.reader(io.StringIO(path.read_text("utf-8"))))
        for path in folder.iterdir()
    }


def test_numbers_of_the_workbook_are_numbers(sheets):
    body = hostile_body()
    head, *rows = sheets["Lines"]
    there = table("lines", body, ABOUT).rows
    place = head.index("Value")
    assert [float(row[place]) for row in rows] == [
        pytest.approx(row["value"], rel=DIGITS) for row in there
    ]
    head, *rows = sheets["Cash flow"]
    flows = [float(value) for row in rows for value in row[head.index("Year 0") :]]
    assert flows == [
        pytest.approx(row["value"], rel=DIGITS) for row in table("cash_flow", body, ABOUT).rows
    ]


def test_no_text_of_the_workbook_was_worked_out(sheets):
    titles = {row[1] for row in sheets["Lines"][1:]}
    assert {title for title in HOSTILE if title.isprintable()} <= titles
    assert len(titles) == len(HOSTILE)
    assert sheets["Summary"][0][0] == FORMULA
    assert sheets["By winter"][2][0] == FORMULA
    errors = ("#NAME?", "#REF!", "#VALUE!", "Err:")
    cells = [cell for rows in sheets.values() for row in rows for cell in row]
    assert not [cell for cell in cells if cell.startswith(errors)]


def test_names_survive_being_saved_by_the_office_suite(office, tmp_path):
    body = hostile_body()
    source = tmp_path / "results.xlsx"
    source.write_bytes(workbook_of(body, ABOUT))
    book = openpyxl.load_workbook(office(source, "xlsx") / "results.xlsx")
    for system in body["systems"]:
        name = book.defined_names[f"annual_equivalent_cost_{system['system']}"]
        ((sheet, place),) = name.destinations
        value = book[sheet][place.replace("$", "")].value
        assert value == pytest.approx(system["annual_equivalent_cost"], rel=DIGITS)
    assert not any(cell.data_type == "f" for row in book["Lines"].iter_rows() for cell in row)
    assert len(book["Summary"]._charts) == 2  # noqa: SLF001 - no other way to count them


def test_csv_opens_with_numbers_and_no_formula(office, tmp_path):
    body = hostile_body()
    found = table("lines", body, ABOUT | {"external_id": FORMULA})
    source = tmp_path / "lines.csv"
    source.write_bytes(as_csv(found.names, found.rows))
    folder = office(source, "xlsx", "--infilter=CSV:44,34,76,1")
    sheet = openpyxl.load_workbook(folder / "lines.xlsx").active
    head, *rows = sheet.iter_rows()
    names = [cell.value for cell in head]
    assert names == found.names
    assert len(rows) == len(found.rows)
    for row, there in zip(rows, found.rows, strict=True):
        cells = dict(zip(names, row, strict=True))
        assert not any(cell.data_type == "f" for cell in row)
        assert cells["value"].data_type == "n"
        assert cells["value"].value == pytest.approx(there["value"], rel=DIGITS)
        assert cells["external_id"].value == f"'{FORMULA}"
