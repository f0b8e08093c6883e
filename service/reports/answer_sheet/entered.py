"""What was entered in one cell, as the value that the input takes."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from fractions import Fraction
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
)
from service.costing.reference.keys import template_of
from service.reports.answer_sheet.carried_units import (
    NUMBER as NUMERAL,
)
from service.reports.answer_sheet.carried_units import (
    NotAMeasureError,
    converted,
    measured,
    said_alike,
    simplest,
)
from service.reports.answer_sheet.cell_text import BETWEEN, LISTS, NONE, NOT_GIVEN, unguarded

YES = frozenset({"yes", "true"})
NO = frozenset({"no", "false"})
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTH_AND_DAY = re.compile(r"(\d{1,2})-(\d{1,2})")
WITH_YEAR = re.compile(r"\d{4}-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?")
IN_WORDS = re.compile(r"([A-Za-z]{3,9})\.? +(\d{1,2})|(\d{1,2})\.? +([A-Za-z]{3,9})\.?")
WHOLE_DATE = "2026-12-01"
"""What text of a date with its year looks like."""


class NotTakenError(ValueError):
    """What stands in a cell cannot be the value; says what to change."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How what was entered is to be taken.

    ``typed`` says that numbers come as numbers: text that is one is then a mistake.
    """

    currency: str
    typed: bool


def value_of(leaf: Leaf, entered: Any, unit: str, manner: Manner) -> Any:  # noqa: ANN401 - as JSON has it
    """Return the value of an input.

    Parameters
    ----------
    leaf : Leaf
        How the input is declared.
    entered : object
        What the cell holds; not empty.
    unit : str
        What the cell for the unit beside it holds; may be empty.
    manner : Manner
        How it is to be taken.

    Raises
    ------
    NotTakenError
        If it cannot be the value.
    """
    if isinstance(entered, str):
        if entered.strip() == NOT_GIVEN:
            return None
        if entered.strip() == NONE and leaf.sort in LISTS:
            return []
    if unit and leaf.sort not in {NUMBER, NUMBERS} and leaf.entry.unit in {"", "none"}:
        message = f"this has no unit; clear {unit!r}"
        raise NotTakenError(message)
    return READERS[leaf.sort](leaf, entered, unit, manner)


def of_assumption(leaf: Leaf, key: str) -> Leaf:
    """Return how the reference value of a key is declared."""
    template = template_of(key)
    if template is None or leaf.sort != NUMBER_OR_WORD:
        return leaf
    sort = NUMBER if template.words is None else NUMBER_OR_WORD
    unit = "" if template.unit == "word" else template.unit
    return Leaf(sort, replace(leaf.entry, unit=unit))


def _number(leaf: Leaf, entered: object, unit: str, manner: Manner) -> float:
    own = leaf.entry.unit
    try:
        if isinstance(entered, str):
            return _finite(float(_number_in_text(entered, own, unit, manner)))
        if isinstance(entered, int | float) and not isinstance(entered, bool):
            number = _finite(float(entered))
            if not unit or said_alike(unit, own, manner.currency):
                return number
            return converted(Fraction(number), unit, own, manner.currency)
    except NotAMeasureError as error:
        raise NotTakenError(str(error)) from None
    except OverflowError:
        message = "this is no number that can be computed with"
        raise NotTakenError(message) from None
    message = f"a number belongs here, and no {_sort_of(entered)}"
    raise NotTakenError(message)


def _finite(number: float) -> float:
    if math.isfinite(number):
        return simplest(number)
    raise OverflowError


def _number_in_text(text: str, own: str, unit: str, manner: Manner) -> float:
    bare = NUMERAL.fullmatch(text.strip()) is not None
    if manner.typed and bare:
        message = "a number formatted as text; make the cell a number and enter it again"
        raise NotTakenError(message)
    if not unit or said_alike(unit, own, manner.currency):
        return measured(text, own, manner.currency)
    if bare:
        return measured(f"{text.strip()} {unit}", own, manner.currency)
    message = f"the value has a unit, and {unit!r} stands beside it; keep one of them"
    raise NotTakenError(message)


def _numbers(leaf: Leaf, entered: object, unit: str, manner: Manner) -> list[float]:
    if not isinstance(entered, str):
        return [_number(leaf, entered, unit, manner)]
    loose = replace(manner, typed=False)
    words = (word for word in BETWEEN.split(entered.strip()) if word)
    return [_number(leaf, word, unit, loose) for word in words]


def _yes_no(leaf: Leaf, entered: object, unit: str, manner: Manner) -> bool:
    del leaf, unit, manner
    if isinstance(entered, bool):
        return entered
    word = entered.strip().lower() if isinstance(entered, str) else ""
    if word in YES | NO:
        return word in YES
    message = "yes or no belongs here"
    raise NotTakenError(message)


def _word(leaf: Leaf, entered: object, unit: str, manner: Manner) -> str:
    del leaf, unit, manner
    if isinstance(entered, str):
        return entered.strip()
    message = f"a word belongs here, and no {_sort_of(entered)}"
    raise NotTakenError(message)


def _words(leaf: Leaf, entered: object, unit: str, manner: Manner) -> list[str]:
    text = _word(leaf, entered, unit, manner)
    return [word for word in BETWEEN.split(text) if word]


def _text(leaf: Leaf, entered: object, unit: str, manner: Manner) -> str:
    del unit, manner
    if isinstance(entered, str):
        return unguarded(entered)
    if isinstance(entered, date) and _fits(leaf.entry, WHOLE_DATE):
        return f"{entered:%Y-%m-%d}"
    if isinstance(entered, int | float) and not isinstance(entered, bool):
        return f"{entered:.15g}"
    message = f"text belongs here, and no {_sort_of(entered)}; format the cell as text"
    raise NotTakenError(message)


def _fits(entry: Entry, text: str) -> bool:
    return entry.pattern is not None and re.fullmatch(entry.pattern, text) is not None


def _date(leaf: Leaf, entered: object, unit: str, manner: Manner) -> str:
    del unit, manner
    if isinstance(entered, date):
        return f"{entered:%m-%d}"
    text = entered.strip() if isinstance(entered, str) else ""
    found = MONTH_AND_DAY.fullmatch(text) or WITH_YEAR.fullmatch(text)
    month, day = map(int, found.groups()) if found else _in_words(text)
    written = f"{month:02d}-{day:02d}"
    if _fits(leaf.entry, written):
        return written
    message = "a day of the year belongs here, as 12-01 or Dec 1 (29 February is not counted)"
    raise NotTakenError(message)


def _in_words(text: str) -> tuple[int, int]:
    found = IN_WORDS.fullmatch(text)
    if found is None:
        return 0, 0
    first, second, third, fourth = found.groups()
    name, day = (first, second) if first else (fourth, third)
    start = name[:3].lower()
    return (MONTHS.index(start) + 1 if start in MONTHS else 0), int(day)


def _number_or_word(leaf: Leaf, entered: object, unit: str, manner: Manner) -> float | str:
    if isinstance(entered, str) and (manner.typed or not NUMERAL.fullmatch(entered.strip())):
        return unguarded(entered)
    return _number(leaf, entered, unit, manner)


def _sort_of(entered: object) -> str:
    if isinstance(entered, bool):
        return "yes or no"
    if isinstance(entered, datetime | date | time):
        return "date"
    return "text" if isinstance(entered, str) else "number"


READERS: Mapping[str, Callable[[Leaf, Any, str, Manner], Any]] = {
    NUMBER: _number,
    NUMBERS: _numbers,
    NUMBER_OR_WORD: _number_or_word,
    YES_NO: _yes_no,
    WORD: _word,
    WORDS: _words,
    NAME: _word,
    NAMES: _words,
    TEXT: _text,
    DATE: _date,
}
