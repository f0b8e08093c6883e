"""Numbers in other units than the format says are found and said; right ones are left alone.

The weather is made up, with the seasons of 44.5° north; the limits are the project's own rules
(``plausible_limits.py``), so what is checked is that each mix-up is told apart and that no lawful
record is refused. Records of real places are sent through the same mix-ups below.
"""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from service.costing.errors import InputError
from service.weather.reading import plain_csv, read_days
from tests.weather.packaged_data import (
    BRUSSELS_LATITUDE,
    CHAMPION_LATITUDE,
    CORDOBA_LATITUDE,
    WAGENINGEN_LATITUDE,
    crop_model_days,
    wageningen_days,
)
from tests.weather.sent_files import LATITUDE, order, part, same, told, years

WINTER = (date(2017, 11, 1), 150)
SUMMER = (date(2017, 5, 15), 140)


def fault_of(form, text, latitude=None):
    """Return the first fault of a file that is refused."""
    with pytest.raises(InputError) as caught:
        read_days(form, text, latitude)
    return caught.value.faults[0]


RIGHT = [("degrees", "order_metric"), ("tenths", "ghcn_access"), ("us", "order_us")]


@pytest.mark.parametrize(("units", "form"), RIGHT)
@pytest.mark.parametrize("days", [None, WINTER, SUMMER])
@pytest.mark.parametrize("latitude", [None, LATITUDE])
def test_right_units_are_read(units, form, days, latitude):
    series = years() if days is None else part(years(), *days)
    warnings = set(told(read_days(form, order(series, units), latitude)))
    if days is WINTER:
        warnings -= {"no_warm_day"}
    assert warnings == {"no_snow_depth"}


MIXED_UP = [
    ("us", "order_metric", "order_us", "It looks like °F: send it as order_us"),
    ("tenths", "order_metric", "ghcn_access", "It looks like tenths of °C"),
    ("tenths", "order_us", "ghcn_access", "It looks like tenths of °C"),
    ("whole degrees", "order_us", "order_metric", "It looks like °C: send it as order_metric"),
    ("whole degrees", "ghcn_access", "order_metric", "It looks like °C: send it as order_metric"),
    ("us", "ghcn_access", "order_us", "It looks like °F: send it as order_us"),
]


@pytest.mark.parametrize(("units", "form", "suggestion", "sentence"), MIXED_UP)
def test_a_mix_up_of_units_is_refused_with_what_it_looks_like(units, form, suggestion, sentence):
    text = order(years(), units, precipitation=False)
    fault = fault_of(form, text)
    assert fault.input == "csv.TMAX"
    assert sentence in fault.detail
    assert fault.suggestion == suggestion


def test_fahrenheit_as_celsius_is_told_by_the_warmest_month():
    cool = replace(years(), tmax_c=years().tmax_c - 12, tmin_c=years().tmin_c - 12)
    fault = fault_of("order_metric", order(cool, "us"))
    days = np.arange(cool.first_day, cool.last_day + timedelta(days=1), dtype="datetime64[D]")
    july = days.astype("datetime64[M]").astype(int) % 12 == 6
    assert fault.received == pytest.approx(np.round(cool.tmax_c[july] * 1.8 + 32).mean())
    assert f"average {fault.received:.1f} in July" in fault.detail


def test_a_winter_in_fahrenheit_as_celsius_is_told_by_the_latitude():
    text = order(part(years(), *WINTER), "us", precipitation=False)
    fault = fault_of("order_metric", text, LATITUDE)
    assert "from December to February, which no place at 44.51°" in fault.detail
    assert fault.suggestion == "order_us"


def test_a_winter_of_the_south_lies_in_june_to_august():
    series = part(years(), *WINTER)
    turned = replace(series, first_day=date(2017, 5, 1))
    fault = fault_of("order_metric", order(turned, "us", precipitation=False), -LATITUDE)
    assert "from June to August" in fault.detail


@pytest.mark.parametrize("days", [WINTER, SUMMER])
def test_degrees_as_tenths_are_told_by_how_even_they_are(days):
    text = order(part(years(), *days), "whole degrees", precipitation=False)
    assert fault_of("ghcn_access", text).suggestion == "order_metric"


def test_a_summer_in_celsius_as_fahrenheit_is_told_by_the_latitude():
    text = order(part(years(), *SUMMER), "whole degrees", precipitation=False)
    assert fault_of("order_us", text, LATITUDE).suggestion == "order_metric"


def test_a_winter_in_celsius_as_fahrenheit_may_be_a_cold_one_and_is_told():
    text = order(part(years(), *WINTER), "degrees", precipitation=False)
    warnings = told(read_days("order_us", text, LATITUDE))
    assert {"no_warm_day", "decimals_in_fahrenheit"} <= set(warnings)


def test_decimals_are_none_of_an_access_file():
    fault = fault_of("ghcn_access", order(years(), "degrees"))
    assert "have decimals, the first on line 2" in fault.detail
    assert fault.allowed == "whole numbers"
    assert fault.unit == "tenths of °C"


def test_whole_degrees_celsius_are_told():
    text = order(years(), "whole degrees")
    assert "whole_degrees" in told(read_days("order_metric", text))


def test_an_even_winter_in_tenths_as_degrees_is_told_by_the_range_of_its_days():
    thaw = part(years(), *WINTER)
    thaw = replace(thaw, tmax_c=np.full(150, 3.0), tmin_c=np.full(150, -3.0))
    fault = fault_of("order_metric", order(thaw, "tenths", precipitation=False))
    assert "The highest of a day lies 60 °C above its lowest on average" in fault.detail
    assert fault.suggestion == "ghcn_access"


def test_columns_that_are_swapped_are_refused():
    series = years()
    swapped = replace(series, tmax_c=series.tmin_c, tmin_c=series.tmax_c)
    fault = fault_of("order_metric", order(swapped, "degrees"))
    assert fault.input == "csv.TMIN"
    assert "swapped" in fault.detail


def rained(factor):
    """Return two years with other amounts of rain."""
    return replace(years(), precipitation_mm=years().precipitation_mm * factor)


def test_more_rain_than_any_place_has_is_refused():
    plain = plain_csv(rained(20))
    fault = fault_of("plain", plain)
    assert fault.input == "csv.precipitation_mm"
    assert "It looks like tenths of mm" in fault.detail
    assert fault.allowed == "at most 12,000"
    us = order(rained(25.4), "us")
    assert "It looks like mm: send it as order_metric" in fault_of("order_us", us).detail


def test_rain_that_few_places_have_is_told():
    assert "much_precipitation" in told(read_days("plain", plain_csv(rained(8))))
    wettest = rained(1)
    wettest.precipitation_mm[100] = 600
    assert "large_day_of_precipitation" in told(read_days("plain", plain_csv(wettest)))


def test_little_rain_on_many_days_could_be_inches_and_is_told():
    read = read_days("plain", plain_csv(rained(1 / 25.4)))
    (warning,) = [each for each in read.warnings if each.warning == "little_precipitation"]
    assert "it looks like inches" in warning.sentence


def test_little_rain_on_few_days_is_a_dry_place():
    few = rained(1 / 10)
    few.precipitation_mm[np.arange(730) % 20 > 0] = 0
    assert told(read_days("plain", plain_csv(few))) == ["no_snow_depth"]


def test_snow_deeper_than_where_cows_winter_is_told():
    deep = replace(years(), snow_depth_cm=np.full(730, 400.0))
    (warning,) = read_days("plain", plain_csv(deep)).warnings
    assert warning.warning == "deep_snow"
    assert "snow_depth_cm is taken to be in cm" in warning.sentence


PLACES = {  # records that other packages carry: places of four climates
    "Champion": (lambda: crop_model_days("champion"), CHAMPION_LATITUDE),
    "Brussels": (lambda: crop_model_days("brussels"), BRUSSELS_LATITUDE),
    "Córdoba": (lambda: crop_model_days("cordoba"), CORDOBA_LATITUDE),
    "Wageningen": (wageningen_days, WAGENINGEN_LATITUDE),
}


@pytest.mark.parametrize("place", PLACES)
def test_real_records_are_read_in_their_units_and_in_no_others(place):
    days, latitude = PLACES[place]
    series = days()
    for units, form in RIGHT:
        assert told(read_days(form, order(series, units), latitude)) == ["no_snow_depth"]
    for units, form, suggestion, _ in MIXED_UP:
        text = order(series, units, precipitation=False)
        assert fault_of(form, text, latitude).suggestion == suggestion


@pytest.mark.parametrize("place", PLACES)
def test_real_records_are_kept_as_they_are(place):
    series = PLACES[place][0]()
    assert same(read_days("plain", plain_csv(series)).series, series)
