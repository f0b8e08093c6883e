"""Answers that come as text, from a form or a keyboard."""

import re
from collections.abc import Mapping
from typing import Any

from service.costing.json_shapes import is_object
from service.quick_start.catalog import DAYS_OF_TEN, FIELDS, NUMBER, SOME, Part, catalog

OPEN = frozenset({"", "?", "not sure", "don't know", "do not know"})
THOUSANDS = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?")


def answers_from_text(texts: Mapping[str, str]) -> dict[str, Any]:
    """Return answers from texts by path: ``animals.cows``, ``land.fields.1.acres``.

    Nothing is refused here: a text that is no number stays a text, and a path that leads nowhere
    stays a name, so that `filled` tells every fault at once.

    Parameters
    ----------
    texts : mapping of str to str
        What was typed in, by question and part.
    """
    answers: dict[str, Any] = {}
    for path, text in texts.items():
        question, _, rest = path.partition(".")
        parts = catalog()[question].parts if question in catalog() else ()
        name, _, inner = rest.partition(".")
        part = next((found for found in parts if found.id == name), None)
        members = answers.setdefault(question, {})
        if part is not None and part.kind == FIELDS and inner:
            if not is_object(members.setdefault(name, {})):
                members[name] = {}
            _put_field(members[name], part, inner, text)
        else:
            members[rest] = _value(part, text)
    _list_fields(answers)
    return answers


def _put_field(rows: dict[str, Any], part: Part, inner: str, text: str) -> None:
    number, _, name = inner.partition(".")
    member = next((found for found in part.parts if found.id == name), None)
    rows.setdefault(number, {})[name] = _value(member, text)


def _list_fields(answers: dict[str, Any]) -> None:
    """Make lists of what was numbered, in the order of the numbers."""
    for question in catalog().values():
        for part in question.parts:
            rows = answers.get(question.id, {}).get(part.id)
            if part.kind == FIELDS and is_object(rows):
                order = sorted(rows, key=lambda number: (len(number), number))
                answers[question.id][part.id] = [rows[number] for number in order]


def _value(part: Part | None, text: str) -> Any:  # noqa: ANN401 - a number, words or nothing
    plain = text.strip()
    if plain.lower() in OPEN:
        return None
    if part is None:
        return plain
    if part.kind in {NUMBER, DAYS_OF_TEN}:
        return _number(plain)
    if part.kind == SOME:
        return [word.strip() for word in plain.split(",") if word.strip()]
    return plain


def _number(text: str) -> float | str:
    bare = text.removeprefix("$").strip()
    if THOUSANDS.fullmatch(bare):
        bare = bare.replace(",", "")
    return float(bare) if re.fullmatch(r"-?\d+(\.\d+)?|\.\d+", bare) else text
