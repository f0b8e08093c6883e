"""The catalogue of inputs: every path that a scenario can have, with unit, range and meaning."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from service.costing.entry import Entry
from service.costing.input_paths import joined
from service.costing.input_tree import (
    NAME,
    WORD,
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


@dataclass(frozen=True, slots=True)
class Input:
    """One input of the catalogue.

    ``path`` has placeholders for the keys that a scenario chooses; ``applies_to`` names the
    methods or kinds that have it, and is empty where it always applies.
    """

    path: str
    title: str
    meaning: str
    sort: str
    unit: str
    minimum: float | None
    exclusive_minimum: float | None
    maximum: float | None
    exclusive_maximum: float | None
    whole: bool
    longest: int | None
    choices: tuple[str, ...]
    required: bool
    default: Any
    applies_to: tuple[str, ...] = ()


@cache
def inputs() -> tuple[Input, ...]:
    """All inputs, in the order in which they stand in a scenario."""
    merged: dict[tuple[Any, ...], Input] = {}
    for found in _record(input_tree(), "", ""):
        key = (found.path, found.title, found.meaning, found.required, found.maximum)
        known = merged.get(key)
        if known is not None:
            found = replace(found, applies_to=(*known.applies_to, *found.applies_to))  # noqa: PLW2901 - joined to the one before
        merged[key] = found
    return tuple(_without_needless_scope(merged))


def _without_needless_scope(merged: dict[tuple[Any, ...], Input]) -> Iterator[Input]:
    """Leave out the methods or kinds where all of them have the input."""
    everywhere = {
        found.path.rpartition(".")[0]: found.applies_to
        for found in merged.values()
        if found.sort == WORD and found.choices == found.applies_to
    }
    for found in merged.values():
        scope = next(
            (words for place, words in everywhere.items() if found.path.startswith(f"{place}.")),
            (),
        )
        yield replace(found, applies_to=()) if found.applies_to == scope else found


def _record(record: Record, path: str, word: str) -> Iterator[Input]:
    shared = [m.shape.entry for m in record.members.values() if isinstance(m.shape, Leaf)]
    for member in record.members.values():
        place = joined((path, member.name))
        shape = member.shape
        if isinstance(shape, Leaf):
            title = shape.entry.title
            if shared.count(shape.entry) > 1:
                words = member.name.replace("_", " ")
                title = words.capitalize() if title.lower() in words else f"{title}, {words}"
            yield _input(place, replace(shape.entry, title=title), shape, member, word)
        else:
            yield from _deeper(shape, place, member, word)


def _deeper(shape: Shape, path: str, member: Member, word: str) -> Iterator[Input]:
    if isinstance(shape, Record):
        yield from _record(shape, path, word)
    elif isinstance(shape, WordOrMap):
        yield _input(path, shape.word.entry, shape.word, member, word)
        yield from _deeper(shape.by_key, path, member, word)
    elif isinstance(shape, OneOf):
        yield from _variants(shape, path)
    elif isinstance(shape, MapOf | ListOf):
        yield from _deeper(shape.items, f"{path}.<{shape.placeholder}>", member, word)
    else:
        yield _input(path, shape.entry, shape, member, word)


def _variants(shape: OneOf, path: str) -> Iterator[Input]:
    tag = Member(shape.field, shape.tag, required=True, nullable=False)
    found = _input(f"{path}.{shape.field}", shape.tag.entry, shape.tag, tag, "")
    yield replace(found, applies_to=shape.tag.choices)
    for word, record in shape.choices.items():
        members = {name: m for name, m in record.members.items() if name != shape.field}
        yield from _record(Record(record.name, members), path, word)


def _input(path: str, entry: Entry, leaf: Leaf, member: Member, word: str) -> Input:
    return Input(
        path=path,
        title=entry.title,
        meaning=entry.meaning,
        sort=leaf.sort,
        unit=entry.unit,
        minimum=entry.ge,
        exclusive_minimum=entry.gt,
        maximum=entry.le,
        exclusive_maximum=entry.lt,
        whole=entry.whole,
        longest=entry.longest if leaf.sort != NAME else None,
        choices=leaf.choices,
        required=member.required,
        default=member.default,
        applies_to=(word,) if word else (),
    )
