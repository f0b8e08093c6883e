"""Units in which people give values, and how large each is.

Exact by definition: the international yard and pound of 1959, the US gallon of 231 cubic inches,
the horsepower of 550 foot-pounds a second, as in NIST Handbook 44, Appendix C, and NIST Special
Publication 811, Appendix B. A ton is the short ton of 2,000 lb, as in all of the service; ``t`` is
the metric one.
"""

from collections.abc import Mapping
from fractions import Fraction

POUND = Fraction("0.45359237")
FOOT = Fraction("0.3048")
INCH = FOOT / 12
GALLON = 231 * INCH**3
STANDARD_GRAVITY = Fraction("9.80665")
KILOWATT = Fraction(1000)
HORSEPOWER = 550 * FOOT * POUND * STANDARD_GRAVITY

MASS = "mass"
LENGTH = "length"
AREA = "area"
VOLUME = "volume"
TIME = "time"
POWER = "power"
SHARE = "share"
TEMPERATURE = "temperature"

SIZES: Mapping[str, tuple[str, Fraction]] = {
    "g": (MASS, Fraction(1, 1000)),
    "kg": (MASS, Fraction(1)),
    "t": (MASS, Fraction(1000)),
    "lb": (MASS, POUND),
    "cwt": (MASS, 100 * POUND),
    "ton": (MASS, 2000 * POUND),
    "mm": (LENGTH, Fraction(1, 1000)),
    "cm": (LENGTH, Fraction(1, 100)),
    "m": (LENGTH, Fraction(1)),
    "km": (LENGTH, Fraction(1000)),
    "in": (LENGTH, INCH),
    "ft": (LENGTH, FOOT),
    "yd": (LENGTH, 3 * FOOT),
    "mile": (LENGTH, 5280 * FOOT),
    "sq m": (AREA, Fraction(1)),
    "ha": (AREA, Fraction(10_000)),
    "sq ft": (AREA, FOOT**2),
    "sq yd": (AREA, 9 * FOOT**2),
    "acre": (AREA, 43_560 * FOOT**2),
    "l": (VOLUME, Fraction(1, 1000)),
    "cu m": (VOLUME, Fraction(1)),
    "cu ft": (VOLUME, FOOT**3),
    "cu yd": (VOLUME, 27 * FOOT**3),
    "gallon": (VOLUME, GALLON),
    "minute": (TIME, Fraction(1)),
    "hour": (TIME, Fraction(60)),
    "day": (TIME, Fraction(24 * 60)),
    "week": (TIME, Fraction(7 * 24 * 60)),
    "kw": (POWER, KILOWATT),
    "hp": (POWER, HORSEPOWER),
    "fraction": (SHARE, Fraction(1)),
    "none": (SHARE, Fraction(1)),
    "percent": (SHARE, Fraction(1, 100)),
}
"""What each unit measures and how large it is; years are not among them: they vary in days."""

OTHER_NAMES: Mapping[str, str] = {
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "tons": "ton",
    "short ton": "ton",
    "tonne": "t",
    "tonnes": "t",
    "metric ton": "t",
    "metric tons": "t",
    "kgs": "kg",
    "inch": "in",
    "inches": "in",
    "foot": "ft",
    "feet": "ft",
    "yard": "yd",
    "yards": "yd",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "mi": "mile",
    "miles": "mile",
    "m2": "sq m",
    "ft2": "sq ft",
    "sqft": "sq ft",
    "square feet": "sq ft",
    "square foot": "sq ft",
    "yd2": "sq yd",
    "ac": "acre",
    "acres": "acre",
    "hectare": "ha",
    "hectares": "ha",
    "m3": "cu m",
    "ft3": "cu ft",
    "cuft": "cu ft",
    "cubic feet": "cu ft",
    "yd3": "cu yd",
    "litre": "l",
    "litres": "l",
    "liter": "l",
    "liters": "l",
    "gal": "gallon",
    "gallons": "gallon",
    "min": "minute",
    "minutes": "minute",
    "h": "hour",
    "hr": "hour",
    "hours": "hour",
    "d": "day",
    "days": "day",
    "weeks": "week",
    "years": "year",
    "yr": "year",
    "winters": "winter",
    "%": "percent",
    "animal": "head",
    "animals": "head",
    "bales": "bale",
    "pieces": "piece",
    "°f": "f",
    "°c": "c",
    "degf": "f",
    "degc": "c",
}
"""How else people write them, in small letters."""

LEFT_OUT = frozenset({"head", "bale", "piece", "size", "day", "year", "winter"})
"""What a value is for each of, if it need not be said: 590 kg is the weight of one head."""
