"""A file that cannot be read is refused with every reason, by line, value and what is allowed."""

from datetime import UTC, date, datetime, timedelta
from time import process_time

import pytest

from service.costing.errors import InputError
from service.weather.csv_table import LONGEST_TEXT, MOST_COLUMNS, MOST_LINES
from service.weather.reading import FORMATS, read_days
from tests.weather.sent_files import lines_of, sent, with_line


def faults_of(form, text, latitude=None):
    """Return the faults of a file that is refused."""
    with pytest.raises(InputError) as caught:
        read_days(form, text, latitude)
    return caught.value.faults


def only_fault(form, text, latitude=None):
    """Return the one fault of a file that is refused."""
    (fault,) = faults_of(form, text, latitude)
    return fault


def test_an_unknown_format_is_told_with_the_nearest_known():
    fault = only_fault("ghcn_acess", sent("plain"))
    assert fault.input == "format"
    assert fault.suggestion == "ghcn_access"
    assert fault.allowed == ", ".join(FORMATS)


@pytest.mark.parametrize("latitude", [91, -90.5, float("nan"), float("inf")])
def test_a_latitude_off_the_globe_is_refused(latitude):
    fault = only_fault("plain", sent("plain"), latitude)
    assert fault.input == "latitude"
    assert fault.unit == "degree"


def test_a_latitude_far_from_that_of_the_file_is_refused():
    fault = only_fault("order_metric", sent("order_metric"), 46.0)
    assert fault.input == "latitude"
    assert fault.received == 46.0
    assert "44.51" in fault.detail


def test_a_file_with_latitudes_far_apart_is_not_one_stations():
    moved = sent("order_metric").replace("44.5100", "-44.5100", 60)
    fault = only_fault("order_metric", moved)
    assert fault.input == "csv.latitude"
    assert fault.received == "-44.51 to 44.51"


@pytest.mark.parametrize("cell", ["north", "95"])
def test_a_latitude_that_is_none_is_refused(cell):
    fault = only_fault("order_metric", sent("order_metric").replace("44.5100", cell))
    assert (fault.input, fault.received) == ("csv.latitude", cell)


def test_all_faults_are_told_at_once():
    text = with_line("plain", 3, "2018-11-02,x,1,0,0").replace("tmin_c", "TMIN_C")
    text = text.replace("2018-11-05,", "2018-11-31,")
    faults = faults_of("plain", text, 100)
    assert [fault.input for fault in faults] == ["latitude", "csv.line 3", "csv.line 6"]


@pytest.mark.parametrize("text", ["", " \n\t", "\ufeff"])
def test_an_empty_file_is_refused(text):
    assert only_fault("plain", text).detail == "There is nothing in the file."


def test_a_file_of_decimal_commas_is_refused_with_the_reason():
    text = sent("plain").replace(",", ";").replace(".", ",")
    fault = only_fault("plain", text)
    assert fault.received == ";"
    assert "decimal commas" in fault.detail


def test_a_decimal_comma_in_a_cell_is_told_as_one():
    fault = only_fault("plain", with_line("plain", 2, '2018-11-01,"6,6",-4.5,0,0'))
    assert fault.input == "csv.line 2"
    assert fault.received == "6,6"
    assert "decimal comma" in fault.detail


@pytest.mark.parametrize(
    "cell", ["cold", "1-2", "--", "1e", "1_0", "nan", "inf", "1e400", "0x10", "\u0661", "9" * 50]
)
def test_what_is_no_number_is_told_with_line_and_value(cell):
    fault = only_fault("plain", with_line("plain", 14, f"2018-11-13,{cell},-4.5,0,0"))
    assert fault.input == "csv.line 14"
    assert fault.detail.startswith("tmax_c ")
    assert fault.received == (cell if len(cell) < 50 else "9" * 40 + "...")
    assert fault.allowed == "a number, or nothing where it is missing"


@pytest.mark.parametrize(
    ("cell", "reason"),
    [
        ("2019-02-29", "not in the calendar"),
        ("2018-13-01", "not in the calendar"),
        ("1849-12-31", "too far back or ahead"),
        (f"{datetime.now(UTC).year + 2}-01-01", "too far back or ahead"),
        ("11/01/2018", "does not begin with the year"),
        ("1.11.2018", "does not begin with the year"),
        ("2018-1-1", "cannot be read"),
        ("2018-W44-4", "cannot be read"),
        ("first of November", "cannot be read"),
        ("", "cannot be read"),
    ],
)
def test_what_is_no_date_is_told_with_line_and_value(cell, reason):
    fault = only_fault("plain", with_line("plain", 2, f"{cell},6.6,-4.5,0,0"))
    assert fault.input == "csv.line 2"
    assert reason in fault.detail
    assert fault.received == cell
    assert "YYYY-MM-DD" in fault.allowed


def test_a_day_with_two_values_that_differ_is_refused_with_both_lines():
    fault = only_fault("plain", sent("plain") + "2018-11-01,9.9,-4.5,0,0")
    assert fault.input == f"csv.line {len(lines_of('plain')) + 1}"
    assert "tmax_c of 2018-11-01 is another than on line 2" in fault.detail
    assert fault.received == 9.9


def test_an_element_with_two_values_of_a_day_is_refused_too():
    fault = only_fault("ghcn_long", sent("ghcn_long") + "XXC00440017,20181101,TMAX,67,,,W,")
    assert "TMAX of 2018-11-01" in fault.detail
    assert fault.unit == "tenths of °C"


def test_a_day_that_is_known_on_one_line_and_missing_on_another_is_refused():
    fault = only_fault("plain", sent("plain") + "2018-11-01,,-4.5,0,0")
    assert fault.received is None


@pytest.mark.parametrize("form", ["ghcn_access", "ghcn_long", "order_metric"])
def test_several_stations_are_refused_by_name(form):
    text = sent(form).replace("XXC00440017", "XXC00440018", 40)
    fault = only_fault(form, text)
    assert "XXC00440018 and XXC00440017" in fault.detail


def test_of_many_stations_the_first_five_are_named():
    lines = lines_of("order_metric")
    text = "\n".join(line.replace("0017", f"{at:04}") for at, line in enumerate(lines))
    fault = only_fault("order_metric", text)
    assert fault.received == len(lines) - 1
    assert f"{len(lines) - 6} more" in fault.detail


def test_a_column_that_is_not_there_is_told_with_what_is():
    fault = only_fault("plain", sent("plain").replace("tmax_c", "tmaxc"))
    assert fault.input == "csv.tmax_c"
    assert fault.received.startswith("date, tmaxc")
    assert fault.allowed == "a header with date, tmax_c, tmin_c"
    assert fault.suggestion == "tmaxc"


@pytest.mark.parametrize(
    ("sent_as", "form", "suggestion"),
    [
        ("plain", "order_metric", "ghcn_access or order_metric or order_us"),
        ("plain", "ghcn_access", "ghcn_access or order_metric or order_us"),
        ("order_us", "plain", "plain"),
        ("ghcn_long", "plain", "plain"),
    ],
)
def test_a_file_in_another_format_is_known_by_its_columns(sent_as, form, suggestion):
    faults = faults_of(sent_as, sent(form))
    assert {fault.suggestion for fault in faults} == {suggestion}


def test_a_file_by_station_with_a_header_is_known_as_one():
    text = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + sent("ghcn_long")
    assert {fault.suggestion for fault in faults_of("ghcn_access", text)} == {"ghcn_long"}


def test_a_column_that_is_there_twice_is_refused():
    fault = only_fault("plain", sent("plain").replace("snow_depth_cm", "tmax_c"))
    assert fault.input == "csv.tmax_c"
    assert "2 columns" in fault.detail


@pytest.mark.parametrize("row", ["2018-11-01,6.6", "2018-11-01,6,6,-4,5,0,0,0,0"])
def test_a_line_with_too_few_or_too_many_cells_is_refused(row):
    fault = only_fault("plain", with_line("plain", 2, row))
    assert fault.input == "csv.line 2"
    assert fault.received == len(row.split(","))
    assert fault.allowed == "5 cells"


def test_an_element_without_a_line_is_told():
    lines = [line for line in lines_of("ghcn_long") if ",TMIN," not in line]
    fault = only_fault("ghcn_long", "\n".join(lines))
    assert fault.input == "csv.TMIN"


def test_fewer_than_120_days_say_too_little():
    rows = [f"{date(2019, 1, 1) + timedelta(days=at)},5,-1" for at in range(121)]
    header = "date,tmax_c,tmin_c"
    assert read_days("plain", "\n".join([header, *rows[:120]])).series.days == 120
    fault = only_fault("plain", "\n".join([header, *rows[:119]]))
    assert fault.received == 119
    half = [row if at else "2019-01-01,5," for at, row in enumerate(rows[:120])]
    assert only_fault("plain", "\n".join([header, *half])).received == 119
    assert only_fault("plain", header).received == 0


def test_more_than_150_years_are_refused():
    fault = only_fault("plain", sent("plain") + "1860-01-01,5,-1,0,0")
    assert fault.received == 159
    assert "1860-01-01 to 2019-03-31" in fault.detail


def test_at_most_50_lines_are_told_and_how_many_more():
    header, *rows = lines_of("plain")
    text = "\n".join([header, *(row.replace(",", ",x", 1) for row in rows)])
    *of_lines, last = faults_of("plain", text)
    assert [fault.input for fault in of_lines[:2]] == ["csv.line 2", "csv.line 3"]
    assert len(of_lines) == 50
    assert last.input == "csv"
    assert last.detail == f"{len(rows) - 50} more faults of lines are not listed."


@pytest.mark.parametrize(
    ("row", "column", "allowed", "unit"),
    [
        ("2018-11-01,61,0,0,0", "tmax_c", "-60 to 60", "°C"),
        ("2018-11-01,0,-61,0,0", "tmin_c", "-60 to 60", "°C"),
        ("2018-11-01,5,0,2001,0", "precipitation_mm", "0 to 2,000", "mm"),
        ("2018-11-01,5,0,0,1201", "snow_depth_cm", "0 to 1,200", "cm"),
    ],
)
def test_a_value_that_no_weather_reaches_is_told_by_line(row, column, allowed, unit):
    fault = only_fault("plain", with_line("plain", 2, row))
    assert fault.input == "csv.line 2"
    assert fault.detail.startswith(column)
    assert (fault.allowed, fault.unit) == (allowed, unit)


def test_what_no_weather_reaches_is_told_in_the_unit_that_was_sent():
    line = lines_of("order_us")[1].replace('"44"', '"141"')
    fault = only_fault("order_us", with_line("order_us", 2, line))
    assert (fault.received, fault.allowed, fault.unit) == (141, "-76 to 140", "°F")


@pytest.mark.parametrize("code", [-999, 999, -99.9])
def test_a_number_that_stands_for_missing_is_told_once(code):
    lines = lines_of("plain")
    for number in (3, 5, 8):
        lines[number - 1] = f"{lines[number - 1][:10]},{code},-4.5,0,0"
    fault = only_fault("plain", "\n".join(lines))
    assert fault.input == "csv.tmax_c"
    assert f"{code:g} on line 3 and on 2 more" in fault.detail
    assert "leave the cell empty" in fault.detail


def test_a_quotation_mark_left_open_is_told():
    text = sent("plain").replace("6.6", '"6.6', 1) + "x" * 140_000
    assert any("quotation mark" in fault.detail for fault in faults_of("plain", text))


def test_a_file_that_is_too_long_is_refused_before_it_is_read():
    assert "too long" in only_fault("plain", "x" * (LONGEST_TEXT + 1)).detail
    assert "too many lines" in only_fault("plain", "x\n" * (MOST_LINES + 1)).detail
    assert "too many columns" in only_fault("plain", "x," * (MOST_COLUMNS + 1)).detail


def test_a_strangers_text_is_shown_short_and_printable():
    fault = only_fault(
        "plain", with_line("plain", 2, "2018-11-01,\x00\ud800<b>" + "y" * 90 + ",1,,")
    )
    assert fault.received == "??<b>" + "y" * 35 + "..."


HARD_TO_READ = {
    "one long cell": "x" * LONGEST_TEXT,
    "commas alone": "," * LONGEST_TEXT,
    "separate quotes": '"",' * (LONGEST_TEXT // 3),
    "digits alone": "date,tmax_c,tmin_c\n" + ("9" * 100_000 + ",") * 90,
    "many lines that are short": "date,tmax_c,tmin_c\n" + "1\n" * (MOST_LINES - 10),
    "many lines that are wrong": "date,tmax_c,tmin_c\n" + "2001-01-01,x,y\n" * (MOST_LINES - 10),
    "one day in many lines": "date,tmax_c,tmin_c\n"
    + "".join(f"2001-01-01,{at % 40},{-at % 40}\n" for at in range(MOST_LINES - 10)),
    "many columns of one name": "tmax_c," * (LONGEST_TEXT // 7),
}


LONGEST_SECONDS = 20
"""Ten times what it takes; anything quadratic in so much text takes many times more."""


@pytest.mark.parametrize("text", HARD_TO_READ.values(), ids=HARD_TO_READ)
def test_no_file_within_the_limits_takes_long(text):
    started = process_time()
    faults_of("plain", text)
    assert process_time() - started < LONGEST_SECONDS
