"""The order of members in a document that was read from an answer sheet.

A sheet has an order of its own for the inputs of a group, a step or a farm, which says nothing. So
what a sheet changes is put where it stood, and a sheet sent back as it came changes no letter. The
order of systems, groups and steps is the author's, and taken from the sheet.
"""

from collections.abc import Mapping
from typing import Any

from service.costing.input_paths import item_names
from service.costing.input_tree import (
    ListOf,
    MapOf,
    OneOf,
    Record,
    Shape,
    WordOrMap,
    input_tree,
)
from service.costing.json_shapes import is_array, is_object
from service.reports.answer_sheet.addresses import ASSUMPTIONS

Node = dict[str, Any]


def in_order_of(standing: Mapping[str, Any], sent: Node) -> Node:
    """Return a document with its members in the order of the one that it replaces.

    Parameters
    ----------
    standing : mapping
        The document that is replaced.
    sent : dict
        The document as it was read; it may have faults.
    """
    return _arranged(input_tree(), sent, standing, "")


def _arranged(shape: Shape | None, sent: Any, standing: Any, name: str) -> Any:  # noqa: ANN401 - any JSON value
    if isinstance(shape, OneOf) and is_object(sent):
        shape = shape.choices.get(str(sent.get(shape.field)))
    if isinstance(shape, WordOrMap):
        shape = shape.by_key
    if isinstance(shape, Record | MapOf) and is_object(sent) and is_object(standing):
        return {
            member: _arranged(_shape_in(shape, member), sent[member], standing.get(member), member)
            for member in _names(shape, sent, standing, name)
        }
    if isinstance(shape, ListOf) and is_array(sent) and is_array(standing):
        before = dict(zip(item_names(name, standing), standing, strict=True))
        return [
            _arranged(shape.items, item, before.get(called), called)
            for called, item in zip(item_names(name, sent), sent, strict=True)
        ]
    return sent


def _names(shape: Record | MapOf, sent: Node, standing: Node, name: str) -> list[str]:
    if isinstance(shape, MapOf) and name != ASSUMPTIONS:
        return list(sent)
    known = [member for member in standing if member in sent]
    return [*known, *(member for member in sent if member not in standing)]


def _shape_in(shape: Record | MapOf, name: str) -> Shape | None:
    if isinstance(shape, MapOf):
        return shape.items
    return shape.members[name].shape if name in shape.members else None
