"""Weather records: daily weather of an office, and the winters that are counted in it.

A record is kept once. Its winters are counted anew when its settings change; how they were counted
before stays, so that what was costed with it stays too.
"""

import gzip
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from hashlib import sha256
from typing import Any

from service.costing.errors import Fault, InputError
from service.scenarios.access import needs
from service.scenarios.audit import entry
from service.scenarios.canonical import text_of
from service.scenarios.desk import Caller, Desk
from service.scenarios.errors import UnknownWeatherRecordError
from service.scenarios.ids import new_id
from service.scenarios.plain_text import text_fault
from service.scenarios.records import (
    Classification,
    StoredWeatherRecord,
    WeatherRecord,
    WeatherWinter,
)
from service.scenarios.replays import Then
from service.scenarios.repositories import Session
from service.weather.classifying import classify, three_presets
from service.weather.presets import settings_faults
from service.weather.reading import ReadWeather, plain_csv, read_days
from service.weather.settings import WeatherSettings, classifier_of, settings_of
from service.weather.winters import Classified, RecordedWinter

LONGEST_LABEL = 100
GZIP_LEVEL = 6
PLAIN = "plain"
LATITUDE_NOT_TOLD = Fault(
    "latitude",
    "The latitude of the station is missing, and the file does not tell it; the length of the "
    "days, and so how fast the ground dries, depends on it.",
    allowed="-90 to 90, north more than 0",
    unit="degree",
)


@dataclass(frozen=True, slots=True)
class NewRecord:
    """Daily weather as it is sent."""

    label: str
    source_format: str
    csv: str
    latitude: float | None
    settings: WeatherSettings


@dataclass(frozen=True, slots=True)
class Shown:
    """A record with its winters under one classification, and what else it was classified by."""

    record: WeatherRecord
    classification: Classification
    winters: Sequence[WeatherWinter]
    classifications: Sequence[Classification]


def add_record(
    desk: Desk, caller: Caller, sent: NewRecord, then: Then[tuple[Shown, bool]] = None
) -> tuple[Shown, bool]:
    """Keep a record of daily weather and count its winters.

    An office keeps the same days once: sent again, they are counted by the settings sent with them.

    Parameters
    ----------
    desk, caller
        Where and who; needs write access.
    sent : NewRecord
        What is to be kept.
    then : callable, optional
        Called before the commit.

    Returns
    -------
    tuple of Shown and bool
        The record, and whether it is new.

    Raises
    ------
    InputError
        If the days cannot be read or the settings are out of range; carries every fault.
    """
    needs(caller, "write", office=True)
    label = text_fault("label", "The label", sent.label, LONGEST_LABEL)
    faults = [*([label] if label else []), *settings_faults(sent.settings)]
    try:
        read = read_days(sent.source_format, sent.csv, sent.latitude)
    except InputError as error:
        raise InputError([*error.faults, *faults]) from None
    if read.latitude is None:
        faults.append(LATITUDE_NOT_TOLD)
    if faults:
        raise InputError(faults)
    record = _record(desk, caller, sent, read)
    counted = _counted(desk, record, sent.settings, read)
    with desk.store.writing() as session:
        kept = session.weather_records.add(record)
        new = kept.id == record.id
        shown = _classified(session, kept, counted)
        action = "weather_record.create" if new else "weather_record.classify"
        session.audit.add(entry(desk, caller, action, kept.id))
        if then is not None:
            then(session, (shown, new))
    return shown, new


def reclassify(
    desk: Desk,
    caller: Caller,
    record_id: str,
    settings: WeatherSettings,
) -> Shown:
    """Count the winters of a record by other settings; the counts before stay.

    Raises
    ------
    UnknownWeatherRecordError
        If the office has no such record.
    InputError
        If a setting is out of range.
    """
    needs(caller, "write", office=True)
    with desk.store.reading() as session:
        record = _found(session, caller, record_id)
        days = session.weather_records.days(record_id)
    faults = settings_faults(settings)
    if faults:
        raise InputError(faults)
    if days is None:
        raise UnknownWeatherRecordError(record_id)
    read = read_days(PLAIN, gzip.decompress(days).decode(), record.latitude)
    counted = _counted(desk, record, settings, read)
    with desk.store.writing() as session:
        _found(session, caller, record_id)
        shown = _classified(session, record, counted)
        session.audit.add(entry(desk, caller, "weather_record.classify", record_id))
    return shown


def settings_now(session: Session, caller: Caller, record_id: str) -> WeatherSettings:
    """Return the settings of the newest classification of a record."""
    record = _found(session, caller, record_id)
    return settings_of(json.loads(_classification(session, record, None).settings))


def shown(session: Session, caller: Caller, record_id: str, classifier: str | None = None) -> Shown:
    """Return a record with its winters under a classification, the newest if none is named.

    Raises
    ------
    UnknownWeatherRecordError
        If the office has no such record, or it was never classified so.
    """
    needs(caller, "read", office=True)
    record = _found(session, caller, record_id)
    return _shown(session, record, _classification(session, record, classifier))


def records(
    session: Session, caller: Caller, before_id: str | None, limit: int
) -> Sequence[WeatherRecord]:
    """Return the records of the caller's office, newest first."""
    needs(caller, "read", office=True)
    return session.weather_records.page(caller.office_id, before_id, limit)


def days_of(session: Session, caller: Caller, record_id: str) -> str:
    """Return the days of a record as plain columns."""
    needs(caller, "read", office=True)
    _found(session, caller, record_id)
    days = session.weather_records.days(record_id)
    if days is None:
        raise UnknownWeatherRecordError(record_id)
    return gzip.decompress(days).decode()


def delete_record(desk: Desk, caller: Caller, record_id: str) -> None:
    """Delete a record that no scenario uses, with its winters.

    Raises
    ------
    UnknownWeatherRecordError
        If the office has no such record.
    RecordInUseError
        If a revision of any scenario takes its winters from it.
    """
    needs(caller, "write", office=True)
    with desk.store.writing() as session:
        _found(session, caller, record_id)
        session.weather_records.delete(record_id)
        session.audit.add(entry(desk, caller, "weather_record.delete", record_id))


def _found(session: Session, caller: Caller, record_id: str) -> WeatherRecord:
    record = session.weather_records.get(caller.office_id, record_id)
    if record is None:
        raise UnknownWeatherRecordError(record_id)
    return record


def _classification(
    session: Session, record: WeatherRecord, classifier: str | None
) -> Classification:
    found = session.weather_records.classification(record.id, classifier or record.classifier)
    if found is None:
        raise UnknownWeatherRecordError(record.id)
    return found


def _shown(session: Session, record: WeatherRecord, classification: Classification) -> Shown:
    return Shown(
        record,
        classification,
        session.weather_records.winters(record.id, classification.classifier),
        session.weather_records.classifications(record.id),
    )


def _record(desk: Desk, caller: Caller, sent: NewRecord, read: ReadWeather) -> StoredWeatherRecord:
    now = desk.now()
    days = plain_csv(read.series)
    latitude = read.latitude or 0.0
    return StoredWeatherRecord(
        id=new_id("wr", now),
        office_id=caller.office_id,
        label=sent.label.strip(),
        source_format=sent.source_format,
        latitude=latitude,
        first_day=read.series.first_day,
        last_day=read.series.last_day,
        missing_days=read.missing_days,
        sha256=sha256(f"{latitude!r}\n{days}".encode()).hexdigest(),
        classifier=classifier_of(sent.settings),
        told=text_of([asdict(warning) for warning in read.warnings]),
        created_at=now,
        days=gzip.compress(days.encode(), GZIP_LEVEL, mtime=0),
    )


@dataclass(frozen=True, slots=True)
class _Counted:
    """Winters as they were counted, on their way to a record."""

    settings: WeatherSettings
    classified: Classified
    side_by_side: list[dict[str, Any]]
    at: Any


def _counted(
    desk: Desk, record: WeatherRecord, settings: WeatherSettings, read: ReadWeather
) -> _Counted:
    """Count the winters, outside any transaction."""
    return _Counted(
        settings,
        classify(read.series, record.latitude, settings),
        three_presets(read.series, record.latitude, settings),
        desk.now(),
    )


def _classified(session: Session, record: WeatherRecord, counted: _Counted) -> Shown:
    name = classifier_of(counted.settings)
    told = {
        "dropped": [asdict(winter) for winter in counted.classified.dropped],
        "warnings": [asdict(warning) for warning in counted.classified.warnings],
        "side_by_side": counted.side_by_side,
    }
    classification = session.weather_records.classify(
        Classification(
            record_id=record.id,
            classifier=name,
            settings=text_of(counted.settings.as_document()),
            told=text_of(told),
            created_at=counted.at,
        ),
        [_winter(record, name, winter) for winter in counted.classified.winters],
    )
    newest = session.weather_records.get(record.office_id, record.id)
    return _shown(session, newest or record, classification)


def _winter(record: WeatherRecord, classifier: str, winter: RecordedWinter) -> WeatherWinter:
    days = winter.ground_days
    return WeatherWinter(
        record_id=record.id,
        classifier=classifier,
        season=winter.season,
        frozen=days["frozen"],
        snow_covered=days["snow_covered"],
        firm=days["firm"],
        wet=days["wet"],
        missing=winter.missing_days,
        detail=text_of(
            {
                "row": winter.as_row(),
                "autumn_rain_in": winter.autumn_rain_in,
                "observed_snow_days": winter.observed_snow_days,
                "frozen_days": winter.frozen_days,
                "deep_frozen_days": winter.deep_frozen_days,
            }
        ),
    )
