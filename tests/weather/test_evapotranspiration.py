"""Evapotranspiration and radiation, held against the worked examples of the handbook."""

from datetime import date

import numpy as np
import pytest

from service.weather.evapotranspiration import (
    MM_PER_MEGAJOULE,
    days_of_year,
    extraterrestrial_radiation,
    reference_evapotranspiration,
)
from tests.formulas.precision import FOUR_DECIMALS, ONE_DECIMAL, TWO_DECIMALS
from tests.weather.packaged_data import (
    EVAPOTRANSPIRATION_LATITUDE,
    published_evapotranspiration,
)


def radiation(latitude, day):
    return float(extraterrestrial_radiation(latitude, np.array([day]))[0])


def test_radiation_is_that_of_the_handbook():
    # FAO-56, example 8: 20° S, 3 September (day 246), 32.2 MJ/m2/day
    assert radiation(-20.0, 246) == pytest.approx(32.2, abs=ONE_DECIMAL)


def test_radiation_at_lyon_in_july_is_that_of_a_second_program():
    # NCAR Command Language, page of refevt_hargreaves_fao56: 45.72° N, day 196, 16.5463 mm/day
    millimetres = radiation(45.72, 196) * MM_PER_MEGAJOULE
    assert millimetres == pytest.approx(16.5463, abs=FOUR_DECIMALS)


def test_evapotranspiration_is_that_of_the_handbook():
    # FAO-56, example 20: Lyon, July, 26.6 and 14.8 °C, 40.6 MJ/m2/day, 5.0 mm/day
    depth = reference_evapotranspiration(np.array([26.6]), np.array([14.8]), np.array([40.6]))
    assert depth[0] == pytest.approx(5.0, abs=ONE_DECIMAL)


def test_evapotranspiration_is_that_published_for_fifteen_years_of_days():
    # eto, data set of daily examples and results, printed to two decimals
    days = published_evapotranspiration()
    assert len(days.tmax_c) == 5_821
    sun = extraterrestrial_radiation(EVAPOTRANSPIRATION_LATITUDE, days.day_of_year)
    depth = reference_evapotranspiration(days.tmax_c, days.tmin_c, sun)
    difference = np.abs(depth - days.evapotranspiration_mm).max()
    assert difference <= TWO_DECIMALS + 1e-9


def test_the_sun_neither_rises_in_the_polar_winter_nor_sets_in_the_polar_summer():
    assert radiation(80.0, 355) == pytest.approx(0.0, abs=1e-9)
    assert radiation(80.0, 172) > radiation(45.0, 172)


def test_half_a_year_later_the_other_half_of_the_earth_has_the_same_sun():
    days = np.arange(1, 366)
    north = extraterrestrial_radiation(50.0, days)
    south = extraterrestrial_radiation(-50.0, days)
    assert north.argmax() == pytest.approx(south.argmin(), abs=15)


def test_frost_below_the_range_of_the_equation_evaporates_nothing():
    depth = reference_evapotranspiration(np.array([-15.0]), np.array([-30.0]), np.array([5.0]))
    assert depth[0] == 0


def test_days_of_the_year_count_a_leap_day():
    assert days_of_year(date(2019, 12, 31), 2).tolist() == [365, 1]
    assert days_of_year(date(2020, 2, 28), 3).tolist() == [59, 60, 61]
    assert days_of_year(date(2020, 12, 31), 1).tolist() == [366]
