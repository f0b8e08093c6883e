"""An answer sheet that an office program opened and saved holds the same document.

LibreOffice is started without a window and asked to save the workbook anew.
"""

import os
import shutil
import subprocess

import openpyxl
import pytest

from service.reports.answer_sheet import read_workbook, template
from tests.reports.answer_sheets import HOSTILE, NAMES_OF_FARMS, farm

REQUIRED = "WINTERGROUND_REQUIRE_OFFICE"
NEEDED = "LibreOffice is needed: install libreoffice-calc, so that soffice is on the path."
LONGEST = 240
"""Seconds that all conversions together may take on a busy machine."""

ODD = "odd"


def odd_farm():
    """Return the demo farm with hostile names, empty parts and many digits."""
    document = farm("demo")
    for number, text in enumerate(HOSTILE):
        document["herd"][f"g{number}"] = {"title": text, "animal": "ewe", "head": 1}
    document["supplement"] = None
    document["machines"]["spreader"] = {}
    document["winter"]["rows"][2]["spells"] = {"frozen": [], "wet": [3, 7, 12.5]}
    document["systems"]["lot_open_rings"]["structures"] = {}
    document["hay"]["price_per_ton"] = 98.123456789012
    return document


@pytest.fixture(scope="module")
def saved(tmp_path_factory):
    """Return the answer sheets of all farms, each opened and saved by an office program."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(NEEDED)
        pytest.skip(NEEDED)
    before, after, home = (tmp_path_factory.mktemp(name) for name in ("before", "after", "home"))
    documents = {name: farm(name) for name in NAMES_OF_FARMS} | {ODD: odd_farm()}
    for name, document in documents.items():
        (before / f"{name}.xlsx").write_bytes(template(document))
    done = subprocess.run(  # noqa: S603 - our own files
        [
            program,
            "--headless",
            f"-env:UserInstallation={home.as_uri()}",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(after),
            *(str(before / f"{name}.xlsx") for name in documents),
        ],
        capture_output=True,
        text=True,
        timeout=LONGEST,
        check=False,
    )
    paths = {name: after / f"{name}.xlsx" for name in documents}
    assert all(path.exists() for path in paths.values()), done.stdout + done.stderr
    return paths


@pytest.mark.parametrize("name", [*NAMES_OF_FARMS, ODD])
def test_a_workbook_saved_by_an_office_program_is_read_as_it_was(saved, name):
    document = odd_farm() if name == ODD else farm(name)
    read, places = read_workbook(saved[name].read_bytes())
    assert read == document
    assert list(read["systems"]) == list(document["systems"])
    assert places["herd.cows.head"] == "Herd!D6"


def test_numbers_are_numbers_and_nothing_is_a_formula(saved):
    book = openpyxl.load_workbook(saved[ODD])
    assert book["Herd"]["D6"].value == 62
    assert book["Herd"]["D6"].data_type == "n"
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell.coordinate for cell in cells if cell.data_type == "f"]
