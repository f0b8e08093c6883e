"""The winters of a weather record put in the place of its id, where a document names one."""

import json
from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Any

from service.costing.checks import faults_of
from service.costing.errors import Fault, InputError, nearest
from service.costing.json_shapes import is_object
from service.costing.scenario import Scenario
from service.scenarios.desk import Desk, Document
from service.scenarios.plain_text import storable
from service.scenarios.records import Classification, WeatherWinter
from service.scenarios.repositories import Session
from service.weather.settings import settings_of

RECORD = "weather_record"
CLASSIFIER = "weather_classifier"
UNKNOWN_RECORD = "There is no weather record of this id here that the key or link may see."


@dataclass(frozen=True, slots=True)
class Recorded:
    """A document with the winters of its record as rows; as it was, if it names none."""

    document: Document
    record_id: str | None = None
    classifier: str | None = None
    autumn_rain_in: Mapping[str, float] = field(default_factory=dict[str, float])


def record_of(document: Document) -> str | None:
    """Return the id of the weather record that a document takes its winters from."""
    winter = document.get("winter")
    found = winter.get(RECORD) if is_object(winter) else None
    return found if isinstance(found, str) else None


def note_record(session: Session, scenario_id: str, document: Document) -> None:
    """Note that a scenario uses a record, if its document names one."""
    record_id = record_of(document)
    if record_id is not None:
        session.weather_records.use(record_id, scenario_id)


def opened(
    read: Callable[[Document], Scenario],
    document: Document,
    with_winters: Callable[[Document], Recorded],
) -> tuple[Scenario, Recorded]:
    """Read a document with the winters of its record in their place.

    Parameters
    ----------
    read : callable
        Turns a document into a scenario or raises InputError with every fault.
    document : dict
        The document as sent; whatever else it may be, ``read`` refuses.
    with_winters : callable
        Puts the winters of a weather record in its place.

    Raises
    ------
    InputError
        If it cannot be read or its record does not fit it; carries the faults of both.
    """
    if not is_object(document):
        return read(document), Recorded(document)
    try:
        found = with_winters(document)
    except InputError as error:
        told = {f"winter.{RECORD}", *(fault.input for fault in error.faults)}
        others = [fault for fault in _faults(read, document) if fault.input not in told]
        raise InputError([*error.faults, *others]) from None
    return read(found.document), found


def recorded(desk: Desk, office_id: str, document: Document) -> Recorded:
    """Return a document with the winters of its record, looked up in a session of its own.

    Raises
    ------
    InputError
        If its office has no such record, or the record does not fit the winter of the document.
    """
    if record_of(document) is None:
        return Recorded(document)
    with desk.store.reading() as session:
        return recorded_in(session, office_id, document)


def recorded_in(session: Session, office_id: str, document: Document) -> Recorded:
    """Return a document with the winters of its record; as `recorded` does."""
    record_id = record_of(document)
    if record_id is None or _gives_days(document):
        return Recorded(document)
    winter: dict[str, Any] = document["winter"]
    record = session.weather_records.get(office_id, record_id) if storable(record_id) else None
    if record is None:
        raise InputError([Fault(f"winter.{RECORD}", UNKNOWN_RECORD, received=record_id)])
    given = winter.get(CLASSIFIER)
    classifier = record.classifier if given is None else given
    known = isinstance(classifier, str) and storable(classifier)
    classification = (
        session.weather_records.classification(record_id, classifier) if known else None
    )
    if classification is None:
        raise InputError([_unknown_classifier(session, record_id, classifier)])
    winters = session.weather_records.winters(record_id, classifier)
    faults = [*_other_window(winter, classification), *_no_winters(winters)]
    if faults:
        raise InputError(faults)
    details = [json.loads(found.detail) for found in winters]
    return Recorded(
        document=_with_rows(document, [detail["row"] for detail in details]),
        record_id=record_id,
        classifier=classifier,
        autumn_rain_in={
            detail["row"]["season"]: detail["autumn_rain_in"]
            for detail in details
            if detail["autumn_rain_in"] is not None
        },
    )


def pinned(document: Document, found: Recorded) -> Document:
    """Return a document as it is kept: with the classification that its winters come from.

    So what a revision says of its winters does not change when the record is classified again.
    """
    if found.record_id is None:
        return document
    return {**document, "winter": {**document["winter"], CLASSIFIER: found.classifier}}


def _with_rows(document: Document, rows: list[Document]) -> Document:
    """Return a document with rows in the place of its record; what was sent of it stays as sent."""
    changed, winter = copy(document), copy(document["winter"])
    winter.pop(RECORD)
    winter.pop(CLASSIFIER, None)
    winter["rows"] = rows
    changed["winter"] = winter
    return changed


def _gives_days(document: Document) -> bool:
    """Whether a document gives days of its own beside a record, which is refused elsewhere."""
    return bool(document["winter"].get("ground_days") or document["winter"].get("rows"))


def _faults(read: Callable[[Document], Scenario], document: Document) -> list[Fault]:
    """Return what else is wrong with a document whose record was not opened."""
    try:
        return faults_of(read(document))
    except InputError as error:
        return list(error.faults)


def _unknown_classifier(session: Session, record_id: str, classifier: object) -> Fault:
    known = [found.classifier for found in session.weather_records.classifications(record_id)]
    return Fault(
        f"winter.{CLASSIFIER}",
        "The winters of the weather record were never counted so; leave it out, or set it to null "
        "in a patch, to take the newest.",
        received=classifier,
        allowed=f"one of {', '.join(known)}",
        suggestion=nearest(str(classifier), known),
    )


def _other_window(winter: Mapping[str, Any], classification: Classification) -> list[Fault]:
    """Return the fault of a winter that is not the one that was counted, on a day that differs."""
    settings = settings_of(json.loads(classification.settings))
    counted = {"first_day": settings.first_day, "last_day": settings.last_day}
    own = {name: winter.get(name) for name in counted}
    if not all(isinstance(day, str) for day in own.values()):
        return []
    differing = [name for name, day in counted.items() if own[name] != day]
    if not differing:
        return []
    name = differing[0]
    detail = (
        f"The winters of the weather record were counted from {settings.first_day} to "
        f"{settings.last_day}, and this winter runs from {own['first_day']} to {own['last_day']}; "
        "count the record's winters for the same days, or change first_day and last_day."
    )
    return [Fault(f"winter.{name}", detail, received=own[name], allowed=counted[name])]


def _no_winters(winters: object) -> list[Fault]:
    if winters:
        return []
    return [Fault(f"winter.{RECORD}", "No winter of the weather record is whole.")]


def winter_row_of(winter: WeatherWinter) -> dict[str, Any]:
    """Return a winter as a row of a scenario document."""
    return json.loads(winter.detail)["row"]
