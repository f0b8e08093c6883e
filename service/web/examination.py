"""Looks over a document that does not fit the schema and says everything that is wrong with it.

Walks the tree of inputs beside the document. Each fault names the place, the value, what is
allowed and the nearest known name. What was faulty is replaced in a copy by something harmless, so
that the rest can still be checked for what only shows between inputs.
"""

from dataclasses import dataclass, field
from typing import Any

from service.costing.errors import Fault, nearest
from service.costing.input_paths import item_names, joined
from service.costing.input_tree import (
    NAME,
    NAMES,
    Leaf,
    ListOf,
    MapOf,
    Member,
    OneOf,
    Record,
    Shape,
    WordOrMap,
)
from service.costing.json_shapes import is_array, is_object
from service.web.leaf_rules import (
    FORM_OF_KEYS,
    LONGEST_SHOWN,
    Objection,
    fits,
    objection_to,
    received,
    said,
    shortened,
    stand_in,
)
from service.web.strict_json import Doubled

MOST_SUGGESTIONS = 50
"""Looking for the nearest name takes time; a body that has more faults gets none beyond these."""


class _Lost:
    """Stands for a value that cannot be used."""


LOST = _Lost()


@dataclass
class Examination:
    """Faults found, and what of the document is left to trust."""

    what: str = "a scenario"
    """What the document is, in a sentence."""
    faults: list[Fault] = field(default_factory=list[Fault])
    doubtful: list[str] = field(default_factory=list[str])
    """Paths whose value in the repaired copy is not what was sent."""

    dropped: set[str] = field(default_factory=set[str])
    """Keys of items that are not in the repaired copy."""

    usable: bool = True
    """Whether the repaired copy still has the herd, fields and systems that were sent."""

    def repaired(self, shape: Shape, value: object, path: str) -> Any:  # noqa: ANN401 - any JSON value
        """Look at one place; return the value, repaired, or `LOST`."""
        if isinstance(shape, WordOrMap):
            shape = shape.by_key if is_object(value) else shape.word
        if isinstance(shape, Leaf):
            objection = objection_to(shape, value)
            return self._refused(shape, objection, path) if objection else value
        if isinstance(shape, ListOf):
            return self._list(shape, value, path)
        if not is_object(value):
            return self._refused(shape, Objection("must be an object", value), path)
        self._find_doubled(value, path)
        if isinstance(shape, MapOf):
            return self._map(shape, value, path)
        if isinstance(shape, OneOf):
            return self._one_of(shape, value, path)
        return self._record(shape, value, path, path or self.what)

    def trusts(self, fault: Fault) -> bool:
        """Whether a fault between inputs can be told from what was repaired."""
        if isinstance(fault.received, str) and fault.received in self.dropped:
            return False
        around = [path.rpartition(".")[0] or path for path in self.doubtful if path]
        return not any(_within(fault.input, path) or _within(path, fault.input) for path in around)

    def _record(self, shape: Record, value: dict[str, Any], path: str, what: str) -> dict[str, Any]:
        kept: dict[str, Any] = {}
        for name, given in value.items():
            member = shape.members.get(name)
            if member is None:
                self._unknown_name(shape, name, path, what)
            elif given is not None or not member.nullable:
                self._keep(kept, member, self.repaired(member.shape, given, joined((path, name))))
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

    def _one_of(self, shape: OneOf, value: dict[str, Any], path: str) -> dict[str, Any] | _Lost:
        word = value.get(shape.field)
        record = shape.choices.get(word) if isinstance(word, str) else None
        if record is not None:
            return self._record(record, value, path, f"{path} ({word})")
        place = joined((path, shape.field))
        if word is not None:
            return self._refused(shape.tag, objection_to(shape.tag, word), place)
        member = Member(shape.field, shape.tag, required=True, nullable=False)
        self._missing(member, place)
        return LOST

    def _map(self, shape: MapOf, value: dict[str, Any], path: str) -> dict[str, Any]:
        kept: dict[str, Any] = {}
        for key, given in value.items():
            place = joined((path, key))
            lawful = shape.keys is None or fits(shape.keys, key)
            if not lawful:
                self._fault(
                    place,
                    f"The key of a {shape.placeholder} {FORM_OF_KEYS}; {said(key)} was sent.",
                    received=shortened(key),
                )
            found = self.repaired(shape.items, given, place)
            if lawful and found is not LOST:
                kept[key] = found
            else:
                self.dropped.add(key)
                self.doubtful.append(path)
        return kept

    def _list(self, shape: ListOf, value: object, path: str) -> list[Any] | _Lost:
        if not is_array(value):
            return self._refused(shape, Objection("must be a list", value), path)
        kept: list[Any] = []
        names = item_names(path.rpartition(".")[2], value)
        for name, given in zip(names, value, strict=True):
            found = self.repaired(shape.items, given, joined((path, name)))
            if found is LOST:
                self.dropped.add(name)
                self.doubtful.append(path)
            kept.append(stand_in(shape.items) if found is LOST else found)
        return kept

    def _refused(self, shape: Shape, objection: Objection | None, path: str) -> _Lost:
        if objection is None:
            return LOST
        value = objection.value
        choices = shape.choices if isinstance(shape, Leaf) else ()
        near = self._nearest(value, choices) if isinstance(value, str) else None
        unit = _unit(shape)
        self._fault(
            path,
            f"{_title(shape, path)} {objection.must}{f' ({unit})' if unit else ''}; "
            f"{said(value)} was sent{f'; did you mean {near}?' if near else '.'}",
            received=received(value),
            allowed=_allowed(shape),
            unit=unit,
            suggestion=near,
        )
        self._doubt_around(shape, path)
        return LOST

    def _unknown_name(self, shape: Record, name: str, path: str, what: str) -> None:
        near = self._nearest(name, tuple(shape.members))
        hint = f"; did you mean {near}?" if near else f"; known: {', '.join(shape.members)}."
        self._fault(
            joined((path, name)),
            f"There is no input {shortened(name)!r} in {what}{hint}",
            received=shortened(name),
            suggestion=joined((path, near)) if near else None,
        )

    def _missing(self, member: Member, path: str) -> None:
        unit = _unit(member.shape)
        self._fault(
            path,
            f"{_title(member.shape, path)}{f' ({unit})' if unit else ''} is missing "
            "and has no default.",
            allowed=_allowed(member.shape),
            unit=unit,
        )
        self._doubt_around(member.shape, path)

    def _doubt_around(self, shape: Shape, path: str) -> None:
        """Doubt the whole system where a key is not known: what it names may seem unused."""
        if isinstance(shape, Leaf) and shape.sort in {NAME, NAMES}:
            self.doubtful.append(path.rpartition(".")[0].rpartition(".")[0])

    def _find_doubled(self, value: object, path: str) -> None:
        for name in value.names if isinstance(value, Doubled) else ():
            self._fault(
                joined((path, name)),
                f"{shortened(name)!r} is given more than once; keep one of them.",
            )

    def _nearest(self, word: str, known: tuple[str, ...]) -> str | None:
        if len(self.faults) >= MOST_SUGGESTIONS or len(word) > LONGEST_SHOWN:
            return None
        return nearest(word, known)

    def _fault(self, path: str, detail: str, **more: Any) -> None:  # noqa: ANN401 - parts of a fault
        self.faults.append(Fault(path, detail, **more))
        self.doubtful.append(path)


def _title(shape: Shape, path: str) -> str:
    if isinstance(shape, Leaf):
        return shape.entry.title
    return path.rpartition(".")[2] or "The document"


def _unit(shape: Shape) -> str | None:
    return (shape.entry.unit or None) if isinstance(shape, Leaf) else None


def _allowed(shape: Shape) -> str | None:
    if not isinstance(shape, Leaf):
        return None
    return shape.entry.allowed or ", ".join(shape.choices) or None


def _within(inner: str, outer: str) -> bool:
    return inner == outer or inner.startswith(f"{outer}.")
