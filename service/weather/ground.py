"""The state of the ground on each day."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.costing.units import STATES, Array
from service.weather.evapotranspiration import (
    days_of_year,
    extraterrestrial_radiation,
    reference_evapotranspiration,
)
from service.weather.frozen_ground import frozen_index
from service.weather.gaps import FilledDays, Flags
from service.weather.parameters import Numbers, parameters
from service.weather.series import DailySeries
from service.weather.settings import WeatherSettings
from service.weather.snow import depth_of, snow_of
from service.weather.water import topsoil_of

FROZEN, SNOW_COVERED, FIRM, WET = (
    STATES.index(state) for state in ("frozen", "snow_covered", "firm", "wet")
)


@dataclass(frozen=True, slots=True)
class Weather:
    """What the ground is judged by, whatever the settings; arrays of shape (days,).

    After a long gap everything starts anew: no frost, no snow, topsoil at field capacity. On days
    that are not usable the arrays say nothing.
    """

    days: FilledDays
    mean_c: Array
    """Mean air temperature [°C]."""
    water_mm: Array
    """Rain and melt [mm]."""
    lying_mm: Array
    """Water in modelled snow [mm]."""
    depth_cm: Array
    """Depth of snow, observed where it is known, else modelled [cm]."""
    observed: Flags
    """Days with an observed depth."""
    index: Array
    """Frozen-ground index [°C day]."""
    drying_mm: Array
    """What the air would take from wet ground, none from under snow [mm]."""


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground of each day under some settings; arrays of shape (days,)."""

    state: NDArray[np.int64]
    """Position of the day's state among the ground states."""
    snow_covered: Flags
    frozen: Flags
    """Frozen ground, under snow or not."""
    deep_frozen: Flags
    """Those on which the index reached its threshold."""
    wet: Flags
    """Wet ground, under snow or not."""
    deficit_mm: Array
    """Soil moisture deficit at the end of the day [mm]."""


def weather_of(series: DailySeries, days: FilledDays, latitude: float) -> Weather:
    """Work snow, frost and evaporation of each day.

    Parameters
    ----------
    series : DailySeries
        The record.
    days : FilledDays
        The same with its short gaps filled.
    latitude : float
        Latitude, south negative [degree].

    Returns
    -------
    Weather
        What the ground is judged by.
    """
    numbers = parameters().numbers
    count = series.days
    mean = (days.tmax_c + days.tmin_c) / 2
    radiation = extraterrestrial_radiation(latitude, days_of_year(series.first_day, count))
    drying = reference_evapotranspiration(days.tmax_c, days.tmin_c, radiation)
    precipitation = np.zeros(count) if days.precipitation_mm is None else days.precipitation_mm
    water, lying, depth, index = (np.full(count, np.nan) for _ in range(4))
    observed = np.zeros(count, dtype=np.bool_)
    if series.snow_depth_cm is not None:
        observed = ~np.isnan(series.snow_depth_cm)
    for part in days.stretches():
        snow = snow_of(mean[part], precipitation[part], numbers)
        water[part] = snow.rain_mm + snow.melt_mm
        lying[part] = snow.lying_mm
        depth[part] = depth_of(snow.lying_mm, numbers)
        if series.snow_depth_cm is not None:
            depth[part] = np.where(observed[part], series.snow_depth_cm[part], depth[part])
        index[part] = frozen_index(mean[part], depth[part], numbers)
    drying = np.where(depth >= numbers.snow_covered_cm, 0.0, drying)
    return Weather(days, mean, water, lying, depth, observed, index, drying)


def ground_of(weather: Weather, settings: WeatherSettings) -> Ground:
    """Judge the ground of each day.

    Snow-covered before wet, wet before frozen, frozen before firm. Wet and frozen meet only on a
    thaw over deep frost: water stands on top, and the day is wet. No day is wet where the record
    has no precipitation: the topsoil then only says what it started with.

    Parameters
    ----------
    weather : Weather
        What it is judged by.
    settings : WeatherSettings
        Drainage and thresholds.

    Returns
    -------
    Ground
        State and flags of each day.
    """
    table = parameters()
    numbers: Numbers = table.numbers
    deep = weather.index >= settings.frozen_index
    icing = (weather.days.tmax_c < 0) & (weather.index >= numbers.crust_index)
    frozen = deep | icing
    snow_covered = weather.depth_cm >= numbers.snow_covered_cm
    deficit, before_runoff = (np.full(len(deep), np.nan) for _ in range(2))
    for part in weather.days.stretches():
        topsoil = topsoil_of(
            weather.water_mm[part],
            weather.drying_mm[part],
            deep[part],
            table.drainage[settings.drainage],
            numbers,
        )
        deficit[part], before_runoff[part] = topsoil.deficit_mm, topsoil.before_runoff_mm
    soaked = before_runoff < settings.mud_deficit_mm
    wet = soaked & (~frozen | (deep & (weather.mean_c > 0)))
    if weather.days.precipitation_mm is None:
        wet[:] = False
    state = np.select([snow_covered, wet, frozen], [SNOW_COVERED, WET, FROZEN], FIRM)
    return Ground(state, snow_covered, frozen, deep, wet, deficit)
