"""A record of daily weather, from text to winters."""

from datetime import date

import numpy as np

from service.weather.classifying import classify, three_presets
from service.weather.reading import plain_csv, read_days
from service.weather.series import DailySeries
from service.weather.settings import WeatherSettings
from tests.benchmarks.measure import Measure, least

FIRST_DAY = date(1982, 1, 1)
DAYS = 13_514
"""Thirty-seven years."""

LATITUDE = 42.0


def thirty_seven_years() -> DailySeries:
    """Return days that are the same on every run, with the swing of the year and spells."""
    draw = np.random.default_rng(1)
    day = np.arange(DAYS)
    mean = 9 - 14 * np.cos(2 * np.pi * day / 365.25) + draw.normal(0, 5, DAYS)
    rain = np.where(draw.random(DAYS) < 0.3, draw.gamma(0.7, 8.0, DAYS), 0.0)
    depth = np.where(mean < 0, draw.gamma(1.0, 6.0, DAYS), 0.0)
    return DailySeries(
        FIRST_DAY, (mean + 5).round(1), (mean - 5).round(1), rain.round(1), depth.round()
    )


def weather_measures() -> list[Measure]:
    """Read a record, judge its ground, and show its presets."""
    settings = WeatherSettings()
    series = thirty_seven_years()
    text = plain_csv(series)

    def read_and_classified() -> object:
        return classify(read_days("plain", text, LATITUDE).series, LATITUDE, settings)

    read_and_classified()  # the statistics take long to import, once
    seconds = 1e-3
    return [
        Measure(
            "37 years of days, read and classified",
            least(read_and_classified, 5) * seconds,
            "s",
            0.5,
        ),
        Measure(
            "  of it: classified",
            least(lambda: classify(series, LATITUDE, settings), 5) * seconds,
            "s",
        ),
        Measure(
            "  all presets side by side",
            least(lambda: three_presets(series, LATITUDE, settings), 5) * seconds,
            "s",
        ),
    ]
