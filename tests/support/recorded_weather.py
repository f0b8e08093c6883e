"""Made-up daily weather as it is sent, and farms that take their winters from it."""

from datetime import date, timedelta
from typing import Any

import numpy as np

from service.scenarios.desk import Document
from service.scenarios.weather_records import NewRecord
from service.weather.settings import WeatherSettings
from tests.support.offices import small_document

LATITUDE = 44.5
WINDOW = {name: small_document()["winter"][name] for name in ("first_day", "last_day")}
"""The winter of the small document."""
FIRST_DAY = date(2015, 7, 1)
YEARS = 3
SEASONS = ["2015-16", "2016-17", "2017-18"]
"""The winters that are whole in it."""


def sent_days(
    first_day: date = FIRST_DAY, days: int = 365 * YEARS, *, rain: bool = True, seed: int = 7
) -> str:
    """Return days with cold winters and rain or snow every third day, as plain columns."""
    draw = np.random.default_rng(seed)
    number = np.arange(days) + first_day.timetuple().tm_yday
    mean = 11 - 11 * np.cos(2 * np.pi * (number - 15) / 365.25) + draw.normal(0, 3, days)
    fallen = np.where(draw.random(days) < 1 / 3, draw.gamma(1, 6, days), 0)
    lines = ["date,tmax_c,tmin_c" + ",precipitation_mm" * rain]
    for at in range(days):
        told = [f"{mean[at] + 5:.1f}", f"{mean[at] - 5:.1f}", *[f"{fallen[at]:.1f}"] * rain]
        lines.append(",".join([(first_day + timedelta(days=at)).isoformat(), *told]))
    return "\n".join(lines)


DAYS = sent_days()


def record_request(**changes: Any) -> dict[str, Any]:
    """Return a record of daily weather as it is posted."""
    return {
        "label": "Tansy Vale",
        "format": "plain",
        "csv": DAYS,
        "latitude": LATITUDE,
        "drainage": "moderate",
        "window": WINDOW,
    } | changes


def new_record(settings: dict[str, Any] | None = None, **changes: Any) -> NewRecord:
    """Return the same as it comes to the desk."""
    given: dict[str, Any] = {
        "label": "Tansy Vale",
        "source_format": "plain",
        "csv": DAYS,
        "latitude": LATITUDE,
        "settings": WeatherSettings(**(WINDOW | (settings or {}))),
    }
    return NewRecord(**(given | changes))


def farm_with(record_id: str, classifier: str | None = None, **changes: Any) -> Document:
    """Return a small document that takes its winters from a record.

    What cold asks for is from the tables, as the temperatures of a record are known.
    """
    named = {"weather_record": record_id}
    if classifier is not None:
        named["weather_classifier"] = classifier
    return farm_in(WINDOW | named, **changes)


def farm_in(winter: dict[str, Any], **changes: Any) -> Document:
    """Return the same document with another winter."""
    document = small_document(winter=winter, **changes)
    del document["reference_edition"]
    return document
