"""Files of daily weather as they are sent, made up in any format from one record."""

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from service.weather.reading import read_days
from service.weather.series import DailySeries

FOLDER = Path(__file__).parents[1] / "data" / "weather"
"""Five files of the same made-up winter, one a format."""

LATITUDE = 44.51
"""That of the files which have one."""

WRITTEN_IN = {
    "degrees": (lambda t: np.round(t, 1), lambda p: np.round(p, 1)),
    "tenths": (lambda t: np.round(t * 10), lambda p: np.round(p * 10)),
    "us": (lambda t: np.round(t * 1.8 + 32), lambda p: np.round(p / 25.4, 2)),
    "whole degrees": (np.round, np.round),
}


def sent(name):
    """Return a file of the made-up winter."""
    return (FOLDER / f"{name}.csv").read_text(encoding="utf-8")


def lines_of(name):
    """Return a file of the made-up winter by its lines."""
    return sent(name).splitlines()


def with_line(name, number, line):
    """Return a file with one line, counted from 1, replaced."""
    lines = lines_of(name)
    lines[number - 1] = line
    return "\n".join(lines)


def years(mean_c=8.0, swing_c=13.0, half_range_c=5.0, days=730, first_day=date(2017, 1, 1)):
    """Return two years with the seasons of the north, wet every third day, always the same."""
    draw = np.random.default_rng(3)
    day = np.arange(days)
    tmean = mean_c - swing_c * np.cos(2 * np.pi * (day - 15) / 365.25) + draw.normal(0, 3, days)
    half = half_range_c * draw.uniform(0.6, 1.4, days)
    rain = np.where(draw.random(days) < 1 / 3, draw.gamma(1, 6.0, days), 0)
    return DailySeries(first_day, tmean + half, tmean - half, rain, None)


def part(series, first, days):
    """Return some days of a record."""
    start = (first - series.first_day).days
    cut = slice(start, start + days)
    return DailySeries(
        first, series.tmax_c[cut], series.tmin_c[cut], series.precipitation_mm[cut], None
    )


def order(series, units, *, precipitation=True):
    """Return a record as an order would write it, its numbers in some units."""
    temperature, water = WRITTEN_IN[units]
    columns = [temperature(series.tmax_c), temperature(series.tmin_c)]
    header = ["STATION", "DATE", "TMAX", "TMIN"]
    if precipitation:
        columns.append(water(series.precipitation_mm))
        header.append("PRCP")
    rows = [
        ["XXC00440017", (series.first_day + timedelta(days=at)).isoformat()]
        + ["" if np.isnan(value) else f"{value:g}" for value in values]
        for at, values in enumerate(zip(*columns, strict=True))
    ]
    return "\n".join(",".join(f'"{cell}"' for cell in row) for row in [header, *rows])


def told(read):
    """Return the names of what was told of a record."""
    return [warning.warning for warning in read.warnings]


def same(one, other):
    """Whether two records are the same, bit for bit but for what is no number."""
    return one.first_day == other.first_day and all(
        (mine is None and yours is None) or np.array_equal(mine, yours, equal_nan=True)
        for mine, yours in (
            (one.tmax_c, other.tmax_c),
            (one.tmin_c, other.tmin_c),
            (one.precipitation_mm, other.precipitation_mm),
            (one.snow_depth_cm, other.snow_depth_cm),
        )
    )


def winter():
    """Return the made-up winter as it was written in plain columns."""
    return read_days("plain", sent("plain")).series
