"""What differs between two documents, input by input, under the names that people read.

A whole item that only one of them has is one change, not one for each of its values.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from typing import Any, Literal

from service.costing.input_catalog import Input, inputs
from service.costing.input_paths import PLAN, item_names, joined, split_first
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
from service.costing.overrides import ASSUMPTIONS
from service.costing.reference.keys import template_of
from service.costing.wording import named, sentence, spoken

Document = dict[str, Any]
Kind = Literal["changed", "added", "removed"]

CURRENCY = "currency"
KEY = "key"
ORDERS: Mapping[str, str] = {PLAN: "Order of steps", "rows": "Order of winters"}
"""What the order of a list is called."""

NOT_A_NUMBER = "word"


@dataclass(frozen=True, slots=True)
class Change:
    """One input that differs, or one item that only one of the documents has."""

    input: str
    """Its path; of an item that of the item."""
    title: str
    unit: str
    kind: Kind
    before: Any
    after: Any
    whose: tuple[str, ...] = ()
    """Names of the items that the input belongs to; none for one of the whole farm."""

    def as_document(self) -> Document:
        """Return it as it is answered."""
        return {name: value for name, value in asdict(self).items() if name != "whose"}


@dataclass(frozen=True, slots=True)
class _Place:
    """Where in the tree: path, pattern in the catalogue, method or kind, names of the items."""

    path: str = ""
    pattern: str = ""
    word: str = ""
    whose: tuple[str, ...] = ()

    def inside(self, name: str) -> "_Place":
        return replace(self, path=joined((self.path, name)), pattern=joined((self.pattern, name)))

    def item(self, name: str, placeholder: str, title: str) -> "_Place":
        return replace(
            self,
            path=joined((self.path, name)),
            pattern=f"{self.pattern}.<{placeholder}>",
            whose=(*self.whose, title),
        )


def changes_between(before: Document, after: Document) -> list[Change]:
    """Return what differs between two documents, in the order of the catalogue of inputs.

    Parameters
    ----------
    before, after : dict
        Scenario documents of the newest schema; null is the same as not given.

    Returns
    -------
    list of Change
        Where the documents are in two currencies, units keep the word ``currency``.
    """
    currencies = {currency_of(before), currency_of(after)}
    return [
        replace(change, unit=in_money(change.unit, currencies))
        for change in plain_changes(before, after)
    ]


def plain_changes(before: Document, after: Document) -> Iterator[Change]:
    """Return the same with the word ``currency`` in every unit of money."""
    return _of_record(input_tree(), _Place(), before, after)


def in_money(unit: str, currencies: Collection[str]) -> str:
    """Return a unit with the currency that the amounts are in, if it is one for all."""
    only = next(iter(currencies)) if len(currencies) == 1 else CURRENCY
    return unit.replace(CURRENCY, only)


def value_at(document: Document, path: str) -> Any:  # noqa: ANN401 - any JSON value
    """Return what a document has under a path: a value, an item, the order of a list, or None."""
    node: Any = document
    name = ""
    while path:
        found = split_first(path, items := _named_items(node, name))
        if found is None:
            return None
        name, path = found
        node = items[name]
    return list(_named_items(node, name)) if _is_list_of_items(node) else node


def currency_of(document: Document) -> str:
    """Return the currency of a document, the usual one if it names none."""
    return document.get(CURRENCY) or input_tree().members[CURRENCY].default


def _named_items(node: object, name: str) -> Mapping[str, Any]:
    """Return what stands in an object, or in the list called ``name``, by name."""
    if is_array(node):
        return dict(zip(item_names(name, node), node, strict=True))
    return _members(node)


def _is_list_of_items(node: object) -> bool:
    return is_array(node) and any(is_object(item) for item in node)


def _of_shape(shape: Shape, place: _Place, before: object, after: object) -> Iterator[Change]:
    if isinstance(shape, Record):
        yield from _of_record(shape, place, before, after)
    elif isinstance(shape, OneOf):
        yield from _of_variants(shape, place, before, after)
    elif isinstance(shape, ListOf):
        yield from _of_list(shape, place, before, after)
    elif isinstance(shape, MapOf):
        yield from _of_map(shape, place, before, after)
    elif isinstance(shape, WordOrMap) and is_object(before) and is_object(after):
        yield from _of_map(shape.by_key, place, before, after)
    else:
        yield from _of_value(place, before, after)


def _of_record(record: Record, place: _Place, before: object, after: object) -> Iterator[Change]:
    old, new = _members(before), _members(after)
    for name, member in record.members.items():
        if place.pattern.endswith(".<step>") and name == KEY:
            continue  # a step is found by it
        left, right = old.get(name), new.get(name)
        inner = place.inside(name)
        if _is_optional_part(member) and (left is None) is not (right is None):
            yield _one_sided(inner, _title_of(left or right, name), left, right)
        else:
            yield from _of_shape(member.shape, inner, left, right)


def _is_optional_part(member: Member) -> bool:
    return member.nullable and isinstance(member.shape, Record)


def _of_variants(shape: OneOf, place: _Place, before: object, after: object) -> Iterator[Change]:
    """Compare two of which each may be of another method or kind."""
    was, now = (str(_members(value).get(shape.field)) for value in (before, after))
    records = {word: shape.choices.get(word, Record("", {})).members for word in (was, now)}
    for name, member in {**records[was], **records[now]}.items():
        word = now if name in records[now] else was
        part = Record("", {name: member})
        yield from _of_record(part, replace(place, word=word), before, after)


def _of_map(shape: MapOf, place: _Place, before: object, after: object) -> Iterator[Change]:
    yield from _of_items(shape, place, _members(before), _members(after))


def _of_list(shape: ListOf, place: _Place, before: object, after: object) -> Iterator[Change]:
    list_name = place.path.rpartition(".")[2]
    old, new = (_named_items(value, list_name) for value in (before, after))
    if [name for name in old if name in new] != [name for name in new if name in old]:
        yield Change(
            place.path,
            ORDERS[list_name],
            "",
            "changed",
            list(old),
            list(new),
            place.whose,
        )
    yield from _of_items(shape, place, old, new)


def _of_items(
    shape: MapOf | ListOf, place: _Place, old: Mapping[str, Any], new: Mapping[str, Any]
) -> Iterator[Change]:
    for name in dict.fromkeys((*old, *new)):
        left, right = old.get(name), new.get(name)
        title = _title_of(right if right is not None else left, name)
        inner = place.item(name, shape.placeholder, title)
        if isinstance(shape.items, Leaf):
            yield from _of_value(inner, left, right)
        elif left is None or right is None:
            yield replace(_one_sided(inner, title, left, right), whose=place.whose)
        else:
            yield from _of_shape(shape.items, inner, left, right)


def _of_value(place: _Place, before: object, after: object) -> Iterator[Change]:
    if before == after:
        return
    title, unit = _title_and_unit(place)
    whose = place.whose[:-1] if place.pattern.startswith(ASSUMPTIONS) else place.whose
    if before is None or after is None:
        yield replace(_one_sided(place, title, before, after), unit=unit, whose=whose)
    else:
        yield Change(place.path, title, unit, "changed", before, after, whose)


def _one_sided(place: _Place, title: str, before: object, after: object) -> Change:
    kind: Kind = "added" if before is None else "removed"
    return Change(place.path, title, "", kind, before, after, place.whose)


def _title_of(item: object, name: str) -> str:
    """Return what an item is called: its title, else its name as words."""
    return sentence(named(_members(item).get("title"), name))


def _title_and_unit(place: _Place) -> tuple[str, str]:
    top, _, key = place.path.partition(".")
    if top == ASSUMPTIONS:
        template = template_of(key)
        unit = template.unit if template is not None else ""
        words = ", ".join(spoken(part) for part in key.split("."))
        return sentence(words), "" if unit == NOT_A_NUMBER else unit
    known = _catalogue()[place.pattern]
    entry = next((one for one in known if place.word in one.applies_to), known[0])
    return entry.title, entry.unit


@cache
def _catalogue() -> Mapping[str, Sequence[Input]]:
    listed: dict[str, list[Input]] = {}
    for one in inputs():
        listed.setdefault(one.path, []).append(one)
    return listed


def _members(value: object) -> Mapping[str, Any]:
    return value if is_object(value) else {}
