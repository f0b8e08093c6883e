"""Units of the engine, and the numbers that are true by definition.

Inside the engine: lb, ton (2,000 lb), acre, sq ft, cu ft, ft, in, °F, hour, gallon, year;
fractions, never percents; hay in lb of dry matter; money in the scenario's currency at constant
prices.

An array has its axes in a fixed order, counted from the end: row (a winter), draw (a variant of the
inputs), then ground state or year, then herd group, then stage. Scalars broadcast.
"""

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
Numeric = float | Array

ANY = "any"
"""Unit of an argument that takes whatever unit it is given; the result has the same one."""

COUNT = "count"
"""Unit of an argument that counts how often, whatever it counts."""


@dataclass(frozen=True, slots=True)
class Unit:
    """Unit of an argument or a result; ``axes`` name those before draw and row, if not usual."""

    name: str
    axes: tuple[str, ...] = ()


STATES = ("frozen", "snow_covered", "firm", "wet")
STAGES = ("lactation", "late_gestation", "mid_gestation", "maintenance", "growing")
NUTRIENTS = ("n", "p2o5", "k2o")
SEVERITIES = ("severe", "moderate", "light")

POUNDS_PER_TON = 2_000
SQUARE_FEET_PER_ACRE = 43_560
POUNDS_PER_ANIMAL_UNIT = 1_000
MINUTES_PER_HOUR = 60
HOURS_PER_DAY = 24
INCHES_PER_FOOT = 12
DAYS_PER_YEAR = 365
POUNDS_PER_CUBIC_FOOT_OF_WATER = 62.4
CRUDE_PROTEIN_PER_NITROGEN = 6.25
LIMIT_OF_LOW_QUALITY = 0.52
"""TDN below this is a feed of low quality."""
LIMIT_OF_AVERAGE_QUALITY = 0.59
"""TDN above this is a feed of high quality."""
DAYS_PER_MOVE = (1, 3, 7, 14)
"""Intervals between moves for which utilization of stockpiled grass is tabled."""
SCALE_OF_MEMORY = (0.4, 2.5)
"""How far the damage tables are stretched to meet the farm's memory of last spring."""
CLOSE_CALL_FRACTION = 0.05
"""Systems closer than this share of the cheaper one's cost are too close to call."""
SURE_OF_WINTERS_FRACTION = 0.7
"""So are two of which the cheaper one is cheaper in less than this share of the winters."""
LOWEST_INTERNAL_RATE = -1 / 2
HIGHEST_INTERNAL_RATE = 10
"""Internal rates outside these are not looked for: no farm decides by them."""
DAYS_BEFORE_GRASS = 30
"""The second checkpoint of the bales stands this many days before the end of winter."""
YEARS_OF_NEVER = 1_000_000
"""Longer than any horizon."""
ROUNDING = 1e-13
"""Relative difference that is rounding, not fact."""
MOST_WASTE_FRACTION = 0.9
"""Clip of the share of hay that is wasted, whatever ground and feeder add up to."""
NEGLIGIBLE = 1e-6
"""Fewer days (or bales) than this are none."""
THOUSAND_HOURS = 1_000
"""The unit of accumulated use in the repair curve of ASABE EP496."""

Quantities = Annotated[Array, Unit(ANY)]
Date = Annotated[str, Unit("date")]
Quantity = Annotated[Numeric, Unit(ANY)]
Count = Annotated[Numeric, Unit(COUNT)]
Yearly = Annotated[Numeric, Unit(ANY, axes=("year",))]
EntriesByYear = Annotated[Array, Unit("currency", axes=("year", "entry"))]
EntriesOfMoney = Annotated[Array, Unit("currency", axes=("entry",))]
EntriesPerYear = Annotated[Array, Unit("currency/year", axes=("entry",))]
LinesPerYear = Annotated[Array, Unit("currency/year", axes=("line",))]
TaskMinutes = Annotated[Array, Unit("minute", axes=("task",))]
TaskCounts = Annotated[Array, Unit(COUNT, axes=("task",))]
TaskCosts = Annotated[Array, Unit("currency", axes=("task",))]
TaskRates = Annotated[Array, Unit("currency/hour", axes=("task",))]
LinesByYear = Annotated[Array, Unit("currency", axes=("year", "line"))]
EntryRates = Annotated[Array, Unit("fraction/year", axes=("entry",))]
Counted = Annotated[Array, Unit("none", axes=("entry",))]
Fraction = Annotated[Numeric, Unit("fraction")]
StageShares = Annotated[Numeric, Unit("fraction", axes=("stage",))]
Plain = Annotated[Numeric, Unit("none")]
PerYear = Annotated[Numeric, Unit("fraction/year")]
Years = Annotated[Numeric, Unit("year")]
Days = Annotated[Numeric, Unit("day")]
Hours = Annotated[Numeric, Unit("hour")]
HoursPerYear = Annotated[Numeric, Unit("hour/year")]
HoursPerDay = Annotated[Numeric, Unit("hour/day")]
Minutes = Annotated[Numeric, Unit("minute")]
Head = Annotated[Numeric, Unit("head")]
PoundsPerHead = Annotated[Numeric, Unit("lb/head")]
Pounds = Annotated[Numeric, Unit("lb")]
PoundsDM = Annotated[Numeric, Unit("lb DM")]
PoundsDMPerDay = Annotated[Numeric, Unit("lb DM/day")]
PoundsDMPerHeadDay = Annotated[Numeric, Unit("lb DM/head/day")]
PoundsDMPerPoundDay = Annotated[Numeric, Unit("lb DM/lb/day")]
PoundsPerPoundDay = Annotated[Numeric, Unit("lb/lb/day")]
PoundsTDN = Annotated[Numeric, Unit("lb TDN")]
PoundsTDNPerPound = Annotated[Numeric, Unit("lb TDN/lb")]
PoundsDMPerAcre = Annotated[Numeric, Unit("lb DM/acre")]
PoundsDMPerAcreDay = Annotated[Numeric, Unit("lb DM/acre/day")]
PoundsDMPerPoundN = Annotated[Numeric, Unit("lb DM/lb N")]
PoundsPerAcre = Annotated[Numeric, Unit("lb/acre")]
PoundsPerCubicFoot = Annotated[Numeric, Unit("lb/cu ft")]
PoundsPerAnimalUnitDay = Annotated[Numeric, Unit("lb/AU/day")]
PoundsPerTonDM = Annotated[Numeric, Unit("lb/ton DM")]
PoundsPerBale = Annotated[Numeric, Unit("lb/bale")]
PoundsDMPerBale = Annotated[Numeric, Unit("lb DM/bale")]
Tons = Annotated[Numeric, Unit("ton")]
TonsDM = Annotated[Numeric, Unit("ton DM")]
TonsDMPerAcre = Annotated[Numeric, Unit("ton DM/acre")]
Bales = Annotated[Numeric, Unit("bale")]
Loads = Annotated[Numeric, Unit("load")]
Nutrients = Annotated[Array, Unit("fraction", axes=("nutrient",))]
NutrientPounds = Annotated[Array, Unit("lb", axes=("nutrient",))]
NutrientPrices = Annotated[Array, Unit("currency/lb", axes=("nutrient",))]
AnimalUnitDays = Annotated[Numeric, Unit("AU-day")]
Acres = Annotated[Numeric, Unit("acre")]
AcresBySeverity = Annotated[Array, Unit("acre", axes=("severity",))]
MoneyBySeverity = Annotated[Array, Unit("currency", axes=("severity",))]
FractionBySeverity = Annotated[Numeric, Unit("fraction", axes=("severity",))]
Feet = Annotated[Numeric, Unit("ft")]
Inches = Annotated[Numeric, Unit("in")]
SquareFeet = Annotated[Numeric, Unit("sq ft")]
CubicFeet = Annotated[Numeric, Unit("cu ft")]
SquareFeetPerHead = Annotated[Numeric, Unit("sq ft/head")]
SquareFeetPerAnimalUnitDay = Annotated[Numeric, Unit("sq ft/AU/day")]
SquareFeetPerTon = Annotated[Numeric, Unit("sq ft/ton")]
SquareFeetPerSquareFoot = Annotated[Numeric, Unit("sq ft/sq ft")]
PiecesPerHead = Annotated[Numeric, Unit("piece/head")]
Pieces = Annotated[Numeric, Unit("piece")]
Fahrenheit = Annotated[Numeric, Unit("°F")]
PerFahrenheit = Annotated[Numeric, Unit("1/°F")]
Horsepower = Annotated[Numeric, Unit("hp")]
GallonsPerHorsepowerHour = Annotated[Numeric, Unit("gallon/hp/hour")]
Currency = Annotated[Numeric, Unit("currency")]
CurrencyByYear = Annotated[Array, Unit("currency", axes=("year",))]
CurrencyPerYear = Annotated[Numeric, Unit("currency/year")]
CurrencyPerHour = Annotated[Numeric, Unit("currency/hour")]
CurrencyPerTon = Annotated[Numeric, Unit("currency/ton")]
CurrencyPerTonDM = Annotated[Numeric, Unit("currency/ton DM")]
CurrencyPerPound = Annotated[Numeric, Unit("currency/lb")]
CurrencyPerAcre = Annotated[Numeric, Unit("currency/acre")]
CurrencyPerBale = Annotated[Numeric, Unit("currency/bale")]
CurrencyPerGallon = Annotated[Numeric, Unit("currency/gallon")]
CurrencyPerSize = Annotated[Numeric, Unit("currency/size")]
CurrencyPerHead = Annotated[Numeric, Unit("currency/head")]
CurrencyPerHeadDay = Annotated[Numeric, Unit("currency/head/day")]
HeadPerHeadDay = Annotated[Numeric, Unit("head/head/day")]
Times = Annotated[Numeric, Unit("time")]
CurrencyPerSquareFoot = Annotated[Numeric, Unit("currency/sq ft")]

Value = Any
"""What a figure may hold: a number, an array, a word or a date."""
