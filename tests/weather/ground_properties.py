"""What holds for the ground of any record, made up or real."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from service.costing.units import STATES
from service.weather.classifying import classify
from service.weather.gaps import filled_days
from service.weather.ground import ground_of
from service.weather.parameters import parameters
from service.weather.series import DailySeries
from service.weather.settings import WeatherSettings
from service.weather.snow import snow_of
from tests.weather.made_up import weather

CLASSES = ("poor", "moderate", "well")


def every_property_holds(series: DailySeries, latitude: float, settings: WeatherSettings) -> None:
    """Assert all of them."""
    poorer_soil_is_wetter(series, latitude, settings)
    drainage_changes_neither_snow_nor_frost(series, latitude, settings)
    a_higher_frozen_threshold_adds_no_frozen_day(series, latitude, settings)
    a_higher_mud_deficit_takes_no_wet_day_away(series, latitude, settings)
    no_water_is_lost_in_the_snow(series)
    its_own_snow_as_an_observation_changes_nothing(series, latitude, settings)
    the_states_fill_every_winter(series, latitude, settings)


def poorer_soil_is_wetter(series, latitude, settings):
    seen = weather(series, latitude)
    poor, moderate, well = (
        ground_of(seen, replace(settings, drainage=drainage)) for drainage in CLASSES
    )
    usable = seen.days.usable
    for wetter, drier in ((poor, moderate), (moderate, well)):
        assert (wetter.deficit_mm <= drier.deficit_mm)[usable].all()
        assert (wetter.wet | ~drier.wet).all()


def drainage_changes_neither_snow_nor_frost(series, latitude, settings):
    seen = weather(series, latitude)
    first, *others = (ground_of(seen, replace(settings, drainage=drainage)) for drainage in CLASSES)
    for other in others:
        assert (other.snow_covered == first.snow_covered).all()
        assert (other.frozen == first.frozen).all()
        assert (other.deep_frozen == first.deep_frozen).all()


def a_higher_frozen_threshold_adds_no_frozen_day(series, latitude, settings):
    seen = weather(series, latitude)
    grounds = [
        ground_of(seen, replace(settings, frozen_index=level)) for level in (1, 20, 56, 83, 300)
    ]
    for lower, higher in pairwise(grounds):
        assert (lower.frozen | ~higher.frozen).all()
        assert (lower.deep_frozen | ~higher.deep_frozen).all()


def a_higher_mud_deficit_takes_no_wet_day_away(series, latitude, settings):
    seen = weather(series, latitude)
    grounds = [ground_of(seen, replace(settings, mud_deficit_mm=level)) for level in (0, 3, 10, 19)]
    for lower, higher in pairwise(grounds):
        assert (higher.wet | ~lower.wet).all()


def no_water_is_lost_in_the_snow(series):
    numbers = parameters().numbers
    filled = filled_days(series, numbers.longest_gap_days)
    mean = (filled.tmax_c + filled.tmin_c) / 2
    for part in filled.stretches():
        fallen = filled.precipitation_mm[part]
        snow = snow_of(mean[part], fallen, numbers)
        out = snow.rain_mm.sum() + snow.melt_mm.sum() + snow.lying_mm[-1]
        np.testing.assert_allclose(out, fallen.sum(), rtol=1e-9, atol=1e-9)
        assert (snow.lying_mm >= 0).all()


def its_own_snow_as_an_observation_changes_nothing(series, latitude, settings):
    before = weather(series, latitude)
    after = weather(replace(series, snow_depth_cm=before.depth_cm), latitude)
    assert (ground_of(before, settings).state == ground_of(after, settings).state).all()


def the_states_fill_every_winter(series, latitude, settings):
    for winter in classify(series, latitude, settings).winters:
        days = sum(winter.ground_days.values())
        assert sum(sum(lengths) for lengths in winter.spells.values()) == days
        assert set(winter.ground_days) == set(STATES)
        for state in STATES:
            assert sum(winter.spells[state]) == winter.ground_days[state]
            assert (state in winter.temperature_f) == (winter.ground_days[state] > 0)
        assert winter.deep_frozen_days <= winter.frozen_days
        assert winter.ground_days["frozen"] <= winter.frozen_days
