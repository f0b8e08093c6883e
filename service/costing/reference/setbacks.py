"""Setbacks of places: distances from water, wells and homes, each with source and date."""

import math
import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Literal

METRES_PER_FOOT = 0.3048
"""By definition of the foot."""

PERCENT = 100

DISCLAIMER = (
    "Guidance as it was read on a day; law changes, and counties may ask for more: ask the agency "
    "before anything is fed, stacked or built."
)
"""Stands wherever setbacks are shown."""

SEEN, FROM_MEMORY = "seen", "from memory"

Activity = Literal["feeding", "stack", "storage", "spreading", "fence"]
Kind = Literal["water", "well", "sinkhole", "some_water", "other"]


@dataclass(frozen=True, slots=True)
class Setback:
    """A distance that a place asks to be kept, as it was read; no rule of everywhere."""

    key: str
    place: str
    place_title: str
    activity: Activity
    from_what: str
    kind: Kind
    """What it is to be measured from: any water, wells or sinkholes alone, some special water, or
    something (homes, inlets) to which no scenario gives a distance."""
    distance_ft: float
    lots_only: bool
    """Whether it speaks of lots and floors, and not of grazed land."""
    conditions: str
    slope_limit_percent: float | None
    source: str
    where: str
    date: str
    """Of what was read, in words."""
    mark: str
    """``seen`` or ``from memory``."""


@dataclass(frozen=True, slots=True)
class Place:
    """A place with setbacks of its own, and whom to ask there."""

    key: str
    title: str
    ask: str
    setbacks: tuple[Setback, ...]


@dataclass(frozen=True, slots=True)
class SetbackTable:
    """All places, and the day on which the table was put together."""

    read_on: date
    places: dict[str, Place]

    @property
    def read_on_in_words(self) -> str:
        """The day as it is said, 25 November 2026."""
        return f"{self.read_on.day} {self.read_on:%B %Y}"


@cache
def setback_table() -> SetbackTable:
    """Read the table."""
    text = (files("service.costing.reference") / "setbacks.toml").read_text("utf-8")
    table = tomllib.loads(text)
    rows = [_setback(row, table["place"][row["place"]]["title"]) for row in table["setback"]]
    places = {
        key: Place(
            key=key,
            title=place["title"],
            ask=place["ask"],
            setbacks=tuple(row for row in rows if row.place == key),
        )
        for key, place in table["place"].items()
    }
    return SetbackTable(table["read_on"], places)


def place_keys() -> list[str]:
    """Return the key of every place that the table has."""
    return list(setback_table().places)


def place_called(key: str) -> Place:
    """Return one place; KeyError if the table has none of that key."""
    return setback_table().places[key]


def _setback(row: dict[str, Any], title: str) -> Setback:
    return Setback(
        key=row["key"],
        place=row["place"],
        place_title=title,
        activity=row["activity"],
        from_what=row["from_what"],
        kind=row["kind"],
        distance_ft=float(row["feet"]) if "feet" in row else row["metres"] / METRES_PER_FOOT,
        lots_only=row.get("lots_only", False),
        conditions=row["conditions"],
        slope_limit_percent=_slope(row),
        source=row["source"],
        where=row["where"],
        date=row["date"],
        mark=SEEN if row["seen"] else FROM_MEMORY,
    )


def _slope(row: dict[str, Any]) -> float | None:
    """Return the slope that a rule names, in percent: rise over run."""
    if "slope_degrees" in row:
        return math.tan(math.radians(row["slope_degrees"])) * PERCENT
    return row.get("slope_percent")
