"""The ten questions as data: what is asked, in which words and units, and what it fills."""

import tomllib
from calendar import month_name
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from service.quick_start.figures import stand_in

FILE = "questions.toml"

NUMBER, CHOICE, SOME, YES_NO = "number", "choice", "some", "yes_no"
DATE, HALF_MONTH, DAYS_OF_TEN = "date", "half_month", "days_of_ten"
TEXT, FIELDS = "text", "fields"

YES, NO, NONE = "yes", "no", "none"

Choices = tuple[tuple[str, str], ...]


def half_months() -> Choices:
    """Return the half-months of a year: a key and words for each."""
    return tuple(
        (f"{part}_{month.lower()}", f"{part} {month}")
        for month in list(month_name)[1:]
        for part in ("early", "late")
    )


@dataclass(frozen=True, slots=True)
class Part:
    """One thing to fill in."""

    id: str
    ask: str
    kind: str
    fills: tuple[str, ...]
    choices: Choices = ()
    unit: str = ""
    least: float = 0.0
    most: float | None = None
    whole: bool = False
    figure: str | None = None
    parts: tuple["Part", ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        """The words to choose from."""
        return tuple(key for key, _ in self.choices)

    @property
    def words(self) -> dict[str, str]:
        """What each choice is called."""
        return dict(self.choices)


@dataclass(frozen=True, slots=True)
class Question:
    """One of the ten."""

    id: str
    ask: str
    why: str
    if_not_sure: str
    parts: tuple[Part, ...]

    @property
    def fills(self) -> tuple[str, ...]:
        """The inputs that it fills, each once."""
        every = (path for part in self.parts for path in (*part.fills, *_inner_fills(part)))
        return tuple(dict.fromkeys(every))

    def part(self, name: str) -> Part:
        """Return one part."""
        return next(part for part in self.parts if part.id == name)


def _inner_fills(part: Part) -> list[str]:
    return [path for inner in part.parts for path in inner.fills]


@cache
def catalog() -> dict[str, Question]:
    """Return the questions by id, in the order in which they are asked."""
    data = tomllib.loads((files("service.quick_start") / FILE).read_text("utf-8"))
    return {
        entry["id"]: Question(
            id=entry["id"],
            ask=entry["ask"],
            why=entry["why"],
            if_not_sure=entry["if_not_sure"],
            parts=tuple(_part(part) for part in entry["part"]),
        )
        for entry in data["question"]
    }


def _part(entry: dict[str, Any]) -> Part:
    kind = entry["kind"]
    choices: Choices = tuple((key, words) for key, words in entry.get("choices", ()))
    if kind == YES_NO:
        choices = ((YES, "yes"), (NO, "no"))
    elif kind == HALF_MONTH:
        none = ((NONE, "no young"),) if entry.get("none") else ()
        choices = (*half_months(), *none)
    return Part(
        id=entry["id"],
        ask=entry["ask"],
        kind=kind,
        fills=tuple(entry["fills"]),
        choices=choices,
        unit=entry.get("unit", ""),
        least=entry.get("least", 0.0),
        most=entry.get("most"),
        whole=entry.get("whole", False),
        figure=entry.get("figure"),
        parts=tuple(_part(part) for part in entry.get("part", ())),
    )


def questions() -> list[dict[str, Any]]:
    """Return the ten questions, ready for JSON.

    Each has ``id``, ``ask``, ``why``, ``parts``, ``fills`` and ``if_not_sure``. A part has ``id``,
    ``ask``, ``kind``, ``choices``, ``unit``, the range that is allowed (``least``, ``most``), what
    is usual (``low``, ``usual``, ``high``, ``source``, ``unverified``) where there is such, and
    the paths that it ``fills``.
    """
    return [
        {
            "id": question.id,
            "ask": question.ask,
            "why": question.why,
            "parts": [_shown(part) for part in question.parts],
            "fills": list(question.fills),
            "if_not_sure": question.if_not_sure,
        }
        for question in catalog().values()
    ]


def _shown(part: Part) -> dict[str, Any]:
    usual = stand_in(part.figure) if part.figure else None
    has_range = part.kind in {NUMBER, DAYS_OF_TEN, FIELDS, SOME}
    return {
        "id": part.id,
        "ask": part.ask,
        "kind": part.kind,
        "choices": [{"key": key, "words": words} for key, words in part.choices],
        "unit": part.unit or None,
        "least": part.least if has_range else None,
        "most": part.most if has_range else None,
        "whole": part.whole,
        "low": usual.low if usual else None,
        "usual": usual.usual if usual else None,
        "high": usual.high if usual else None,
        "source": usual.in_words if usual else None,
        "unverified": usual.unverified if usual else False,
        "fills": list(part.fills),
        "parts": [_shown(inner) for inner in part.parts],
    }
