"""What the answer sheet shows and checks while it is filled in, read with another library."""

import io
import zipfile

import openpyxl
import pytest

from service.costing.input_catalog import inputs
from service.costing.reference.table import load_edition, newest_edition
from service.reports.answer_sheet import About, csv_of, read_workbook, template
from service.reports.answer_sheet.addresses import UnknownAddressError
from tests.reports.answer_sheets import HOSTILE, farm, filled

SHEETS = (
    "Read me",
    "Farm",
    "Herd",
    "Fields",
    "Machines",
    "Winters",
    "Systems",
    "Plan",
    "Structures",
)


@pytest.fixture(scope="module")
def book():
    return openpyxl.load_workbook(io.BytesIO(filled()))


@pytest.fixture(scope="module")
def empty():
    return openpyxl.load_workbook(io.BytesIO(template()))


def rule_on(sheet, cell):
    """Return the rule that a spreadsheet checks in a cell."""
    return next(
        (rule for rule in sheet.data_validations.dataValidation if cell in rule.sqref), None
    )


def row_of(sheet, path):
    return next(cell.row for cell in sheet["A"] if cell.value == path)


def test_sheets_stand_in_the_order_of_the_work(book):
    assert tuple(book.sheetnames[:9]) == SHEETS
    assert book.sheetnames[-1] == "Assumptions"
    assert all(sheet.sheet_state == "visible" for sheet in book)


def test_the_first_sheet_says_what_it_is_and_whose():
    data = template(farm("demo"), About("sc_01", 4))
    first = openpyxl.load_workbook(io.BytesIO(data))["Read me"]
    assert [first[f"B{row}"].value for row in range(2, 6)] == ["scenario/1", "sc_01", "4", "2026.1"]


def test_names_stand_in_row_5_and_data_from_row_6(book, empty):
    assert [cell.value for cell in book["Herd"][5]][:5] == [
        "key",
        "title",
        "animal",
        "head",
        "body_weight_lb",
    ]
    assert book["Herd"]["D6"].value == 62
    assert book["Herd"]["D4"].value == "Head"
    assert book["Herd"]["E3"].value == "lb/head"
    assert empty["Herd"]["D5"].value == "head"
    assert empty["Herd"]["D6"].value is None


def test_ranges_are_checked_while_typing(book):
    rule = rule_on(book["Herd"], "D6")
    assert (rule.type, rule.formula1, rule.formula2) == ("decimal", "1", "20000")
    assert rule.operator in {None, "between"}  # it is what is meant where none is named
    assert "at least 1, at most 20,000" in rule.error
    assert rule_on(book["Herd"], "D300") is rule
    years = rule_on(book["Farm"], f"C{row_of(book['Farm'], 'finance.horizon_years')}")
    assert years.type == "whole"
    waste = rule_on(book["Assumptions"], f"B{row_of(book['Assumptions'], 'hay_waste.ring_open')}")
    assert (waste.type, waste.formula1, waste.formula2) == ("decimal", "0", "0.9")


def test_words_are_chosen_from_a_list(book):
    storage = rule_on(book["Farm"], f"C{row_of(book['Farm'], 'hay.storage')}")
    assert storage.type == "list"
    words = next(one.choices for one in inputs() if one.path == "hay.storage")
    assert storage.formula1 == f'"{",".join(words)}"'
    assert rule_on(book["Machines"], "C6").formula1 == '"yes,no"'
    assert rule_on(book["Plan"], "A6").formula1 == "'Systems'!$A$6:$A$500"
    assert rule_on(book["Plan"], "K6").formula1 == "'Fields'!$A$6:$A$500"


def test_cells_to_fill_in_are_open_and_all_others_locked(book):
    for sheet in book:
        assert sheet.protection.sheet
        assert sheet.protection.password is None
    for cell in ("A6", "D6", "H6"):
        assert not book["Herd"][cell].protection.locked
    for cell in ("A1", "D4", "D5"):
        assert book["Herd"][cell].protection.locked
    assert book["Farm"]["A6"].protection.locked
    assert not book["Farm"]["C6"].protection.locked
    assert not book["Farm"]["D6"].protection.locked
    assert book["Farm"]["E6"].protection.locked


def test_days_and_keys_are_text_so_that_no_program_makes_dates_of_them(book):
    assert book["Herd"]["F6"].number_format == "@"
    assert book["Herd"]["F6"].value == "03-12"
    assert book["Winters"]["A6"].number_format == "@"
    assert book["Winters"].column_dimensions["A"].number_format == "@"


def test_usual_values_stand_beside_with_where_they_are_from(book, empty):
    row = row_of(book["Farm"], "hay.price_per_ton")
    names = {cell.value: cell.column_letter for cell in book["Farm"][5]}
    assert book["Farm"][f"{names['usual_low']}{row}"].value == pytest.approx(98 * 0.75)
    assert book["Farm"][f"{names['usual_high']}{row}"].value == pytest.approx(98 * 1.5)
    assert book["Farm"][f"{names['source']}{row}"].value
    assert "0.75 to 1.5 times" in empty["Farm"][f"{names['meaning']}{row}"].value
    assert book["Farm"][f"D{row}"].value == "USD/ton"
    assert empty["Farm"][f"D{row}"].value == "currency/ton"


def test_every_reference_value_has_a_row_with_its_range_and_source(book):
    edition = load_edition(newest_edition())
    sheet = book["Assumptions"]
    rows = {row[0].value: [cell.value for cell in row] for row in sheet.iter_rows(min_row=6)}
    assert list(rows) == list(edition.rows)
    for key, row in edition.rows.items():
        assert (rows[key][3], rows[key][4], rows[key][5]) == (row.low, row.usual, row.high)
        assert edition.sources[row.source].in_words in rows[key][7]
        assert ("from memory, not checked" in rows[key][7]) == row.unverified


def test_titles_have_notes(book):
    assert "Live weight" in book["Herd"]["E4"].value
    assert "Takes at least" in book["Herd"]["E4"].comment.text
    plan = {cell.value: cell.column_letter for cell in book["Plan"][5]}
    assert "Only for bale_grazing" in book["Plan"][f"{plan['spacing_ft']}4"].comment.text
    assert book["Plan"][f"{plan['structure']}4"].value == "Structure"


def test_the_same_document_gives_the_same_bytes():
    assert template(farm("demo")) == template(farm("demo"))


def test_free_text_never_becomes_a_formula():
    document = farm("demo")
    for number, text in enumerate(HOSTILE):
        document["herd"][f"g{number}"] = {"title": text}
    data = template(document)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheets = [name for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
        assert not any(b"<f>" in archive.read(name) for name in sheets)
    for line in csv_of(document).splitlines():
        for cell in line.split(","):
            assert not cell.lstrip('" ').startswith(("=", "+", "@"))
    assert read_workbook(data)[0] == document


@pytest.mark.parametrize("write", [template, csv_of])
def test_what_no_scenario_has_is_not_left_out_in_silence(write):
    with pytest.raises(UnknownAddressError, match=r"did you mean herd\.cows\.head"):
        write({"herd": {"cows": {"haed": 3}}})
    with pytest.raises(UnknownAddressError):
        write({"name": {"a": 1}})


def test_a_text_longer_than_a_cell_is_not_cut():
    with pytest.raises(ValueError, match="longer than a cell"):
        template({"name": "x" * 40_000})
