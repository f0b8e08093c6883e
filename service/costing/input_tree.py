"""What a document may hold at each place, read off its dataclasses; the scenario before all.

The catalogue of inputs, the sentences about a faulty document and the paths of single inputs all
walk this tree; nothing is declared here a second time.
"""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from service.costing.entry import KEY, MONTH_DAY, Entry, Tagged, published_name
from service.costing.scenario import Scenario

PLACEHOLDERS: Mapping[str, str] = {
    "herd": "group",
    "fields": "field",
    "machines": "machine",
    "systems": "system",
    "structures": "structure",
    "plan": "step",
    "rows": "season",
    "herd_change": "group",
    "margin": "group",
    "animal_losses": "group",
    "days_by_method": "step",
    "animals_lost": "group",
    "presentation": "group",
    "assumptions": "key",
}
"""What an item of a map or a list is called in the pattern of a path."""

UNTITLED = "Text"
"""Title of the entry that all plain texts share; the name of the field says more."""

NUMBER = "number"
WORD = "word"
TEXT = "text"
NAME = "name"
DATE = "date"
YES_NO = "yes_no"
WORDS = "words"
NAMES = "names"
NUMBERS = "numbers"
NUMBER_OR_WORD = "number_or_word"

LIST_OF: Mapping[str, str] = {WORD: WORDS, NUMBER: NUMBERS}
"""What a list of leaves is called; of all others names."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value: its sort, its entry, and the words to choose from."""

    sort: str
    entry: Entry
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Member:
    """One name of a record."""

    name: str
    shape: "Shape"
    required: bool
    nullable: bool
    default: Any = None


@dataclass(frozen=True, slots=True)
class Record:
    """Named values that belong together."""

    name: str
    members: Mapping[str, Member]


@dataclass(frozen=True, slots=True)
class MapOf:
    """Items by key."""

    items: "Shape"
    placeholder: str
    keys: Entry | None


@dataclass(frozen=True, slots=True)
class ListOf:
    """Items in order, each with a name of its own."""

    items: "Shape"
    placeholder: str


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of several records, told apart by the word in ``field``."""

    field: str
    choices: Mapping[str, Record]

    @property
    def tag(self) -> Leaf:
        """The word in ``field``, with all that it can be."""
        entry = Entry(_words(self.field), "Says which inputs the others are.")
        return Leaf(WORD, entry, tuple(self.choices))


@dataclass(frozen=True, slots=True)
class WordOrMap:
    """A word for all, or a map with a word for each."""

    word: Leaf
    by_key: MapOf


Shape = Leaf | Record | MapOf | ListOf | OneOf | WordOrMap


@cache
def input_tree() -> Record:
    """Return the tree of the whole scenario."""
    return tree_of(Scenario)


def tree_of(cls: type) -> Record:
    """Return the tree of any dataclass that is declared as the scenario is."""
    return _record(cls)


@cache
def _record(cls: type) -> Record:
    hints = get_type_hints(cls, include_extras=True)
    members: dict[str, Member] = {}
    for field in fields(cls):
        hint, nullable = _without_none(hints[field.name])
        has_default = field.default is not MISSING
        members[published_name(field.name)] = Member(
            name=published_name(field.name),
            shape=_shape(hint, field.name),
            required=not has_default and field.default_factory is MISSING,
            nullable=nullable,
            default=field.default if has_default else None,
        )
    return Record(cls.__name__, members)


def _without_none(hint: Any) -> tuple[Any, bool]:  # noqa: ANN401 - a type as written
    if get_origin(hint) not in {Union, UnionType}:
        return hint, False
    others = tuple(part for part in get_args(hint) if part is not NoneType)
    nullable = len(others) < len(get_args(hint))
    return (others[0] if len(others) == 1 else Union[others]), nullable  # noqa: UP007 - built


def _shape(hint: Any, name: str) -> Shape:  # noqa: ANN401, PLR0911 - a type as written
    notes: tuple[Any, ...] = ()
    if get_origin(hint) is Annotated:
        hint, *found = get_args(hint)
        notes = tuple(found)
    tagged = next((note for note in notes if isinstance(note, Tagged)), None)
    if tagged is not None:
        return OneOf(
            tagged.field,
            {word: _variant(cls, tagged) for word, cls in tagged.choices.items()},
        )
    if is_dataclass(hint) and isinstance(hint, type):
        return _record(hint)
    origin, arguments = get_origin(hint), get_args(hint)
    entry = _merged([note for note in notes if isinstance(note, Entry)], name)
    if origin is dict:
        keys, items = arguments
        return MapOf(_shape(items, name), PLACEHOLDERS[name], _key_entry(keys))
    if origin is list:
        item = _shape(arguments[0], name)
        if isinstance(item, Leaf):
            entry = replace(entry, pattern=item.entry.pattern)
            return Leaf(LIST_OF.get(item.sort, NAMES), entry, item.choices)
        return ListOf(item, PLACEHOLDERS[name])
    if origin is Literal:
        return Leaf(WORD, entry, arguments)
    if origin in {Union, UnionType}:
        parts = [_shape(part, name) for part in arguments]
        if isinstance(parts[0], Leaf) and isinstance(parts[1], MapOf):
            return WordOrMap(parts[0], parts[1])
        return Leaf(NUMBER_OR_WORD, entry)
    return Leaf(_sort(hint, entry), entry)


def _variant(cls: type, tagged: Tagged) -> Record:
    record = _record(cls)
    tag = record.members[tagged.field]
    required = Member(tag.name, tag.shape, required=True, nullable=False)
    return Record(record.name, {**record.members, tagged.field: required})


def _sort(hint: Any, entry: Entry) -> str:  # noqa: ANN401 - a type as written
    if hint is float:
        return NUMBER
    if hint is bool:
        return YES_NO
    return {MONTH_DAY: DATE, KEY: NAME}.get(entry.pattern or "", TEXT)


def _key_entry(hint: Any) -> Entry | None:  # noqa: ANN401 - a type as written
    return next((note for note in get_args(hint) if isinstance(note, Entry)), None)


def _merged(entries: list[Entry], name: str) -> Entry:
    """Join the entries of one hint: the words of the last, the pattern of whichever has one."""
    if not entries:
        return Entry(_words(name))
    last = entries[-1]
    title = _words(name) if last.title == UNTITLED else last.title
    pattern = next((entry.pattern for entry in entries if entry.pattern is not None), None)
    longest = next((entry.longest for entry in entries if entry.longest is not None), None)
    return Entry(
        title=title,
        meaning=last.meaning,
        unit=last.unit,
        ge=last.ge,
        gt=last.gt,
        le=last.le,
        lt=last.lt,
        whole=last.whole,
        pattern=pattern,
        longest=longest,
    )


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()
