"""Reads a scenario from the body of a request and says everything that is wrong with it at once.

A body that fits the schema goes straight through pydantic. One that does not is looked over again,
slowly, for the sentences; what was faulty is replaced in a copy, so that faults between inputs come
out in the same answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from service.costing.checks import faults_of
from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, joined, pointer_of
from service.costing.input_tree import input_tree
from service.costing.json_shapes import is_object
from service.costing.overrides import applied, can_be_set, with_settings
from service.costing.scenario import Scenario
from service.web.examination import Examination, received
from service.web.strict_json import Doubled, parse, written

__all__ = ["CostingRequest", "read_costing", "read_scenario", "scenario_of", "with_settings"]

ENVELOPE = ("document", "scenario", "set")
MOST_ITEMS: Mapping[str, int] = {
    "systems": 40,
    "herd": 40,
    "machines": 100,
    "assumptions": 5_000,
    "land.fields": 400,
    "winter.rows": 12_000,
}
"""Most items of a kind in one request, so that no single question holds up the others."""

MOST_STEPS = 30
MOST_STRUCTURES = 60


@dataclass(frozen=True, slots=True)
class CostingRequest:
    """What a costing was asked for: a document or the id of a stored scenario, and settings."""

    document: dict[str, Any] | None
    scenario: str | None
    settings: dict[str, Any]

    def pointer(self, path: str) -> str:
        """Return the JSON Pointer, in the body as sent, of an input path."""
        document = self.document or {}
        for key in self.settings:
            if path == key or (path.startswith(f"{key}.") and can_be_set(key, document)):
                return f"/set/{escaped(key)}"
        return "/set" if path == "set" else "/document" + pointer_of(self.document, path)


def envelope_pointer(path: str) -> str:
    """Return the JSON Pointer of a member of the request itself."""
    head, _, tail = path.partition(".") if path.startswith("set.") else (path, "", "")
    return "".join(f"/{escaped(token)}" for token in (head, tail) if token)


@cache
def _adapter() -> TypeAdapter[Scenario]:
    return TypeAdapter(Scenario)


def prepare() -> None:
    """Build what reading needs, so that the first request does not wait for it."""
    _adapter()


def read_scenario(body: bytes) -> Scenario:
    """Read a body that is a scenario document.

    Raises
    ------
    NotJsonError
        If it is not JSON.
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """
    parsed = parse(body)
    return scenario_of(parsed.value, sound=parsed.sound)


def read_costing(body: bytes) -> tuple[CostingRequest, bool]:
    """Read the body of a costing request; also say whether its JSON was sound.

    Raises
    ------
    NotJsonError
        If it is not JSON.
    InputError
        If it is no such request. The faults inside the document are not looked for here.
    """
    parsed = parse(body)
    value = parsed.value
    faults = _envelope_faults(value)
    if faults:
        raise InputError(faults)
    body: dict[str, Any] = value
    settings = body.get("set") or {}
    return CostingRequest(body.get("document"), body.get("scenario"), settings), parsed.sound


def scenario_of(
    document: object, settings: Mapping[str, Any] | None = None, *, sound: bool = True
) -> Scenario:
    """Turn a document, with settings applied, into a scenario.

    Parameters
    ----------
    document : object
        The document as parsed from JSON.
    settings : mapping, optional
        Value by input path.
    sound : bool
        Whether all its numbers are finite and no name is given twice.

    Raises
    ------
    InputError
        If it cannot be costed as it stands; carries every fault found.
    """
    faults: list[Fault] = []
    if settings and is_object(document):
        document, faults = applied(document, settings)
    if sound and not faults:
        try:
            scenario = _adapter().validate_json(written(document))
        except ValidationError:
            pass
        else:
            crowded = _crowding(scenario)
            if not crowded:
                return scenario
            faults = crowded
    raise InputError([*faults, *_all_faults(document)])


def _all_faults(document: object) -> list[Fault]:
    """Faults of the schema, and those between inputs that can be told in spite of them."""
    examination = Examination()
    repaired = examination.repaired(input_tree(), document, "")
    faults = examination.faults
    if is_object(repaired) and examination.usable:
        try:
            scenario = _adapter().validate_json(written(repaired))
        except ValidationError as error:
            return faults or [_as_told(error)]
        faults += [fault for fault in faults_of(scenario) if examination.trusts(fault)]
    return faults


def _as_told(error: ValidationError) -> Fault:
    """Say in pydantic's words what the examination did not see."""
    first = error.errors(include_url=False, include_input=False)[0]
    return Fault(joined(str(part) for part in first["loc"]), first["msg"])


def _envelope_faults(value: object) -> list[Fault]:
    if not is_object(value):
        return [
            Fault(
                "",
                'The body must be an object: {"document": {...}, "set": {...}}.',
                received=received(value),
            )
        ]
    faults = [
        Fault(
            name,
            f"There is no {name[:100]!r} in a costing request{_hint(name)}",
            received=name[:100],
            suggestion=nearest(name[:100], ENVELOPE),
        )
        for name in list(value)[:100]
        if name not in ENVELOPE
    ]
    if isinstance(value, Doubled):
        faults += [Fault(name, f"{name!r} is given more than once.") for name in value.names]
    given = [name for name in ("document", "scenario") if value.get(name) is not None]
    if len(given) != 1:
        faults.append(
            Fault("document", "Send either a document or the id of a scenario, one of the two.")
        )
    for name, kind, words in (
        ("document", dict, "an object"),
        ("scenario", str, "the id of a scenario, as text"),
        ("set", dict, "an object of values by input path"),
    ):
        part = value.get(name)
        if part is not None and not isinstance(part, kind):
            faults.append(Fault(name, f"{name} must be {words}.", received=received(part)))
    settings = value.get("set")
    if isinstance(settings, Doubled):
        faults += [
            Fault(f"set.{path}", f"{path!r} is set more than once.") for path in settings.names
        ]
    return faults


def _hint(name: str) -> str:
    if name in input_tree().members:
        return '; a scenario goes inside: {"document": {...}}.'
    near = nearest(name[:100], ENVELOPE)
    return f"; did you mean {near}?" if near else f"; known: {', '.join(ENVELOPE)}."


def _crowding(scenario: Scenario) -> list[Fault]:
    """Faults of a document that has more of a kind than one request may ask for."""
    counts = {
        "systems": len(scenario.systems),
        "herd": len(scenario.herd),
        "machines": len(scenario.machines),
        "assumptions": len(scenario.assumptions),
        "land.fields": len(scenario.land.fields),
        "winter.rows": len(scenario.winter.rows),
    }
    faults = [
        _too_many(path, count, MOST_ITEMS[path])
        for path, count in counts.items()
        if count > MOST_ITEMS[path]
    ]
    for key, system in scenario.systems.items():
        path = joined(("systems", key))
        if len(system.plan) > MOST_STEPS:
            faults.append(_too_many(f"{path}.plan", len(system.plan), MOST_STEPS))
        if len(system.structures) > MOST_STRUCTURES:
            faults.append(_too_many(f"{path}.structures", len(system.structures), MOST_STRUCTURES))
    return faults


def _too_many(path: str, count: int, most: int) -> Fault:
    return Fault(
        path,
        f"{path} has {count} items; at most {most} are taken in one request.",
        received=count,
        allowed=f"at most {most}",
    )
