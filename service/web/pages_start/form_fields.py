"""The fields of the form: one for each part of the ten questions, in the order of the questions."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from service.quick_start import questions
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
)
from service.quick_start.saying import said, spoken_unit

TYPED, PICKED, LISTED, TICKED = "typed", "picked", "listed", "ticked"
"""How a field is filled: by typing, by picking one, from a long list, by ticking some."""

LONGEST_ANSWER = 60
"""Most characters that a field of the form takes."""

LONGEST_SHORT_LABEL = 30
"""Under a longer label a narrow field would stand alone and low."""

WIDGETS: Mapping[str, str] = {
    NUMBER: TYPED,
    DAYS_OF_TEN: TYPED,
    DATE: TYPED,
    TEXT: TYPED,
    CHOICE: PICKED,
    YES_NO: PICKED,
    HALF_MONTH: LISTED,
    SOME: TICKED,
}
PLURALS: Mapping[str, str] = {
    "bale": "bales",
    "day of ten": "days of ten",
    "head": "",
    "pace": "paces",
    "piece": "",
}
"""Units as a form has them beside a field, where a sentence has them otherwise."""

CALLED: Mapping[str, str] = {"lb": "pounds"}
"""Units that a question calls by another name."""

HINTS: Mapping[str, str] = {DATE: "As 12-01 or Dec 1."}


@dataclass(frozen=True, slots=True)
class FormField:
    """One thing to fill in."""

    name: str
    label: str
    unit: str
    widget: str
    keyboard: str
    """What a phone shows: ``numeric`` for whole numbers, ``decimal`` or ``text``."""
    choices: Sequence[tuple[str, str]]
    hint: str
    is_short: bool
    """Whether it needs little room."""

    @property
    def id(self) -> str:
        """What it is called in the page."""
        return f"f-{self.name.replace('.', '-')}"


@dataclass(frozen=True, slots=True)
class FormGroup:
    """Fields that stand together; ``title`` where they are about one thing of several."""

    title: str
    fields: Sequence[FormField]
    is_first: bool = True


@dataclass(frozen=True, slots=True)
class UsualFigure:
    """What is usual of a part, and where that is from."""

    label: str
    usual: str
    source: str
    unverified: bool


@dataclass(frozen=True, slots=True)
class FormQuestion:
    """One of the ten questions as the form has it."""

    number: int
    id: str
    ask: str
    why: str
    if_not_sure: str
    groups: Sequence[FormGroup]
    usual: Sequence[UsualFigure]


@cache
def form_questions() -> tuple[FormQuestion, ...]:
    """Return the ten questions."""
    return tuple(_question(number, found) for number, found in enumerate(questions(), start=1))


@cache
def form_fields() -> Mapping[str, FormField]:
    """Return all fields by name."""
    return {
        field.name: field
        for question in form_questions()
        for group in question.groups
        for field in group.fields
    }


def usual_of(part: Mapping[str, Any]) -> str:
    """Return what is usual of a part in words; empty where nothing is."""
    if part["usual"] is None:
        return ""
    usual, low, high = (said(part[end], "") for end in ("usual", "low", "high"))
    return f"usually {usual}, {low} to {high}"


def unit_of(part: Mapping[str, Any]) -> str:
    """Return the unit of a part in words; empty where the question has it in its own."""
    unit = part["unit"] or ""
    spoken = PLURALS.get(unit, spoken_unit(unit) if unit else "")
    first = spoken.partition(" ")[0]
    return "" if CALLED.get(first, first) in part["ask"].lower() else spoken


def _question(number: int, question: Mapping[str, Any]) -> FormQuestion:
    return FormQuestion(
        number=number,
        id=question["id"],
        ask=question["ask"],
        why=question["why"],
        if_not_sure=question["if_not_sure"],
        groups=tuple(_groups(question)),
        usual=tuple(_usual(part) for part in question["parts"] if part["source"]),
    )


def _groups(question: Mapping[str, Any]) -> Iterator[FormGroup]:
    """Yield the fields of a question; those of each of several things in a group of their own."""
    single: list[FormField] = []
    for part in question["parts"]:
        name = f"{question['id']}.{part['id']}"
        if part["kind"] != FIELDS:
            single.append(_field(name, part))
            continue
        for number in range(1, int(part["most"]) + 1):
            fields = [_field(f"{name}.{number}.{inner['id']}", inner) for inner in part["parts"]]
            yield FormGroup(f"Field {number}", tuple(fields), is_first=number == 1)
    yield FormGroup("", tuple(single))


def _field(name: str, part: Mapping[str, Any]) -> FormField:
    kind, usual = part["kind"], usual_of(part)
    is_number = kind in {NUMBER, DAYS_OF_TEN}
    keyboard = ("numeric" if part["whole"] else "decimal") if is_number else "text"
    hint = f"{usual[:1].upper()}{usual[1:]}." if usual else HINTS.get(kind, "")
    return FormField(
        name=name,
        label=part["ask"],
        unit=unit_of(part),
        widget=WIDGETS[kind],
        keyboard=keyboard,
        choices=[(choice["key"], choice["words"]) for choice in part["choices"]],
        hint=hint,
        is_short=(is_number or kind == DATE) and len(part["ask"]) <= LONGEST_SHORT_LABEL,
    )


def _usual(part: Mapping[str, Any]) -> UsualFigure:
    return UsualFigure(part["ask"], usual_of(part), part["source"], part["unverified"])
