"""From what was entered, cell by cell, to the document."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, cast

from service.costing.errors import InputError
from service.costing.input_paths import PLAN, SEASON, item_names
from service.costing.input_tree import Leaf, ListOf, MapOf, Record, Shape, WordOrMap, input_tree
from service.costing.json_shapes import is_object
from service.reports.answer_sheet.addresses import (
    ASSUMPTIONS,
    NUMBERED,
    UnknownAddressError,
    path_of,
    shape_at,
)
from service.reports.answer_sheet.carried_units import code_of
from service.reports.answer_sheet.cell_text import BETWEEN, NONE, NOT_GIVEN
from service.reports.answer_sheet.entered import Manner, NotTakenError, of_assumption, value_of
from service.reports.answer_sheet.faults import CellFault, fault_in, said
from service.reports.answer_sheet.layout import KEY, Address

NAMED_BY: Mapping[str, str] = {PLAN: KEY, "rows": SEASON}
"""The member that names an item of a list."""

NAMING = (KEY, SEASON, "method")
"""Members that say what a step or a winter is called, the first that is given."""

CURRENCY = ("currency",)
USUAL_CURRENCY = "USD"
Node = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entered:
    """What stands in one cell, and for which input.

    ``item`` says that the cell only tells that there is such an item.
    """

    address: Address
    value: Any
    place: str
    unit: str = ""
    item: bool = False


@dataclass
class Assembly:
    """A document on its way."""

    typed: bool
    faults: list[CellFault] = field(default_factory=list[CellFault])
    cells: dict[Address, str] = field(default_factory=dict[Address, str])
    """Every cell that stands for an input, filled in or not."""
    _root: Node = field(default_factory=dict[str, Any])
    _taken: dict[Address, str] = field(default_factory=dict[Address, str])
    _tags: dict[Address, Any] = field(default_factory=dict[Address, Any])
    _closed: set[Address] = field(default_factory=set[Address])
    """What was said to be empty or null."""

    def document(self, entered: Sequence[Entered]) -> tuple[Node, dict[str, str]]:
        """Return the document and where each of its values came from.

        Parameters
        ----------
        entered : sequence of Entered
            In the order in which items shall stand.

        Raises
        ------
        InputError
            If anything entered cannot be taken; carries every fault.
        """
        self._enter(entered)
        if self.faults:
            raise InputError(self.faults)
        names: dict[Address, str] = {}
        document = _finished(input_tree(), self._root, (), names)
        return document, self._places(names)

    def _enter(self, entered: Iterable[Entered]) -> None:
        entered = list(entered)
        self._tags = {one.address: one.value for one in entered if not one.item}
        tags = self._tags
        manner = Manner(_currency(tags), self.typed)
        for one in entered:
            try:
                value: Any = {} if one.item else _value(one, tags, manner)
            except UnknownAddressError as error:
                self._object(one, str(error), error.suggestion)
            except NotTakenError as error:
                self._object(one, str(error))
            else:
                self._put(one, value)

    def _put(self, one: Entered, value: object) -> None:
        node = self._root
        for position, name in enumerate(one.address[:-1], start=1):
            inner = node.setdefault(name, {})
            if not is_object(inner) or one.address[:position] in self._closed:
                self._twice(one, one.address[:position])
                return
            node = inner
        name = one.address[-1]
        if name in node and not (one.item and one.address not in self._taken):
            self._twice(one, one.address)
            return
        node.setdefault(name, value)
        self._taken[one.address] = one.place
        if not one.item and not value:
            self._closed.add(one.address)

    def _twice(self, one: Entered, address: Address) -> None:
        known = self._taken.get(address)
        where = f" (see {said(known)})" if known else ""
        self._object(
            one, f"{self._called(address)} is given more than once{where}; keep one of them"
        )

    def _object(self, one: Entered, detail: str, suggestion: str | None = None) -> None:
        shown = one.value if isinstance(one.value, str | int | float) else str(one.value)
        quoted = f"; {str(shown)[:100]!r} stands there" if not one.item else ""
        fault = fault_in(one.place, f"{detail}{quoted}.", self._called(one.address), shown)
        self.faults.append(
            CellFault(
                fault.input,
                fault.detail,
                received=shown,
                suggestion=suggestion,
                cell=fault.cell,
            )
        )

    def _called(self, address: Address) -> str:
        """Return a path for people: items of lists by their names, as far as they are known."""
        names: list[str] = []
        for position, name in enumerate(address, start=1):
            item = address[:position]
            own = [self._tags.get((*item, member)) for member in NAMING]
            known = next((word for word in own if isinstance(word, str)), name[1:])
            names.append(known if name.startswith(NUMBERED) else name)
        return path_of(tuple(names))

    def _places(self, names: Mapping[Address, str]) -> dict[str, str]:
        return {
            _engine_path(address, names): place
            for address, place in {**self.cells, **self._taken}.items()
        }


def _currency(tags: Mapping[Address, object]) -> str:
    return code_of(tags.get(CURRENCY), USUAL_CURRENCY)


def _value(one: Entered, tags: Mapping[Address, object], manner: Manner) -> Any:  # noqa: ANN401 - any JSON value
    if not all(one.address):
        message = "a name is missing in this path"
        raise UnknownAddressError(message)
    shape = shape_at(one.address, tags)
    text = one.value.strip() if isinstance(one.value, str) else ""
    if isinstance(shape, WordOrMap):
        if text == NONE:
            return {}
        if ":" in text:
            return _by_key(text)
        shape = shape.word
    if isinstance(shape, Leaf):
        if one.address[0] == ASSUMPTIONS:
            shape = of_assumption(shape, one.address[-1])
        return value_of(shape, one.value, one.unit, manner)
    if text == NOT_GIVEN:
        return None
    if text == NONE:
        return [] if isinstance(shape, ListOf) else {}
    message = f"{path_of(one.address)} is not one value; name one inside it"
    raise UnknownAddressError(message)


def _by_key(text: str) -> dict[str, str]:
    """Read a word for each group: cows: ring_open, ewes: sheep_rack."""
    words: dict[str, str] = {}
    for part in text.split(","):
        key, mark, word = (piece.strip() for piece in part.partition(":"))
        if not (mark and key and word) or BETWEEN.search(f"{key}{word}") or key in words:
            message = "a word, or a word for each group as cows: ring_open, belongs here"
            raise NotTakenError(message)
        words[key] = word
    return words


def _finished(shape: Shape, node: Any, address: Address, names: dict[Address, str]) -> Any:  # noqa: ANN401 - any JSON value
    """Make lists of what was put by name, and note what the engine calls their items."""
    if not is_object(node):
        return node
    if isinstance(shape, Record):
        return {
            name: _finished(shape.members[name].shape, inner, (*address, name), names)
            for name, inner in node.items()
        }
    if not isinstance(shape, MapOf | ListOf):
        return node
    found = {
        name: _finished(shape.items, inner, (*address, name), names) for name, inner in node.items()
    }
    if isinstance(shape, MapOf):
        return found
    items = list(found.values())
    _name_items(address[-1], list(found), items)
    for name, called in zip(found, item_names(address[-1], items), strict=True):
        names[*address, name] = called
    return items


def _name_items(list_name: str, called: list[str], items: list[Any]) -> None:
    """Give items the names that their paths have, where they would have none or another."""
    member = NAMED_BY[list_name]
    for position, name in enumerate(called):
        item = items[position]
        unnamed = is_object(item) and member not in item
        own = name.startswith(NUMBERED) or name == str(position + 1)
        if unnamed and not own and item_names(list_name, items)[position] != name:
            cast("Node", item)[member] = name


def _engine_path(address: Address, names: Mapping[Address, str]) -> str:
    return path_of(
        tuple(names.get(address[: position + 1], name) for position, name in enumerate(address))
    )
