"""Snow as it falls, lies and melts, from mean temperature and precipitation."""

from dataclasses import dataclass

import numpy as np

from service.costing.units import Array
from service.weather.parameters import Numbers

MM_PER_CM = 10


@dataclass(frozen=True, slots=True)
class Snow:
    """Rain, melt and lying snow of each day; arrays of shape (days,)."""

    rain_mm: Array
    """Precipitation that falls as rain [mm]."""
    melt_mm: Array
    """Water that melts from snow [mm]."""
    lying_mm: Array
    """Water in the snow that lies at the end of the day [mm]."""


def snow_of(mean_c: Array, precipitation_mm: Array, numbers: Numbers) -> Snow:
    """Let precipitation fall as rain or snow, and let snow melt by the degree.

    Parameters
    ----------
    mean_c : ndarray of shape (days,)
        Mean air temperature [°C].
    precipitation_mm : ndarray of shape (days,)
        Rain and melted snow that fell [mm].
    numbers : Numbers
        Numbers of the method.

    Returns
    -------
    Snow
        Rain, melt and lying snow; no snow lies before the first day.
    """
    falls_as_snow = mean_c <= numbers.snow_split_c
    fallen = np.where(falls_as_snow, precipitation_mm, 0.0)
    could_melt = numbers.melt_mm_per_degree_day * np.maximum(mean_c, 0.0)
    melt: list[float] = []
    lying: list[float] = []
    water = 0.0
    for snow, most in zip(fallen.tolist(), could_melt.tolist(), strict=True):
        water += snow
        melted = min(water, most)
        water -= melted
        melt.append(melted)
        lying.append(water)
    return Snow(
        rain_mm=np.where(falls_as_snow, 0.0, precipitation_mm),
        melt_mm=np.array(melt),
        lying_mm=np.array(lying),
    )


def depth_of(lying_mm: Array, numbers: Numbers) -> Array:
    """Turn the water in modelled snow into its depth.

    Parameters
    ----------
    lying_mm : ndarray of shape (days,)
        Water in the snow [mm].
    numbers : Numbers
        Numbers of the method.

    Returns
    -------
    ndarray of shape (days,)
        Depth [cm].
    """
    return lying_mm / numbers.snow_density / MM_PER_CM
