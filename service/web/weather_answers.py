"""What is answered of weather records, and of the settings that their winters are counted by."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from service.costing.json_shapes import is_object
from service.costing.units import STATES
from service.scenarios.records import Classification, WeatherRecord
from service.scenarios.weather_records import Shown
from service.weather.formats import FORMAT_OF, REQUIRED, Format
from service.weather.parameters import parameters
from service.weather.presets import presets
from service.weather.settings import WeatherSettings
from service.web.answers import timestamp

SAID_BY: Mapping[str, frozenset[str]] = {
    "no_snow_depth": frozenset({"modelled_snow", "no_precipitation"}),
    "modelled_snow": frozenset({"no_precipitation"}),
}
"""Warnings that need not be told beside others; without precipitation no snow is modelled."""

FACTS = (
    "missing_days",
    "observed_snow_days",
    "frozen_days",
    "deep_frozen_days",
    "autumn_rain_in",
)
WINTER_COLUMNS = (
    "season",
    *(f"ground_days.{state}" for state in STATES),
    "rain_in",
    *(f"effective_temperature_f.{state}" for state in STATES),
    *FACTS,
    *(f"spells.{state}" for state in STATES),
    "classifier",
)
"""Columns of the table of winters; what a row of a scenario has is called by its path there."""


def record_item(record: WeatherRecord) -> dict[str, Any]:
    """Return a record as it stands in a list."""
    return {
        "id": record.id,
        "label": record.label,
        "format": record.source_format,
        "latitude": record.latitude,
        "first_day": record.first_day.isoformat(),
        "last_day": record.last_day.isoformat(),
        "missing_days": record.missing_days,
        "created_at": timestamp(record.created_at),
        "classifier": record.classifier,
    }


def record_body(shown: Shown) -> dict[str, Any]:
    """Return a record with its winters under one classification."""
    classification = shown.classification
    details = {winter.season: json.loads(winter.detail) for winter in shown.winters}
    missing = {winter.season: winter.missing for winter in shown.winters}
    told = json.loads(classification.told)
    return {
        **record_item(shown.record),
        "classifier": classification.classifier,
        "newest_classifier": shown.record.classifier,
        "settings": json.loads(classification.settings),
        "classifications": [_classification(found) for found in shown.classifications],
        "rows": [detail["row"] for detail in details.values()],
        "winters": {
            season: {
                name: missing[season] if name == "missing_days" else detail[name] for name in FACTS
            }
            for season, detail in details.items()
        },
        "dropped": told["dropped"],
        "warnings": list(_warnings(told["warnings"], json.loads(shown.record.told))),
        "side_by_side": told["side_by_side"],
    }


def winter_rows(body: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the winters of a record, given as it is answered, as rows of a table."""
    for row in body["rows"]:
        cells: dict[str, Any] = {"classifier": body["classifier"]}
        for name, value in row.items():
            if is_object(value):
                cells |= {f"{name}.{state}": value.get(state) for state in STATES}
            else:
                cells[name] = value
        yield cells | body["winters"][row["season"]]


def settings_body() -> dict[str, Any]:
    """Return the settings with their presets, the numbers of the method, and the formats."""
    usual, limits = WeatherSettings(), parameters().limits["window"]
    return {
        "window": {
            "first_day": usual.first_day,
            "last_day": usual.last_day,
            "least": limits.least,
            "most": limits.most,
            "unit": limits.unit,
        },
        **presets(),
        "formats": [_format(layout) for layout in FORMAT_OF.values()],
    }


def _warnings(
    of_winters: list[dict[str, str]], of_file: list[dict[str, str]]
) -> Iterator[dict[str, str]]:
    """Yield the warnings, each subject once: as told of the winters, else as told of the file."""
    names = {warning["warning"] for warning in of_winters}
    for warning in (*of_winters, *(one for one in of_file if one["warning"] not in names)):
        if not SAID_BY.get(warning["warning"], frozenset()) & names:
            yield warning


def _classification(found: Classification) -> dict[str, Any]:
    return {
        "classifier": found.classifier,
        "settings": json.loads(found.settings),
        "created_at": timestamp(found.created_at),
    }


def _format(layout: Format) -> dict[str, Any]:
    return {
        "name": layout.name,
        "line_holds": "one value" if layout.by_element else "one day",
        "columns": [
            {
                "column": name,
                "holds": element,
                "unit": layout.measures[element].unit,
                "required": element in REQUIRED,
            }
            for element, name in layout.columns.items()
        ],
    }
