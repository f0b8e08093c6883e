"""Answers as they come in: every fault at once, and what is left of them ready to be used."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import isfinite
from typing import Any

from service.costing.checks.phrases import choice, exact, short
from service.costing.entry import MONTH_DAY, Entry
from service.costing.errors import Fault, nearest
from service.costing.json_shapes import is_array, is_object
from service.quick_start.catalog import (
    CHOICE,
    DATE,
    FIELDS,
    HALF_MONTH,
    NO,
    SOME,
    TEXT,
    YES,
    YES_NO,
    Part,
    catalog,
)

ROOT = "answers"
LONGEST_NAME = 60
LEAP_DAY, DAY_BEFORE_IT = "02-29", "02-28"
SPOKEN_DATES = ("%b %d", "%B %d", "%d %b", "%d %B")
A_LEAP_YEAR = "2024"
"""Dates are read in a year that has every day."""

Field = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Answers:
    """What was answered, by question and part; a part that nobody is sure of is not there."""

    by_question: Mapping[str, Mapping[str, Any]]

    def get(self, question: str, part: str) -> Any:  # noqa: ANN401 - a number, a word or fields
        """Return an answer, or None where nobody is sure."""
        return self.by_question[question].get(part)

    def number(self, question: str, part: str) -> float | None:
        """Return an answer that is a number, or None."""
        value = self.get(question, part)
        return None if value is None else float(value)

    def says_yes(self, question: str, part: str) -> bool | None:
        """Return whether the answer is yes, or None where nobody is sure."""
        value = self.get(question, part)
        return None if value is None else value == YES

    @property
    def fields(self) -> Sequence[Field]:
        """The fields that were named."""
        return self.get("land", "fields") or ()


def answers_of(sent: object) -> tuple[Answers, list[Fault]]:
    """Read answers.

    Parameters
    ----------
    sent : mapping
        Parts by question, as ``{"animals": {"cows": 40}}``. A question or a part that is missing
        or None is "not sure".

    Returns
    -------
    tuple of Answers and list of Fault
        What could be read, and what is wrong with the rest.
    """
    faults: list[Fault] = []
    found: dict[str, dict[str, Any]] = {name: {} for name in catalog()}
    for name, parts in _members(sent, ROOT, list(catalog()), "question", faults):
        place = f"{ROOT}.{name}"
        known = {part.id: part for part in catalog()[name].parts}
        for part, value in _members(parts, place, list(known), "part", faults):
            read = _read(known[part], value, f"{place}.{part}", faults)
            if read is not None:
                found[name][part] = read
    return Answers(found), faults


def _members(
    sent: object, place: str, known: Sequence[str], what: str, faults: list[Fault]
) -> Iterator[tuple[str, Any]]:
    """Yield name and value of what is answered, and note what has no place here."""
    if sent is None:
        return
    if not is_object(sent):
        faults.append(
            Fault(place, f"It must be a map of a {what} to its answer.", allowed=choice(known))
        )
        return
    for name, value in sent.items():
        if name not in known:
            near = nearest(str(name), known)
            hint = f"; did you mean {near}?" if near else "."
            faults.append(
                Fault(
                    f"{place}.{short(str(name))}",
                    f"There is no {what} {short(str(name))!r}{hint}",
                    received=short(str(name)),
                    allowed=choice(known),
                    suggestion=near,
                )
            )
        elif value is not None:
            yield str(name), value


def _read(part: Part, value: Any, place: str, faults: list[Fault]) -> Any:  # noqa: ANN401 - JSON
    if part.kind == YES_NO and isinstance(value, bool):
        return YES if value else NO
    reader = READERS.get(part.kind, _number)
    return reader(part, value, place, faults)


def _number(part: Part, value: object, place: str, faults: list[Fault]) -> float | None:
    allowed = Entry("", ge=part.least, le=part.most, whole=part.whole).allowed
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        wrong = "use a decimal point" if _has_comma(value) else "give a number, or leave it open"
        detail = f"{_said(value)} is no number; {wrong}."
    elif value < part.least or (part.most is not None and value > part.most):
        detail = f"{exact(value)} is out of range; it must be {allowed}."
    elif part.whole and value % 1:
        detail = f"{exact(value)} must be a whole number."
    else:
        return float(value)
    faults.append(
        Fault(place, detail, received=value, allowed=allowed or None, unit=part.unit or None)
    )
    return None


def _has_comma(value: object) -> bool:
    return isinstance(value, str) and re.fullmatch(r"\d+,\d+", value) is not None


def _word(part: Part, value: object, place: str, faults: list[Fault]) -> str | None:
    if isinstance(value, str):
        by_words = {words: key for key, words in part.choices}
        plain = value.strip()
        if plain in part.words:
            return plain
        if plain in by_words:
            return by_words[plain]
    near = nearest(value, part.keys) if isinstance(value, str) else None
    hint = f"; did you mean {near}?" if near else "."
    faults.append(
        Fault(
            place,
            f"{_said(value)} is none of the choices{hint}",
            received=short(value) if isinstance(value, str) else value,
            allowed=", ".join(part.keys),
            suggestion=near,
        )
    )
    return None


def _some(part: Part, value: object, place: str, faults: list[Fault]) -> list[str]:
    sent = [value] if isinstance(value, str) else value
    if not is_array(sent):
        faults.append(Fault(place, "It must be a list of choices.", allowed=", ".join(part.keys)))
        return []
    read = (_word(part, word, place, faults) for word in sent)
    words = list(dict.fromkeys(word for word in read if word is not None))
    if part.most is not None and len(words) > part.most:
        faults.append(
            Fault(
                place,
                f"{len(words)} were picked; pick {exact(part.most)}.",
                received=len(words),
                allowed=f"at most {exact(part.most)}",
            )
        )
    return words


def _date(_: Part, value: object, place: str, faults: list[Fault]) -> str | None:
    """Read a day: 12-01, 2026-12-01, Dec 1 or 1 December."""
    day = _month_day(value.strip()) if isinstance(value, str) else None
    if day is None:
        faults.append(
            Fault(
                place,
                f"{_said(value)} is no day; write it as 12-01, Dec 1 or 2026-12-01.",
                received=short(value) if isinstance(value, str) else value,
                allowed="a day as MM-DD",
            )
        )
        return None
    return DAY_BEFORE_IT if day == LEAP_DAY else day


def _month_day(text: str) -> str | None:
    if re.fullmatch(MONTH_DAY, text) or text == LEAP_DAY:
        return text
    try:
        return date.fromisoformat(text).strftime("%m-%d")
    except ValueError:
        pass
    for form in SPOKEN_DATES:
        try:
            found = datetime.strptime(f"{text} {A_LEAP_YEAR}", f"{form} %Y")  # noqa: DTZ007 - a day
        except ValueError:
            continue
        return found.strftime("%m-%d")
    return None


def _text(_: Part, value: object, place: str, faults: list[Fault]) -> str | None:
    if isinstance(value, str) and len(value) <= LONGEST_NAME:
        return value.strip()
    faults.append(
        Fault(
            place,
            f"It must be a text of at most {LONGEST_NAME} characters.",
            received=short(value) if isinstance(value, str) else value,
            allowed=f"at most {LONGEST_NAME} characters",
        )
    )
    return None


def _fields(part: Part, value: object, place: str, faults: list[Fault]) -> list[dict[str, Any]]:
    if not is_array(value):
        faults.append(Fault(place, "It must be a list of fields.", allowed="a list"))
        return []
    if part.most is not None and len(value) > part.most:
        faults.append(
            Fault(
                place,
                f"{len(value)} fields were sent; the quick start takes up to {exact(part.most)}. "
                "Take the ones nearest to the feed, and add others afterwards.",
                received=len(value),
                allowed=f"at most {exact(part.most)}",
            )
        )
        return []
    known = {inner.id: inner for inner in part.parts}
    found: list[dict[str, Any]] = []
    for number, item in enumerate(value, start=1):
        at = f"{place}.{number}"
        read = {
            name: _read(known[name], member, f"{at}.{name}", faults)
            for name, member in _members(item, at, list(known), "part", faults)
        }
        found.append({name: member for name, member in read.items() if member is not None})
    return [field for field in found if field]


def _said(value: object) -> str:
    if isinstance(value, str):
        return f"The text {short(value)!r}"
    if isinstance(value, bool):
        return str(value).lower()
    return exact(value) if isinstance(value, int | float) else "What was sent"


READERS: Mapping[str, Callable[[Part, Any, str, list[Fault]], Any]] = {
    CHOICE: _word,
    YES_NO: _word,
    HALF_MONTH: _word,
    DATE: _date,
    TEXT: _text,
    SOME: _some,
    FIELDS: _fields,
}
"""How a kind of part is read; all others are numbers."""
