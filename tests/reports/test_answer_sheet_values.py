"""Single values as they are written in a cell and read from it."""

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.entry import KEY, MONTH_DAY, Entry
from service.costing.input_tree import (
    DATE,
    NAME,
    NAMES,
    NUMBER,
    NUMBER_OR_WORD,
    NUMBERS,
    TEXT,
    WORDS,
    YES_NO,
    Leaf,
)
from service.reports.answer_sheet.cell_text import cell_of, guarded, is_empty, unguarded
from service.reports.answer_sheet.entered import Manner, NotTakenError, of_assumption, value_of
from tests.reports.answer_sheets import HOSTILE

WORKBOOK, CSV = Manner("USD", typed=True), Manner("USD", typed=False)
LEAVES = {
    NUMBER: Leaf(NUMBER, Entry("Weight", unit="lb")),
    NUMBERS: Leaf(NUMBERS, Entry("Spells", unit="day")),
    NUMBER_OR_WORD: Leaf(NUMBER_OR_WORD, Entry("Assumption")),
    YES_NO: Leaf(YES_NO, Entry("Roofed")),
    NAME: Leaf(NAME, Entry("Field", pattern=KEY)),
    NAMES: Leaf(NAMES, Entry("Groups", pattern=KEY)),
    WORDS: Leaf(WORDS, Entry("States"), ("frozen", "wet")),
    TEXT: Leaf(TEXT, Entry("Title")),
    DATE: Leaf(DATE, Entry("Day", pattern=MONTH_DAY)),
    "quote": Leaf(TEXT, Entry("Quote date", pattern=r"^\d{4}-\d{2}-\d{2}$")),
}


@given(st.text() | st.sampled_from(HOSTILE) | st.text("'\"=+-@ ()nogtive", max_size=12))
def test_text_is_read_as_it_was_and_means_nothing_else(text):
    cell = guarded(text)
    assert unguarded(cell) == text
    assert not is_empty(cell)
    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert cell not in {"(none)", "(not given)"}


@pytest.mark.parametrize("text", ["'tis", "it's", "'\"half", '\'"a" b', "''", "'12"])
def test_text_that_people_begin_with_an_apostrophe_stays(text):
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("manner", [WORKBOOK, CSV])
@pytest.mark.parametrize(
    ("sort", "entered", "value"),
    [
        (NUMBERS, "3 7, 12.5; 2", [3, 7, 12.5, 2]),
        (NUMBERS, 4, [4]),
        (NUMBERS, "(none)", []),
        (WORDS, "frozen, wet", ["frozen", "wet"]),
        (NAMES, " cows  ewes ", ["cows", "ewes"]),
        (NAMES, "(none)", []),
        (TEXT, "(none)", "(none)"),
        (TEXT, "(not given)", None),
        (NUMBER, " (not given) ", None),
        (YES_NO, "TRUE", True),
        (YES_NO, "no", False),
        (YES_NO, False, False),
        (NUMBER_OR_WORD, 0.19, 0.19),
        (NUMBER_OR_WORD, "tractor", "tractor"),
        (DATE, date(2026, 12, 1), "12-01"),
        (DATE, "2026-12-01 00:00:00", "12-01"),
        (DATE, "dec. 1", "12-01"),
        (DATE, "1 December", "12-01"),
        ("quote", date(2026, 3, 2), "2026-03-02"),
        (TEXT, 417.0, "417"),
        (TEXT, 1.5, "1.5"),
    ],
)
def test_a_value_is_taken_as_it_is_meant(manner, sort, entered, value):
    assert value_of(LEAVES[sort], entered, "", manner) == value


@pytest.mark.parametrize(
    ("sort", "entered", "unit", "words"),
    [
        (NAME, 3, "", "a word belongs here, and no number"),
        (NAMES, True, "", "and no yes or no"),
        (TEXT, date(2026, 3, 2), "", "text belongs here, and no date"),
        (TEXT, True, "", "format the cell as text"),
        (TEXT, "barn", "ft", "this has no unit; clear 'ft'"),
        (YES_NO, 1, "", "yes or no belongs here"),
        (YES_NO, "perhaps", "", "yes or no belongs here"),
        (NUMBER, time(12), "", "a number belongs here, and no date"),
        (NUMBER, "1e999 lb", "", "computed with"),
        (NUMBER, float("nan"), "", "computed with"),
        (NUMBER, float("inf"), "kg", "computed with"),
        (NUMBER, 3, "m", "'m' is no unit of this"),
        (NUMBER, "3", "", "a number formatted as text"),
        (DATE, 1201, "", "a day of the year belongs here"),
        (DATE, "13-01", "", "a day of the year belongs here"),
        (DATE, "Foo 12", "", "a day of the year belongs here"),
        (DATE, "12/01", "", "a day of the year belongs here"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_what_belongs_there(sort, entered, unit, words):
    with pytest.raises(NotTakenError) as raised:
        value_of(LEAVES[sort], entered, unit, WORKBOOK)
    assert words in str(raised.value)


def test_numbers_are_text_in_csv():
    assert value_of(LEAVES[NUMBER], "62", "", CSV) == 62
    assert value_of(LEAVES[NUMBER], "2", "t", CSV) == pytest.approx(4409.2452)  # SP 811: 1 kg is
    assert value_of(LEAVES[NUMBER_OR_WORD], "0.19", "", CSV) == 0.19  # 2.204 622 6 lb


def test_a_reference_value_is_read_in_its_own_unit():
    leaf = LEAVES[NUMBER_OR_WORD]
    waste = of_assumption(leaf, "hay_waste.ring_open")
    assert value_of(waste, "19 %", "", WORKBOOK) == 0.19
    with pytest.raises(NotTakenError, match="formatted as text"):
        value_of(waste, "0.19", "", WORKBOOK)
    machine = of_assumption(leaf, "work.bale_grazing.clean_up.machine")
    assert value_of(machine, "loader", "", WORKBOOK) == "loader"
    assert of_assumption(leaf, "no.such.key") is leaf


def test_numbers_and_words_are_written_as_a_sheet_has_them():
    assert cell_of(LEAVES[NUMBERS], [3.0, 12.5, 1e300]) == "3 12.5 1e+300"
    assert cell_of(LEAVES[YES_NO], value=True) == "yes"
    assert cell_of(LEAVES[WORDS], []) == "(none)"
    assert cell_of(LEAVES[NUMBER], None) == "(not given)"
