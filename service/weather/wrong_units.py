"""Whether a record can be in the units it was sent in, judged by what the days look like together.

Each check returns a fault with what was seen and what it looks like. Only what is certain is
refused; the doubtful is said in ``doubts.py``.
"""

from dataclasses import dataclass

import numpy as np

from service.costing.errors import Fault
from service.costing.units import Array
from service.costing.wording import amount, share
from service.weather.formats import (
    CELSIUS,
    FAHRENHEIT,
    INCHES,
    MILLIMETRES,
    TENTHS_OF_CELSIUS,
    Format,
    Measure,
)
from service.weather.plausible_limits import (
    COLDEST_FAHRENHEIT,
    DAILY_RANGE,
    HOTTEST_FAHRENHEIT,
    MIDWINTER,
    MIDWINTER_LATITUDE,
    NO_SUMMER_FAHRENHEIT,
    NO_SUMMER_LATITUDE,
    SEASON_DAYS,
    SHARE_BEYOND,
    SWAPPED,
    TEMPERATURE,
    TOO_EVEN_RANGE,
    WARMEST_MONTH,
    YEAR_OF_RAIN,
)
from service.weather.series import DailySeries
from service.weather.sheet import Whole

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
DECEMBER_TO_FEBRUARY = (11, 0, 1)
JUNE_TO_AUGUST = (5, 6, 7)
DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Looks:
    """What a column looks like instead."""

    unit: str
    advice: str
    form: str | None


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen: in a sentence, the number that tells it, and what that may be."""

    sentence: str
    received: float
    allowed: str


AS_TENTHS = Looks("tenths of °C", "send it as ghcn_access, or divide by ten", "ghcn_access")
AS_FAHRENHEIT = Looks("°F", "send it as order_us, or convert it", "order_us")
AS_CELSIUS = Looks("°C", "send it as order_metric", "order_metric")
AS_OTHER_TENTHS = Looks("tenths of mm", "send it as ghcn_access, or divide by ten", "ghcn_access")
AS_MILLIMETRES = Looks("mm", "send it as order_metric", "order_metric")


def unit_faults(series: DailySeries, layout: Format, latitude: float | None) -> list[Fault]:
    """Return the faults of units.

    Parameters
    ----------
    series : DailySeries
        The record as it would be in the units it was sent in.
    layout : Format
        How it was sent.
    latitude : float or None
        Where the station stands, north more than 0 [degree].
    """
    checks = (
        _swapped(series, layout),
        _temperature(series, layout, latitude),
        _precipitation(series, layout),
    )
    return [fault for fault in checks if fault is not None]


def _swapped(series: DailySeries, layout: Format) -> Fault | None:
    both = ~np.isnan(series.tmax_c) & ~np.isnan(series.tmin_c)
    turned = series.tmin_c[both] > series.tmax_c[both]
    if not both.any() or turned.mean() <= SWAPPED.value:
        return None
    highest, lowest = layout.columns["tmax_c"], layout.columns["tmin_c"]
    return Fault(
        layout.named("tmin_c"),
        f"{lowest} lies above {highest} on {share(float(turned.mean()))} of the days; the two "
        "columns seem to be swapped.",
        allowed=f"{lowest} at most {highest}",
    )


def _temperature(series: DailySeries, layout: Format, latitude: float | None) -> Fault | None:
    measure = layout.measures["tmax_c"]
    if np.isnan(series.tmax_c).all() or np.isnan(series.tmin_c).all():
        return None
    seen = (
        _beyond(series, layout)
        or _warm_month(series, layout)
        or _warm_winter(series, layout, latitude)
        or _wide_range(series, layout)
    )
    looks = _looks(series, measure)
    if seen is None:
        seen = _no_summer(series, layout, latitude)
        looks = _looks_small(series, measure)
    if seen is None:
        return None
    hint = f"It looks like {looks.unit}: {looks.advice}." if looks else "Look at the units."
    return Fault(
        layout.named("tmax_c"),
        f"{seen.sentence} {hint}",
        received=seen.received,
        allowed=seen.allowed,
        unit=measure.unit,
        suggestion=looks.form if looks else None,
    )


def _beyond(series: DailySeries, layout: Format) -> Seen | None:
    measure = layout.measures["tmax_c"]
    known = _known(np.concatenate((series.tmax_c, series.tmin_c)))
    beyond = np.abs(known) > TEMPERATURE.value
    if beyond.mean() <= SHARE_BEYOND.value:
        return None
    sent = measure.as_sent(known)
    furthest = float(sent[np.argmax(np.abs(known))])
    least, most = measure.as_sent(np.array([-TEMPERATURE.value, TEMPERATURE.value])).tolist()
    return Seen(
        f"{share(float(beyond.mean()))} of all temperatures are such as no weather reaches in "
        f"{measure.unit}, up to {amount(furthest)}.",
        furthest,
        f"{amount(least)} to {amount(most)}",
    )


def _warm_month(series: DailySeries, layout: Format) -> Seen | None:
    measure = layout.measures["tmax_c"]
    month_of = _months(series)
    means = np.array([_mean(series.tmax_c[month_of == month]) for month in range(len(MONTHS))])
    if np.nanmax(means) <= WARMEST_MONTH.value:
        return None
    warmest = int(np.nanargmax(means))
    received = float(measure.as_sent(means)[warmest])
    return Seen(
        f"Highest temperatures average {amount(received)} in {MONTHS[warmest]}, which no place "
        f"reaches in {measure.unit}.",
        received,
        _at_most(measure, WARMEST_MONTH.value),
    )


def _warm_winter(series: DailySeries, layout: Format, latitude: float | None) -> Seen | None:
    if latitude is None or abs(latitude) < MIDWINTER_LATITUDE.value:
        return None
    measure = layout.measures["tmax_c"]
    midwinter = DECEMBER_TO_FEBRUARY if latitude > 0 else JUNE_TO_AUGUST
    known = _known(series.tmax_c[np.isin(_months(series), midwinter)])
    if len(known) < SEASON_DAYS.value or known.mean() <= MIDWINTER.value:
        return None
    received = float(measure.as_sent(known).mean())
    return Seen(
        f"Highest temperatures average {amount(received)} from {MONTHS[midwinter[0]]} to "
        f"{MONTHS[midwinter[-1]]}, which no place at {latitude:g}° reaches in {measure.unit}.",
        received,
        _at_most(measure, MIDWINTER.value),
    )


def _wide_range(series: DailySeries, layout: Format) -> Seen | None:
    sent = layout.measures["tmax_c"]
    measure = CELSIUS if sent is TENTHS_OF_CELSIUS else sent
    spread = _daily_range(series, measure)
    if not spread > DAILY_RANGE.value:
        return None
    return Seen(
        f"The highest of a day lies {amount(spread)} {measure.unit} above its lowest on average.",
        spread,
        f"at most {amount(DAILY_RANGE.value)}",
    )


def _no_summer(series: DailySeries, layout: Format, latitude: float | None) -> Seen | None:
    """Return what tells that whole degrees were taken for tenths, or °C for °F."""
    measure = layout.measures["tmax_c"]
    both = np.concatenate((_known(series.tmax_c), _known(series.tmin_c)))
    hottest = float(measure.as_sent(_known(series.tmax_c)).max())
    summers = _has_summers(series, latitude)
    sentence = f"The highest temperature of all is {amount(hottest)} {measure.unit}"
    if measure is FAHRENHEIT and summers and hottest <= NO_SUMMER_FAHRENHEIT.value:
        allowed = f"a day above {amount(NO_SUMMER_FAHRENHEIT.value)} in a year"
        return Seen(f"{sentence}, in a record with summers.", hottest, allowed)
    if measure is not TENTHS_OF_CELSIUS:
        return None
    sent = measure.as_sent(both)
    within = sent.min() >= COLDEST_FAHRENHEIT.value and hottest <= HOTTEST_FAHRENHEIT.value
    spread = _daily_range(series, CELSIUS)
    if within and (summers or spread < TOO_EVEN_RANGE.value):
        return Seen(
            f"{sentence}, and from the lowest to the highest of a day it is "
            f"{amount(spread)} °C on average.",
            hottest,
            "weather that changes more",
        )
    return None


def _has_summers(series: DailySeries, latitude: float | None) -> bool:
    """Whether a record has all months, or enough days of a midsummer that is known to be warm."""
    months = _months(series)[~np.isnan(series.tmax_c)]
    if len(np.unique(months)) == len(MONTHS):
        return True
    if latitude is None or abs(latitude) > NO_SUMMER_LATITUDE.value:
        return False
    midsummer = JUNE_TO_AUGUST if latitude > 0 else DECEMBER_TO_FEBRUARY
    return int(np.isin(months, midsummer).sum()) >= SEASON_DAYS.value


def _looks(series: DailySeries, measure: Measure) -> Looks | None:
    """Return what temperatures look like that are too high as they were sent."""
    if measure is TENTHS_OF_CELSIUS:
        return None
    sent = _known(measure.as_sent(np.concatenate((series.tmax_c, series.tmin_c))))
    beyond = (sent > HOTTEST_FAHRENHEIT.value) | (sent < COLDEST_FAHRENHEIT.value)
    if beyond.mean() > SHARE_BEYOND.value or _daily_range(series, measure) > DAILY_RANGE.value:
        return AS_TENTHS
    return AS_FAHRENHEIT if measure is CELSIUS else None


def _looks_small(series: DailySeries, measure: Measure) -> Looks:
    """Return what temperatures look like that are too small as they were sent."""
    if measure is FAHRENHEIT:
        return AS_CELSIUS
    hottest = float(np.nanmax(measure.as_sent(series.tmax_c)))
    return AS_FAHRENHEIT if hottest > TEMPERATURE.value else AS_CELSIUS


def _precipitation(series: DailySeries, layout: Format) -> Fault | None:
    yearly = yearly_precipitation(series)
    if yearly is None or yearly <= YEAR_OF_RAIN.value:
        return None
    measure = layout.measures["precipitation_mm"]
    looks = {MILLIMETRES: AS_OTHER_TENTHS, INCHES: AS_MILLIMETRES}.get(measure)
    received = float(measure.as_sent(np.array(yearly)))
    hint = f"It looks like {looks.unit}: {looks.advice}." if looks else "Look at the units."
    return Fault(
        layout.named("precipitation_mm"),
        f"Precipitation of a year adds up to {amount(received)} {measure.unit}, more than any "
        f"place has. {hint}",
        received=received,
        allowed=_at_most(measure, YEAR_OF_RAIN.value),
        unit=measure.unit,
        suggestion=looks.form if looks else None,
    )


def yearly_precipitation(series: DailySeries) -> float | None:
    """Return the mean precipitation of a year [mm], None of less than a year."""
    if series.precipitation_mm is None:
        return None
    known = _known(series.precipitation_mm)
    return float(known.mean()) * DAYS_PER_YEAR if len(known) >= DAYS_PER_YEAR - 1 else None


def _at_most(measure: Measure, value: float) -> str:
    return f"at most {amount(float(measure.as_sent(np.array(value))))}"


def _daily_range(series: DailySeries, measure: Measure) -> float:
    return _mean(measure.as_sent(series.tmax_c) - measure.as_sent(series.tmin_c))


def _months(series: DailySeries) -> Whole:
    """Return the month of each day, January is 0."""
    first = np.datetime64(series.first_day)
    days = np.arange(first, first + np.timedelta64(series.days, "D"))
    return days.astype("datetime64[M]").astype(np.int64) % len(MONTHS)


def _known(values: Array) -> Array:
    return values[~np.isnan(values)]


def _mean(values: Array) -> float:
    known = _known(values)
    return float(known.mean()) if len(known) else float("nan")
