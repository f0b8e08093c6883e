"""Whatever is wrong in a workbook is told at once, with sheet and cell, and nothing is taken."""

import re
from datetime import datetime

import pytest

from service.costing.errors import Fault, InputError
from service.reports.answer_sheet import place_of, placed, read_csv, read_workbook, template
from service.web.reading import scenario_of
from tests.reports.answer_sheets import (
    cell_xml,
    farm,
    faults_of,
    repacked,
    says,
    sheet_part,
    spoilt,
    the_fault,
    with_cell,
)

HERD, PLAN, WINTERS = "Herd", "Plan", "Winters"


def column(workbook, sheet, name):
    """Return the letter of the column with a name."""
    return next(cell.column_letter for cell in workbook[sheet][5] if cell.value == name)


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "words"),
    [
        (HERD, "D6", "62", "a number formatted as text"),
        (HERD, "D6", "many", "a number belongs here"),
        (HERD, "D6", "92,5", "use a decimal point"),
        (HERD, "D6", True, "a number belongs here, and no yes or no"),
        (HERD, "D6", datetime(2026, 12, 1), "a number belongs here, and no date"),  # noqa: DTZ001 - as a sheet has it
        (HERD, "D6", "=1+1", "a formula without its result"),
        (HERD, "D6", "#REF!", "the formula gives #REF!"),
        (HERD, "E6", "590 m", "'m' is no unit of this; it is in lb/head"),
        (HERD, "F6", "Feb 30", "a day of the year belongs here, as 12-01 or Dec 1"),
        (HERD, "F6", "02-29", "29 February is not counted"),
        (HERD, "A7", "cows", "the key 'cows' stands in two rows .see Herd!A6"),
        (HERD, "A7", None, "this row has no key; give the group one"),
        (HERD, "E5", "body_wieght_lb", "there is no column 'body_wieght_lb'; did you mean"),
        (HERD, "K9", "remember", "column K has no name in row 5"),
        (PLAN, "A6", "lot_open_ring", "no system 'lot_open_ring'; did you mean lot_open_rings"),
        (PLAN, "A6", None, "does not say which system"),
        (PLAN, "B7", 1, "see Plan!A6"),
        (PLAN, "B7", "second", "number the steps of a system 1, 2, 3"),
        ("Structures", "A6", "elsewhere", "there is no system 'elsewhere'"),
        ("Systems", "D7", "x", "only one system can be the baseline"),
        ("Systems", "D7", "maybe", "with x"),
        ("Farm", "A6", "nmae", "there is no input 'nmae'; did you mean name"),
        ("Farm", "A6", "herd.cows.head", "has a cell on a sheet of its own"),
        ("Farm", "A6", "hay", "is not one value"),
        ("Farm", "A6", None, "without its input"),
        ("Farm", "A6", "currency", "is given more than once"),
        ("Farm", "D9", "kg", "'kg' is no unit of this"),
        (WINTERS, "S6", "three, four", "a number belongs here"),
        ("Assumptions", "B6", "205", "a number formatted as text"),
    ],
)
def test_a_fault_names_sheet_and_cell(sheet, cell, value, words):
    faults = faults_of(with_cell(sheet, cell, value))
    place = f"{sheet}!{cell}"
    named = [fault for fault in faults if words_in(fault, words)]
    assert named, faults
    if sheet == "Farm":
        place = named[0].cell
        assert place.startswith("Farm!")
    if (sheet, cell) == (PLAN, "B7") and value == 1:
        place = "Plan!A7"
    assert says(named[0], place)


def words_in(fault, words):
    """Whether a sentence has all the parts of another."""
    return all(part.strip() in fault.detail for part in words.split(" ."))


def test_a_formula_with_its_result_is_read():
    def change(parts):
        name = sheet_part(HERD)
        was = cell_xml(parts[name], "D6")
        now = re.sub(rb"<v>.*</v>", b"<f>31*2+8</f><v>70</v>", was)
        parts[name] = parts[name].replace(was, now)

    document, places = read_workbook(repacked(change))
    assert document["herd"]["cows"]["head"] == 70
    assert places["herd.cows.head"] == "Herd!D6"


def test_a_formula_that_results_in_no_text_is_an_empty_cell():
    def change(parts):
        name = sheet_part(HERD)
        was = cell_xml(parts[name], "H6")
        now = b'<c r="H6" t="str"><f>IF(1,"","")</f><v></v></c>'
        parts[name] = parts[name].replace(was, now)

    assert "stage" not in read_workbook(repacked(change))[0]["herd"]["cows"]


def test_a_number_too_large_for_any_is_a_fault():
    def change(parts):
        name = sheet_part(HERD)
        was = cell_xml(parts[name], "D6")
        parts[name] = parts[name].replace(was, re.sub(rb"<v>.*</v>", b"<v>1e999</v>", was))

    assert says(the_fault(repacked(change)), "Herd!D6", "no number that can be computed with")


def test_a_column_of_another_method_must_be_empty():
    def change(workbook):
        workbook[PLAN][f"{column(workbook, PLAN, 'spacing_ft')}6"] = 40

    fault = the_fault(spoilt(change))
    assert "spacing_ft is no input of sacrifice_lot, only of bale_grazing" in fault.detail
    assert fault.cell.startswith("Plan!")


def test_merged_cells_are_a_fault():
    def change(workbook):
        workbook[HERD].merge_cells("D6:D7")

    faults = faults_of(spoilt(change))
    assert says(faults[0], "Herd!D6:D7", "merged cells")


def test_a_hidden_sheet_is_a_fault():
    def change(workbook):
        workbook[HERD].sheet_state = "hidden"

    assert the_fault(spoilt(change)).detail.startswith("Sheet Herd: it is hidden")


def test_sheets_and_columns_that_lack_are_all_told_at_once():
    def change(workbook):
        del workbook["Margin"]
        workbook[HERD].delete_cols(4)
        workbook.create_sheet("Notes")
        workbook[PLAN]["A6"] = "nowhere"

    details = [fault.detail for fault in faults_of(spoilt(change))]
    for start in (
        "Sheet Margin: it is missing",
        "Sheet Notes: the template has no such sheet",
        "Sheet Herd: the column head is missing from row 5",
        "Sheet Plan, cell A6: there is no system 'nowhere'",
    ):
        assert any(detail.startswith(start) for detail in details), details


def test_notes_of_ones_own_are_left_alone():
    def change(workbook):
        workbook.create_sheet("_Notes")["A1"] = "ring the dealer"
        workbook["_Notes"].sheet_state = "hidden"
        workbook[HERD]["K5"] = "_remarks"
        workbook[HERD]["K6"] = "=A1"
        workbook[HERD]["K7"] = "as of May"

    assert read_workbook(with_results(spoilt(change)))[0] == farm("demo")


@pytest.mark.parametrize("made_from", [None, "scenario/2", 7])
def test_another_template_is_refused(made_from):
    fault = the_fault(with_cell("Read me", "B2", made_from))
    assert "is not made from the template scenario/1" in fault.detail
    assert fault.cell == "Read me!B2"


def test_a_workbook_without_the_sheets_is_another_template():
    def change(workbook):
        del workbook["Read me"]

    assert "is not made from the template" in the_fault(spoilt(change)).detail


def test_something_far_away_is_a_fault_and_makes_nothing_large():
    fault = the_fault(with_cell(HERD, "XFD1048576", "here"))
    assert says(fault, "Herd!XFD1048576", "nothing is read beyond cell GR5000")


@pytest.mark.parametrize(
    ("sheet", "cell", "value", "path", "read"),
    [
        (HERD, "E6", "590 kg", ("herd", "cows", "body_weight_lb"), 590 / 0.45359237),
        (HERD, "D6", "1e2 head", ("herd", "cows", "head"), 100),
        (HERD, "F6", "Mar 12", ("herd", "cows", "birth_starts"), "03-12"),
        (HERD, "F6", "12. March", ("herd", "cows", "birth_starts"), "03-12"),
        (HERD, "F6", "2026-03-12", ("herd", "cows", "birth_starts"), "03-12"),
        (HERD, "F6", "3-9", ("herd", "cows", "birth_starts"), "03-09"),
        (HERD, "F6", datetime(2024, 3, 12), ("herd", "cows", "birth_starts"), "03-12"),  # noqa: DTZ001 - as a sheet has it
        (HERD, "B6", 12, ("herd", "cows", "title"), "12"),
        ("Fields", "C6", "2 ha", ("land", "fields", "barn_lot", "acres"), 2 / 0.40468564224),
        ("Farm", "C9", 2027.0, ("price_year",), 2027),
        ("Machines", "C8", True, ("machines", "spreader", "includes_operator"), True),
        ("Machines", "C8", " Yes ", ("machines", "spreader", "includes_operator"), True),
        ("Systems", "C6", " barn ", ("systems", "lot_open_rings", "hay_storage"), "barn"),
    ],
)
def test_a_value_is_read_as_people_write_it(sheet, cell, value, path, read):
    document, _ = read_workbook(with_cell(sheet, cell, value))
    for name in path:
        document = document[name]
    assert document == (pytest.approx(read) if isinstance(read, float) else read)


def test_another_unit_may_stand_in_the_column_of_units():
    def change(workbook):
        row = row_of(workbook, "hay.price_per_ton")
        workbook["Farm"][f"C{row}"], workbook["Farm"][f"D{row}"] = 100, "USD/t"

    document, _ = read_workbook(spoilt(change))
    assert document["hay"]["price_per_ton"] == pytest.approx(90.718474)  # SP 811: short ton, kg


def test_a_unit_is_not_given_twice():
    def change(workbook):
        row = row_of(workbook, "hay.price_per_ton")
        workbook["Farm"][f"C{row}"], workbook["Farm"][f"D{row}"] = "100 USD/t", "USD/lb"

    assert "keep one of them" in the_fault(spoilt(change)).detail


def test_the_number_of_a_step_is_the_only_order():
    def change(workbook):
        workbook[PLAN]["B6"], workbook[PLAN]["B7"] = 2, 1.5

    plan = read_workbook(spoilt(change))[0]["systems"]["lot_open_rings"]["plan"]
    assert [step["key"] for step in plan] == ["sheep", "cattle"]


def test_the_mark_says_which_system_is_the_baseline():
    def change(workbook):
        workbook["Systems"]["D6"], workbook["Systems"]["D8"] = None, "X"

    assert read_workbook(spoilt(change))[0]["baseline"] == "grass_first"


def test_faults_of_the_document_are_told_with_their_cells():
    def change(workbook):
        workbook[HERD]["D6"] = -3
        workbook[HERD]["C7"] = None
        workbook[PLAN][f"{column(workbook, PLAN, 'field')}6"] = "nowhere"

    document, places = read_workbook(spoilt(change))
    with pytest.raises(InputError) as raised:
        scenario_of(document)
    found = {fault.input: fault for fault in placed(raised.value.faults, places)}
    assert says(found["herd.cows.head"], "Herd!D6", "at least 1")
    assert says(found["herd.bred_heifers.animal"], "Herd!C7", "is missing")
    assert says(found["systems.lot_open_rings.plan.cattle.field"], "Plan!K6")
    assert found["herd.cows.head"].received == -3


def test_a_fault_of_what_has_no_cell_is_told_at_the_nearest_around_it():
    _, places = read_workbook(template(farm("demo")))
    assert place_of("herd.cows.head", places) == "Herd!D6"
    assert place_of("herd.cows.nothing", places) == "Herd!A6"
    assert place_of("systems.lot_open_rings.structures.rings.cost_share", places) == "Structures!B6"
    assert place_of("nothing", places) is None
    fault = Fault("nothing", "It is wrong.")
    assert placed([fault], places)[0].detail == "It is wrong."


def test_an_empty_template_gives_a_document_that_lacks_everything():
    document, places = read_workbook(template())
    assert document == {}
    with pytest.raises(InputError) as raised:
        scenario_of(document)
    assert {fault.input for fault in raised.value.faults} >= {"winter", "herd", "systems"}
    assert place_of("winter", places) == "Farm!C11"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("herd.cows.haed,3,", "did you mean herd.cows.head"),
        ('hay.price_per_ton,"1,5",', "use a decimal point"),
        ("hay.price_per_ton,1,5", "'5' is no unit of this"),
        ("herd.cows,3,", "is not one value"),
        ("herd..head,3,", "a name is missing"),
        (",3,", "without the path"),
        ("hay.price_per_ton.low,3,", "has nothing inside it"),
        ("systems.a.plan.x.presentation,cows: ring_open: bunk,", "a word for each group"),
        ("name,a,kg", "this has no unit"),
        ("hay.price_per_ton,1,USD/ton,3", "more cells than columns"),
        ("nothing.at.all,3,", "a scenario has no 'nothing'"),
    ],
)
def test_a_fault_in_csv_names_its_line(line, words):
    with pytest.raises(InputError) as raised:
        read_csv(f"input,value,unit\r\nname,Farm,\r\n{line}\r\n")
    (fault,) = raised.value.faults
    assert fault.cell == "line 3"
    assert fault.detail.startswith("Line 3: ")
    assert words in fault.detail


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the column 'input' is missing"),
        ("a,b\n1,2\n", "there is no column 'a'"),
        ("input,value\nname," + "x" * 200_000, "this is no CSV"),
        ("input,value\n" + "x" * 4_000_001, "more than 4,000,000 characters"),
        ("input,value\n" + "name,\n" * 20_001, "more lines than 20,000"),
    ],
)
def test_what_is_no_such_csv_is_refused(text, words):
    with pytest.raises(InputError) as raised:
        read_csv(text)
    assert any(words in fault.detail for fault in raised.value.faults)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_csv_may_have_other_separators_and_a_byte_order_mark(separator):
    text = "\ufeffinput,value,unit,_mine\nhay.price_per_ton,98,,x\n".replace(",", separator)
    assert read_csv(text)[0] == {"hay": {"price_per_ton": 98}}


def test_a_name_twice_in_csv_is_told_with_the_line_before():
    with pytest.raises(InputError, match="see Line 2"):
        read_csv("input,value\nname,a\nname,b\n")


def row_of(workbook, path):
    """Return the row of a plain input."""
    return next(cell.row for cell in workbook["Farm"]["A"] if cell.value == path)


def with_results(data):
    """Return a workbook whose formulas have a result, as one saved by an office program."""

    def change(parts):
        for name, part in parts.items():
            if name.startswith("xl/worksheets/"):
                parts[name] = re.sub(rb"</f><v ?/?>(?:</v>)?", b"</f><v>1</v>", part)

    return repacked(change, data)
