"""The state of the ground: which rule goes before which, and what holds for any weather."""

from datetime import date

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from service.costing.units import STATES
from service.weather.settings import WeatherSettings
from tests.weather.ground_properties import every_property_holds
from tests.weather.made_up import LATITUDE, MADE_UP, days, ground, weather

SETTINGS = st.builds(
    WeatherSettings,
    drainage=st.sampled_from(["well", "moderate", "poor"]),
    frozen_index=st.sampled_from([1.0, 20.0, 56.0, 83.0]),
    mud_deficit_mm=st.sampled_from([0.0, 3.0, 10.0, 19.0]),
)


def states(series, **settings):
    return [STATES[position] for position in ground(series, **settings).state]


@settings(max_examples=60)
@given(MADE_UP, SETTINGS)
def test_what_holds_for_any_ground_holds_for_made_up_weather(series, chosen):
    every_property_holds(series, LATITUDE, chosen)


def test_an_inch_of_snow_covers_the_ground_and_less_does_not():
    # NOAA, Global Summary of the Month: a snow-covered day has 1 in (2.54 cm) or more
    assert states(days([5.0, 5.0], 0.0, [2.54, 2.53])) == ["snow_covered", "firm"]


def test_snow_goes_before_mud_and_mud_before_firm_ground():
    assert states(days([5.0, 5.0], 20.0, [10.0, 0.0])) == ["snow_covered", "wet"]


def test_ground_is_frozen_from_the_index_that_is_set():
    cold = days(np.full(20, -5.0))
    assert states(cold, frozen_index=56)[12:14] == ["frozen", "frozen"]
    assert ground(cold, frozen_index=56).deep_frozen.argmax() == 13
    assert ground(cold, frozen_index=20).deep_frozen.argmax() == 4


def test_a_day_of_ice_on_wet_ground_is_frozen_though_the_index_is_low():
    series = days([8.0, -4.0, -4.0, -4.0], [30.0, 0.0, 0.0, 0.0])
    # the index is 4, 7.9, 11.6: from 5 on a day that stays below 0 °C is frozen
    assert states(series, drainage="poor") == ["wet", "wet", "frozen", "frozen"]


def test_a_cold_day_that_thaws_at_noon_is_no_day_of_ice():
    series = days(np.full(3, -4.0), half_range=4.5)
    assert states(series) == ["firm"] * 3


def test_a_thaw_over_deep_frost_leaves_water_on_top():
    series = days([-10.0] * 12 + [2.0], [0.0] * 12 + [9.0])
    assert ground(series).deep_frozen[-1]
    assert states(series)[-2:] == ["frozen", "wet"]


def test_observed_snow_goes_before_modelled_snow_day_by_day():
    series = days([-5.0] * 4, [10.0, 0.0, 0.0, 0.0], [np.nan, 0.0, 12.0, np.nan])
    seen = weather(series)
    assert seen.depth_cm.tolist() == [5.0, 0.0, 12.0, 5.0]
    assert seen.observed.tolist() == [False, True, True, False]


def test_nothing_evaporates_from_under_snow():
    seen = weather(days([5.0, 5.0], 0.0, [10.0, 0.0]))
    assert seen.drying_mm[0] == 0
    assert seen.drying_mm[1] > 0


def test_after_a_long_gap_all_starts_anew():
    cold = np.full(40, -8.0)
    cold[20:24] = np.nan
    series = days(cold, 2.0)
    seen = weather(series)
    assert seen.index[24:].tolist() == weather(days(cold[24:], 2.0)).index.tolist()
    assert seen.lying_mm[24] == 2.0


def test_a_record_without_precipitation_has_no_wet_day():
    series = days(np.full(60, 2.0), None, first_day=date(2001, 12, 1))
    assert set(states(series, mud_deficit_mm=19.0)) == {"firm"}
