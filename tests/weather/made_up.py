"""Daily weather made up for tests."""

from datetime import date

import numpy as np
from hypothesis import strategies as st

from service.weather.gaps import filled_days
from service.weather.ground import Ground, Weather, ground_of, weather_of
from service.weather.parameters import parameters
from service.weather.series import DailySeries
from service.weather.settings import WeatherSettings

LATITUDE = 45.0


def days(
    tmean,
    precipitation=0.0,
    depth=None,
    *,
    first_day: date = date(2001, 1, 1),
    half_range: float = 3.0,
) -> DailySeries:
    """Return a record from means; what is one number is the same every day."""
    mean = np.atleast_1d(np.asarray(tmean, dtype=float))
    count = len(mean)
    return DailySeries(
        first_day,
        mean + half_range,
        mean - half_range,
        None
        if precipitation is None
        else np.broadcast_to(np.asarray(precipitation, float), (count,)).copy(),
        None if depth is None else np.broadcast_to(np.asarray(depth, float), (count,)).copy(),
    )


def weather(series: DailySeries, latitude: float = LATITUDE) -> Weather:
    """Return what the ground of a record is judged by."""
    longest = parameters().numbers.longest_gap_days
    return weather_of(series, filled_days(series, longest), latitude)


def ground(series: DailySeries, latitude: float = LATITUDE, **settings) -> Ground:
    """Return the ground of a record under some settings."""
    return ground_of(weather(series, latitude), WeatherSettings(**settings))


def random_days(seed: int, mean: float, wetness: float, *, depth: bool, count: int = 500):
    """Return weather with cold and warm spells, and rain on some days."""
    draw = np.random.default_rng(seed)
    tmean = np.empty(count)
    level = 0.0
    for day in range(count):
        level = 0.8 * level + draw.normal(0, 3)
        tmean[day] = mean + level
    rain = np.where(draw.random(count) < wetness, draw.gamma(0.7, 8.0, count), 0.0)
    observed = None
    if depth:
        observed = np.where(draw.random(count) < 0.5, draw.gamma(1.0, 4.0, count).round(), np.nan)
    return days(
        tmean, rain, observed, first_day=date(2000, 8, 1), half_range=float(draw.uniform(0.5, 7))
    )


MADE_UP = st.builds(
    random_days,
    seed=st.integers(0, 2**32 - 1),
    mean=st.floats(-12, 12),
    wetness=st.floats(0, 0.9),
    depth=st.booleans(),
)
