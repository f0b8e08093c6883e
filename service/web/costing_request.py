"""The body of a costing request: a document or the id of a stored one, and settings."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import escaped, pointer_of
from service.costing.input_tree import input_tree
from service.costing.json_shapes import is_object
from service.costing.overrides import applied, can_be_set
from service.web.leaf_rules import received, shortened
from service.web.strict_json import Doubled, parse

MEMBERS = ("document", "scenario", "set")
KINDS: Mapping[str, tuple[type, str]] = {
    "document": (dict, "an object"),
    "scenario": (str, "the id of a scenario, as text"),
    "set": (dict, "an object of values by input path"),
}
MOST_UNKNOWN = 100


@dataclass(frozen=True, slots=True)
class CostingRequest:
    """What a costing was asked for: a document or the id of a stored scenario, and settings."""

    document: dict[str, Any] | None
    scenario: str | None
    settings: dict[str, Any]
    sound: bool
    """Whether all its numbers are finite and no name is given twice."""

    def settled(self) -> tuple[dict[str, Any], list[Fault]]:
        """Return the document with the settings applied, and the faults of those that cannot be."""
        return applied(self.document or {}, self.settings)

    def about(self, stored: dict[str, Any]) -> "CostingRequest":
        """Return the same request with the document of the scenario that it names."""
        return replace(self, document=stored)

    def pointer(self, path: str) -> str:
        """Return the JSON Pointer, in the body as sent, of an input path."""
        document = self.document or {}
        for key in self.settings:
            if path == key or (path.startswith(f"{key}.") and can_be_set(key, document)):
                return f"/set/{escaped(key)}"
        if path == "set":
            return "/set"
        return "/document" + pointer_of(document, path) if self.scenario is None else "/scenario"


def envelope_pointer(path: str) -> str:
    """Return the JSON Pointer of a member of the request itself."""
    head, _, tail = path.partition(".") if path.startswith("set.") else (path, "", "")
    return "".join(f"/{escaped(token)}" for token in (head, tail) if token)


def read_request(body: bytes) -> CostingRequest:
    """Read the body of a costing request.

    Raises
    ------
    NotJsonError
        If it is not JSON.
    InputError
        If it is no such request. The faults inside the document are not looked for here.
    """
    parsed = parse(body)
    faults = _faults(parsed.value)
    if faults:
        raise InputError(faults)
    return subject_in(parsed.value, sound=parsed.sound)


def subject_in(sent: dict[str, Any], *, sound: bool) -> CostingRequest:
    """Return what a request without faults is about."""
    return CostingRequest(
        document=sent.get("document"),
        scenario=sent.get("scenario"),
        settings=sent.get("set") or {},
        sound=sound,
    )


def _faults(sent: object) -> list[Fault]:
    if not is_object(sent):
        detail = 'The body must be an object: {"document": {...}, "set": {...}}.'
        return [Fault("", detail, received=received(sent))]
    unknown = [name for name in sent if name not in MEMBERS]
    faults = [_unknown(name) for name in unknown[:MOST_UNKNOWN]]
    if isinstance(sent, Doubled):
        faults += [Fault(name, f"{name!r} is given more than once.") for name in sent.names]
    return [*faults, *faults_of_subject(sent)]


def faults_of_subject(sent: dict[str, Any]) -> list[Fault]:
    """Return what is wrong with what a request is about: document or scenario, and settings."""
    faults: list[Fault] = []
    given = [name for name in ("document", "scenario") if sent.get(name) is not None]
    if len(given) != 1:
        detail = "Send either a document or the id of a scenario, one of the two."
        faults.append(Fault("document", detail))
    for name, (kind, words) in KINDS.items():
        part = sent.get(name)
        if part is not None and not isinstance(part, kind):
            faults.append(Fault(name, f"{name} must be {words}.", received=received(part)))
    settings = sent.get("set")
    if isinstance(settings, Doubled):
        faults += [
            Fault(f"set.{path}", f"{path!r} is set more than once.") for path in settings.names
        ]
    return faults


def _unknown(name: str) -> Fault:
    shown = shortened(name)
    near = nearest(shown, MEMBERS)
    if name in input_tree().members:
        hint = '; a scenario goes inside: {"document": {...}}.'
    elif near:
        hint = f"; did you mean {near}?"
    else:
        hint = f"; known: {', '.join(MEMBERS)}."
    return Fault(
        name,
        f"There is no {shown!r} in a costing request{hint}",
        received=shown,
        suggestion=near,
    )
