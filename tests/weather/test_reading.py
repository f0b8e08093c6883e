"""What a file of daily weather says is what the record holds; what it does not say stays open."""

import json
from datetime import date, timedelta
from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.costing.errors import InputError
from service.weather.reading import FORMATS, plain_csv, read_days
from service.weather.series import DailySeries
from tests.weather.sent_files import (
    LATITUDE,
    lines_of,
    order,
    same,
    sent,
    told,
    winter,
    with_line,
    years,
)


def test_days_that_are_not_there_and_empty_cells_stay_open():
    read = read_days("plain", sent("plain"))
    assert read.series.first_day == date(2018, 11, 1)
    assert read.series.last_day == date(2019, 3, 31)
    assert read.series.days == 151
    gone = (date(2018, 12, 31) - read.series.first_day).days
    assert f"{date(2018, 12, 31)}" not in sent("plain")
    assert np.isnan(read.series.tmax_c[gone])
    assert np.isnan(read.series.precipitation_mm[gone])
    without = [line for line in lines_of("plain")[1:] if "" in line.split(",")[1:3]]
    assert read.missing_days == len(without) + 1


@pytest.mark.parametrize("code", ["", " ", "-9999", "-9999.0", "9999", "9999.00"])
def test_codes_for_missing_are_missing_and_never_a_number(code):
    read = read_days("plain", with_line("plain", 2, f"2018-11-01,{code},{code},{code},{code}"))
    for column in ("tmax_c", "tmin_c", "precipitation_mm", "snow_depth_cm"):
        assert np.isnan(getattr(read.series, column)[0])


def test_rows_in_any_order_make_the_same_record():
    header, *rows = lines_of("plain")
    assert same(read_days("plain", "\n".join([header, *rows[::-1]])).series, winter())


def rows_changed(change):
    """Return what changes each line of a file but the header."""

    def changed(text):
        header, *rows = text.splitlines()
        return "\n".join([header, *map(change, rows)])

    return changed


UNUSUAL = {
    "a mark of the byte order": lambda text: "\ufeff" + text,
    "lines ended as on Windows": lambda text: text.replace("\n", "\r\n"),
    "lines ended as on old Macs": lambda text: text.replace("\n", "\r"),
    "no end of the last line": lambda text: text.rstrip("\n"),
    "blank lines": lambda text: text.replace("\n", "\n\n"),
    "lines with separators alone": lambda text: text.replace("\n", "\n,,,,\n"),
    "tabs": lambda text: text.replace(",", "\t"),
    "a header in capitals": lambda text: text.replace("tmax_c", "TMAX_C"),
    "a quoted header": lambda text: text.replace("tmax_c", '"tmax_c"'),
    "spaces around cells": lambda text: text.replace(",", " , "),
    "dates with a time": rows_changed(lambda row: row.replace(",", "T00:00:00Z,", 1)),
    "dates without hyphens": rows_changed(lambda row: row[:10].replace("-", "") + row[10:]),
    "a separator at the end": rows_changed(lambda row: f"{row},"),
    "numbers with an exponent": lambda text: text.replace(",0.0,", ",0.0e0,"),
    "a column that is not needed": lambda text: rows_changed(lambda row: f"{row},NW")(
        text.replace("_cm", "_cm,wind")
    ),
}


@pytest.mark.parametrize("change", UNUSUAL.values(), ids=UNUSUAL)
def test_a_file_may_be_written_in_other_ways(change):
    text = change(sent("plain"))
    assert text != sent("plain")
    assert same(read_days("plain", text).series, winter())


def test_the_29th_of_february_is_a_day_in_leap_years():
    rows = [f"{date(2020, 1, 1) + timedelta(days=at)},5,-1,0" for at in range(130)]
    assert "2020-02-29,5,-1,0" in rows
    read = read_days("plain", "\n".join(["date,tmax_c,tmin_c,precipitation_mm", *rows]))
    assert read.series.days == 130
    assert read.missing_days == 0


def test_a_record_without_precipitation_or_snow_is_used_and_that_is_told():
    bare = "\n".join(",".join(line.split(",")[:3]) for line in lines_of("plain"))
    read = read_days("plain", bare)
    assert read.series.precipitation_mm is None
    assert read.series.snow_depth_cm is None
    assert told(read) == ["no_precipitation", "no_snow_depth"]
    assert "rough" in read.warnings[1].sentence


def test_a_column_without_any_value_is_no_column():
    header, *rows = lines_of("plain")
    empty = "\n".join([header, *(",".join([*row.split(",")[:3], "", ""]) for row in rows)])
    read = read_days("plain", empty)
    assert read.series.precipitation_mm is None
    assert read.series.snow_depth_cm is None


def test_a_lowest_above_the_highest_takes_both_away():
    read = read_days("plain", with_line("plain", 2, "2018-11-01,3,4,0,0"))
    assert np.isnan(read.series.tmax_c[0])
    assert np.isnan(read.series.tmin_c[0])
    assert read.missing_days == read_days("plain", sent("plain")).missing_days + 1
    assert told(read) == ["tmin_above_tmax"]


def test_negative_rain_and_snow_are_missing_and_counted():
    read = read_days("plain", with_line("plain", 2, "2018-11-01,6,4,-1,-2"))
    assert np.isnan(read.series.precipitation_mm[0])
    assert np.isnan(read.series.snow_depth_cm[0])
    assert told(read) == ["negative_values"]
    assert "precipitation_mm 1 and snow_depth_cm 1" in read.warnings[0].sentence


def test_a_day_that_stands_there_twice_alike_counts_once():
    read = read_days("plain", sent("plain") + lines_of("plain")[5])
    assert same(read.series, winter())
    assert told(read) == ["repeated_values"]


def test_the_latitude_given_counts_else_that_of_the_file():
    assert read_days("order_metric", sent("order_metric")).latitude == LATITUDE
    assert read_days("order_metric", sent("order_metric"), 45.4).latitude == 45.4
    assert read_days("plain", sent("plain")).latitude is None
    assert read_days("plain", sent("plain"), -45.4).latitude == -45.4


def test_a_station_that_moved_a_little_stands_where_it_was_last():
    moved = sent("order_metric").replace("44.5100", "44.4900", 60)
    assert read_days("order_metric", moved).latitude == 44.51


def test_columns_that_the_record_has_not_are_left_out_of_what_is_kept():
    series = DailySeries(date(2019, 1, 1), np.ones(150), np.zeros(150), None, None)
    first, second = plain_csv(series).splitlines()[:2]
    assert first == "date,tmax_c,tmin_c"
    assert second == "2019-01-01,1.0,0.0"


@st.composite
def records(draw):
    """Return records that could be real, with gaps, of 120 days or more with both temperatures."""
    days = draw(st.integers(125, 170))
    warm = st.floats(-40, 44, allow_subnormal=True)
    spread = draw(st.floats(0, 19))
    tmax = np.array(draw(st.lists(warm, min_size=days, max_size=days)))
    tmin = tmax - spread
    for column in (tmax, tmin):
        for gap in draw(st.sets(st.integers(0, days - 1), max_size=2)):
            column[gap] = np.nan

    def amounts(most):
        cells = st.one_of(st.floats(0, most), st.just(float("nan")))
        return st.none() | st.lists(cells, min_size=days, max_size=days).map(np.array).filter(
            lambda values: not np.isnan(values).all()
        )

    first = draw(st.dates(date(1850, 1, 1), date(2024, 1, 1)))
    return DailySeries(first, tmax, tmin, draw(amounts(1_999)), draw(amounts(1_199)))


@settings(max_examples=50)
@given(records())
def test_what_is_written_out_plain_reads_back_the_same(series):
    assert same(read_days("plain", plain_csv(series)).series, series)


@given(st.sampled_from(FORMATS), st.text(), st.none() | st.floats())
def test_any_text_is_read_or_refused(form, text, latitude):
    refused_or_read(form, text, latitude)


CELLS = st.one_of(
    st.sampled_from(
        ["", "T", "-9999", "1e400", "nan", "inf", "1_0", "\u0661", "0x1", "1,5", '"', "-0"]
    ),
    st.integers().map(str),
    st.floats().map(repr),
    st.text(max_size=5),
)
DATES = st.one_of(
    st.dates().map(str),
    st.sampled_from(["2001-02-29", "2001-13-01", "0000-00-00", "20010101", "1/2/2001", "x"]),
)


@given(
    st.sampled_from(FORMATS),
    st.lists(st.tuples(DATES, CELLS, CELLS, CELLS, CELLS), max_size=30),
    st.sampled_from([",", "\t", ";"]),
    st.floats(-90, 90),
)
def test_any_cells_under_a_right_header_are_read_or_refused(form, rows, separator, latitude):
    if form == "ghcn_long":
        lines = [
            separator.join(("S", day, element, *cells[:3]))
            for day, *cells in rows
            for element in ("TMAX", "TMIN", "PRCP", "SNWD")
        ]
        header = ["ID", "DATE", "ELEMENT", "VALUE", "M", "Q"]
    else:
        lines = [separator.join(row) for row in rows]
        names = ["date", "tmax_c", "tmin_c", "precipitation_mm", "snow_depth_cm"]
        header = names if form == "plain" else ["DATE", "TMAX", "TMIN", "PRCP", "SNWD"]
    refused_or_read(form, "\n".join([separator.join(header), *lines]), latitude)


def refused_or_read(form, text, latitude):
    """Read a text; being refused is fine, if it can be sent on."""
    faults = faults_of(form, text, latitude)
    said = [
        (fault.input, fault.detail, fault.received, fault.allowed, fault.suggestion)
        for fault in faults or ()
    ]
    assert faults is None or said
    json.dumps(said, allow_nan=False, ensure_ascii=False).encode()


def faults_of(form, text, latitude):
    """Return what is wrong with a file, or None."""
    try:
        read_days(form, text, latitude)
    except InputError as error:
        return error.faults
    return None


@pytest.mark.parametrize("form", ["order_metric", "ghcn_access"])
def test_four_times_the_days_take_about_four_times_as_long(form):
    units = "degrees" if form == "order_metric" else "tenths"
    short, long = (
        order(years(days=days, first_day=date(1900, 1, 1)), units) for days in (4_000, 16_000)
    )
    assert seconds_to_read(form, long) < 8 * seconds_to_read(form, short)


def seconds_to_read(form, text):
    """Return the processor time that a reading takes, the least of three [s]."""
    taken = []
    for _ in range(3):
        started = process_time()
        read_days(form, text)
        taken.append(process_time() - started)
    return min(taken)
