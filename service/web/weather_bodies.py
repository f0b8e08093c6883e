"""Reads the bodies that daily weather is sent in, and says everything that is wrong with one.

What is faulty is set aside, so that faults of the settings and of the file come out in the same
answer.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import NoneType
from typing import Any, get_args

from pydantic import BaseModel

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, joined
from service.costing.json_shapes import is_object
from service.scenarios.plain_text import text_fault
from service.scenarios.weather_records import LONGEST_LABEL, NewRecord
from service.weather.presets import settings_faults
from service.weather.reading import FURTHEST_NORTH, read_days
from service.weather.settings import WeatherSettings
from service.weather.windows import month_and_day
from service.web.bodies import Sent
from service.web.leaf_rules import received, said, shortened
from service.web.request_models import MOST_UNKNOWN
from service.web.strict_json import Doubled, Uncountable
from service.web.weather_models import NewWeatherRecord, WeatherClassification

TOLD_BY_FILE = "latitude"
"""Column of a file that tells where its station stands."""

KINDS: Mapping[object, str] = {str: "text", float: "a number"}


def record_pointer(path: str) -> str:
    """Return the JSON Pointer of a part of a body; what stands in the file is the file."""
    head, _, tail = path.partition(".")
    if head == "csv":
        return "/csv"
    parts = (head, tail) if head in {"window", "thresholds"} else (path,)
    return "".join(f"/{escaped(part)}" for part in parts if part)


def read_new_record(body: Sent) -> NewRecord:
    """Return a body as the record that it should be.

    Raises
    ------
    InputError
        If it is none; carries the faults of its settings and of the file too.
    """
    kept, faults = _looked_over(NewWeatherRecord, body.value)
    asked = NewRecord(
        label=kept.get("label", ""),
        source_format=kept.get("format", ""),
        csv=kept.get("csv", ""),
        latitude=kept.get("latitude"),
        settings=_changed(WeatherSettings(), kept),
    )
    faults += _latitude_not_told(kept, faults)
    if faults:
        of_settings = _faults_of_settings(asked.settings, faults)
        raise InputError([*_told_by_file(kept), *faults, *_fault_of_label(kept), *of_settings])
    return asked


def read_classification(body: Sent, now: WeatherSettings) -> WeatherSettings:
    """Return the settings that a body asks for; what it does not give is as now.

    Raises
    ------
    InputError
        If it is no such body; carries every fault.
    """
    kept, faults = _looked_over(WeatherClassification, body.value)
    settings = _changed(now, kept)
    if faults:
        raise InputError([*faults, *_faults_of_settings(settings, faults)])
    return settings


def _changed(settings: WeatherSettings, kept: Mapping[str, Any]) -> WeatherSettings:
    """Return settings with what was given."""
    given = {name: kept[name] for name in ("drainage",) if name in kept}
    return replace(settings, **given, **kept.get("window", {}), **kept.get("thresholds", {}))


def _faults_of_settings(settings: WeatherSettings, faults: Iterable[Fault]) -> list[Fault]:
    """Return what is wrong with settings, beside the faults that were found before.

    How long a window is cannot be told where one of its ends is at fault.
    """
    spoiled = any(fault.input.startswith("window") for fault in faults)
    return [
        fault
        for fault in settings_faults(settings)
        if not (spoiled and fault.input == "window.last_day" and month_and_day(settings.last_day))
    ]


def _told_by_file(kept: Mapping[str, Any]) -> Iterable[Fault]:
    """Return what is wrong with the file, where it can be read in spite of other faults."""
    if "csv" not in kept or "format" not in kept:
        return ()
    try:
        read_days(kept["format"], kept["csv"], kept.get("latitude"))
    except InputError as error:
        return error.faults
    return ()


def _fault_of_label(kept: Mapping[str, Any]) -> list[Fault]:
    if "label" not in kept:
        return []
    fault = text_fault("label", "The label", kept["label"], LONGEST_LABEL)
    return [fault] if fault else []


def _latitude_not_told(kept: Mapping[str, Any], faults: Iterable[Fault]) -> list[Fault]:
    """Return the fault of a latitude that neither the body nor the file tells."""
    at_fault = any(fault.input == "latitude" for fault in faults)
    if at_fault or "csv" not in kept or "latitude" in kept:
        return []
    header, _, _ = kept["csv"].partition("\n")
    if TOLD_BY_FILE in header.lower():
        return []
    return [
        Fault(
            "latitude",
            "The latitude of the station is missing, and the file does not tell it; the length of "
            "the days, and so how fast the ground dries, depends on it.",
            allowed=f"-{FURTHEST_NORTH} to {FURTHEST_NORTH}, north more than 0",
            unit="degree",
        )
    ]


def _looked_over(
    model: type[BaseModel], sent: object, before: str = ""
) -> tuple[dict[str, Any], list[Fault]]:
    """Return what an object holds of a model, and the faults of the rest; null is not given."""
    fields = model.model_fields
    if not is_object(sent):
        detail = f"{before or 'The body'} must be an object with: {', '.join(fields)}."
        return {}, [Fault(before, detail, received=received(sent))]
    doubled = sent.names if isinstance(sent, Doubled) else ()
    faults = [
        Fault(joined((before, name)), f"{shortened(name)!r} is given more than once.")
        for name in doubled
    ]
    unknown = [name for name in sent if name not in fields]
    faults += [_unknown(name, tuple(fields), before) for name in unknown[:MOST_UNKNOWN]]
    kept: dict[str, Any] = {}
    for name, field in fields.items():
        value, place = sent.get(name), joined((before, name))
        kind = _kind(field.annotation)
        if name not in sent or (value is None and not field.is_required()):
            if field.is_required():
                faults.append(Fault(place, f"{place} is missing."))
        elif (inner := _model(kind)) is not None:
            kept[name], inside = _looked_over(inner, value, place)
            faults += inside
        elif isinstance(found := _as(kind, value), str | float):
            kept[name] = found
        else:
            detail = f"{place} must be {KINDS[kind]}, not {said(value)}."
            faults.append(Fault(place, detail, received=received(value)))
    return kept, faults


def _kind(annotation: object) -> object:
    """Return what a member is, when it is given."""
    parts: tuple[object, ...] = get_args(annotation)
    return next((part for part in parts if part is not NoneType), annotation)


def _model(kind: object) -> type[BaseModel] | None:
    return kind if isinstance(kind, type) and issubclass(kind, BaseModel) else None


def _as(kind: object, value: object) -> str | float | None:
    """Return a value as text or as a number, or None if it is not of the kind."""
    if isinstance(value, Uncountable | bool):
        return None
    if kind is float:
        return float(value) + 0.0 if isinstance(value, int | float) else None  # -0.0 is 0.0
    return value if isinstance(value, str) else None


def _unknown(name: str, known: tuple[str, ...], before: str) -> Fault:
    shown = shortened(name)
    near = nearest(shown, known)
    hint = f"did you mean {near}?" if near else f"known: {', '.join(known)}."
    detail = f"There is no {shown!r} {f'in {before}' if before else 'here'}; {hint}"
    return Fault(joined((before, shown)), detail, suggestion=near)
