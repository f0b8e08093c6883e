"""What a single value must be like, in words; and values to put in the place of faulty ones."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.entry import Entry
from service.costing.input_tree import (
    DATE,
    NAME,
    NAMES,
    NUMBER,
    NUMBER_OR_WORD,
    NUMBERS,
    TEXT,
    WORD,
    WORDS,
    YES_NO,
    Leaf,
    ListOf,
    OneOf,
    Record,
    Shape,
    WordOrMap,
)
from service.costing.json_shapes import is_array, is_object
from service.web.strict_json import Uncountable

LONGEST_SHOWN = 100
LISTS: Mapping[str, str] = {WORDS: "words", NAMES: "words", NUMBERS: "numbers"}
"""Sorts that are lists, and of what."""
FORM_OF_KEYS = (
    "must begin with a small letter and have at most 40 small letters, digits and underscores"
)
COUNTABLE = "must be a number that can be computed with"


@dataclass(frozen=True, slots=True)
class Objection:
    """What a value must be, and the value that is not."""

    must: str
    value: object


def objection_to(leaf: Leaf, value: object) -> Objection | None:
    """Return what is wrong with a value, or None."""
    if isinstance(value, Uncountable):
        return Objection(COUNTABLE, value)
    if leaf.sort in LISTS:
        if not is_array(value):
            return Objection(f"must be a list of {LISTS[leaf.sort]}", value)
        found = (_one(leaf, item) for item in value)
        return next((objection for objection in found if objection), None)
    return _one(leaf, value)


def _one(leaf: Leaf, value: object) -> Objection | None:
    must = RULES[leaf.sort](leaf, value)
    return Objection(must, value) if must else None


def _number(leaf: Leaf, value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "must be a number"
    return "" if _in_range(leaf.entry, value) else f"must be {leaf.entry.allowed}"


def _number_or_word(leaf: Leaf, value: object) -> str:
    del leaf
    fits = isinstance(value, str | int | float) and not isinstance(value, bool)
    return "" if fits else "must be a number or a word"


def _yes_no(leaf: Leaf, value: object) -> str:
    del leaf
    return "" if isinstance(value, bool) else "must be true or false"


def _word(leaf: Leaf, value: object) -> str:
    fits = isinstance(value, str) and value in leaf.choices
    return "" if fits else f"must be one of {', '.join(leaf.choices)}"


def _text(leaf: Leaf, value: object) -> str:
    if not isinstance(value, str) or isinstance(value, Uncountable):
        return "must be text"
    return "" if fits(leaf.entry, value) else _form(leaf)


RULES: Mapping[str, Callable[[Leaf, object], str]] = {
    NUMBER: _number,
    NUMBERS: _number,
    NUMBER_OR_WORD: _number_or_word,
    YES_NO: _yes_no,
    WORD: _word,
    WORDS: _word,
    TEXT: _text,
    NAME: _text,
    NAMES: _text,
    DATE: _text,
}


def _form(leaf: Leaf) -> str:
    entry = leaf.entry
    if leaf.sort in {NAME, NAMES}:
        return FORM_OF_KEYS
    if leaf.sort == DATE:
        return "must be a day of the year as MM-DD (29 February is not counted)"
    if entry.longest is not None and entry.pattern is None:
        return f"must have at most {entry.longest} characters"
    return f"must be of the form: {entry.meaning.rstrip('.')}"


def _in_range(entry: Entry, value: float) -> bool:
    return (
        (entry.ge is None or value >= entry.ge)
        and (entry.gt is None or value > entry.gt)
        and (entry.le is None or value <= entry.le)
        and (entry.lt is None or value < entry.lt)
        and (not entry.whole or value % 1 == 0)
    )


def fits(entry: Entry, text: str) -> bool:
    """Whether a text has the length and the form that an entry asks for."""
    short = entry.longest is None or len(text) <= entry.longest
    return short and (entry.pattern is None or re.fullmatch(entry.pattern, text) is not None)


def stand_in(shape: Shape) -> Any:  # noqa: ANN401 - any JSON value
    """Return the simplest value that a place can hold."""
    if isinstance(shape, Leaf):
        return _number_inside(shape.entry) if shape.sort == NUMBER else _simplest(shape)
    if isinstance(shape, Record):
        required = [member for member in shape.members.values() if member.required]
        return {member.name: stand_in(member.shape) for member in required}
    if isinstance(shape, OneOf):
        word, record = next(iter(shape.choices.items()))
        return stand_in(record) | {shape.field: word}
    if isinstance(shape, WordOrMap):
        return stand_in(shape.word)
    return [] if isinstance(shape, ListOf) else {}


def _simplest(leaf: Leaf) -> object:
    if leaf.sort in LISTS:
        return []
    if leaf.sort == WORD:
        return leaf.choices[0]
    return {NUMBER_OR_WORD: 1.0, YES_NO: False, DATE: "12-01"}.get(leaf.sort, "placeholder")


def _number_inside(entry: Entry) -> float:
    low = entry.ge if entry.ge is not None else entry.gt
    high = entry.le if entry.le is not None else entry.lt
    if low is None:
        return 1.0 if high is None else high - 1
    if entry.ge is not None:
        return low
    return low + 1 if high is None else (low + high) / 2


def received(value: object) -> object:
    """Return a value as it is shown in a fault: numbers and short texts as sent."""
    if is_object(value):
        return "an object"
    if is_array(value):
        return "a list"
    return shortened(str(value)) if isinstance(value, str) else value


def said(value: object) -> str:
    """Return a value in a sentence."""
    if isinstance(value, Uncountable):
        return shortened(str(value))
    if isinstance(value, str):
        return f"the text {shortened(value)!r}"
    if isinstance(value, bool):
        return "true" if value else "false"
    return "null" if value is None else str(received(value))


def shortened(text: str) -> str:
    """Return a text, cut where it is too long to be read."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."
