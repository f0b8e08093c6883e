"""Daily weather as a file, in any of the accepted formats, to a series; or all that is wrong."""

from dataclasses import dataclass, replace
from math import nan

import numpy as np

from service.costing.errors import Fault, nearest
from service.costing.wording import listed
from service.weather.calendar_days import series_of
from service.weather.cells import number_in
from service.weather.columns import (
    TOTALS,
    Column,
    column_of,
    fault_of_decimals,
    faults_of_lines,
    faults_of_stand_ins,
)
from service.weather.csv_table import table_of
from service.weather.doubts import TURNED, warnings_of
from service.weather.findings import Findings, shown
from service.weather.formats import FORMAT_OF, FORMATS, REQUIRED, Element, Format
from service.weather.plain_columns import plain_csv
from service.weather.series import DailySeries
from service.weather.sheet import LONG_HEADER, Cells, Sheet, sheet_of
from service.weather.winters import WeatherWarning
from service.weather.wrong_units import unit_faults

__all__ = ["FORMATS", "ReadWeather", "plain_csv", "read_days"]

FEWEST_DAYS = 120
FURTHEST_NORTH = 90
LATITUDES_AGREE = 1
MOST_STATIONS_NAMED = 5
LATITUDE = "latitude"


@dataclass(frozen=True, slots=True)
class ReadWeather:
    """A record of daily weather that was read."""

    series: DailySeries
    station: str | None
    """Id of the station, where the file has it."""
    latitude: float | None
    """As given, else as the file has it, north more than 0 [degree]."""
    missing_days: int
    """Days of the calendar without both temperatures [day]."""
    warnings: tuple[WeatherWarning, ...]


def read_days(form: str, text: str, latitude: float | None = None) -> ReadWeather:
    """Read daily weather.

    Parameters
    ----------
    form : str
        One of ``FORMATS``.
    text : str
        The file.
    latitude : float, optional
        Where the station stands, north more than 0 [degree].

    Returns
    -------
    ReadWeather
        The days and what to know of them; gaps stay gaps.

    Raises
    ------
    InputError
        If the file cannot be what it was sent as; carries all faults, of lines at most 50.
    """
    findings = Findings()
    latitude = _on_the_globe(latitude, findings)
    layout = FORMAT_OF.get(form)
    if layout is None:
        detail = f"There is no format {shown(form)!r}."
        allowed = ", ".join(FORMATS)
        near = nearest(shown(form), FORMATS)
        findings.fault(
            Fault("format", detail, received=shown(form), allowed=allowed, suggestion=near)
        )
        raise findings.error()
    table = table_of(text, LONG_HEADER if layout.by_element else (), findings)
    sheet = None if table is None else sheet_of(table, layout, findings)
    if sheet is None:
        raise findings.error()
    return _read(sheet, layout, latitude, findings)


def _read(sheet: Sheet, layout: Format, latitude: float | None, findings: Findings) -> ReadWeather:
    station = _station(sheet, findings)
    where = _latitude(sheet, latitude, findings)
    columns = _columns(sheet, layout, findings)
    series = series_of(columns, findings)
    if series is not None:
        series = _judged(series, columns, layout, where, findings)
    known = 0 if series is None else _days_with_both(series)
    if known < FEWEST_DAYS and not findings.any:
        findings.fault(
            Fault(
                "csv",
                "Too few days have both temperatures to say anything of a winter.",
                received=known,
                allowed=f"at least {FEWEST_DAYS}",
                unit="day",
            )
        )
    if series is None or findings.any:
        raise findings.error()
    return ReadWeather(
        series=series,
        station=station,
        latitude=where,
        missing_days=series.days - known,
        warnings=warnings_of(series, layout, findings),
    )


def _on_the_globe(latitude: float | None, findings: Findings) -> float | None:
    if latitude is None or abs(latitude) <= FURTHEST_NORTH:
        return latitude
    findings.fault(
        Fault(
            LATITUDE,
            "The latitude is not on the globe.",
            received=latitude if np.isfinite(latitude) else str(latitude),
            allowed=f"-{FURTHEST_NORTH} to {FURTHEST_NORTH}, north more than 0",
            unit="degree",
        )
    )
    return None


def _station(sheet: Sheet, findings: Findings) -> str | None:
    stations = list(dict.fromkeys(shown(station) for station in sheet.stations))
    if len(stations) > 1:
        named = stations[:MOST_STATIONS_NAMED]
        more = len(stations) - len(named)
        detail = f"The file holds several stations: {listed(named)}{f', {more} more' * (more > 0)}."
        findings.fault(
            Fault("csv", f"{detail} Send one.", received=len(stations), allowed="1", unit="station")
        )
    return stations[0] if stations else None


def _latitude(sheet: Sheet, given: float | None, findings: Findings) -> float | None:
    """Return where the station stands: as given, else as the file says last."""
    found = {cell: number_in(cell) for cell in sheet.latitudes}
    wrong = next(
        (cell for cell, at in found.items() if at is None or not abs(at) <= FURTHEST_NORTH), None
    )
    if wrong is not None:
        findings.fault(
            Fault(
                "csv.latitude",
                "The file has a latitude that is not on the globe.",
                received=shown(wrong),
                allowed=f"-{FURTHEST_NORTH} to {FURTHEST_NORTH}",
                unit="degree",
            )
        )
        return given
    known = [at for at in found.values() if at is not None]
    if not known:
        return given
    if max(known) - min(known) > LATITUDES_AGREE:
        allowed = f"within {LATITUDES_AGREE} of each other"
        detail = "The file has latitudes far apart, so it is not one station's."
        findings.fault(
            Fault(
                "csv.latitude",
                detail,
                received=f"{min(known):g} to {max(known):g}",
                allowed=allowed,
                unit="degree",
            )
        )
    if given is None:
        return known[-1]
    if abs(given - known[-1]) > LATITUDES_AGREE:
        findings.fault(
            Fault(
                LATITUDE,
                f"The file says {known[-1]:g}. One of the two is wrong; leave it out to take the "
                "file's.",
                received=given,
                allowed=f"within {LATITUDES_AGREE} of {known[-1]:g}",
                unit="degree",
            )
        )
    return given


def _columns(sheet: Sheet, layout: Format, findings: Findings) -> dict[Element, Column]:
    """Return all columns as numbers; a temperature that has no row is there without any."""
    nothing = np.array([], dtype=np.int64)
    cells: dict[Element, Cells] = dict(sheet.columns)
    for element in REQUIRED:
        if element not in cells:
            name = layout.columns[element]
            findings.fault(Fault(f"csv.{name}", f"No line of the file tells {name}."))
            cells[element] = Cells(name, nothing, nothing, [])
    columns: dict[Element, Column] = {
        element: column_of(column, element, layout, findings) for element, column in cells.items()
    }
    findings.count(TOTALS, "MDPR", sheet.several_day_totals)
    for column in columns.values():
        fault = fault_of_decimals(column)
        if fault is not None:
            findings.fault(fault)
    return columns


def _judged(
    series: DailySeries,
    columns: dict[Element, Column],
    layout: Format,
    latitude: float | None,
    findings: Findings,
) -> DailySeries:
    """Return the series without temperatures that contradict each other; note what cannot be."""
    faults = unit_faults(series, layout, latitude)
    for fault in faults:
        findings.fault(fault)
    for column in () if faults else columns.values():
        for fault in faults_of_stand_ins(column):
            findings.fault(fault)
        faults_of_lines(column, findings)
    turned = series.tmin_c > series.tmax_c
    findings.count(
        TURNED, f"{columns['tmax_c'].name} and {columns['tmin_c'].name}", int(turned.sum())
    )
    return replace(
        series,
        tmax_c=np.where(turned, nan, series.tmax_c),
        tmin_c=np.where(turned, nan, series.tmin_c),
    )


def _days_with_both(series: DailySeries) -> int:
    return int((~np.isnan(series.tmax_c) & ~np.isnan(series.tmin_c)).sum())
