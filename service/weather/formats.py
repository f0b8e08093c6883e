"""How the columns of each accepted format are named and measured.

The layouts of GHCN-Daily are those of NOAA's National Centers for Environmental Information: the
access files (one station a file, one line a day) and the files by station (one line a value). An
order is what the web service of the same archive hands out; nothing in such a file tells its units,
so the request says them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from service.costing.units import Array

Element = Literal["tmax_c", "tmin_c", "precipitation_mm", "snow_depth_cm"]

ELEMENTS: tuple[Element, ...] = ("tmax_c", "tmin_c", "precipitation_mm", "snow_depth_cm")
REQUIRED: tuple[Element, ...] = ("tmax_c", "tmin_c")
MEASURED_FROM_ZERO: tuple[Element, ...] = ("precipitation_mm", "snow_depth_cm")
"""What cannot be negative, and may be a trace."""


@dataclass(frozen=True, slots=True)
class Measure:
    """Unit in which a column is sent, and its way to the unit of a series."""

    unit: str
    zero: float = 0
    """What is sent for 0 of a series."""
    times: float = 1
    per: float = 1
    whole: bool = False
    """Whether the format has whole numbers only."""

    def to_series(self, sent: Array) -> Array:
        """Return values as a series has them."""
        return (sent - self.zero) * self.times / self.per

    def as_sent(self, values: Array) -> Array:
        """Return values of a series as they were sent."""
        return values * self.per / self.times + self.zero


CELSIUS = Measure("°C")
TENTHS_OF_CELSIUS = Measure("tenths of °C", per=10, whole=True)
FAHRENHEIT = Measure("°F", zero=32, per=1.8)
MILLIMETRES = Measure("mm")
TENTHS_OF_MILLIMETRES = Measure("tenths of mm", per=10, whole=True)
INCHES = Measure("in", times=25.4)
DEPTH_CENTIMETRES = Measure("cm")
DEPTH_MILLIMETRES = Measure("mm", per=10)
DEPTH_WHOLE_MILLIMETRES = Measure("mm", per=10, whole=True)
DEPTH_INCHES = Measure("in", times=2.54)


@dataclass(frozen=True, slots=True)
class Format:
    """One accepted format."""

    name: str
    columns: Mapping[Element, str]
    """What the file calls each element."""
    measures: Mapping[Element, Measure]
    by_element: bool = False
    """Whether a line holds one value of one element, not all of a day."""

    def named(self, element: Element) -> str:
        """Return the input path of a column."""
        return f"csv.{self.columns[element]}"


_PLAIN_COLUMNS: dict[Element, str] = {element: element for element in ELEMENTS}
_ARCHIVE_COLUMNS: dict[Element, str] = {
    "tmax_c": "TMAX",
    "tmin_c": "TMIN",
    "precipitation_mm": "PRCP",
    "snow_depth_cm": "SNWD",
}


def _measures(temperature: Measure, water: Measure, depth: Measure) -> dict[Element, Measure]:
    return {
        "tmax_c": temperature,
        "tmin_c": temperature,
        "precipitation_mm": water,
        "snow_depth_cm": depth,
    }


_IN_TENTHS = _measures(TENTHS_OF_CELSIUS, TENTHS_OF_MILLIMETRES, DEPTH_WHOLE_MILLIMETRES)

FORMAT_OF: dict[str, Format] = {
    known.name: known
    for known in (
        Format("plain", _PLAIN_COLUMNS, _measures(CELSIUS, MILLIMETRES, DEPTH_CENTIMETRES)),
        Format("ghcn_access", _ARCHIVE_COLUMNS, _IN_TENTHS),
        Format("ghcn_long", _ARCHIVE_COLUMNS, _IN_TENTHS, by_element=True),
        Format(
            "order_metric", _ARCHIVE_COLUMNS, _measures(CELSIUS, MILLIMETRES, DEPTH_MILLIMETRES)
        ),
        Format("order_us", _ARCHIVE_COLUMNS, _measures(FAHRENHEIT, INCHES, DEPTH_INCHES)),
    )
}

FORMATS: tuple[str, ...] = tuple(FORMAT_OF)
