"""The inputs of a costing one by one, each with its place in the catalogue of inputs."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from service.costing.input_catalog import Input, inputs
from service.costing.input_paths import item_names, joined
from service.costing.input_tree import (
    ListOf,
    MapOf,
    OneOf,
    Record,
    Shape,
    WordOrMap,
    input_tree,
)
from service.costing.json_shapes import is_object
from service.costing.overrides import ASSUMPTIONS
from service.costing.reference.keys import template_of
from service.costing.reference.table import ASSUMPTION, Edition, Row, load_edition
from service.costing.wording import sentence, spoken

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ListedInput:
    """One input with what is known of it; ``row`` is the reference value behind it, if any."""

    path: str
    title: str
    unit: str
    value: Any
    row: Row | None = None
    source: str | None = None


def inputs_of(body: Document) -> Iterator[ListedInput]:
    """Yield every input that a costing used, in the order of its document."""
    edition = load_edition(body["reference_edition"])
    for place in _places(input_tree(), body["inputs_used"], _Place()):
        top, _, key = place.path.partition(".")
        yield _reference(place, key, edition) if top == ASSUMPTIONS else _plain(place)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an input stands: path, pattern in the catalogue, method or kind; and its value."""

    path: str = ""
    pattern: str = ""
    word: str = ""
    value: Any = None

    def inside(self, name: str, placeholder: str = "") -> "_Place":
        part = f"<{placeholder}>" if placeholder else name
        return _Place(joined((self.path, name)), joined((self.pattern, part)), self.word)


def _places(shape: Shape, node: Any, place: _Place) -> Iterator[_Place]:  # noqa: ANN401 - JSON
    if isinstance(shape, Record):
        for name, member in node.items():
            yield from _places(shape.members[name].shape, member, place.inside(name))
    elif isinstance(shape, OneOf):
        word = node[shape.field]
        inner = _Place(place.path, place.pattern, word)
        yield from _places(shape.choices[word], node, inner)
    elif isinstance(shape, MapOf):
        for name, item in node.items():
            yield from _places(shape.items, item, place.inside(name, shape.placeholder))
    elif isinstance(shape, ListOf):
        for name, item in zip(_names(place, node), node, strict=True):
            yield from _places(shape.items, item, place.inside(name, shape.placeholder))
    elif isinstance(shape, WordOrMap) and is_object(node):
        yield from _places(shape.by_key, node, place)
    else:
        yield _Place(place.path, place.pattern, place.word, node)


def _names(place: _Place, items: Sequence[Any]) -> list[str]:
    return item_names(place.path.rpartition(".")[2], items)


def _plain(place: _Place) -> ListedInput:
    known = _catalogue()[place.pattern]
    entry = next((one for one in known if place.word in one.applies_to), known[0])
    return ListedInput(place.path, entry.title, entry.unit, place.value)


def _reference(place: _Place, key: str, edition: Edition) -> ListedInput:
    template = template_of(key)
    row = edition.rows.get(key)
    return ListedInput(
        path=place.path,
        title=sentence(", ".join(spoken(part) for part in key.split("."))),
        unit="" if template is None else template.unit,
        value=place.value,
        row=row,
        source=None if row is None else _cited(edition, row),
    )


def _cited(edition: Edition, row: Row) -> str:
    """Return a source as a person would cite it; an assumption says why."""
    source = edition.sources[row.source]
    return f"Assumption. {row.note}" if source == ASSUMPTION else source.in_words


@cache
def _catalogue() -> Mapping[str, Sequence[Input]]:
    listed: dict[str, list[Input]] = {}
    for one in inputs():
        listed.setdefault(one.path, []).append(one)
    return listed
