"""Daily weather that installed packages carry in their own tests and examples, read as data only.

No package is imported: they pull in much that is not needed here. Where one is missing the test is
skipped; with WINTERGROUND_REQUIRE_WEATHER_DATA=1 it fails instead.
"""

import csv
import io
import os
import re
import zipfile
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from importlib.metadata import PackageNotFoundError, files

import numpy as np
import pytest

from service.weather.series import DailySeries

HOW_TO_INSTALL = (
    "install aquacrop, pcse and eto without their dependencies: "
    "pip install --no-deps aquacrop pcse eto"
)
REQUIRED = "WINTERGROUND_REQUIRE_WEATHER_DATA"

CHAMPION_LATITUDE = 40.4  # from memory: Champion, Nebraska
BRUSSELS_LATITUDE = 50.8  # from memory
NORTH_YORKS_LATITUDE = 54.3  # from memory
CORDOBA_LATITUDE = -31.4  # from memory: Córdoba, Argentina
WAGENINGEN_LATITUDE = 51.97  # head of each year's file
EVAPOTRANSPIRATION_LATITUDE = -43.6  # the data set's own example

STATION_COLUMNS = 9


@dataclass(frozen=True)
class PublishedEvapotranspiration:
    """Days with temperatures and the evapotranspiration that was published for them."""

    day_of_year: np.ndarray
    tmax_c: np.ndarray
    tmin_c: np.ndarray
    evapotranspiration_mm: np.ndarray


def data_files(package: str, pattern: str) -> dict[str, bytes]:
    """Return the files of an installed package whose path ends in a pattern, by name."""
    try:
        listed = files(package) or []
    except PackageNotFoundError:
        listed = []
    found = [path for path in listed if re.search(f"{pattern}$", path.as_posix())]
    if not found:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail(HOW_TO_INSTALL)
        pytest.skip(HOW_TO_INSTALL)
    return {path.name: path.read_binary() for path in found}


@cache
def crop_model_days(place: str) -> DailySeries:
    """Return a record of aquacrop: day, month, year, tmin, tmax, precipitation, no snow."""
    (content,) = data_files("aquacrop", f"data/{place}_climate.txt").values()
    rows = np.loadtxt(io.BytesIO(content), skiprows=1)
    dates = [date(year, month, day) for day, month, year in rows[:, :3].astype(int).tolist()]
    assert dates[-1] - dates[0] == timedelta(days=len(dates) - 1)
    return DailySeries(dates[0], rows[:, 4].copy(), rows[:, 3].copy(), rows[:, 5].copy(), None)


@cache
def wageningen_days() -> DailySeries:
    """Return pcse's record of a station, 1976 to 1999.

    Lines are station, year, day of year, radiation, tmin, tmax, vapour pressure, wind,
    precipitation. A status line has the date of the line after it; the last line of a date counts.
    """
    read: dict[date, list[float]] = {}
    for content in data_files("pcse", r"test_data/NL1\.9[0-9][0-9]").values():
        for line in content.decode("latin-1").splitlines():
            cells = line.split()
            if line.startswith("*") or len(cells) != STATION_COLUMNS:
                continue
            day = date(int(cells[1]), 1, 1) + timedelta(days=int(cells[2]) - 1)
            read[day] = [float(cells[5]), float(cells[4]), float(cells[8])]
    first, last = min(read), max(read)
    table = np.full(((last - first).days + 1, 3), np.nan)
    for day, values in read.items():
        table[(day - first).days] = values
    return DailySeries(first, table[:, 0].copy(), table[:, 1].copy(), table[:, 2].copy(), None)


@cache
def published_evapotranspiration() -> PublishedEvapotranspiration:
    """Return eto's example days and its published results by the temperature equation."""
    days = _zipped_rows("example_daily.csv.zip")
    results = {
        row["date"]: row["ETo_Har_mm"] for row in _zipped_rows("example_daily_results.csv.zip")
    }
    both = [row for row in days if results.get(row["date"])]
    return PublishedEvapotranspiration(
        np.array([date.fromisoformat(row["date"]).timetuple().tm_yday for row in both]),
        np.array([float(row["T_max"]) for row in both]),
        np.array([float(row["T_min"]) for row in both]),
        np.array([float(results[row["date"]]) for row in both]),
    )


def _zipped_rows(name: str) -> list[dict[str, str]]:
    (content,) = data_files("eto", f"datasets/{re.escape(name)}").values()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        (member,) = archive.namelist()
        return list(csv.DictReader(io.StringIO(archive.read(member).decode())))
