"""Real records: counts that an independent program got from the same files, and what must hold.

The program worked the same equations from the same data, written apart from this one; its printed
figures are an outside check of the arithmetic, not of the method.
"""

from datetime import date

import numpy as np
import pytest

from service.costing.units import STATES
from service.weather.classifying import classify, three_presets
from service.weather.record_warnings import trends
from service.weather.settings import WeatherSettings
from tests.formulas.precision import ONE_DECIMAL, TWO_DECIMALS, WHOLE
from tests.weather.ground_properties import every_property_holds
from tests.weather.made_up import ground, weather
from tests.weather.packaged_data import (
    BRUSSELS_LATITUDE,
    CHAMPION_LATITUDE,
    CORDOBA_LATITUDE,
    HOW_TO_INSTALL,
    NORTH_YORKS_LATITUDE,
    REQUIRED,
    WAGENINGEN_LATITUDE,
    crop_model_days,
    data_files,
    wageningen_days,
)

MM_PER_INCH = 25.4
SOUTHERN = {"first_day": "05-01", "last_day": "10-15"}


def champion(**settings):
    return classify(crop_model_days("champion"), CHAMPION_LATITUDE, WeatherSettings(**settings))


def brussels(**settings):
    return classify(crop_model_days("brussels"), BRUSSELS_LATITUDE, WeatherSettings(**settings))


def wageningen(**settings):
    return classify(wageningen_days(), WAGENINGEN_LATITUDE, WeatherSettings(**settings))


def north_yorks(**settings):
    return classify(
        crop_model_days("north_yorks"), NORTH_YORKS_LATITUDE, WeatherSettings(**settings)
    )


def days(found, state):
    return np.array([winter.ground_days[state] for winter in found.winters])


def spread_against_chance(found, state):
    """Variance of a winter's days in a state as a multiple of that of independent days."""
    counts = days(found, state)
    length = np.mean([sum(winter.ground_days.values()) for winter in found.winters])
    share = counts.mean() / length
    return counts.var(ddof=1) / (length * share * (1 - share))


@pytest.mark.parametrize(("index", "frozen"), [(83, 34), (56, 44), (20, 69)])
def test_frozen_days_at_champion_are_those_of_the_independent_program(index, frozen):
    # computed independently, printed whole
    assert days(champion(frozen_index=index), "frozen").mean() == pytest.approx(frozen, abs=WHOLE)


@pytest.mark.parametrize(("deficit", "wet"), [(0, 66), (3, 116), (10, 141)])
def test_wet_days_at_brussels_are_those_of_the_independent_program(deficit, wet):
    # computed independently, printed whole
    assert days(brussels(mud_deficit_mm=deficit), "wet").mean() == pytest.approx(wet, abs=WHOLE)


def test_snow_at_champion_lies_mostly_on_deep_frozen_ground():
    # computed independently: 12.2 of 18.9 snow days are deep frozen too
    found = champion()
    assert len(found.winters) == 36
    assert days(found, "snow_covered").mean() == pytest.approx(18.9, abs=ONE_DECIMAL)
    seen = ground(crop_model_days("champion"), CHAMPION_LATITUDE)
    first = crop_model_days("champion").first_day
    both = sum(
        (seen.deep_frozen & seen.snow_covered)[
            (date(year, 11, 1) - first).days : (date(year + 1, 4, 16) - first).days
        ].sum()
        for year in range(1982, 2018)
    )
    assert both / 36 == pytest.approx(12.2, abs=ONE_DECIMAL + 1e-9)


def test_winters_differ_as_much_as_the_independent_program_says():
    # computed independently: standard deviation of days a winter
    assert days(champion(), "frozen").std(ddof=1) == pytest.approx(27.1, abs=ONE_DECIMAL)
    assert days(champion(), "snow_covered").std(ddof=1) == pytest.approx(21.7, abs=ONE_DECIMAL)
    poor = brussels(drainage="poor")
    assert days(poor, "wet").std(ddof=1) == pytest.approx(19.3, abs=ONE_DECIMAL)


@pytest.mark.parametrize(
    ("record", "state", "multiple"),
    [
        # computed independently, moderate drainage, printed to one decimal
        (champion, "snow_covered", 27.9),
        (champion, "frozen", 22.6),
        (brussels, "snow_covered", 14.4),
        (wageningen, "snow_covered", 21.1),
        (north_yorks, "snow_covered", 22.3),
        (north_yorks, "frozen", 1.9),
    ],
)
def test_days_of_a_winter_hang_together_as_the_independent_program_says(record, state, multiple):
    assert spread_against_chance(record(), state) == pytest.approx(multiple, abs=ONE_DECIMAL)


def test_frost_and_snow_hang_together_as_the_independent_program_says():
    # computed independently: correlation of frozen with snow days over the winters
    for found, printed in ((champion(), -0.44), (wageningen(), 0.31)):
        correlation = np.corrcoef(days(found, "frozen"), days(found, "snow_covered"))[0, 1]
        assert correlation == pytest.approx(printed, abs=TWO_DECIMALS)


def test_winters_get_milder_as_the_independent_program_says():
    # computed independently: firm days +6 a decade at Brussels, +9 at Wageningen, snow -5.6
    slopes = [
        {item.state: item.days_per_decade for item in trends(found.winters)}
        for found in (brussels(), wageningen())
    ]
    assert slopes[0]["firm"] == pytest.approx(6, abs=WHOLE)
    assert slopes[1]["firm"] == pytest.approx(9, abs=WHOLE)
    assert slopes[1]["snow_covered"] == pytest.approx(-5.6, abs=ONE_DECIMAL)


def test_a_hard_frost_after_rain_at_brussels_is_frozen_and_not_wet():
    # computed independently: 14 January 1987, mean -10.6 °C, index 49, soil wet (poor drainage)
    series = crop_model_days("brussels")
    day = (date(1987, 1, 14) - series.first_day).days
    seen = weather(series, BRUSSELS_LATITUDE)
    assert seen.mean_c[day] == pytest.approx(-10.6, abs=ONE_DECIMAL + 1e-9)
    assert seen.index[day] == pytest.approx(49, abs=WHOLE)
    state = ground(series, BRUSSELS_LATITUDE, drainage="poor")
    assert state.deficit_mm[day] < 0
    assert STATES[state.state[day]] == "frozen"


def test_the_gauge_at_champion_is_doubted():
    # the file itself: no precipitation at all in the windows of 1982, 1984 and 2013, mean 62 mm
    found = champion()
    series = crop_model_days("champion")
    fallen = {}
    for winter in found.winters:
        year = int(winter.season[:4])
        start = (date(year, 11, 1) - series.first_day).days
        stop = (date(year + 1, 4, 16) - series.first_day).days
        fallen[year] = series.precipitation_mm[start:stop].sum()
    assert [year for year, depth in fallen.items() if depth == 0] == [1982, 1984, 2013]
    assert np.mean(list(fallen.values())) == pytest.approx(62, abs=WHOLE)
    told = {item.warning: item.sentence for item in found.warnings}
    assert "1982-83, 1983-84, 1984-85" in told["no_precipitation_for_weeks"]
    assert "modelled_snow" in told
    assert "few_winters" not in told


def test_brussels_gauge_is_not_doubted_for_most_winters():
    told = {item.warning: item.sentence for item in brussels().warnings}
    doubted = told.get("no_precipitation_for_weeks", "0 of 29").split()[0]
    assert int(doubted) <= 3


def test_winters_that_champion_has_only_in_part_are_named():
    first, last = champion().dropped
    assert (first.season, last.season) == ("1981-82", "2018-19")
    assert "121 days are missing, the first 1981-09-02" in first.reason  # begins 1 January 1982
    assert "105 days are missing, the first 2019-01-01" in last.reason  # ends 31 December 2018


def test_the_hole_of_1991_at_wageningen_drops_one_winter():
    # head and length of the file of 1991: it ends on 31 August, 122 days short of the year
    found = wageningen()
    dropped = {item.season: item.reason for item in found.dropped}
    assert set(dropped) == {"1975-76", "1991-92", "1999-00"}
    assert "121 days are missing, the first 1991-09-02" in dropped["1991-92"]
    assert len(found.winters) == 22
    assert int(np.isnan(wageningen_days().tmax_c).sum()) == 122


def test_snow_days_at_champion_are_mean_days_of_the_presets():
    shown = three_presets(crop_model_days("champion"), CHAMPION_LATITUDE, WeatherSettings())
    frozen = {
        item["value"]: item["mean_ground_days"]["frozen"]
        for item in shown
        if item["setting"] == "frozen_index"
    }
    # computed independently, printed whole
    assert frozen == pytest.approx({20: 69, 56: 44, 83: 34}, abs=WHOLE)


@pytest.mark.parametrize(
    ("place", "latitude", "window"),
    [
        ("champion", CHAMPION_LATITUDE, {}),
        ("brussels", BRUSSELS_LATITUDE, {}),
        ("north_yorks", NORTH_YORKS_LATITUDE, {}),
        ("cordoba", CORDOBA_LATITUDE, SOUTHERN),
    ],
)
def test_what_holds_for_any_ground_holds_for_real_weather(place, latitude, window):
    every_property_holds(crop_model_days(place), latitude, WeatherSettings(**window))


def test_what_holds_for_any_ground_holds_across_a_hole_in_the_record():
    every_property_holds(wageningen_days(), WAGENINGEN_LATITUDE, WeatherSettings())


def test_a_southern_record_has_southern_winters():
    found = classify(crop_model_days("cordoba"), CORDOBA_LATITUDE, WeatherSettings(**SOUTHERN))
    assert [winter.season for winter in found.winters] == [str(year) for year in range(1991, 2022)]
    assert all(sum(winter.ground_days.values()) == 168 for winter in found.winters)
    assert not found.dropped


def test_rain_of_a_winter_is_what_the_gauge_caught_where_no_snow_is_left():
    series = crop_model_days("north_yorks")
    seen = weather(series, NORTH_YORKS_LATITUDE)
    for winter in north_yorks().winters:
        start = (date(int(winter.season[:4]), 11, 1) - series.first_day).days
        stop = start + sum(winter.ground_days.values())
        before, after = seen.lying_mm[start - 1], seen.lying_mm[stop - 1]
        caught = series.precipitation_mm[start:stop].sum()
        assert winter.rain_in * MM_PER_INCH == pytest.approx(caught + before - after)


def test_a_missing_package_skips_a_test_and_fails_it_where_the_data_are_required(monkeypatch):
    monkeypatch.delenv(REQUIRED, raising=False)
    with pytest.raises(pytest.skip.Exception, match="without their dependencies"):
        data_files("no-such-package-here", "txt")
    monkeypatch.setenv(REQUIRED, "1")
    with pytest.raises(pytest.fail.Exception, match=HOW_TO_INSTALL[:20]):
        data_files("no-such-package-here", "txt")
