"""What to know of a record that was read: what was set aside, and what looks odd."""

from collections.abc import Iterator

import numpy as np

from service.costing.wording import amount, listed
from service.weather.calendar_days import REPEATED
from service.weather.columns import NEGATIVE, PRESUMED, QUALITY, TOTALS
from service.weather.findings import Findings
from service.weather.formats import (
    CELSIUS,
    FAHRENHEIT,
    MILLIMETRES,
    TENTHS_OF_CELSIUS,
    TENTHS_OF_MILLIMETRES,
    Format,
)
from service.weather.plausible_limits import (
    HOTTEST_FAHRENHEIT,
    LARGE_DAY_OF_RAIN,
    LARGE_YEAR_OF_RAIN,
    MANY_DECIMALS,
    MANY_WET_DAYS,
    NO_SUMMER_FAHRENHEIT,
    SMALL_YEAR_OF_RAIN,
    USUAL_SNOW,
)
from service.weather.series import DailySeries
from service.weather.winters import WeatherWarning
from service.weather.wrong_units import DAYS_PER_YEAR, yearly_precipitation

TURNED = "tmin_above_tmax"
"""Reason: the lowest temperature lies above the highest."""

NO_WARMTH = {
    FAHRENHEIT: NO_SUMMER_FAHRENHEIT.value,
    TENTHS_OF_CELSIUS: HOTTEST_FAHRENHEIT.value,
}
"""Highest temperature up to which a record could be in °C instead, in the unit that is sent."""

SET_ASIDE = {
    QUALITY: "Values that failed a check of the archive, by their quality flag, count as missing",
    TOTALS: "Totals of several days were read at once, and those days stay without precipitation",
    PRESUMED: "Zeros that were presumed where nothing was written down count as 0",
    NEGATIVE: "Negative values count as missing",
    REPEATED: "Values that stand there twice and agree were kept once",
    TURNED: "On days with the lowest temperature above the highest both count as missing",
}
"""What happened to values, by reason."""


def warnings_of(
    series: DailySeries, layout: Format, findings: Findings
) -> tuple[WeatherWarning, ...]:
    """Return what to know of a record.

    Parameters
    ----------
    series : DailySeries
        The record.
    layout : Format
        How it was sent.
    findings : Findings
        What was counted on the way.
    """
    return (
        *_not_there(series, layout),
        *_set_aside(findings),
        *_odd_precipitation(series, layout),
        *_odd_snow(series, layout),
        *_odd_temperatures(series, layout),
    )


def _not_there(series: DailySeries, layout: Format) -> Iterator[WeatherWarning]:
    if series.precipitation_mm is None:
        yield WeatherWarning(
            "no_precipitation",
            f"The record has no precipitation ({layout.columns['precipitation_mm']}): rain wets no "
            "ground and no snow is modelled, so its wet days are too few.",
        )
    if series.snow_depth_cm is None:
        yield WeatherWarning(
            "no_snow_depth",
            f"The record has no depth of snow ({layout.columns['snow_depth_cm']}). It is modelled "
            "from temperature and precipitation, which is sound in steady cold and rough where "
            "snow comes and goes.",
        )


def _set_aside(findings: Findings) -> Iterator[WeatherWarning]:
    for reason, what in SET_ASIDE.items():
        counts = {
            column: number for (why, column), number in findings.counted.items() if why == reason
        }
        if counts:
            each = listed(f"{column} {number:,}" for column, number in counts.items())
            yield WeatherWarning(reason, f"{what}: {each}.")


def _odd_precipitation(series: DailySeries, layout: Format) -> Iterator[WeatherWarning]:
    if series.precipitation_mm is None:
        return
    most = float(np.nanmax(series.precipitation_mm))
    if most > LARGE_DAY_OF_RAIN.value:
        yield WeatherWarning(
            "large_day_of_precipitation",
            f"The wettest day has {amount(most)} mm, which is rare. Look at its line and the unit.",
        )
    yearly = yearly_precipitation(series)
    if yearly is None:
        return
    if yearly > LARGE_YEAR_OF_RAIN.value:
        yield WeatherWarning(
            "much_precipitation",
            f"Precipitation adds up to {amount(yearly)} mm a year, which few places have. Look at "
            "the unit.",
        )
    known = series.precipitation_mm[~np.isnan(series.precipitation_mm)]
    wet_days = float((known > 0).mean()) * DAYS_PER_YEAR
    if yearly < SMALL_YEAR_OF_RAIN.value and wet_days >= MANY_WET_DAYS.value:
        measure = layout.measures["precipitation_mm"]
        instead = {MILLIMETRES: "inches", TENTHS_OF_MILLIMETRES: "mm"}.get(measure)
        hint = f"it looks like {instead}." if instead else "look at the unit."
        yield WeatherWarning(
            "little_precipitation",
            f"Precipitation adds up to only {amount(yearly)} mm a year on {amount(wet_days)} wet "
            f"days; {hint}",
        )


def _odd_snow(series: DailySeries, layout: Format) -> Iterator[WeatherWarning]:
    if series.snow_depth_cm is None:
        return
    covered = series.snow_depth_cm[series.snow_depth_cm > 0]
    if len(covered) and np.median(covered) > USUAL_SNOW.value:
        yield WeatherWarning(
            "deep_snow",
            f"Half of all depths of snow are above {amount(float(np.median(covered)))} cm. Look at "
            f"the unit: {layout.columns['snow_depth_cm']} is taken to be in "
            f"{layout.measures['snow_depth_cm'].unit}.",
        )


def _odd_temperatures(series: DailySeries, layout: Format) -> Iterator[WeatherWarning]:
    measure = layout.measures["tmax_c"]
    hottest = float(measure.as_sent(series.tmax_c[~np.isnan(series.tmax_c)]).max())
    if hottest <= NO_WARMTH.get(measure, -np.inf):
        instead = "°C, send it as order_metric"
        if measure is TENTHS_OF_CELSIUS:
            instead = "whole °C, send it as order_metric, if in °F, as order_us"
        yield WeatherWarning(
            "no_warm_day",
            f"No day is warmer than {amount(hottest)} {measure.unit}. That may be so in a record "
            f"of winters; if the file is in {instead}.",
        )
    sent = np.round(measure.as_sent(series.tmax_c[~np.isnan(series.tmax_c)]), 6)
    decimals = float((sent != np.floor(sent)).mean())
    if measure is FAHRENHEIT and decimals > MANY_DECIMALS.value:
        yield WeatherWarning(
            "decimals_in_fahrenheit",
            "Most temperatures have decimals, which orders in °F do not have. If they are in °C, "
            "send the file as order_metric.",
        )
    if measure is CELSIUS and layout.name != "plain" and not decimals:
        yield WeatherWarning(
            "whole_degrees",
            "All temperatures are whole degrees, which is rare in °C. If they are in °F, send the "
            "file as order_us.",
        )
