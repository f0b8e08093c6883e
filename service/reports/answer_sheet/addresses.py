"""Addresses: where each value of a document stands, and what may stand there."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.errors import nearest
from service.costing.input_paths import PLAN, SEASON, item_names, joined
from service.costing.input_tree import (
    Leaf,
    ListOf,
    MapOf,
    OneOf,
    Record,
    Shape,
    WordOrMap,
    input_tree,
)
from service.costing.json_shapes import is_array, is_object
from service.reports.answer_sheet.cell_text import LISTS
from service.reports.answer_sheet.layout import Address

ASSUMPTIONS = "assumptions"
NUMBERED = "#"
"""Begins what an item of a list is called that has no name of its own."""

SIMPLE = re.compile(r"[A-Za-z0-9_ /+-]{1,60}")


class UnknownAddressError(LookupError):
    """Nothing can stand there; says what is known instead."""

    def __init__(self, detail: str, suggestion: str | None = None) -> None:
        self.suggestion = suggestion
        super().__init__(detail)


@dataclass(frozen=True, slots=True)
class Held:
    """One value of a document, or a part of it that is empty or null."""

    address: Address
    shape: Shape
    value: Any


def held(document: Mapping[str, Any], *, numbered: bool = False) -> Iterator[Held]:
    """Return every value of a document, in its order.

    Parameters
    ----------
    document : mapping
        A document that fits the schema.
    numbered : bool
        Whether all items of lists are called by their number, not those alone that have no name.

    Raises
    ------
    UnknownAddressError
        If the document has what no scenario has.
    """
    yield from _inside(input_tree(), dict(document), (), numbered=numbered)


def _inside(shape: Shape, value: Any, address: Address, *, numbered: bool) -> Iterator[Held]:  # noqa: ANN401 - any JSON value
    if isinstance(shape, OneOf):
        shape = _variant(shape, value.get(shape.field) if is_object(value) else None)
    if isinstance(shape, WordOrMap):
        shape = shape.by_key if is_object(value) and value else shape
    if is_object(value) and isinstance(shape, Record | MapOf) and value:
        for name, inner in value.items():
            within = _member(shape, name, address)
            yield from _inside(within, inner, (*address, name), numbered=numbered)
    elif is_array(value) and isinstance(shape, ListOf) and value:
        names = numbers(len(value)) if numbered else names_in(address[-1], value)
        for name, inner in zip(names, value, strict=True):
            yield from _inside(shape.items, inner, (*address, name), numbered=numbered)
    elif address:
        yield Held(address, shape, _checked(shape, value, address))


def _checked(shape: Shape, value: Any, address: Address) -> Any:  # noqa: ANN401 - any JSON value
    """Return a value that can stand there; a part may only be empty or null by now."""
    if isinstance(shape, Leaf):
        fits = not is_object(value) and (shape.sort in LISTS or not is_array(value))
    elif isinstance(shape, WordOrMap):
        fits = not is_array(value)
    else:
        fits = value is None or value == ([] if isinstance(shape, ListOf) else {})
    if fits:
        return value
    message = f"{path_of(address)} cannot hold what is given there"
    raise UnknownAddressError(message)


def numbers(count: int) -> list[str]:
    """Return what so many items of a list are called by their numbers."""
    return [f"{NUMBERED}{number}" for number in range(1, count + 1)]


def names_in(list_name: str, items: list[Any]) -> list[str]:
    """Return what the items of a list are called: by their own name, or numbered."""
    names = item_names(list_name, items)
    return [
        name
        if names.count(name) == 1 and SIMPLE.fullmatch(name) and _has_name(list_name, item)
        else f"{NUMBERED}{number}"
        for number, (name, item) in enumerate(zip(names, items, strict=True), start=1)
    ]


def _has_name(list_name: str, item: object) -> bool:
    return list_name == PLAN or (is_object(item) and isinstance(item.get(SEASON), str))


def address_of(path: str) -> Address:
    """Return the names in a path; a reference key is one name with its dots."""
    first, _, rest = path.partition(".")
    if first == ASSUMPTIONS and rest:
        return first, rest
    return tuple(path.split("."))


def path_of(address: Address) -> str:
    """Return an address as text."""
    return joined(address)


def shape_at(address: Address, tags: Mapping[Address, object]) -> Shape:
    """Return what may stand at an address.

    Parameters
    ----------
    address : tuple of str
        Names that lead there.
    tags : mapping
        Word that says which method or kind an item has, by its address.

    Raises
    ------
    UnknownAddressError
        If nothing may.
    """
    shape: Shape = input_tree()
    for position, name in enumerate(address):
        before = address[:position]
        if isinstance(shape, OneOf):
            shape = _chosen(shape, name, before, tags)
        shape = _member(shape, name, before)
    return shape


def _chosen(shape: OneOf, name: str, before: Address, tags: Mapping[Address, object]) -> Record:
    """Return the variant that an item is; any that has the name where the item does not say."""
    word = tags.get((*before, shape.field))
    having = [other for other, record in shape.choices.items() if name in record.members]
    record = _variant(shape, word.strip() if isinstance(word, str) else None)
    if not record.members:
        return shape.choices[having[0]] if having else next(iter(shape.choices.values()))
    if having and name not in record.members:
        owners = ", ".join(having)
        message = f"{name} is no input of {word}, only of {owners}; clear the cell"
        raise UnknownAddressError(message)
    return record


def _variant(shape: OneOf, word: object) -> Record:
    record = shape.choices.get(word) if isinstance(word, str) else None
    return record if record is not None else Record("", {})


def _member(shape: Shape, name: str, before: Address) -> Shape:
    if isinstance(shape, WordOrMap):
        shape = shape.by_key
    if isinstance(shape, MapOf | ListOf):
        return shape.items
    if isinstance(shape, Record) and name in shape.members:
        return shape.members[name].shape
    where = path_of(before) or "a scenario"
    if isinstance(shape, Leaf):
        message = f"{where} is one value and has nothing inside it"
        raise UnknownAddressError(message)
    known = tuple(shape.members) if isinstance(shape, Record) else ()
    near = nearest(name[:100], known)
    suggestion = path_of((*before, near)) if near else None
    message = f"{where} has no {name[:100]!r}"
    message += f"; did you mean {suggestion}" if suggestion else f"; it has {', '.join(known)}"
    raise UnknownAddressError(message, suggestion)
