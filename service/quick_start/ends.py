"""A document with one guess at its low or its high, and what hangs on it moved along."""

from collections.abc import Mapping
from typing import Any

from service.costing.formulas.stages import days_between
from service.costing.overrides import MOST_SETTINGS, with_settings

Document = dict[str, Any]
GROUND = "winter.ground_days"
DATES = ("winter.first_day", "winter.last_day")


def at_end(document: Document, guess: Mapping[str, Any], end: str) -> Document:
    """Return the document with a guess at one end.

    Days of one ground state come from the others, and the days of a longer winter are spread over
    all of them.

    Parameters
    ----------
    document : dict
        The scenario document.
    guess : mapping
        One of the guesses.
    end : str
        ``low`` or ``high``.
    """
    settings = dict.fromkeys([guess["input"], *guess["also"]], guess[end])
    state = guess["input"].removeprefix(f"{GROUND}.")
    if state != guess["input"]:
        settings |= _ground(document["winter"]["ground_days"], {state: guess[end]})
    for path in [path for path in DATES if path in settings]:
        dates = {other: document["winter"][other.split(".")[1]] for other in DATES}
        dates[path] = guess[end]
        days = days_between(dates[DATES[0]], dates[DATES[1]]) + 1
        now = document["winter"]["ground_days"]
        scale = days / sum(now.values())
        settings |= {f"{GROUND}.{name}": value * scale for name, value in now.items()}
    return _set(document, settings)


def _ground(now: Mapping[str, float], changed: Mapping[str, float]) -> dict[str, float]:
    whole = sum(now.values())
    [(state, days)] = changed.items()
    days = min(days, whole)
    others = whole - now[state]
    scale = (whole - days) / others if others > 0 else 0.0
    found = {f"{GROUND}.{name}": value * scale for name, value in now.items() if name != state}
    return {**found, f"{GROUND}.{state}": days if others > 0 else whole}


def _set(document: Document, settings: Mapping[str, Any]) -> Document:
    """Set inputs, so many at a time as are taken at once."""
    paths = list(settings)
    for start in range(0, len(paths), MOST_SETTINGS):
        part = {path: settings[path] for path in paths[start : start + MOST_SETTINGS]}
        document = with_settings(document, part)
    return document
