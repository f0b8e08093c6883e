"""Settings: single inputs of a document changed by their paths, nothing added and nothing removed.

The sentences name the nearest path that there is, so that a mistyped one can be mended.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from service.costing.errors import Fault, InputError, nearest
from service.costing.input_paths import LONGEST_NAME, item_names, joined, split_first
from service.costing.input_tree import (
    Leaf,
    ListOf,
    MapOf,
    Member,
    OneOf,
    Record,
    Shape,
    WordOrMap,
    input_tree,
)
from service.costing.json_shapes import is_array, is_object

MOST_SETTINGS = 60
ASSUMPTIONS = "assumptions"

Keys = tuple[str | int, ...]


class _UnknownPathError(LookupError):
    """The path leads nowhere; carries what to say of it."""

    def __init__(self, detail: str, suggestion: str | None = None) -> None:
        self.detail = detail
        self.suggestion = suggestion
        super().__init__(detail)


def with_settings(document: dict[str, Any], settings: Mapping[str, Any]) -> dict[str, Any]:
    """Return the document with single inputs changed.

    Parameters
    ----------
    document : dict
        The scenario document; it is not changed.
    settings : mapping
        Value by path. None goes back to the default.

    Raises
    ------
    InputError
        If a path leads nowhere, or to more than one value, or two paths are about the same value.
    """
    changed, faults = applied(document, settings)
    if faults:
        raise InputError(faults)
    return changed


def can_be_set(path: str, document: dict[str, Any]) -> bool:
    """Whether a path leads to one value of the document."""
    try:
        _place(path, document, dropped=False)
    except _UnknownPathError:
        return False
    return True


def applied(
    document: dict[str, Any], settings: Mapping[str, Any]
) -> tuple[dict[str, Any], list[Fault]]:
    """Apply what can be applied; return the changed document and the faults of the rest."""
    if len(settings) > MOST_SETTINGS:
        fault = Fault(
            "set",
            f"{len(settings)} settings were sent; at most {MOST_SETTINGS} are taken at once.",
            received=len(settings),
            allowed=f"at most {MOST_SETTINGS}",
        )
        return document, [fault]
    faults = _overlaps(list(settings))
    refused = {fault.input for fault in faults}
    places: dict[str, Keys] = {}
    for path, value in settings.items():
        if path in refused:
            continue
        try:
            places[path] = _place(path, document, dropped=value is None)
        except _UnknownPathError as error:
            faults.append(Fault(path, error.detail, suggestion=error.suggestion))
    for path, keys in places.items():
        document = _changed(document, keys, settings[path])
    return document, faults


def _overlaps(paths: Sequence[str]) -> list[Fault]:
    faults: list[Fault] = []
    for path in paths:
        outer = next((other for other in paths if path.startswith(f"{other}.")), None)
        if outer is not None and not path.startswith(f"{ASSUMPTIONS}."):
            faults.append(Fault(path, f"{outer} is set as well, and this lies inside it."))
    return faults


def _place(path: str, document: dict[str, Any], *, dropped: bool) -> Keys:
    """Return the keys and positions that lead to an input."""
    shape: Shape = input_tree()
    member: Member | None = None
    node: Any = document
    keys: list[str | int] = []
    done: list[str] = []
    rest = path
    while rest:
        key, name, rest, shape, member = _step(shape, node, rest, done)
        keys.append(key)
        done.append(name)
        node = _inside(node, key)
    if isinstance(shape, Leaf | WordOrMap):
        return tuple(keys)
    if dropped and isinstance(shape, Record) and member is not None and not member.required:
        return tuple(keys)
    names = [joined((path, name)) for name in _names(shape, node, done[-1] if done else "")]
    message = f"{path or 'the empty path'} is not one value"
    message += f"; name one of {', '.join(names)}." if names else "."
    raise _UnknownPathError(message, names[0] if names else None)


def _step(
    shape: Shape, node: object, rest: str, done: list[str]
) -> tuple[str | int, str, str, Shape, Member | None]:
    """Take one name off the path."""
    shape = _variant(shape, node)
    if isinstance(shape, MapOf) and done == [ASSUMPTIONS]:
        return rest, rest, "", shape.items, None
    names = _names(shape, node, done[-1] if done else "")
    found = split_first(rest, names)
    if found is not None:
        name, rest = found
        if isinstance(shape, Record):
            member = shape.members[name]
            return name, name, rest, member.shape, member
        if isinstance(shape, ListOf):
            return names.index(name), name, rest, shape.items, None
        if isinstance(shape, MapOf):
            return name, name, rest, shape.items, None
    raise _unknown(rest, names, done)


def _variant(shape: Shape, node: object) -> Shape:
    """Pick what the document has here of what it may have."""
    if isinstance(shape, WordOrMap):
        return shape.by_key
    if not isinstance(shape, OneOf):
        return shape
    word = node.get(shape.field) if is_object(node) else None
    record = shape.choices.get(word) if isinstance(word, str) else None
    return record if record is not None else Record("", {})


def _names(shape: Shape, node: object, list_name: str) -> list[str]:
    shape = _variant(shape, node)
    if isinstance(shape, Record):
        return list(shape.members)
    if isinstance(shape, ListOf):
        return item_names(list_name, node) if is_array(node) else []
    if isinstance(shape, MapOf):
        return [str(name) for name in node] if is_object(node) else []
    return []


def _unknown(rest: str, names: list[str], done: list[str]) -> _UnknownPathError:
    word, _, tail = rest[:LONGEST_NAME].partition(".")
    here = joined(done) or "a scenario"
    if not names:
        return _UnknownPathError(f"{here} has nothing inside it that could be set.")
    near = nearest(word, names)
    suggestion = joined((*done, near, tail)) if near else None
    listed = ", ".join(names)
    detail = f"{here} has {listed}, and no {word!r}"
    detail += f"; did you mean {suggestion}?" if suggestion else "."
    return _UnknownPathError(detail, suggestion)


def _inside(node: object, key: str | int) -> object:
    if is_object(node) and isinstance(key, str):
        return node.get(key)
    if is_array(node) and isinstance(key, int):
        return node[key]
    return None


def _changed(node: Any, keys: Keys, value: object) -> Any:  # noqa: ANN401 - any JSON value
    """Copy what lies along the keys and change the last of them."""
    key, *others = keys
    if isinstance(key, int):
        items = list(node)
        items[key] = _changed(items[key], tuple(others), value)
        return items
    members: dict[str, Any] = dict(node) if is_object(node) else {}
    if others:
        members[key] = _changed(members.get(key), tuple(others), value)
    elif value is None:
        members.pop(key, None)
    else:
        members[key] = value
    return members
