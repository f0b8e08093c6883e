"""Values of a scenario as they stand in cells of a sheet and in CSV, and back.

An empty cell is a value that is not given. What a document says in so many words that is not a
value, nothing and an empty list, has words of its own; text that would be taken for one of them or
for a formula has an apostrophe before it.
"""

import json
import re
from typing import Any

from service.costing.input_tree import LIST_OF, NAMES, NUMBERS, Leaf
from service.costing.json_shapes import is_array, is_object
from service.reports.answer_sheet.carried_units import simplest

NONE = "(none)"
"""A list, or a set of names, with nothing in it."""

NOT_GIVEN = "(not given)"
"""Null, where the document says so."""

LISTS = frozenset({*LIST_OF.values(), NAMES})

GUARDED = re.compile(r"'*(?: *[=+\-@\t\r\n]|\((?:none|not given)\)\Z|\s*\Z)")
"""Text that means something else in a cell: formulas, the words above, and nothing at all."""

QUOTED = re.compile(r"'*\"")
HARMED = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff]|x[0-9A-Fa-f]{4}_")
"""Characters that the XML of a workbook cannot hold, and text that is read as one of them."""

BEFORE_ESCAPE = re.compile(r"x(?=[0-9A-Fa-f]{4}_)")
BETWEEN = re.compile(r"[\s,;]+")
Cell = str | int | float


def cell_of(leaf: Leaf, value: object) -> Cell:
    """Return what stands in the cell of a value."""
    if value is None:
        return NOT_GIVEN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    if is_array(value):
        separator = " " if leaf.sort == NUMBERS else ", "
        return separator.join(_plain(item) for item in value) or NONE
    if is_object(value):
        return ", ".join(f"{key}: {word}" for key, word in value.items()) or NONE
    return guarded(str(value))


def _plain(item: object) -> str:
    return repr(simplest(item)) if isinstance(item, float) else str(item)


def guarded(text: str) -> str:
    """Return a text so that nobody takes it for anything else."""
    if HARMED.search(text) or QUOTED.match(text):
        escaped = BEFORE_ESCAPE.sub(r"\\u0078", json.dumps(text))
        return f"'{escaped}"
    return f"'{text}" if GUARDED.match(text) else text


def unguarded(text: str) -> str:
    """Return the text that was guarded."""
    rest = text.removeprefix("'")
    if rest == text:
        return text
    if rest.startswith('"'):
        try:
            read: Any = json.loads(rest)
        except ValueError:
            return text
        return read if isinstance(read, str) else text
    return rest if GUARDED.match(rest) else text


def is_empty(value: object) -> bool:
    """Whether a cell is as good as empty."""
    return value is None or (isinstance(value, str) and not value.strip())
