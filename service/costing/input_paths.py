"""Paths of single inputs: names joined by dots, never a position.

A step is called by its key, a winter row by its season; what has no name of its own is called by
its number, counted from 1.
"""

from collections import Counter
from collections.abc import Container, Iterable, Sequence
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
    sent = (item.get(SEASON) if is_object(item) else None for item in items)
    seasons = [season if isinstance(season, str) else "" for season in sent]
    counts = Counter(seasons)
    return [
        season if season and counts[season] == 1 else str(number)
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
        names = item_names(list_name, node) if is_array(node) else ()
        found = split_first(rest, node if is_object(node) else names)
        if found is None:
            tokens.extend(rest.split("."))
            break
        name, rest = found
        if is_array(node):
            token = str(names.index(name))
            node = node[int(token)]
        else:
            token, node = name, node[name] if is_object(node) else None
        list_name = name
        tokens.append(token)
    return "".join(f"/{escaped(token)}" for token in tokens)


def escaped(token: str) -> str:
    """Return one reference token of a JSON Pointer."""
    return token.replace("~", "~0").replace("/", "~1")
