"""What the settings may be, what they mean, and by which numbers weather is judged."""

import math
from collections.abc import Iterator
from typing import Any

from service.costing.errors import Fault, nearest
from service.weather.parameters import parameters
from service.weather.settings import WeatherSettings
from service.weather.windows import COMMON_YEAR, month_and_day, window_from

THRESHOLDS = ("frozen_index", "mud_deficit_mm")


def settings_faults(settings: WeatherSettings) -> list[Fault]:
    """Return all that is wrong with settings.

    Parameters
    ----------
    settings : WeatherSettings
        As they were sent.

    Returns
    -------
    list of Fault
        Faults by input; none if the settings can be used.
    """
    return [
        *_faults_of_drainage(settings.drainage),
        *_faults_of_window(settings),
        *(
            fault
            for name in THRESHOLDS
            for fault in _faults_of_threshold(name, getattr(settings, name))
        ),
    ]


def presets() -> dict[str, Any]:
    """Return drainage classes, settings with their presets, and the numbers of the method.

    Returns
    -------
    dict
        ``drainage``, ``settings`` and ``parameters``, each a list of rows with meaning and source.
    """
    rows = parameters().rows
    usual = WeatherSettings()
    return {
        "drainage": [
            {
                "name": name,
                "usual": name == usual.drainage,
                **{
                    key: None if isinstance(value, float) and math.isinf(value) else value
                    for key, value in row.items()
                },
            }
            for name, row in rows["drainage"].items()
        ],
        "settings": [
            {
                "input": f"thresholds.{name}",
                "usual": getattr(usual, name),
                **rows["setting"][name],
                "presets": [
                    {"source": None, "note": None, **preset}
                    for preset in rows["setting"][name]["presets"]
                ],
            }
            for name in THRESHOLDS
        ],
        "parameters": [
            {"name": name, "source": None, "note": None, **row}
            for name, row in rows["number"].items()
        ],
    }


def _faults_of_drainage(drainage: str) -> Iterator[Fault]:
    classes = tuple(parameters().drainage)
    if drainage in classes:
        return
    near = nearest(drainage, classes)
    yield Fault(
        "drainage",
        f"Drainage is {', '.join(classes[:-1])} or {classes[-1]}, not {drainage!r}.",
        received=drainage,
        allowed=", ".join(classes),
        suggestion=near,
    )


def _faults_of_window(settings: WeatherSettings) -> Iterator[Fault]:
    allowed = "MM-DD, a day of every year"
    ends = {"first_day": settings.first_day, "last_day": settings.last_day}
    wrong = [name for name, text in ends.items() if month_and_day(text) is None]
    for name in wrong:
        yield Fault(
            f"window.{name}",
            f"{ends[name]!r} is no month and day that every year has; write it as 11-01.",
            received=ends[name],
            allowed=allowed,
        )
    if wrong:
        return
    days = window_from(settings, COMMON_YEAR).days
    limits = parameters().limits["window"]
    if not limits.least <= days <= limits.most:
        yield Fault(
            "window.last_day",
            f"From {settings.first_day} to {settings.last_day} are {days} days; a winter has "
            f"{limits.least:g} to {limits.most:g}.",
            received=settings.last_day,
            allowed=f"{limits.least:g} to {limits.most:g} days after window.first_day",
            unit=limits.unit,
        )


def _faults_of_threshold(name: str, value: float) -> Iterator[Fault]:
    limits = parameters().limits[name]
    if limits.least <= value <= limits.most:  # false for what is not a number, too
        return
    yield Fault(
        f"thresholds.{name}",
        f"{value:g} {limits.unit} is outside {limits.least:g} to {limits.most:g}.",
        received=value if math.isfinite(value) else None,
        allowed=f"{limits.least:g} to {limits.most:g}",
        unit=limits.unit,
    )
