"""Strict JSON: what the standard allows, numbers that can be computed with, no name given twice.

A number that no float can hold (``1e400``, ``NaN``) and a name given twice do not end the reading:
they are kept where they stand, so that the fault can name the place.
"""

import json
import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import orjson

SURROGATE = re.compile(r"\\u[dD][89a-fA-F]")
DIGITS_OF_A_WHOLE_NUMBER = 18
"""Longer whole numbers are read as floats."""


class NotJsonError(ValueError):
    """The body is not JSON in UTF-8."""


class Uncountable(str):
    """A number as it was written that no float can hold."""

    __slots__ = ()


class Doubled(dict[str, Any]):
    """An object in which names were given more than once."""

    def __init__(self, pairs: Sequence[tuple[str, Any]]) -> None:
        super().__init__(pairs)
        counts = Counter(name for name, _ in pairs)
        self.names = sorted(name for name, count in counts.items() if count > 1)


@dataclass
class Parsed:
    """A body as read; ``sound`` if it has no uncountable number and no doubled name."""

    value: Any
    sound: bool


@dataclass
class _Reader:
    sound: bool = True

    def number(self, text: str) -> float | Uncountable:
        value = float(text)
        return value if math.isfinite(value) else self.constant(text)

    def whole(self, text: str) -> float | Uncountable:
        return int(text) if len(text) <= DIGITS_OF_A_WHOLE_NUMBER else self.number(text)

    def constant(self, text: str) -> Uncountable:
        self.sound = False
        return Uncountable(text)

    def members(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            self.sound = False
            return Doubled(pairs)
        return found


def parse(body: bytes) -> Parsed:
    """Read a JSON body.

    Raises
    ------
    NotJsonError
        If it is not JSON, not in UTF-8, or nested too deeply.
    """
    reader = _Reader()
    try:
        text = body.decode("utf-8-sig")
        value = json.loads(
            text,
            parse_float=reader.number,
            parse_int=reader.whole,
            parse_constant=reader.constant,
            object_pairs_hook=reader.members,
        )
        if SURROGATE.search(text):
            written(value)
    except UnicodeDecodeError as error:
        message = f"The body is not text in UTF-8: byte {error.start + 1} cannot be read."
        raise NotJsonError(message) from None
    except json.JSONDecodeError as error:
        message = f"The body is not JSON: {error.msg} in line {error.lineno}, column {error.colno}."
        raise NotJsonError(message) from None
    except RecursionError:
        message = "The body is not taken: it is nested too deeply."
        raise NotJsonError(message) from None
    return Parsed(value, reader.sound)


def written(value: object) -> bytes:
    """Write a parsed value as JSON again.

    Raises
    ------
    NotJsonError
        If it holds half of a surrogate pair, or is nested too deeply.
    """
    try:
        return orjson.dumps(value)
    except orjson.JSONEncodeError:
        message = (
            "The body is not taken: it holds a \\u escape that is no character, "
            "or is nested too deeply."
        )
        raise NotJsonError(message) from None
