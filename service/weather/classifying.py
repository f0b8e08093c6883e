"""From daily weather to winters: days in each ground state, spells, rain and temperatures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from service.costing.units import STATES
from service.weather.gaps import filled_days, runs
from service.weather.ground import Ground, Weather, ground_of, weather_of
from service.weather.parameters import parameters
from service.weather.record_warnings import warnings_of
from service.weather.series import DailySeries
from service.weather.settings import WeatherSettings
from service.weather.windows import Window, windows_between
from service.weather.winters import Classified, DroppedWinter, RecordedWinter

MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class _Winter:
    """A winter that is whole in the record, and its days there."""

    window: Window
    days: slice


def classify(series: DailySeries, latitude: float, settings: WeatherSettings) -> Classified:
    """Count the winters of a record.

    Parameters
    ----------
    series : DailySeries
        The record.
    latitude : float
        Latitude, south negative [degree].
    settings : WeatherSettings
        Without faults.

    Returns
    -------
    Classified
        Winters in the order of time, those left out, and what to know of them.
    """
    weather = _weather(series, latitude)
    ground = ground_of(weather, settings)
    whole, dropped = _parted(series, weather, settings)
    winters = [_recorded(winter, weather, ground) for winter in whole]
    precipitation = weather.days.precipitation_mm
    fallen = None if precipitation is None else [precipitation[winter.days] for winter in whole]
    return Classified(winters, dropped, warnings_of(winters, fallen))


def three_presets(
    series: DailySeries, latitude: float, settings: WeatherSettings
) -> list[dict[str, Any]]:
    """Return the mean days at each preset of a threshold, all else as set.

    The two thresholds matter more than anything else, so they are shown side by side.

    Parameters
    ----------
    series : DailySeries
        The record.
    latitude : float
        Latitude, south negative [degree].
    settings : WeatherSettings
        Without faults.

    Returns
    -------
    list of dict
        ``setting``, ``value`` and ``mean_ground_days`` by state [day]; none without a whole winter.
    """
    weather = _weather(series, latitude)
    whole, _ = _parted(series, weather, settings)
    if not whole:
        return []
    table = parameters().presets
    return [
        {
            "setting": name,
            "value": value,
            "mean_ground_days": _mean_days(
                whole, ground_of(weather, replace(settings, **{name: value}))
            ),
        }
        for name in ("mud_deficit_mm", "frozen_index")
        for value in table[name]
    ]


def _weather(series: DailySeries, latitude: float) -> Weather:
    days = filled_days(series, parameters().numbers.longest_gap_days)
    return weather_of(series, days, latitude)


def _parted(
    series: DailySeries, weather: Weather, settings: WeatherSettings
) -> tuple[list[_Winter], list[DroppedWinter]]:
    """Return the winters that are whole with the days before them, and those that are not."""
    lead = parameters().numbers.lead_days
    whole: list[_Winter] = []
    dropped: list[DroppedWinter] = []
    for window in windows_between(settings, series.first_day, series.last_day):
        start = (window.first - series.first_day).days
        stop = start + window.days
        missing = _missing(weather, start - lead, stop)
        if not missing:
            whole.append(_Winter(window, slice(start, stop)))
            continue
        first_missing = series.first_day + timedelta(days=missing[0])
        dropped.append(_dropped(window, lead, first_missing, len(missing)))
    return whole, dropped


def _missing(weather: Weather, start: int, stop: int) -> Sequence[int]:
    """Return the days from one position to before another that are not known and not filled."""
    usable = weather.days.usable
    inside = usable[max(start, 0) : min(stop, len(usable))]
    if start >= 0 and stop <= len(usable) and inside.all():
        return ()
    return [day for day in range(start, stop) if not (0 <= day < len(usable) and usable[day])]


def _dropped(window: Window, lead: int, first_missing: date, missing: int) -> DroppedWinter:
    first = window.first - timedelta(days=lead)
    what = "day is" if missing == 1 else "days are"
    return DroppedWinter(
        window.season,
        f"Winter {window.season} needs {lead + window.days} days, from {first} to {window.last}; "
        f"{missing} {what} missing, the first {first_missing}.",
    )


def _recorded(winter: _Winter, weather: Weather, ground: Ground) -> RecordedWinter:
    days = winter.days
    state = ground.state[days]
    counts = np.bincount(state, minlength=len(STATES))
    mean_c = weather.mean_c[days]
    known = weather.days.precipitation_mm is not None
    return RecordedWinter(
        season=winter.window.season,
        ground_days=dict(zip(STATES, counts.tolist(), strict=True)),
        spells=_spells(ground, days),
        rain_in=float(weather.water_mm[days].sum()) / MM_PER_INCH if known else None,
        temperature_f={
            name: _fahrenheit(float(mean_c[state == position].mean()))
            for position, name in enumerate(STATES)
            if counts[position]
        },
        missing_days=int(weather.days.filled[days].sum()),
        observed_snow_days=int(weather.observed[days].sum()),
        frozen_days=int(ground.frozen[days].sum()),
        deep_frozen_days=int(ground.deep_frozen[days].sum()),
        autumn_rain_in=_autumn_rain(weather, days.start),
    )


def _spells(ground: Ground, days: slice) -> Mapping[str, Sequence[int]]:
    lengths: list[list[int]] = [[] for _ in STATES]
    for _, length, position in runs(ground.state[days]):
        lengths[int(position)].append(length)
    return dict(zip(STATES, lengths, strict=True))


def _autumn_rain(weather: Weather, start: int) -> float | None:
    fallen = weather.days.precipitation_mm
    first = start - parameters().numbers.autumn_days
    if fallen is None or first < 0 or bool(np.isnan(fallen[first:start]).any()):
        return None
    return float(fallen[first:start].sum()) / MM_PER_INCH


def _mean_days(winters: Sequence[_Winter], ground: Ground) -> dict[str, float]:
    counts = [np.bincount(ground.state[winter.days], minlength=len(STATES)) for winter in winters]
    means: list[float] = np.mean(counts, axis=0).tolist()
    return dict(zip(STATES, means, strict=True))


def _fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32
