"""A form of a winter as it was sent: facts from what was typed, and the other way round."""

import re
from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any
from urllib.parse import parse_qsl

from service.costing.errors import Fault
from service.costing.json_shapes import is_object
from service.scenarios.tokens import TOKEN, masked
from service.web.pages_winter.form_fields import (
    NUMBER,
    STEP_DAYS,
    SYSTEM,
    FormField,
    WinterForm,
)

LARGEST_FORM = 262_144
"""Most bytes of a form."""

MOST_MEMBERS = 2_000
LONGEST_ANSWER = 60
LONGEST_WORDS = 2_000
LONGEST_CODE = 400
CODE, WHAT, SEASON, VERSION, REVISION = "code", "what", "season", "version", "revision"
BESIDE = frozenset({CODE, WHAT, SEASON, VERSION, REVISION})
"""What a form holds beside facts: the code of the link, what to do, which winter, the version that
was read (0 for none), and the revision of the scenario whose words it has."""

SAVE = "save"
MOST_DIGITS = 7
DAYS_BY_STEP = "days_by_method"
OPEN = frozenset({"", "?", "-", "not sure", "don't know", "do not know"})
ROUGHLY = re.compile(r"^(?:about|around|roughly|some|circa|ca\.?|~)\s*", re.IGNORECASE)
PLAIN = re.compile(r"-?(?:\d+(?:\.\d+)?|\.\d+)")
THOUSANDS = re.compile(r"-?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
DECIMAL_COMMA = re.compile(r"-?\d+,\d+")
MIXED = re.compile(r"(?:(\d+)\s+)?(\d+)/([1-9]\d*)")
SIGNS: Mapping[str, str] = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4"}


class UnreadableFormError(ValueError):
    """The form is too large, or holds more than it asks."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent."""

    token: str = field(repr=False)
    saves: bool
    season: str
    version: int
    revision: int
    texts: Mapping[str, str]
    """What was typed, by the name of its field; nothing that is empty."""


def sent_form(body: bytes) -> Sent:
    """Read the body of a form (application/x-www-form-urlencoded).

    Tokens are cut out of everything but the field that is for one.

    Raises
    ------
    UnreadableFormError
        If it is too large.
    """
    if len(body) > LARGEST_FORM:
        message = f"The form may have at most {LARGEST_FORM:,} bytes."
        raise UnreadableFormError(message)
    try:
        pairs = parse_qsl(
            body.decode("utf-8", "replace"), errors="replace", max_num_fields=MOST_MEMBERS
        )
    except ValueError:
        message = f"The form may hold at most {MOST_MEMBERS:,} answers."
        raise UnreadableFormError(message) from None
    found = dict(pairs)
    return Sent(
        token=_token(found.get(CODE, "")),
        saves=found.get(WHAT) == SAVE,
        season=masked(found.get(SEASON, "")[:LONGEST_ANSWER]),
        version=_whole(found.get(VERSION, "")),
        revision=_whole(found.get(REVISION, "")),
        texts={
            name: text
            for name, typed in found.items()
            if name not in BESIDE and (text := _text(typed))
        },
    )


def facts_from(
    form: WinterForm, texts: Mapping[str, str], stands: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the facts that were typed, and those that stand and the form does not ask.

    What is no number stays a text, so that whoever reads the facts tells every fault at once.

    Parameters
    ----------
    form : WinterForm
        What was asked.
    texts : mapping of str to str
        What was typed.
    stands : mapping
        The facts that were recorded before.
    """
    facts = deepcopy(dict(stands))
    facts["planned_revision"] = form.revision
    facts.pop(DAYS_BY_STEP, None)
    chosen = texts.get(SYSTEM)
    if chosen is not None:
        facts[SYSTEM] = chosen
    for name, asked in form.fields.items():
        value = typed_value(asked, texts.get(name, ""))
        first, *rest = name.split(".")
        if first != STEP_DAYS:
            _put(facts, [first, *rest], value)
        elif rest[0] == chosen and value is not None:
            facts.setdefault(DAYS_BY_STEP, {})[rest[1]] = value
    return facts


def texts_from(form: WinterForm, system: str, facts: Mapping[str, Any]) -> dict[str, str]:
    """Return the texts that a form has where these facts stand."""
    texts = {SYSTEM: system}
    for name in form.fields:
        first, *rest = name.split(".")
        if first != STEP_DAYS:
            texts[name] = _shown(_at(facts, [first, *rest]))
    way = form.way(system)
    methods: Mapping[str, str] = way.methods if way else {}
    for name, days in facts.get(DAYS_BY_STEP, {}).items():
        meant = [name] if name in methods else [key for key in methods if methods[key] == name]
        if len(meant) == 1:
            texts[f"{STEP_DAYS}.{system}.{meant[0]}"] = _shown(days)
    return {name: text for name, text in texts.items() if text}


def placed(
    form: WinterForm, system: str, faults: Iterable[Fault]
) -> tuple[dict[str, list[str]], list[str]]:
    """Return faults by the field or section that they are about, and those that are about none."""
    fields = form.fields
    sections = {section.key for section in form.sections} | {SYSTEM}
    by_name: dict[str, list[str]] = {}
    others: list[str] = []
    for fault in faults:
        first, _, rest = fault.input.partition(".")
        name = fault.input
        if first == DAYS_BY_STEP:
            name = f"{STEP_DAYS}.{system}.{rest}"
            first = SYSTEM
        place = name if name in fields else first
        if place in fields or place in sections:
            by_name.setdefault(place, []).append(in_words(form, fault.detail))
        else:
            others.append(in_words(form, fault.detail))
    return by_name, others


def in_words(form: WinterForm, detail: str) -> str:
    """Return a sentence with names of facts and steps as the form has them."""
    labels = {name.rpartition(".")[2]: asked.label for name, asked in form.fields.items()}
    known = [re.escape(name) for name in labels if "_" in name]
    if not known:
        return masked(detail)
    pattern = rf"\b(?:{'|'.join(known)})\b"
    return masked(re.sub(pattern, lambda found: f"“{labels[found[0]]}”", detail))


def typed_value(asked: FormField, text: str) -> float | str | None:
    """Return the value of a text; None for nothing."""
    return typed_number(text) if asked.kind == NUMBER else text.strip() or None


def typed_number(text: str) -> float | str | None:
    """Return a number as people write it: 1,250 or 1.5 or 1,5 or 1 1/2 or about 40.

    None for nothing; the text itself if it is no number.
    """
    bare = text.strip()
    if bare.lower() in OPEN:
        return None
    if len(bare) > LONGEST_ANSWER:
        return text
    bare = ROUGHLY.sub("", bare.rstrip("?").strip()).removeprefix("$").strip()
    for sign, words in SIGNS.items():
        bare = bare.replace(sign, words)
    mixed = MIXED.fullmatch(bare.strip())
    if mixed:
        return float(int(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3])))
    if THOUSANDS.fullmatch(bare):
        bare = bare.replace(",", "")
    elif DECIMAL_COMMA.fullmatch(bare):
        bare = bare.replace(",", ".")
    return float(bare) if PLAIN.fullmatch(bare) else text


def _token(pasted: str) -> str:
    """Return the token in a code or a whole link."""
    text = pasted.strip()[:LONGEST_CODE]
    found = TOKEN.search(text)
    return found[0] if found else text


def _whole(text: str) -> int:
    return int(text) if text.isdecimal() and text.isascii() and len(text) <= MOST_DIGITS else 0


def _text(typed: str) -> str:
    """Return a text with plain line ends; browsers send those of forms as two characters."""
    return masked(typed.replace("\r\n", "\n").strip()[: LONGEST_WORDS + 1])


def _put(facts: dict[str, Any], path: list[str], value: float | str | None) -> None:
    """Put a value in its place, or take what stands there away."""
    if len(path) == 1:
        facts.pop(path[0], None)
        if value is not None:
            facts[path[0]] = value
        return
    inner = facts.get(path[0])
    if not is_object(inner):
        inner = {}
    _put(inner, path[1:], value)
    facts.pop(path[0], None)
    if inner:
        facts[path[0]] = inner


def _at(facts: Any, path: list[str]) -> Any:  # noqa: ANN401 - a fact or nothing
    for name in path:
        facts = facts.get(name) if is_object(facts) else None
    return facts


def _shown(value: object) -> str:
    """Return a fact as it is typed."""
    if value is None:
        return ""
    if isinstance(value, int | float):
        return str(int(value)) if float(value).is_integer() else repr(value)
    return str(value)
