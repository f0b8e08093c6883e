"""From days to winters: windows, gaps, counts, and what is said of a record."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from service.costing.units import STATES
from service.weather.classifying import classify, three_presets
from service.weather.gaps import filled_days, runs
from service.weather.record_warnings import trends, warnings_of
from service.weather.settings import WeatherSettings
from service.weather.winters import RecordedWinter
from tests.weather.made_up import LATITUDE, days, random_days

USUAL = WeatherSettings()
START = date(2018, 8, 1)
WHOLE_WINTER = 300


def steady(celsius=8.0, rain=0.0, count=WHOLE_WINTER, **more):
    return days(np.full(count, celsius), rain, first_day=START, **more)


def only_winter(series, settings=USUAL):
    (winter,) = classify(series, LATITUDE, settings).winters
    return winter


def position(month, day, year=2018):
    return (date(year, month, day) - START).days


def with_gap(series, column, start, length):
    values = getattr(series, column).copy()
    values[start : start + length] = np.nan
    return replace(series, **{column: values})


def test_a_winter_that_crosses_new_year_is_named_by_both_years():
    winter = only_winter(steady())
    assert winter.season == "2018-19"
    assert sum(winter.ground_days.values()) == 166  # 1 November to 15 April: 30+31+31+28+31+15


def test_the_turn_of_a_century_is_named_by_two_figures():
    series = days(np.full(300, 5.0), 0.0, first_day=date(1999, 8, 1))
    winter = only_winter(series)
    assert winter.season == "1999-00"
    assert sum(winter.ground_days.values()) == 167  # with 29 February 2000


def test_a_southern_winter_lies_in_one_year():
    settings = WeatherSettings(first_day="05-01", last_day="10-15")
    series = days(np.full(320, 8.0), 0.0, first_day=date(2018, 1, 1))
    winter = only_winter(series, settings)
    assert winter.season == "2018"
    assert sum(winter.ground_days.values()) == 168  # 1 May to 15 October: 31+30+31+31+30+15


def test_a_winter_needs_sixty_days_before_it():
    series = days(np.full(240, 8.0), 0.0, first_day=date(2018, 9, 3))
    found = classify(series, LATITUDE, USUAL)
    assert not found.winters
    (dropped,) = found.dropped
    assert dropped.season == "2018-19"
    assert dropped.reason == (
        "Winter 2018-19 needs 226 days, from 2018-09-02 to 2019-04-15; "
        "1 day is missing, the first 2018-09-02."
    )
    assert classify(
        days(np.full(241, 8.0), 0.0, first_day=date(2018, 9, 2)), LATITUDE, USUAL
    ).winters


def test_a_winter_that_the_record_ends_in_is_named_and_one_it_does_not_touch_is_not():
    series = steady(count=position(11, 10))
    (dropped,) = classify(series, LATITUDE, USUAL).dropped
    assert dropped.season == "2018-19"
    assert "157 days are missing, the first 2018-11-10" in dropped.reason
    assert not classify(steady(count=position(11, 1)), LATITUDE, USUAL).dropped


@pytest.mark.parametrize("column", ["tmax_c", "tmin_c", "precipitation_mm"])
@pytest.mark.parametrize("first", [position(9, 10), position(1, 5, 2019)])
def test_four_days_missing_drop_the_winter_and_three_do_not(column, first):
    short = classify(with_gap(steady(), column, first, 3), LATITUDE, USUAL)
    assert len(short.winters) == 1
    long = classify(with_gap(steady(), column, first, 4), LATITUDE, USUAL)
    assert not long.winters
    day = START + timedelta(days=first)
    assert f"4 days are missing, the first {day}" in long.dropped[0].reason


def test_a_long_gap_in_summer_drops_no_winter():
    assert classify(with_gap(steady(), "tmax_c", 3, 20), LATITUDE, USUAL).winters


def test_temperatures_are_filled_on_a_straight_line_and_precipitation_with_none():
    series = days([2.0, np.nan, np.nan, 8.0], [5.0, np.nan, 7.0, 7.0], half_range=1.0)
    filled = filled_days(series, longest=3)
    assert filled.tmax_c.tolist() == pytest.approx([3.0, 5.0, 7.0, 9.0])
    assert filled.tmin_c.tolist() == pytest.approx([1.0, 3.0, 5.0, 7.0])
    assert filled.precipitation_mm.tolist() == [5.0, 0.0, 7.0, 7.0]
    assert filled.filled.tolist() == [False, True, True, False]


def test_a_gap_at_the_edge_of_the_record_has_nothing_to_be_filled_from():
    filled = filled_days(days([np.nan, 1.0, 2.0, np.nan]), longest=3)
    assert filled.usable.tolist() == [False, True, True, False]


def test_days_filled_in_are_counted():
    series = with_gap(steady(), "tmax_c", position(12, 1), 2)
    series = with_gap(series, "precipitation_mm", position(12, 2), 3)
    series = with_gap(series, "tmin_c", position(10, 30), 3)
    assert only_winter(series).missing_days == 2 + 2 + 1


def test_spells_are_cut_at_the_edges_of_the_window():
    rain = np.zeros(WHOLE_WINTER)
    rain[position(10, 25) : position(11, 4)] = 60.0
    rain[position(1, 10, 2019)] = 60.0
    settings = WeatherSettings(drainage="well")
    winter = only_winter(steady(10.0, rain), settings)
    assert winter.spells == {
        "frozen": [],
        "snow_covered": [],
        "firm": [67, 95],
        "wet": [3, 1],
    }


def test_rain_is_rain_and_melt_within_the_window_in_inches():
    mean = np.full(WHOLE_WINTER, 5.0)
    rain = np.zeros(WHOLE_WINTER)
    rain[position(11, 5)] = 25.4
    mean[position(12, 1)], rain[position(12, 1)] = -5.0, 50.8  # falls as snow and melts later
    mean[position(10, 31)], rain[position(10, 31)] = -5.0, 12.7  # falls before, melts within
    rain[position(4, 16, 2019)] = 100.0
    series = days(mean, rain, first_day=START)
    assert only_winter(series).rain_in == pytest.approx(1.0 + 2.0 + 0.5)


def test_autumn_rain_is_that_of_the_92_days_before():
    rain = np.zeros(WHOLE_WINTER)
    rain[position(8, 1)], rain[position(10, 31)], rain[position(11, 1)] = 25.4, 50.8, 99.0
    assert only_winter(steady(rain=rain)).autumn_rain_in == pytest.approx(3.0)
    later = days(np.full(299, 8.0), rain[1:], first_day=START + timedelta(days=1))
    assert only_winter(later).autumn_rain_in is None
    assert only_winter(with_gap(steady(rain=rain), "precipitation_mm", 5, 4)).autumn_rain_in is None


def test_temperature_is_the_mean_on_the_days_of_the_state():
    mean = np.full(WHOLE_WINTER, 10.0)
    depth = np.zeros(WHOLE_WINTER)
    mean[position(1, 1, 2019) :] = -10.0
    depth[position(1, 1, 2019) :] = 30.0
    winter = only_winter(days(mean, 0.0, depth, first_day=START))
    assert winter.temperature_f == pytest.approx({"snow_covered": 14.0, "firm": 50.0})
    assert winter.observed_snow_days == 166


def test_a_row_leaves_out_what_is_not_known():
    row = only_winter(steady(rain=None)).as_row()
    assert "rain_in" not in row
    assert row["ground_days"] == {"frozen": 0, "snow_covered": 0, "firm": 166, "wet": 0}
    assert row["spells"] == {"firm": [166]}


def test_an_empty_stretch_has_no_runs():
    assert list(runs(np.array([]))) == []
    assert list(runs(np.array([1, 1, 2]))) == [(0, 2, 1), (2, 1, 2)]


def test_a_window_that_does_not_stand_in_the_calendar_is_refused():
    with pytest.raises(ValueError, match="11-31"):
        classify(steady(), LATITUDE, WeatherSettings(first_day="11-31"))


def test_classifying_twice_gives_the_same():
    series = random_days(7, 1.0, 0.4, depth=True)
    assert classify(series, LATITUDE, USUAL) == classify(series, LATITUDE, USUAL)


def test_an_empty_column_of_precipitation_is_none():
    empty = replace(steady(), precipitation_mm=np.full(WHOLE_WINTER, np.nan))
    found = classify(empty, LATITUDE, USUAL)
    assert found == classify(steady(rain=None), LATITUDE, USUAL)
    assert found.warnings[0].warning == "no_precipitation"


def test_all_presets_are_shown_side_by_side():
    series = random_days(3, 2.0, 0.5, depth=False)
    shown = three_presets(series, LATITUDE, USUAL)
    assert [(item["setting"], item["value"]) for item in shown] == [
        ("mud_deficit_mm", 0),
        ("mud_deficit_mm", 3),
        ("mud_deficit_mm", 10),
        ("frozen_index", 20),
        ("frozen_index", 56),
        ("frozen_index", 83),
    ]
    for item in shown:
        settings = replace(USUAL, **{item["setting"]: item["value"]})
        assert item["mean_ground_days"] == only_winter(series, settings).ground_days
    assert three_presets(steady(count=150), LATITUDE, USUAL) == []


# ---------------------------------------------------------------- warnings


def winters(counts, *, observed=True):
    return [
        RecordedWinter(
            season=f"{1990 + number}",
            ground_days=dict(zip(STATES, row, strict=True)),
            spells={},
            rain_in=1.0,
            temperature_f={},
            missing_days=0,
            observed_snow_days=sum(row) if observed else 0,
            frozen_days=row[0],
            deep_frozen_days=row[0],
            autumn_rain_in=None,
        )
        for number, row in enumerate(counts)
    ]


def said(rows, rain=None, *, observed=True):
    fallen = [np.ones(100) for _ in rows] if rain is None else rain
    return {
        item.warning: item.sentence
        for item in warnings_of(winters(rows, observed=observed), fallen)
    }


STEADY_ROW = (10, 20, 30, 40)


@pytest.mark.parametrize(
    ("count", "warning"),
    [
        (1, "few_winters"),
        (9, "few_winters"),
        (10, "under_fifteen_winters"),
        (14, "under_fifteen_winters"),
    ],
)
def test_a_short_record_is_called_short(count, warning):
    assert list(said([STEADY_ROW] * count)) == [warning]


def test_fifteen_even_winters_with_observed_snow_call_for_no_warning():
    assert said([STEADY_ROW] * 15) == {}


def test_four_dry_weeks_in_a_winter_make_the_gauge_doubtful():
    dry, drier, wet = np.ones(100), np.ones(100), np.ones(100)
    dry[10:37], drier[10:38] = 0.0, 0.0
    told = said([STEADY_ROW] * 15, [dry, drier, *[wet] * 13])
    assert "1 of 15 winters" in told["no_precipitation_for_weeks"]
    assert "1991" in told["no_precipitation_for_weeks"]
    assert "unheated or missing" in told["no_precipitation_for_weeks"]


def test_many_doubtful_winters_are_counted_after_the_first_six():
    told = said([STEADY_ROW] * 15, [np.zeros(100)] * 15)
    assert told["no_precipitation_for_weeks"].count(", ") == 5 + 1
    assert "1995 and 9 more" in told["no_precipitation_for_weeks"]


def test_a_trend_is_told_in_days_a_decade():
    rows = [(10, 20, 30 + 2 * year, 60 - 2 * year) for year in range(20)]
    told = said(rows)["trend"]
    assert "firm days rise by 20 a decade and wet days fall by 20 a decade" in told
    assert told.endswith("The last 15 may be the better guide.")
    assert "frozen" not in told


def test_luck_is_no_trend():
    rows = [(10 + 7 * (year % 3), 20, 30 - 7 * (year % 3), 40) for year in range(18)]
    assert said(rows) == {}


def test_the_trend_is_that_of_the_straight_line_and_its_chance_that_of_the_ranks():
    # Mann 1945 and Kendall 1975 (common practice, no source): of 4 winters in steady rise, each of
    # the 24 orders as likely, 2 are as extreme
    (frozen, firm) = trends(winters([(n, 5, 50 - n, 0) for n in (1, 2, 4, 5)]))
    assert (frozen.state, firm.state) == ("frozen", "firm")
    assert frozen.days_per_decade == pytest.approx(14.0)  # least squares by hand: 7 / 5 a year
    assert frozen.chance == pytest.approx(2 / 24)


def test_snow_that_was_not_measured_is_said():
    assert said([STEADY_ROW] * 15, observed=False)["modelled_snow"].startswith("No winter day")
    mixed = winters([STEADY_ROW] * 3) + winters([STEADY_ROW], observed=False)
    told = {item.warning: item.sentence for item in warnings_of(mixed, None)}
    assert told["modelled_snow"].startswith("25 % of winter days")


def test_a_record_without_a_whole_winter_says_so():
    assert said([])["no_whole_winter"].startswith("No winter of the record is whole")
