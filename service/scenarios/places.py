"""Places in a document by their paths: single values, and the parts that hold them."""

from collections.abc import Iterator
from typing import Any

from service.costing.input_paths import item_names, joined
from service.costing.json_shapes import is_array, is_object

Document = dict[str, Any]


def values(document: Document) -> dict[str, Any]:
    """Return every value by its path; a list of words is one value."""
    return {path: node for path, node in _walk(document, "") if not _has_names_inside(node)}


def places(document: Document) -> list[str]:
    """Return the path of every value, and of every part such as a system or a step."""
    return [path for path, _ in _walk(document, "") if path]


def differing(before: Document, after: Document) -> list[str]:
    """Return the paths of the values that are not the same, or not there, in both documents."""
    old, new = values(before), values(after)
    changed = [path for path, value in new.items() if path not in old or old[path] != value]
    return changed + [path for path in old if path not in new]


def _walk(node: Any, path: str) -> Iterator[tuple[str, Any]]:  # noqa: ANN401 - any JSON value
    yield path, node
    for name, member in _inside(node, path):
        yield from _walk(member, joined((path, name)))


def _inside(node: object, path: str) -> Iterator[tuple[str, Any]]:
    if is_object(node):
        yield from node.items()
    elif is_array(node) and _has_names_inside(node):
        yield from zip(item_names(path.rpartition(".")[2], node), node, strict=True)


def _has_names_inside(node: object) -> bool:
    return is_object(node) or (is_array(node) and any(is_object(item) for item in node))
