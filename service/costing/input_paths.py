"""Paths of single inputs: names joined by dots, never a position.

A step is called by its key, a winter row by its season; what has no name of its own is called by
its number, counted from 1.
"""

from collections.abc import Container, Iterable, Mapping, Sequence
from typing import Any

from service.costing.json_shapes import is_array, is_object

PLAN = "plan"
SEASON = "season"
LONGEST_NAME = 300
"""No name in a path is longer than this many characters."""


def joined(parts: Iterable[str]) -> str:
    """Return the path that consists of ``parts``."""
    return ".".join(part for part in parts if part)


def item_names(list_name: str, items: Sequence[Any]) -> list[str]:
    """Return what the items of a list are called in paths.

    Parameters
    ----------
    list_name : str
        Name of the list in the document: ``plan`` or ``rows``.
    items : sequence
        The items as sent; they may be faulty.
    """
    return _step_names(items) if list_name == PLAN else _row_names(items)


def _step_names(items: Sequence[Any]) -> list[str]:
    names: list[str] = []
    seen: dict[str, int] = {}
    for position, item in enumerate(items, start=1):
        step: dict[str, Any] = item if is_object(item) else {}
        key, method = step.get("key"), step.get("method")
        if isinstance(key, str):
            names.append(key)
        elif isinstance(method, str):
            seen[method] = seen.get(method, 0) + 1
            names.append(method if seen[method] == 1 else f"{method}_{seen[method]}")
        else:
            names.append(str(position))
    return names


def _row_names(items: Sequence[Any]) -> list[str]:
    seasons = [item.get(SEASON) if is_object(item) else None for item in items]
    return [
        season if isinstance(season, str) and season and seasons.count(season) == 1 else str(number)
        for number, season in enumerate(seasons, start=1)
    ]


def split_first(path: str, names: Container[str]) -> tuple[str, str] | None:
    """Split off the longest of ``names`` that ``path`` begins with; None if there is none.

    Names that hold dots themselves (reference keys, seasons) are found whole.
    """
    end = len(path) if len(path) <= LONGEST_NAME else path.rfind(".", 0, LONGEST_NAME)
    while end >= 0:
        if path[:end] in names:
            return path[:end], path[end + 1 :]
        end = path.rfind(".", 0, end)
    return None


def pointer_of(document: object, path: str) -> str:
    """Return the JSON Pointer (RFC 6901) of a path in the document as it was sent.

    What the document does not have is pointed to where it would stand.
    """
    node: object = document
    list_name = ""
    tokens: list[str] = []
    rest = path
    while rest:
        children = _children(list_name, node)
        found = split_first(rest, children)
        if found is None:
            tokens.extend(rest.split("."))
            break
        list_name, rest = found
        token, node = children[list_name]
        tokens.append(token)
    return "".join(f"/{escaped(token)}" for token in tokens)


def _children(list_name: str, node: object) -> Mapping[str, tuple[str, object]]:
    """Return reference token and value of what is inside a node, by name."""
    if is_object(node):
        return {name: (name, value) for name, value in node.items()}
    if is_array(node):
        names = item_names(list_name, node)
        numbered = enumerate(zip(names, node, strict=True))
        return {name: (str(position), value) for position, (name, value) in numbered}
    return {}


def escaped(token: str) -> str:
    """Return one reference token of a JSON Pointer."""
    return token.replace("~", "~0").replace("/", "~1")
