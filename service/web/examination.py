"""Looks over a document that does not fit the schema and says everything that is wrong with it.

Walks the tree of inputs beside the document. Each fault names the place, the value, what is
allowed and the nearest known name. What was faulty is replaced in a copy by something harmless, so
that the rest can still be checked for what only shows between inputs.
"""

import re
from dataclasses import dataclass, field
from typing import Any

from service.costing.entry import Entry
from service.costing.errors import Fault, nearest
from service.costing.input_paths import item_names, joined
from service.costing.input_tree import (
    DATE,
    NAME,
    NAMES,
    NUMBER,
    NUMBER_OR_WORD,
    WORD,
    WORDS,
    YES_NO,
    Leaf,
    ListOf,
    MapOf,
    Member,
    OneOf,
    Record,
    Shape,
    WordOrMap,
)
from service.web.strict_json import Doubled, Uncountable

MOST_SUGGESTIONS = 50
"""Looking for the nearest name takes time; a body that has more faults gets none beyond these."""

LONGEST_RECEIVED = 100
FORM_OF_KEYS = (
    "must begin with a small letter and have at most 40 small letters, digits and underscores"
)
OF_DATE = "12-01"
OF_NAME = "placeholder"


class _Lost:
    """Stands for a value that cannot be used."""


LOST = _Lost()


@dataclass
class Examination:
    """Faults found, and what of the document is left to trust."""

    faults: list[Fault] = field(default_factory=list[Fault])
    doubtful: list[str] = field(default_factory=list[str])
    """Paths whose value in the repaired copy is not what was sent."""

    dropped: set[str] = field(default_factory=set[str])
    """Keys of items that are not in the repaired copy."""

    usable: bool = True
    """Whether the repaired copy still has the herd, fields and systems that were sent."""

    def repaired(self, shape: Shape, value: object, path: str) -> Any:  # noqa: ANN401 - JSON
        """Look at one place; return the value, repaired, or `LOST`."""
        if isinstance(shape, Leaf):
            return self._leaf(shape, value, path)
        if isinstance(shape, ListOf):
            return self._list(shape, value, path)
        if isinstance(shape, WordOrMap):
            by_key = isinstance(value, dict)
            return self.repaired(shape.by_key if by_key else shape.word, value, path)
        if not isinstance(value, dict):
            return self._lost(path, "must be an object", value)
        self._doubled(value, path)
        if isinstance(shape, MapOf):
            return self._map(shape, value, path)
        if isinstance(shape, OneOf):
            return self._one_of(shape, value, path)
        return self._record(shape, value, path, path or "a scenario")

    def trusts(self, fault: Fault) -> bool:
        """Whether a fault between inputs can be told from what was repaired."""
        if isinstance(fault.received, str) and fault.received in self.dropped:
            return False
        around = [path.rpartition(".")[0] or path for path in self.doubtful]
        return not any(
            _within(fault.input, path) or _within(path, fault.input) for path in around
        )

    def _record(self, shape: Record, value: dict[str, Any], path: str, what: str) -> Any:  # noqa: ANN401 - JSON
        kept: dict[str, Any] = {}
        for name, given in value.items():
            member = shape.members.get(name)
            if member is None:
                self._unknown_name(shape, name, path, what)
            elif given is not None or not member.nullable:
                found = self.repaired(member.shape, given, joined((path, name)))
                self._keep(kept, member, found)
        for name, member in shape.members.items():
            if member.required and name not in value:
                self._missing(member, joined((path, name)))
                self._keep(kept, member, LOST)
        return kept

    def _keep(self, kept: dict[str, Any], member: Member, found: object) -> None:
        if found is not LOST:
            kept[member.name] = found
            return
        if not isinstance(member.shape, Leaf | WordOrMap):
            self.usable = False
        if member.required:
            kept[member.name] = stand_in(member.shape)

    def _one_of(self, shape: OneOf, value: dict[str, Any], path: str) -> Any:  # noqa: ANN401 - JSON
        word = value.get(shape.field)
        record = shape.choices.get(word) if isinstance(word, str) else None
        if record is not None:
            return self._record(record, value, path, f"{path} ({word})")
        place = joined((path, shape.field))
        words = tuple(shape.choices)
        if word is None:
            tag = shape.choices[words[0]].members[shape.field].shape
            self._fault(place, f"{_title(tag)} is missing.", allowed=", ".join(words))
        else:
            self._word(place, shape.field.capitalize(), words, word)
        return LOST

    def _map(self, shape: MapOf, value: dict[str, Any], path: str) -> Any:  # noqa: ANN401 - JSON
        kept: dict[str, Any] = {}
        for key, given in value.items():
            place = joined((path, key))
            if shape.keys is not None and not _fits(shape.keys, key):
                self._fault(
                    place,
                    f"{_short(key)!r} cannot be the key of a {shape.placeholder}: it {FORM_OF_KEYS}.",
                    received=_short(key),
                    allowed=shape.keys.pattern,
                )
                self.dropped.add(key)
            found = self.repaired(shape.items, given, place)
            if found is LOST:
                self.dropped.add(key)
            elif key not in self.dropped:
                kept[key] = found
        return kept

    def _list(self, shape: ListOf, value: object, path: str) -> Any:  # noqa: ANN401 - JSON
        if not isinstance(value, list):
            return self._lost(path, "must be a list", value)
        items: list[Any] = value
        kept: list[Any] = []
        names = item_names(path.rpartition(".")[2], items)
        for name, given in zip(names, items, strict=True):
            found = self.repaired(shape.items, given, joined((path, name)))
            if found is LOST:
                self.dropped.add(name)
            kept.append(stand_in(shape.items) if found is LOST else found)
        return kept

    def _leaf(self, shape: Leaf, value: object, path: str) -> Any:  # noqa: ANN401 - JSON
        title = shape.entry.title
        if isinstance(value, Uncountable):
            return self._lost(path, "must be a number that can be computed with", value, shape)
        if shape.sort in {NUMBER, NUMBER_OR_WORD}:
            if shape.sort == NUMBER_OR_WORD and isinstance(value, str):
                return value
            if isinstance(value, bool) or not isinstance(value, int | float):
                wanted = "a number" if shape.sort == NUMBER else "a number or a word"
                return self._lost(path, f"must be {wanted}", value, shape)
            if not _in_range(shape.entry, value):
                return self._lost(path, f"must be {shape.entry.allowed}", value, shape)
            return value
        if shape.sort == YES_NO:
            return value if isinstance(value, bool) else self._lost(path, "must be true or false", value, shape)
        if shape.sort in {WORDS, NAMES}:
            return self._words(shape, value, path)
        if not isinstance(value, str):
            return self._lost(path, "must be text", value, shape)
        if shape.sort == WORD:
            if value not in shape.choices:
                return self._word(path, title, shape.choices, value)
            return value
        if not _fits(shape.entry, value):
            return self._lost(path, _how_written(shape), value, shape)
        return value

    def _words(self, shape: Leaf, value: object, path: str) -> Any:  # noqa: ANN401 - JSON
        if not isinstance(value, list):
            return self._lost(path, "must be a list of words", value, shape)
        items: list[Any] = value
        found: Any = items
        for item in items:
            if not isinstance(item, str) or isinstance(item, Uncountable):
                found = self._lost(path, "must be a list of words", item, shape)
            elif shape.sort == WORDS and item not in shape.choices:
                found = self._word(path, shape.entry.title, shape.choices, item)
            elif shape.sort == NAMES and not _fits(shape.entry, item):
                found = self._lost(path, _how_written(shape), item, shape)
        return found

    def _lost(self, path: str, must: str, value: object, leaf: Leaf | None = None) -> _Lost:
        title = leaf.entry.title if leaf else path.rpartition(".")[2] or "The document"
        unit = f" ({leaf.entry.unit})" if leaf and leaf.entry.unit else ""
        self._fault(
            path,
            f"{title} {must}{unit}; {_said(value)} was sent.",
            received=received(value),
            allowed=(leaf.entry.allowed or ", ".join(leaf.choices) or None) if leaf else None,
            unit=(leaf.entry.unit or None) if leaf else None,
        )
        return LOST

    def _word(self, path: str, title: str, words: tuple[str, ...], value: object) -> _Lost:
        near = self._nearest(value, words) if isinstance(value, str) else None
        hint = f"; did you mean {near}?" if near else "."
        self._fault(
            path,
            f"{title} must be one of {', '.join(words)}; {_said(value)} was sent{hint}",
            received=received(value),
            allowed=", ".join(words),
            suggestion=near,
        )
        return LOST

    def _unknown_name(self, shape: Record, name: str, path: str, what: str) -> None:
        near = self._nearest(name, tuple(shape.members))
        hint = f"; did you mean {near}?" if near else f"; known: {', '.join(shape.members)}."
        self._fault(
            joined((path, name)),
            f"There is no input {_short(name)!r} in {what}{hint}",
            received=_short(name),
            suggestion=joined((path, near)) if near else None,
        )

    def _missing(self, member: Member, path: str) -> None:
        shape = member.shape
        entry = shape.entry if isinstance(shape, Leaf) else None
        unit = f" ({entry.unit})" if entry and entry.unit else ""
        self._fault(
            path,
            f"{_title(shape) or member.name} is missing{unit} and has no default.",
            allowed=_allowed(shape),
            unit=(entry.unit or None) if entry else None,
        )

    def _doubled(self, value: object, path: str) -> None:
        if isinstance(value, Doubled):
            for name in value.names:
                self._fault(
                    joined((path, name)), f"{name!r} is given more than once; keep one of them."
                )

    def _nearest(self, word: str, known: tuple[str, ...]) -> str | None:
        enough = len(self.faults) >= MOST_SUGGESTIONS or len(word) > LONGEST_RECEIVED
        return None if enough else nearest(word, known)

    def _fault(self, path: str, detail: str, **more: Any) -> None:  # noqa: ANN401 - parts of a fault
        self.faults.append(Fault(path, detail, **more))
        self.doubtful.append(path)


def stand_in(shape: Shape) -> Any:  # noqa: ANN401 - JSON
    """Return the simplest value that a place can hold."""
    if isinstance(shape, Leaf):
        return _stand_in_leaf(shape)
    if isinstance(shape, Record):
        return {
            name: stand_in(member.shape)
            for name, member in shape.members.items()
            if member.required
        }
    if isinstance(shape, OneOf):
        word, record = next(iter(shape.choices.items()))
        return stand_in(record) | {shape.field: word}
    if isinstance(shape, WordOrMap):
        return stand_in(shape.word)
    return [] if isinstance(shape, ListOf) else {}


def _stand_in_leaf(leaf: Leaf) -> Any:  # noqa: ANN401 - JSON
    if leaf.sort in {NUMBER, NUMBER_OR_WORD}:
        entry = leaf.entry
        low = entry.ge if entry.ge is not None else entry.gt
        high = entry.le if entry.le is not None else entry.lt
        if low is None:
            return 1.0 if high is None else high
        return low if entry.ge is not None else low + 1 if high is None else (low + high) / 2
    if leaf.sort in {WORDS, NAMES}:
        return []
    if leaf.sort == WORD:
        return leaf.choices[0]
    if leaf.sort == YES_NO:
        return False
    return OF_DATE if leaf.sort == DATE else OF_NAME


def received(value: object) -> object:
    """Return a value as it is shown in a fault: numbers and short texts as sent."""
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, str):
        return _short(str(value))
    return value


def _said(value: object) -> str:
    if isinstance(value, Uncountable):
        return str(value)
    if isinstance(value, str):
        return f"the text {_short(value)!r}"
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "null"
    return str(received(value))


def _short(text: str) -> str:
    return text if len(text) <= LONGEST_RECEIVED else f"{text[:LONGEST_RECEIVED]}..."


def _in_range(entry: Entry, value: float) -> bool:
    return (
        (entry.ge is None or value >= entry.ge)
        and (entry.gt is None or value > entry.gt)
        and (entry.le is None or value <= entry.le)
        and (entry.lt is None or value < entry.lt)
        and (not entry.whole or value % 1 == 0)
    )


def _fits(entry: Entry, text: str) -> bool:
    short = entry.longest is None or len(text) <= entry.longest
    return short and (entry.pattern is None or re.fullmatch(entry.pattern, text) is not None)


def _how_written(leaf: Leaf) -> str:
    entry = leaf.entry
    if leaf.sort in {NAME, NAMES}:
        return FORM_OF_KEYS
    if leaf.sort == DATE:
        return "must be a day of the year as MM-DD (29 February is not counted)"
    if entry.longest is not None and entry.pattern is None:
        return f"must have at most {entry.longest} characters"
    return f"must be of the form: {entry.meaning.rstrip('.')}"


def _title(shape: Shape) -> str:
    return shape.entry.title if isinstance(shape, Leaf) else ""


def _allowed(shape: Shape) -> str | None:
    if not isinstance(shape, Leaf):
        return None
    return shape.entry.allowed or ", ".join(shape.choices) or None


def _within(inner: str, outer: str) -> bool:
    return inner == outer or inner.startswith(f"{outer}.")
