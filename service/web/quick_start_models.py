"""The quick start over HTTP: what is asked and what is answered, one declaration each.

Whoever fills the scenario says what is wrong with an answer, in better sentences than a schema has;
the limits stand here for the description alone.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Literal

from pydantic import Field

from service.costing.entry import MONTH_DAY
from service.quick_start.answers import LONGEST_NAME
from service.quick_start.catalog import (
    CHOICE,
    DATE,
    DAYS_OF_TEN,
    FIELDS,
    HALF_MONTH,
    NUMBER,
    SOME,
    TEXT,
    YES_NO,
    Part,
    Question,
    catalog,
)
from service.web.answer_models import Kept
from service.web.request_models import Asked

Schema = dict[str, Any]

PartKind = Literal[
    "number",
    "choice",
    "some",
    "yes_no",
    "date",
    "half_month",
    "days_of_ten",
    "text",
    "fields",
]
End = float | str
"""A number, or a day as MM-DD."""


class QuickStartChoice(Kept):
    """One of the answers to choose from."""

    key: str = Field(description="What is sent.")
    words: str = Field(description="What people read; may be sent as well.")


class QuickStartPart(Kept):
    """One thing to fill in."""

    id: str
    ask: str
    kind: PartKind
    choices: list[QuickStartChoice]
    unit: str | None
    least: float | None = Field(description="Lowest that is taken.")
    most: float | None = Field(description="Highest that is taken, or the most that may be sent.")
    whole: bool = Field(description="Whether it must be a whole number.")
    low: End | None = Field(description="Low end of what is usual, where something is.")
    usual: End | None
    high: End | None
    source: str | None = Field(description="Where the usual range is from.")
    unverified: bool = Field(description="From memory of the source; still to be checked in it.")
    fills: list[str] = Field(description="Paths of the inputs that it fills.")
    parts: list["QuickStartPart"] = Field(description="Parts of each of the fields.")


class QuickStartQuestion(Kept):
    """One of the ten questions."""

    id: str
    ask: str
    why: str
    parts: list[QuickStartPart]
    fills: list[str] = Field(
        description="Paths of inputs, or one of the words systems, notes, needs and order."
    )
    if_not_sure: str = Field(description="What is taken where nobody is sure.")


class QuickStartQuestions(Kept):
    """The ten questions, in the order in which they are asked."""

    questions: list[QuickStartQuestion]


class QuickStartGuess(Kept):
    """Something that was filled in for the farm."""

    input: str
    also: list[str] = Field(description="Other inputs that it fills.")
    meaning: str
    value: Any
    unit: str
    low: End | None
    high: End | None
    source: str
    unverified: bool
    question: str = Field(description="The question that would have told it.")
    sentence: str
    find_out: str | None


class QuickStartCheck(Kept):
    """A guess that could change the answer."""

    input: str
    meaning: str
    unit: str
    low: End
    usual: End
    high: End
    best_at_low: str = Field(description="Key of the system that is best at the low end.")
    best_at_high: str
    lead_at_low: float = Field(
        description="By how much what is best now is better than the next, at the low end.",
        json_schema_extra={"x-unit": "currency/year"},
    )
    lead_at_high: float = Field(json_schema_extra={"x-unit": "currency/year"})
    changes_best: bool
    find_out: str
    question: str | None = Field(
        description="The question that would have told it; null for a reference value."
    )


class QuickStartSystem(Kept):
    """A system of the document."""

    key: str
    why: str = Field(description="Why it is in the list.")


class QuickStartNote(Kept):
    """Something that was told and has no number."""

    input: str = Field(description="The input, or the part of the document, that it is about.")
    note: str


class QuickStartWish(Kept):
    """Something that the farm wants."""

    wish: str
    figure: str = Field(description="The figure of a costing that shows it.")


class QuickStart(Kept):
    """A scenario filled from ten answers, and what is said beside it. Nothing is stored."""

    document: dict[str, Any] = Field(
        description="The scenario document: it can be costed or stored as it is."
    )
    origins: dict[str, Literal["given", "worked", "reference"]] = Field(
        description="By path: as the farm gave it, worked from answers, or taken for the farm."
    )
    how: dict[str, str] = Field(description="By path: how a value was worked.")
    guessed: list[QuickStartGuess]
    check_first: list[QuickStartCheck] = Field(description="At most three.")
    systems: list[QuickStartSystem] = Field(description="That of today first.")
    needs: list[str] = Field(description="What the farm lacks.")
    notes: list[QuickStartNote]
    order: list[QuickStartWish] = Field(description="What the farm wants, the first first.")


class QuickStartRequest(Asked):
    """Answers to the ten questions; any of them, and any part, may be left out."""

    answers: dict[str, Any] = Field(description="Parts by question; what is missing is not sure.")


def _numbers(part: Part) -> Schema:
    most = {} if part.most is None else {"maximum": part.most}
    whole = {"multipleOf": 1} if part.whole else {}
    unit = {"x-unit": part.unit} if part.unit else {}
    return {"type": "number", "minimum": part.least, **most, **whole, **unit}


def _words(part: Part) -> Schema:
    return {"type": "string", "enum": list(part.keys)}


def _some(part: Part) -> Schema:
    most = {} if part.most is None else {"maxItems": int(part.most)}
    return {"type": "array", "items": _words(part), **most}


def _fields(part: Part) -> Schema:
    return {**_some(part), "items": _members(part.parts)}


SHAPES: Mapping[str, Callable[[Part], Schema]] = {
    NUMBER: _numbers,
    DAYS_OF_TEN: _numbers,
    CHOICE: _words,
    YES_NO: _words,
    HALF_MONTH: _words,
    SOME: _some,
    FIELDS: _fields,
    DATE: lambda _: {"type": "string", "pattern": MONTH_DAY},
    TEXT: lambda _: {"type": "string", "maxLength": LONGEST_NAME},
}


def _members(parts: Iterable[Part]) -> Schema:
    """Describe a map of parts."""
    members = {part.id: {**SHAPES[part.kind](part), "title": part.ask} for part in parts}
    return {"type": "object", "properties": members, "additionalProperties": False}


def _question(question: Question) -> Schema:
    return {**_members(question.parts), "title": question.ask, "description": question.why}


QUICK_START_REQUEST: Schema = {
    "title": "QuickStartRequest",
    "type": "object",
    "description": QuickStartRequest.__doc__,
    "properties": {
        "answers": {
            "type": "object",
            "description": "Parts by question; what is missing is not sure.",
            "properties": {name: _question(question) for name, question in catalog().items()},
            "additionalProperties": False,
        }
    },
    "required": ["answers"],
    "additionalProperties": False,
}
"""The body as it is described: its answers are read by whoever fills the scenario."""

QUICK_START_ANSWERS = (QuickStartQuestions, QuickStart)
