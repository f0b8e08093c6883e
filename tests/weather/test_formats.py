"""Each format is read by its own layout and its own units, and all say the same days.

The layouts are those of NOAA, National Centers for Environmental Information, GHCN-Daily: the
readme of the files by station (``readme-by_station.txt``: ID, YEAR/MONTH/DAY, ELEMENT, DATA VALUE,
M-FLAG, Q-FLAG, S-FLAG, OBS-TIME; no header) and the header of the access files. The lines are made
up; the day, station and place are invented.
"""

import numpy as np
import pytest

from service.weather.cells import flags_in
from service.weather.formats import (
    DEPTH_INCHES,
    DEPTH_MILLIMETRES,
    FAHRENHEIT,
    FORMATS,
    INCHES,
    TENTHS_OF_CELSIUS,
    TENTHS_OF_MILLIMETRES,
)
from service.weather.reading import plain_csv, read_days
from tests.weather.sent_files import LATITUDE, lines_of, same, sent, told, winter

BY_DEFINITION = [
    (FAHRENHEIT, 212, 100),  # NIST SP 811, B.8: t/°C = (t/°F - 32)/1.8; water boils
    (FAHRENHEIT, 32, 0),  # the same; ice melts
    (FAHRENHEIT, -40, -40),  # the same; where the two scales meet
    (INCHES, 1, 25.4),  # NIST SP 811, B.8: 1 in = 25.4 mm exactly
    (DEPTH_INCHES, 1, 2.54),  # NIST SP 811, B.8
    (DEPTH_MILLIMETRES, 25.4, 2.54),  # the same
    (TENTHS_OF_CELSIUS, -139, -13.9),  # GHCN-Daily readme, III: TMAX and TMIN in tenths of °C
    (TENTHS_OF_MILLIMETRES, 34, 3.4),  # GHCN-Daily readme, III: PRCP in tenths of mm
]


@pytest.mark.parametrize(("measure", "as_sent", "value"), BY_DEFINITION)
def test_units_are_what_they_are_by_definition(measure, as_sent, value):
    assert measure.to_series(np.array([float(as_sent)]))[0] == pytest.approx(value, rel=1e-15)
    assert measure.as_sent(np.array([float(value)]))[0] == pytest.approx(as_sent, rel=1e-15)


def test_there_are_five_formats():
    assert FORMATS == ("plain", "ghcn_access", "ghcn_long", "order_metric", "order_us")


@pytest.mark.parametrize("form", ["ghcn_access", "ghcn_long", "order_metric"])
def test_every_metric_format_of_a_winter_gives_the_same_days_to_the_last_bit(form):
    assert same(read_days(form, sent(form)).series, winter())


def test_an_order_in_us_units_gives_the_same_days_as_near_as_it_is_written():
    read, expected = read_days("order_us", sent("order_us")).series, winter()
    half_degree_f, half_hundredth_in, half_tenth_in = 0.5 / 1.8, 0.005 * 25.4, 0.05 * 2.54
    for mine, yours, step in (
        (read.tmax_c, expected.tmax_c, half_degree_f),
        (read.tmin_c, expected.tmin_c, half_degree_f),
        (read.precipitation_mm, expected.precipitation_mm, half_hundredth_in),
        (read.snow_depth_cm, expected.snow_depth_cm, half_tenth_in),
    ):
        assert np.array_equal(np.isnan(mine), np.isnan(yours))
        assert np.nanmax(np.abs(mine - yours)) <= step * (1 + 1e-9)


ACCESS_LINE = (  # layout of an access file: quoted, padded, attributes M,Q,S,TIME in one cell
    '"XXC00440017","2018-11-02","44.51","-72.44","356.3","WHETSTONE HOLLOW, XX",'
    '"   34",",,W,2400","   12",",,W,","   25",",,W,2400","  148",",,W","  -39",",,W"'
)
ACCESS_HEADER = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","SNOW",'
    '"SNOW_ATTRIBUTES","SNWD","SNWD_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"'
)
LONG_LINES = [  # layout of a file by station: one value a line, no header
    "XXC00440017,20181102,PRCP,34,,,W,2400",
    "XXC00440017,20181102,SNWD,25,,,W,",
    "XXC00440017,20181102,TMAX,148,,,W,",
    "XXC00440017,20181102,TMIN,-39,,,W,",
]


def access_with(line):
    """Return a long enough access file in which one line stands first."""
    others = [
        ACCESS_LINE.replace("2018-11-02", f"2019-{month:02}-{day:02}")
        for month in range(1, 6)
        for day in range(1, 29)
    ]
    return "\n".join([ACCESS_HEADER, line, *others])


def long_with(*lines):
    """Return a long enough file by station in which some lines stand first."""
    others = [
        line.replace("20181102", f"2019{month:02}{day:02}")
        for month in range(1, 6)
        for day in range(1, 29)
        for line in LONG_LINES
    ]
    return "\n".join([*lines, *others])


def first_day(read):
    """Return highest, lowest, precipitation and depth of the first day."""
    series = read.series
    columns = (series.tmax_c, series.tmin_c, series.precipitation_mm, series.snow_depth_cm)
    return [float(column[0]) for column in columns]


def test_an_access_file_is_in_tenths_but_for_the_depth_of_snow():
    read = read_days("ghcn_access", access_with(ACCESS_LINE))
    assert first_day(read) == [14.8, -3.9, 3.4, 2.5]
    assert read.station == "XXC00440017"
    assert read.latitude == LATITUDE


def test_a_file_by_station_is_in_the_same_units():
    assert first_day(read_days("ghcn_long", long_with(*LONG_LINES))) == [14.8, -3.9, 3.4, 2.5]


def test_a_file_by_station_may_have_a_header():
    header = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME"
    read = read_days("ghcn_long", long_with(header, *LONG_LINES))
    assert first_day(read) == [14.8, -3.9, 3.4, 2.5]
    assert read.station == "XXC00440017"


def test_elements_that_are_not_needed_are_passed_over():
    more = "XXC00440017,20181102,WSFG,-9999,X,X,X,"
    assert same(
        read_days("ghcn_long", long_with(more, *LONG_LINES)).series,
        read_days("ghcn_long", long_with(*LONG_LINES)).series,
    )


@pytest.mark.parametrize("flag", list("DGIKLMNORSTWXZ"))  # GHCN-Daily readme, III: QFLAG1
def test_a_value_with_any_quality_flag_is_missing_and_counted(flag):
    flagged = ACCESS_LINE.replace('"  148",",,W"', f'"  148",",{flag},W"')
    wide = read_days("ghcn_access", access_with(flagged))
    narrow = read_days(
        "ghcn_long", long_with(*LONG_LINES, f"XXC00440017,20181103,TMAX,148,,{flag},W,")
    )
    assert np.isnan(wide.series.tmax_c[0])
    assert np.isnan(narrow.series.tmax_c[1])
    for read in (wide, narrow):
        assert told(read) == ["quality_flags"]
        assert "TMAX 1" in read.warnings[0].sentence


def test_a_trace_is_nothing_that_was_measured():  # GHCN-Daily readme, III: MFLAG1 T
    flagged = ACCESS_LINE.replace('"   34",",,W,2400"', '"    0","T,,W,2400"')
    assert first_day(read_days("ghcn_access", access_with(flagged)))[2] == 0
    as_letter = "\n".join(lines_of("order_us")).replace('"0.00"', '"T"', 1)
    assert read_days("order_us", as_letter).series.precipitation_mm[0] == 0


def test_a_trace_with_a_quality_flag_is_missing():
    flagged = ACCESS_LINE.replace('"   34",",,W,2400"', '"    0","T,D,W,2400"')
    assert np.isnan(first_day(read_days("ghcn_access", access_with(flagged)))[2])


def test_a_presumed_zero_counts_and_is_told():  # GHCN-Daily readme, III: MFLAG1 P
    flagged = ACCESS_LINE.replace('"   34",",,W,2400"', '"    0","P,,W,2400"')
    read = read_days("ghcn_access", access_with(flagged))
    assert first_day(read)[2] == 0
    assert told(read) == ["presumed_zero"]


def test_a_total_of_several_days_is_no_day_and_is_told():
    line = LONG_LINES[0].replace("34,,", "340,A,")  # measurement flag A: total of several days
    flagged = read_days("ghcn_long", long_with(line, *LONG_LINES[1:]))
    assert np.isnan(flagged.series.precipitation_mm[0])
    assert told(flagged) == ["several_day_totals"]
    mdpr = "XXC00440017,20181102,MDPR,340,,,W,"  # GHCN-Daily readme, III: MDPR with DAPR days
    apart = read_days("ghcn_long", long_with(mdpr, *LONG_LINES[1:]))
    assert np.isnan(apart.series.precipitation_mm[0])
    assert told(apart) == ["several_day_totals"]
    assert "MDPR 1" in read_days("ghcn_access", sent("ghcn_access")).warnings[1].sentence


@pytest.mark.parametrize(
    ("cell", "flags"),
    [
        (",,W,2400", ("", "")),
        ("T,,W,2400", ("T", "")),
        ("T,I,W", ("T", "I")),
        ("", ("", "")),
        ("B", ("B", "")),
        (" , ,W", ("", "")),
    ],
)
def test_attributes_are_measurement_quality_source(cell, flags):
    assert flags_in(cell) == flags


@pytest.mark.parametrize("form", FORMATS)
def test_what_is_kept_reads_back_as_the_same_record(form):
    series = read_days(form, sent(form)).series
    assert same(read_days("plain", plain_csv(series)).series, series)
