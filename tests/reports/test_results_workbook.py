"""Whether the workbook of results says what the costing says, read back by another library."""

import io
import re
import zipfile
from datetime import datetime, timedelta, timezone
from functools import cache
from xml.etree import ElementTree as ET

import openpyxl
import pytest

from service.costing.lines import GROUPS, LINES
from service.demo import demo_document
from service.reports.results_workbook.key_figures import KEY_FIGURES, key_figures
from service.reports.results_workbook.workbook import workbook_of
from service.reports.tables.costing_tables import table
from tests.reports.table_bodies import (
    ABOUT,
    FORMULA,
    HOSTILE,
    LONG,
    MARKUP,
    UNSAVED,
    body_of,
    demo_body,
    hostile_body,
)

SHEETS = [
    "Summary",
    "Lines",
    "Cash flow",
    "Figures",
    "By winter",
    "Ground days",
    "Inputs used",
    "How computed",
    "Cautions",
]
DIGITS = 1e-15
"""A spreadsheet keeps fifteen digits (ISO/IEC 29500-1)."""


@cache
def demo_bytes():
    return workbook_of(demo_body(), ABOUT)


@cache
def hostile_bytes():
    return workbook_of(hostile_body(), ABOUT | {"external_id": FORMULA})


def opened(content):
    return openpyxl.load_workbook(io.BytesIO(content))


@pytest.fixture(scope="module")
def book():
    return opened(demo_bytes())


def rows_of(sheet, first=1):
    """Return the rows below the head as maps by the titles in it."""
    head, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(head, row, strict=True)) for row in rows[first - 1 :]]


def close(value):
    return pytest.approx(value, rel=DIGITS)


def test_the_sheets_stand_in_their_order_with_what_names_them_in_sight(book):
    assert book.sheetnames == SHEETS
    for sheet in book.worksheets:
        assert sheet.freeze_panes, sheet.title
        assert sheet.column_dimensions["A"].width > 10


def test_lines_have_their_kinds(book):
    body = demo_body()
    rows = rows_of(book["Lines"])
    there = table("lines", body, ABOUT).rows
    assert len(rows) == len(there)
    for row, line in zip(rows, there, strict=True):
        assert (row["System"], row["Line"]) == (line["system"], line["line"])
        assert row["Value"] == close(line["value"])
        assert row["Paid [USD/year]"] == close(line["paid"])
        assert row["Group"] == GROUPS[line["group"]]


def test_the_cash_flow_has_a_column_for_each_year(book):
    found = {
        (row["System"], row["Line"], int(title.removeprefix("Year "))): value
        for row in rows_of(book["Cash flow"])
        for title, value in row.items()
        if title.startswith("Year ")
    }
    there = table("cash_flow", demo_body(), ABOUT).rows
    assert found == {
        (row["system"], row["line"], row["year"]): close(row["value"]) for row in there
    }


def test_figures_have_a_row_each_and_a_column_for_each_system(book):
    body = demo_body()
    titles = {system["system"]: system["title"] for system in body["systems"]}
    rows = {row["Figure"]: row for row in rows_of(book["Figures"], first=2)}
    wide = table("figures", body, ABOUT)
    figures = wide.names[8:]
    assert set(rows) == set(figures)
    whole = ("best_system", "winter.", "trampling_scale")
    for there in wide.rows:
        for figure in figures:
            title = "All systems" if figure.startswith(whole) else titles[there["system"]]
            value = there[figure]
            expected = close(value) if isinstance(value, float) else value
            assert rows[figure][title] == expected, figure


def test_winters_have_a_row_each(book):
    body = demo_body()
    rows = rows_of(book["By winter"], first=2)
    assert len(rows) == body["winter"]["winters"]
    for number, row in enumerate(rows):
        for system in body["systems"]:
            winter_of = system["by_winter"][number]
            assert row["Winter"] == winter_of["season"]
            assert row[system["title"]] == close(winter_of["annual_equivalent_cost"])


def test_days_and_inputs_are_those_of_the_tables(book):
    days = [row["Days served [day]"] for row in rows_of(book["Ground days"])]
    there = [row["days"] for row in table("ground_days", demo_body(), ABOUT).rows]
    assert days == [close(value) for value in there]
    rows = rows_of(book["Inputs used"])
    inputs = table("inputs", demo_body(), ABOUT).rows
    assert len(rows) == len(inputs)
    for row, known in zip(rows, inputs, strict=True):
        assert row["Input"] == known["input"]
        value = known["value"]
        assert row["Value"] == (close(value) if type(value) is float else value)
        assert isinstance(row["Value"], str) is isinstance(value, str)
        assert row["Where it is from"] == known["origin"]
        assert row["Source of the reference value"] == known.get("source")
        assert row["High"] == known.get("high")


def cell_of(book, name):
    """Return the one cell that a name stands for."""
    ((sheet, place),) = book.defined_names[name].destinations
    return book[sheet][place.replace("$", "")]


def test_key_figures_have_names_that_lead_to_their_values(book):
    body = demo_body()
    assert cell_of(book, "best_system").value == body["best_system"]
    assert cell_of(book, "winter_days").value == close(body["winter"]["days"])
    systems = {system["system"]: system for system in body["systems"]}
    for key, system in systems.items():
        for name in ("annual_equivalent_cost", "out_of_pocket", "first_cost", "rank"):
            assert cell_of(book, f"{name}_{key}").value == close(system[name])
        acres = sum(system["quantities"]["acres_damaged"].values())
        assert cell_of(book, f"acres_damaged_{key}").value == close(acres)
        hours = system["quantities"]["labor_hours"]
        assert cell_of(book, f"labor_hours_{key}").value == close(hours)
    best = systems[body["best_system"]]["annual_equivalent_cost"]
    base = systems[body["comparison"]["baseline"]]["annual_equivalent_cost"]
    assert cell_of(book, "annual_equivalent_cost_best").value == close(best)
    assert cell_of(book, "annual_equivalent_cost_baseline").value == close(base)
    present = sum(1 for _ in key_figures(body))
    of_systems = [name for name in book.defined_names if name not in {"best_system", "winter_days"}]
    assert len(of_systems) == present * (len(systems) + 2)


def test_names_are_such_as_a_workbook_may_have(book):
    """ISO/IEC 29500-1, 18.2.5 (from memory): a letter first, at most 255 characters, no address."""
    assert len(book.defined_names) > 100
    for name in book.defined_names:
        assert re.fullmatch(r"[a-z][a-z0-9_]{0,254}", name)
        assert not re.fullmatch(r"[a-z]{1,3}[0-9]+|r[0-9]*c?[0-9]*", name)


def test_no_two_key_figures_can_come_to_the_same_name():
    names = [figure.name for figure in KEY_FIGURES]
    assert len(set(names)) == len(names)
    for name in names:
        assert not any(other.startswith(f"{name}_") for other in names)


def test_money_is_shown_whole_and_kept_to_the_cent_and_beyond(book):
    body = demo_body()
    cell = cell_of(book, f"annual_equivalent_cost_{body['best_system']}")
    assert cell.number_format == "#,##0"
    assert cell.value != round(cell.value)
    assert cell_of(book, "cost_per_ton_dm_eaten_best").number_format == "#,##0.00"
    assert cell_of(book, "hay_bought_ton_best").number_format == "#,##0.0"
    assert cell_of(book, "rank_best").number_format == "General"


def test_the_summary_says_whose_costing_it_is(book):
    said = {row[0]: row[1] for row in book["Summary"].iter_rows(max_col=2, values_only=True)}
    body = demo_body()
    assert body["inputs_used"]["name"] in said
    assert (said["Scenario"], said["Revision"], said["External id"]) == ("sc_01", 3, "0417")
    assert said["Reference edition"] == "2026.1"
    assert said["Content key"] == body["content_key"]
    assert any("not an engineering design" in str(text) for text in said)
    unsaved = opened(workbook_of(demo_body(), UNSAVED))["Summary"]
    said = {row[0]: row[1] for row in unsaved.iter_rows(max_col=2, values_only=True)}
    assert (said["Scenario"], said["Revision"]) == ("not stored", None)


def test_every_line_says_what_it_is_and_how_it_is_worked(book):
    rows = rows_of(book["How computed"])
    for line in LINES.values():
        own = [row for row in rows if row["Line"] == line.title]
        assert own[0]["What it is"] == line.meaning
        assert all(row["Worked"] and row["As"] for row in own)


def test_each_caution_stands_once_with_its_systems_the_musts_first(book):
    body = demo_body()
    rows = rows_of(book["Cautions"])
    for system in body["systems"]:
        for caution in system["cautions"]:
            (row,) = [
                row
                for row in rows
                if row["What to mind"] == caution["sentence"]
                and row["Brought up by"] == caution["trigger"]
            ]
            assert row["Kind"].lower() == caution["rank"]
            assert system["title"] in row["Systems"].split("; ")
            assert row["Source"]
        for member in ("shortfalls", "warnings", "notes"):
            for said in system[member]:
                assert any(said["sentence"] == row["What to mind"] for row in rows)
    kinds = [row["Kind"] for row in rows]
    assert kinds == sorted(kinds, key=["Must", "Should", *dict.fromkeys(kinds)].index)


def test_nothing_that_people_wrote_becomes_a_formula_a_link_or_a_number():
    book = opened(hostile_bytes())
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f", cell.coordinate
                assert cell.hyperlink is None
    with zipfile.ZipFile(io.BytesIO(hostile_bytes())) as files:
        for name in files.namelist():
            text = files.read(name).decode()
            assert "<f>" not in re.sub(r"<c:f>.*?</c:f>", "", text)
            assert "TargetMode" not in text, name
    written = {str(cell.value) for cell in book["Lines"]["B"][1:]}
    assert len(written) == len(HOSTILE)
    assert {FORMULA, LONG} <= written
    assert book["By winter"]["A3"].value == FORMULA
    assert book["By winter"]["A3"].quotePrefix
    assert book["Summary"]["A1"].value == FORMULA


def test_every_part_of_a_hostile_workbook_is_well_formed():
    with zipfile.ZipFile(io.BytesIO(hostile_bytes())) as files:
        assert files.testzip() is None
        for name in files.namelist():
            ET.fromstring(files.read(name))  # noqa: S314 - our own bytes
        shared = files.read("xl/sharedStrings.xml").decode()
    assert "<script>" not in shared
    assert "\x01" not in shared
    assert MARKUP.startswith("<script>")


def test_what_is_said_of_the_inputs_stands_among_the_cautions():
    document = demo_document()
    document["assumptions"]["hay_waste.ring_open"] = 0.6
    body = body_of(document) | {"check_first": []}
    book = opened(workbook_of(body, UNSAVED))
    (row,) = [row for row in rows_of(book["Cautions"]) if row["Systems"] == "All"]
    assert row["Kind"] == "Unusual"
    assert row["What to mind"].startswith("hay_waste.ring_open is 0.6; the usual range is")
    assert not any("Check first" in str(cell.value) for cell in book["Summary"]["A"])


def test_the_same_costing_makes_the_same_bytes():
    first = demo_bytes()
    assert workbook_of(demo_body(), ABOUT) == first
    with zipfile.ZipFile(io.BytesIO(first)) as files:
        assert {item.date_time for item in files.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    assert opened(first).properties.created == datetime(1980, 1, 1)  # noqa: DTZ001 - UTC is meant


def test_a_stored_costing_tells_when_it_was_made():
    at = datetime(2026, 11, 25, 10, 2, 11, tzinfo=timezone(timedelta(hours=-5)))
    made = opened(workbook_of(demo_body(), ABOUT | {"created_at": at})).properties.created
    assert made == datetime(2026, 11, 25, 15, 2, 11)  # noqa: DTZ001 - UTC is meant
