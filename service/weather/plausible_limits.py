"""What no weather reaches, and what few places do: limits by which wrong units are found.

None of them is a standard; each is a rule of our own, set wider than what has been measured. A
record that breaks one which refuses cannot be right in the units it was sent in; where a limit only
warns, a rare place may be like that.
"""

from dataclasses import dataclass

WMO = "World Meteorological Organization, World Weather and Climate Extremes Archive"


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit with what it was set by."""

    value: float
    unit: str
    basis: str
    """What has been measured, who says so, and whether that was seen or is from memory."""


TEMPERATURE = Limit(
    60,
    "°C",
    "Either way from 0. Own rule. Highest on record 56.7, Death Valley 1913 "
    f"({WMO}; seen as quoted by others). Below -60 nobody winters cows outside.",
)
SHARE_BEYOND = Limit(
    0.05,
    "fraction",
    "Own rule. More values than this beyond the limit are no slips of the pen: the unit is wrong.",
)
HOTTEST_FAHRENHEIT = Limit(134, "°F", "56.7 °C, as above.")
COLDEST_FAHRENHEIT = Limit(-80, "°F", "Own rule. Lowest in the United States -79.8 (from memory).")
WARMEST_MONTH = Limit(
    50,
    "°C",
    "Mean highest temperature of the warmest month. Own rule. Death Valley and Kuwait have 47 to "
    "48 in July (from memory).",
)
MIDWINTER = Limit(
    25,
    "°C",
    "Mean highest temperature of the three midwinter months. Own rule, from 35° of latitude on: "
    "there the mildest coasts have 16 to 20 (from memory).",
)
MIDWINTER_LATITUDE = Limit(35, "degree", "Own rule, see above.")
SEASON_DAYS = Limit(60, "day", "Own rule. Fewer days say little of a midwinter or a midsummer.")
DAILY_RANGE = Limit(
    50,
    "°C or °F",
    "Mean of highest less lowest temperature. Own rule. Dry highlands reach some 20 °C, 36 °F, "
    "over a year (from memory).",
)
TOO_EVEN_RANGE = Limit(
    3,
    "°C",
    "Mean of highest less lowest temperature, of a record in tenths that never leaves -8 to "
    "13.4 °C. Own rule. Sea air leaves 3 to 5 (from memory).",
)
NO_SUMMER_FAHRENHEIT = Limit(
    57,
    "°F",
    "Highest temperature of a record with summers. Own rule: where no day of the year is warmer "
    "nobody keeps cows, but it is what °C look like when they are read as °F.",
)
NO_SUMMER_LATITUDE = Limit(
    60, "degree", "Own rule. Up to here every midsummer has a warmer day (from memory)."
)
DAY_OF_RAIN = Limit(
    2_000,
    "mm",
    "Own rule. Most in 24 hours 1,825, Foc-Foc, La Réunion 1966 "
    f"({WMO}; seen as quoted by others).",
)
LARGE_DAY_OF_RAIN = Limit(500, "mm", "Own rule; warns. Such days are known from tropical storms.")
YEAR_OF_RAIN = Limit(
    12_000, "mm", "Mean of a year. Own rule. The wettest places have 11,900 (from memory)."
)
LARGE_YEAR_OF_RAIN = Limit(4_000, "mm", "Mean of a year. Own rule; warns.")
SMALL_YEAR_OF_RAIN = Limit(
    120, "mm", "Mean of a year with many wet days. Own rule; warns: it could be inches."
)
MANY_WET_DAYS = Limit(60, "day", "Wet days of a year. Own rule, see above.")
SNOW = Limit(
    1_200, "cm", "Own rule. Deepest on record 1,182, Mount Ibuki, Japan, 1927 (from memory)."
)
USUAL_SNOW = Limit(
    300,
    "cm",
    "Median depth on days with snow. Own rule; warns: where cows winter it is less.",
)
MANY_DECIMALS = Limit(0.5, "fraction", "Own rule; warns. Orders in °F have whole degrees.")
SWAPPED = Limit(
    0.5, "fraction", "Own rule. More days than this with the lowest above the highest: swapped."
)
