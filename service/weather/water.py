"""Water in the topsoil: wetter or drier than field capacity, by how the soil drains."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.costing.units import Array
from service.weather.parameters import Drainage, Numbers


@dataclass(frozen=True, slots=True)
class Topsoil:
    """Soil moisture deficit of each day; arrays of shape (days,)."""

    deficit_mm: Array
    """At the end of the day, after what cannot be held has run off [mm]; 0 at field capacity."""
    before_runoff_mm: Array
    """With all of the day's water still there [mm]: this is what makes ground wet."""


def topsoil_of(
    water_mm: Array,
    evapotranspiration_mm: Array,
    deep_frozen: NDArray[np.bool_],
    drainage: Drainage,
    numbers: Numbers,
) -> Topsoil:
    """Keep the account of water in the top 10 cm, from field capacity on the first day.

    Water above field capacity drains at the rate of the class. Evaporation goes at the full rate
    while water is readily at hand and then falls on a straight line to none [1]_. Deep-frozen
    ground neither takes up nor loses water.

    Parameters
    ----------
    water_mm : ndarray of shape (days,)
        Rain and melt [mm].
    evapotranspiration_mm : ndarray of shape (days,)
        What the air would take from a wet surface, none from under snow [mm].
    deep_frozen : ndarray of shape (days,)
        Whether the ground is frozen to depth.
    drainage : Drainage
        Class of the soil.
    numbers : Numbers
        Numbers of the method.

    Returns
    -------
    Topsoil
        Deficits.

    References
    ----------
    .. [1] Allen and others 1998, *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56,
       equation 74.
    """
    most, readily = numbers.evaporable_mm, numbers.readily_evaporable_mm
    slowing = most - readily
    wettest, rate = drainage.wettest_mm, drainage.drains_mm_per_day
    deficits: list[float] = []
    before: list[float] = []
    deficit = 0.0
    days: list[tuple[Any, ...]] = list(
        zip(water_mm.tolist(), evapotranspiration_mm.tolist(), deep_frozen.tolist(), strict=True)
    )
    for water, drying, frozen in days:
        if frozen:
            before.append(deficit - water)
        else:
            drained = min(0.0, deficit + rate) if deficit < 0 else deficit
            share = 1.0 if drained <= readily else (most - drained) / slowing
            raw = drained + drying * share - water
            before.append(raw)
            deficit = min(max(raw, wettest), most)
        deficits.append(deficit)
    return Topsoil(np.array(deficits), np.array(before))
