"""Recipes for spreadsheets against a real server: what each asks for, and what comes of it.

What LibreOffice can work out is worked out there, from the recipes as they stand. Of the programs
that cannot be run here, the requests are sent as the recipes write them.
"""

import csv
import os
import re
import tempfile
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import httpx
import openpyxl
import pytest

from service.web.openapi import EXAMPLES
from tests.examples.office_program import office_program, sheets_of

OFFICE = EXAMPLES / "office"
SERVICE = "http://127.0.0.1:8000"
REQUIRED = "WINTERGROUND_REQUIRE_OFFICE"
NEEDED = "LibreOffice is needed: install libreoffice-calc, so that soffice is on the path."
CELL = re.compile(r"^\| ([A-Z]+\d+) \| `(.*)` \|$", re.MULTILINE)
NEWER = {"WEBSERVICE": "_xlfn.WEBSERVICE", "NUMBERVALUE": "_xlfn.NUMBERVALUE"}
"""How a file names functions that are newer than its format (ISO/IEC 29500, [MS-XLSX] 2.2.2)."""

DIGITS = 1e-14
"""Fifteen digits are sent."""


@pytest.fixture(scope="module")
def office():
    """Skip where there is no office suite, and fail where there should be one."""
    if office_program() is None:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(NEEDED)
        pytest.skip(NEEDED)


@pytest.fixture
def apart():
    """Return a folder that goes at once: the files in it hold a token."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


@pytest.fixture(scope="module")
def costing(service):
    """Return the costing of the farm that is kept, as JSON, its systems by key."""
    shown = {"Authorization": f"Bearer {service.key}"}
    address = f"{service.address}/v1/scenarios/{service.scenario}/costing"
    return httpx.get(address, headers=shown).raise_for_status().json()


def filled(recipe, service):
    """Return the text of a recipe with its three places filled in."""
    text = (OFFICE / recipe).read_text("utf-8")
    places = {SERVICE: service.address, "SCENARIO_ID": service.scenario}
    for name, value in (places | {"READ_TOKEN": service.read_token}).items():
        assert name in text
        text = text.replace(name, value)
    return text


def best_of(costing):
    return next(one for one in costing["systems"] if one["system"] == costing["best_system"])


@pytest.mark.usefixtures("office")
def test_the_file_for_libreoffice_shows_one_number_and_a_table(service, costing, apart):
    file = apart / "costs.fods"
    file.write_text(filled("costs.fods", service), "utf-8")
    sheets = sheets_of(file)
    rows = sheets["Costs"]
    expected = best_of(costing)["annual_equivalent_cost"]
    assert float(rows[9][1]) == pytest.approx(expected, rel=DIGITS)
    assert sheets["Figures"][0][6:9] == ["system", "system_title", "rank"]
    assert rows[12][0] == "system"
    figures = rows[12][1:6]
    for row, system in zip(rows[13:], costing["systems"], strict=False):
        assert row[0] == system["system"]
        quantities = system["quantities"]
        there = {
            "rank": system["rank"],
            "annual_equivalent_cost": system["annual_equivalent_cost"],
            "out_of_pocket": system["out_of_pocket"],
            "quantities.bales.short_mean": quantities["bales"]["short_mean"],
            "quantities.acres_damaged.severe": quantities["acres_damaged"]["severe"],
        }
        assert list(there) == figures
        for name, cell in zip(figures, row[1:6], strict=True):
            assert float(cell) == pytest.approx(there[name], rel=DIGITS)
    assert not "".join(rows[13 + len(costing["systems"])])


@pytest.mark.usefixtures("office")
def test_the_file_for_libreoffice_tries_another_price_and_says_what_is_wrong(
    service, costing, apart
):
    text = filled("costs.fods", service)
    empty = "<text:p>Hay price to try, or nothing</text:p></table:table-cell><table:table-cell/>"
    assert empty in text
    price = '<table:table-cell office:value-type="string"><text:p>131,0</text:p></table:table-cell>'
    text = text.replace(empty, empty.replace("<table:table-cell/>", price))
    file = apart / "dear_hay.fods"
    file.write_text(text, "utf-8")
    dear = sheets_of(file)["Costs"][9][1]
    query = {"scenario": service.scenario, "system": "best", "set.hay.price_per_ton": "131"}
    shown = {"Authorization": f"Bearer {service.key}"}
    address = f"{service.address}/v1/cell/annual_equivalent_cost"
    alone = httpx.get(address, params=query, headers=shown)
    assert float(dear) == pytest.approx(float(alone.text), rel=DIGITS)
    assert float(dear) > best_of(costing)["annual_equivalent_cost"]


@pytest.mark.usefixtures("office")
def test_a_mistyped_figure_is_said_in_a_sentence(service, apart):
    text = filled("costs.fods", service)
    named = "<text:p>Figure</text:p></table:table-cell>"
    before, found, after = text.partition(named)
    assert found
    file = apart / "mistyped.fods"
    mistyped = after.replace("annual_equivalent_cost", "annual_equivalent_cots", 1)
    file.write_text(before + found + mistyped, "utf-8")
    assert "annual_equivalent_cost" in sheets_of(file)["Costs"][9][1]


def cells_of(recipe, service):
    """Return the cells of a recipe in Markdown, by place."""
    cells = dict(CELL.findall(filled(recipe, service)))
    assert cells
    return cells


def as_file_has_it(cell):
    for name, newer in NEWER.items():
        cell = re.sub(rf"\b{name}\(", f"{newer}(", cell)
    return cell


@pytest.mark.usefixtures("office")
def test_the_formulas_for_excel_work_where_they_can_be_tried(service, costing, apart):
    cells = cells_of("excel_formulas.md", service)
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Costs"
    for place, cell in cells.items():
        sheet[place] = as_file_has_it(cell)
    figures = book.create_sheet("Figures")
    for row in csv.reader(figures_as_csv(service).splitlines()):
        figures.append([number_or_text(cell) for cell in row])
    file = apart / "costs.xlsx"
    book.save(file)
    rows = sheets_of(file)["Costs"]
    best = best_of(costing)
    today = next(one for one in costing["systems"] if one["system"] == "today")
    assert float(rows[6][1]) == pytest.approx(best["annual_equivalent_cost"], rel=DIGITS)
    assert float(rows[9][1]) > float(rows[6][1])
    assert float(rows[1][4]) == pytest.approx(today["out_of_pocket"], rel=DIGITS)


def figures_as_csv(service):
    query = {"table": "figures", "token": service.read_token}
    address = f"{service.address}/v1/scenarios/{service.scenario}/costing.csv"
    return httpx.get(address, params=query).raise_for_status().text


def number_or_text(cell):
    try:
        return float(cell)
    except ValueError:
        return cell


def test_the_addresses_for_google_sheets_answer_to_whoever_has_them(service, costing):
    text = filled("google_sheets.md", service)
    table, cell = re.findall(r'IMPORTDATA\("([^"]+)"', text)
    answer = httpx.get(table)
    assert answer.headers["Content-Type"].startswith("text/csv")
    rows = list(csv.DictReader(answer.text.splitlines()))
    # Google Sheets takes the query of an address as it stands: nothing in it may need escaping.
    assert parse_qs(urlsplit(table).query, strict_parsing=True)["table"] == ["figures"]
    assert [row["system"] for row in rows] == [one["system"] for one in costing["systems"]]
    expected = best_of(costing)["annual_equivalent_cost"]
    assert float(httpx.get(cell).text) == pytest.approx(expected, rel=DIGITS)
    excel = cells_of("excel_formulas.md", service)
    assert cells_of("google_sheets.md", service)["E2"] == excel["E2"]


def test_the_request_of_the_power_query_is_answered_with_records(service, costing):
    text = filled("power_query.pq", service)
    bound = dict(re.findall(r'^    (\w+) = "([^"]*)",$', text, re.MULTILINE))
    assert bound["Service"] == service.address
    written = re.search(r"RelativePath = (.*),$", text, re.MULTILINE)[1]
    parts = [part.strip('"') if '"' in part else bound[part] for part in written.split(" & ")]
    assert "Query = [table = TableName]" in text
    assert '[Authorization = "Bearer " & Token' in text
    answer = httpx.get(
        f"{bound['Service']}/{''.join(parts)}",
        params={"table": bound["TableName"]},
        headers={"Authorization": f"Bearer {bound['Token']}", "Accept": "application/json"},
    )
    records = answer.raise_for_status().json()
    assert len(records) == len(costing["systems"])
    names = list(records[0])
    assert all(list(record) == names for record in records)
    for record, system in zip(records, costing["systems"], strict=True):
        assert record["annual_equivalent_cost"] == system["annual_equivalent_cost"]


@pytest.mark.parametrize(
    "recipe", ["README.md", "excel_formulas.md", "google_sheets.md", "libreoffice.md"]
)
def test_every_recipe_says_who_sees_the_token_and_what_was_tried(recipe):
    text = " ".join((OFFICE / recipe).read_text("utf-8").split())
    assert re.search(r"token in (an|the) address|hold the token|token stands in the address", text)
    assert "read link" in text
    assert "roxies" in text
    assert re.search(r"not tried here|Tried here", text)
    assert "wo hundred" in text


def test_an_office_key_is_refused_in_an_address(service):
    query = {"table": "figures", "token": service.key}
    address = f"{service.address}/v1/scenarios/{service.scenario}/costing.csv"
    assert httpx.get(address, params=query).status_code in {401, 404}
