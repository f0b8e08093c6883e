"""What a wet surface under short grass would evaporate, from temperatures alone."""

from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.units import Array

SOLAR_CONSTANT = 0.0820
"""Radiation of the sun outside the atmosphere [MJ/m2/min]."""

MINUTES_PER_DAY = 1_440
MM_PER_MEGAJOULE = 0.408
"""Water that a megajoule per square metre evaporates [mm/(MJ/m2)]."""

DAYS_OF_ORBIT = 365


def days_of_year(first_day: date, days: int) -> NDArray[np.int64]:
    """Return the number of each day in its year, 1 January being 1.

    Parameters
    ----------
    first_day : date
        The first day.
    days : int
        How many from it on [day].

    Returns
    -------
    ndarray of shape (days,)
        Day of the year [day].
    """
    last = first_day + timedelta(days=days)
    dates = np.arange(first_day.isoformat(), last.isoformat(), dtype="datetime64[D]")
    starts = dates.astype("datetime64[Y]").astype("datetime64[D]")
    return (dates - starts).astype(np.int64) + 1


def extraterrestrial_radiation(latitude: float, day_of_year: NDArray[Any]) -> Array:
    """Work out the radiation on a level plane outside the atmosphere [1]_.

    Parameters
    ----------
    latitude : float
        Latitude, south negative [degree].
    day_of_year : ndarray of shape (days,)
        Day of the year [day].

    Returns
    -------
    ndarray of shape (days,)
        Radiation [MJ/m2/day].

    References
    ----------
    .. [1] Allen and others 1998, *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56,
       equations 21 to 25.
    """
    north = np.radians(latitude)
    orbit = 2 * np.pi * np.asarray(day_of_year) / DAYS_OF_ORBIT
    nearness = 1 + 0.033 * np.cos(orbit)
    declination = 0.409 * np.sin(orbit - 1.39)
    # Where the sun does not set or not rise the cosine leaves its range.
    cosine = np.clip(-np.tan(north) * np.tan(declination), -1.0, 1.0)
    sunset = np.arccos(cosine)
    height = sunset * np.sin(north) * np.sin(declination) + np.cos(north) * np.cos(
        declination
    ) * np.sin(sunset)
    return MINUTES_PER_DAY / np.pi * SOLAR_CONSTANT * nearness * height


def reference_evapotranspiration(tmax_c: Array, tmin_c: Array, radiation: Array) -> Array:
    """Work out reference evapotranspiration from temperatures [1]_; it is never below none.

    Parameters
    ----------
    tmax_c, tmin_c : ndarray of shape (days,)
        Highest and lowest air temperature [°C].
    radiation : ndarray of shape (days,)
        Extraterrestrial radiation [MJ/m2/day].

    Returns
    -------
    ndarray of shape (days,)
        Evapotranspiration [mm/day].

    References
    ----------
    .. [1] Allen and others 1998, *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56,
       equation 52, after Hargreaves and Samani 1985.
    """
    mean_c = (tmax_c + tmin_c) / 2
    # A day of which one temperature was filled in can have its lowest above its highest.
    spread = np.maximum(tmax_c - tmin_c, 0.0)
    depth = 0.0023 * (mean_c + 17.8) * np.sqrt(spread) * radiation * MM_PER_MEGAJOULE
    return np.maximum(depth, 0.0)
