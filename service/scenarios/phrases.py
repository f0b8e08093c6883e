"""Changes and money in a few words, rounded as people read them."""

from collections.abc import Sequence
from typing import Any

from service.costing.json_shapes import is_array, is_object
from service.costing.wording import listed, spoken
from service.scenarios.changes import CURRENCY, Change

NEAREST = 100
"""Money from 1,000 on is said to the nearest hundred, as in the table of a costing."""

NEAREST_FROM = 1_000
MOST_NAMED = 3
LONGEST = 60
PERCENT = 100
COUNTED = ("acre", "bale", "day", "hour", "minute", "piece", "ton", "winter", "year")
"""Units that take an s when there are several."""


CLASSIFIER = "winter.weather_classifier"
RECOUNTED = "winters of the weather record counted by other settings"
"""The name of a classification tells nobody anything."""


def money(value: float) -> str:
    """Return an amount without its sign: to the nearest hundred, or two figures of a small one."""
    size = abs(value)
    if size >= NEAREST_FROM:
        return f"{round(size / NEAREST) * NEAREST:,.0f}"
    return _number(float(f"{size:.2g}"))


def cut(text: str) -> str:
    """Return a text short enough for a sentence."""
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 3].rstrip()}..."


def said(changes: Sequence[Change]) -> str:
    """Say what was changed: each change if they are few, else how many and the first of them."""
    if not changes:
        return "no input changed"
    if len(changes) <= MOST_NAMED:
        return listed(_one(change) for change in changes)
    names = list(dict.fromkeys(_lowered(change) for change in changes))
    more = ", ..." if len(names) > MOST_NAMED else ""
    return f"{len(changes)} inputs changed ({', '.join(names[:MOST_NAMED])}{more})"


def _one(change: Change) -> str:
    if change.input == CLASSIFIER and change.kind == "changed":
        return RECOUNTED
    subject = _lowered(change)
    if change.whose:
        subject += f" ({' / '.join(cut(name) for name in change.whose)})"
    before, after = change.before, change.after
    if _is_item(change):
        return f"{subject} {change.kind}"
    if change.kind == "added":
        return f"{subject} set to {_with_unit(_value(after, change), change)}"
    if change.kind == "removed":
        return f"{subject} no longer given (was {_with_unit(_value(before, change), change)})"
    span = f"{_value(before, change)} to {_value(after, change)}"
    if _is_number(before) and _is_number(after):
        return f"{subject} {_with_unit(span, change)}"
    return f"{subject} from {span}"


def _lowered(change: Change) -> str:
    """Return the title as it stands within a sentence; names that were given stay as they are."""
    title = cut(change.title)
    if _is_item(change) or title[1:2].isupper():
        return title
    return title[:1].lower() + title[1:]


def _is_item(change: Change) -> bool:
    """Whether a whole item came or went, not a value."""
    return change.kind != "changed" and (is_object(change.before) or is_object(change.after))


def _value(value: Any, change: Change) -> str:  # noqa: ANN401 - any JSON value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if _is_number(value):
        if _is_point_in_time(change):
            return f"{value:.0f}"
        return _number(value * PERCENT if _is_share(change) else value)
    if is_array(value):
        return cut(", ".join(_value(item, change) for item in value))
    if is_object(value):
        return cut(
            ", ".join(f"{spoken(key)} {_value(item, change)}" for key, item in value.items())
        )
    text = str(value)
    return f'"{cut(text)}"' if " " in text else cut(spoken(text))


def _with_unit(text: str, change: Change) -> str:
    value = change.before if change.after is None else change.after
    unit = _unit(change) if _is_number(value) else ""
    return f"{text} {unit}" if unit else text


def _unit(change: Change) -> str:
    if _is_share(change):
        return "% a year" if change.unit.endswith("/year") else "%"
    if change.unit in {"", "none"} or CURRENCY in change.unit or _is_point_in_time(change):
        return ""
    first, slash, rest = change.unit.partition("/")
    unit = f"{first}s{slash}{rest}" if first in COUNTED else change.unit
    return "" if unit == change.title.lower() else unit


def _is_share(change: Change) -> bool:
    return change.unit.partition("/")[0] == "fraction"


def _is_point_in_time(change: Change) -> bool:
    return change.input.endswith("_year")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _number(value: float) -> str:
    return f"{value:,.12g}"
