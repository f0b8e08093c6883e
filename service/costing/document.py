"""The scenario as it was costed: every value that was used, where it came from, and its key."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from hashlib import sha256
from typing import Any

from service.costing.case import Case
from service.costing.entry import published_name
from service.costing.herd import stated_stage
from service.costing.input_paths import item_names, joined
from service.costing.json_shapes import is_array, is_object
from service.costing.scenario import Scenario

Document = dict[str, Any]


def inputs_used(case: Case) -> Document:
    """Return the complete document of a case.

    Posted back it gives the same numbers: defaults are written out, steps have their keys, and the
    reference values that were used stand under ``assumptions``.
    """
    scenario = case.scenario
    document: Document = plain(scenario)
    document["reference_edition"] = case.edition.name
    for key, group in scenario.herd.items():
        if group.birth_starts is None:
            document["herd"][key]["stage"] = stated_stage(group)
    for key, system in scenario.systems.items():
        for step, name in zip(document["systems"][key]["plan"], system.steps, strict=True):
            step["key"] = name
    used = {**scenario.assumptions, **case.used}
    document["assumptions"] = {key: whole(used[key]) for key in sorted(used)}
    return document


def plain(value: Any) -> Any:  # noqa: ANN401 - any part of a document
    """Return a part of the scenario as JSON has it, without what is not given."""
    if is_dataclass(value):
        members = {
            published_name(item.name): plain(getattr(value, item.name)) for item in fields(value)
        }
        return {name: member for name, member in members.items() if not _empty(member)}
    if is_object(value):
        return {key: plain(item) for key, item in value.items()}
    if is_array(value):
        return [plain(item) for item in value]
    return whole(value)


def whole(value: Any) -> Any:  # noqa: ANN401 - any leaf of a document
    """Return whole numbers without a decimal point, all else as it is."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _empty(member: object) -> bool:
    return member is None or member in ({}, [])


def content_key(document: Document, engine_version: str) -> str:
    """Return the key of a question: the same for the same document, engine and edition."""
    text = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return sha256(f"{engine_version}\n{text}".encode()).hexdigest()


def leaves(document: Any, path: str = "") -> Iterator[str]:  # noqa: ANN401 - JSON
    """Return the path of every value of a document."""
    if is_object(document):
        for name, member in document.items():
            yield from leaves(member, joined((path, str(name))))
    elif is_array(document) and any(is_object(item) for item in document):
        names = item_names(path.rpartition(".")[2], document)
        for name, member in zip(names, document, strict=True):
            yield from leaves(member, joined((path, name)))
    else:
        yield path


def origins_of(case: Case, document: Document, given: Mapping[str, Any] | None) -> dict[str, str]:
    """Return for every path of the complete document where its value came from.

    Parameters
    ----------
    case : Case
        What was costed.
    document : dict
        The complete document.
    given : mapping or None
        The document as it was sent; without it, what differs from a default counts as given.

    Returns
    -------
    dict of str to str
        ``given``, ``reference`` (an edition's value or a published default) or ``worked``.
    """
    sent = set(leaves(dict(given) if given is not None else _differing(case.scenario)))
    winter = (given or {}).get("winter")
    from_record = is_object(winter) and winter.get("weather_record") is not None
    origins: dict[str, str] = {}
    for path in leaves(document):
        if path in sent:
            origins[path] = "given"
        elif path.endswith((".key", ".stage")) or (from_record and path.startswith("winter.rows.")):
            origins[path] = "worked"
        else:
            origins[path] = "reference"
    return origins


def _differing(scenario: Scenario) -> Document:
    """Return the parts of a scenario that are not at their defaults."""

    def cut(value: Any) -> Any:  # noqa: ANN401 - any part of a document
        if is_dataclass(value):
            return {
                published_name(item.name): cut(getattr(value, item.name))
                for item in fields(value)
                if getattr(value, item.name) != item.default
            }
        if is_object(value):
            return {key: cut(item) for key, item in value.items()}
        if is_array(value):
            return [cut(item) for item in value]
        return value

    return cut(scenario)
