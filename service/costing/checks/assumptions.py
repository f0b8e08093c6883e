"""Faults of the reference values that a scenario sets itself."""

from collections.abc import Iterator
from difflib import get_close_matches
from functools import cache
from math import isfinite

from service.costing.checks.machines import FLOOR_DRIVERS, step_drivers
from service.costing.checks.phrases import choice, exact, short, some_of
from service.costing.checks.question import Question
from service.costing.entry import Entry
from service.costing.errors import Fault
from service.costing.methods import METHODS
from service.costing.reference.keys import Template, known_keys, template_of
from service.costing.reference.table import load_edition, newest_edition
from service.costing.structures import KINDS
from service.costing.units import STATES

WASTE = "hay_waste"
ADDED = "hay_waste_added"
WINTER_LOSS = "stockpile.winter_loss"
MOST_TOPICS = 3
LIKENESS = 0.5
LONGEST_TOPIC = 40
DRIVERS_OF_WATER = ("day", "bale", "move", "switch", "acre", "bale_left", "winter")
"""Of water that is hauled or walked back to: the drivers of whichever step feeds there."""


def assumption_faults(question: Question) -> Iterator[Fault]:
    """Yield keys that there are not, and values that cannot be."""
    for key, value in question.scenario.assumptions.items():
        template = template_of(key)
        if template is None:
            yield _unknown(question, key)
            continue
        if template.words is None:
            yield from _number(key, value, template)
        else:
            yield from _word(question, key, value, template.words)
        if key.startswith("work."):
            yield from _task(question, key, value)
    yield from _hay_lost(question)
    yield from _grass_lost(question)


def _path(key: str) -> str:
    return f"assumptions.{key}"


def _unknown(question: Question, key: str) -> Fault:
    near = question.near(key, _like(key)) if question.may_suggest else None
    hint = f"; did you mean {near}?" if near else "."
    return Fault(
        _path(key),
        f"There is no reference value {short(key)!r}{hint}",
        received=short(key),
        suggestion=near,
    )


@cache
def _keys_by_topic() -> dict[str, list[str]]:
    """Return every key that can be meant, by its first word."""
    found: dict[str, list[str]] = {}
    for key in dict.fromkeys((*known_keys(), *load_edition(newest_edition()).rows)):
        found.setdefault(key.partition(".")[0], []).append(key)
    return found


def _like(key: str) -> list[str]:
    """Return the keys whose first word is like that of ``key``."""
    keys = _keys_by_topic()
    topic = key.partition(".")[0][:LONGEST_TOPIC]
    topics = get_close_matches(topic, keys, n=MOST_TOPICS, cutoff=LIKENESS)
    return [key for name in topics for key in keys[name]]


def _number(key: str, value: float | str, template: Template) -> Iterator[Fault]:
    low, high = template.minimum, template.maximum
    if isinstance(value, bool | str) or not isfinite(value):
        wrong = "must be a number"
    elif (low is not None and value < low) or (high is not None and value > high):
        wrong = f"must be {Entry('', ge=low, le=high).allowed}"
    elif template.whole and value % 1:
        wrong = "must be a whole number"
    else:
        return
    sent = short(value) if isinstance(value, str) else value
    yield Fault(
        _path(key),
        f"{key} {wrong} ({template.unit}); {_said(value)} was sent.",
        received=sent,
        allowed=Entry("", ge=low, le=high, whole=template.whole).allowed or None,
        unit=template.unit,
    )


def _word(
    question: Question, key: str, value: float | str, words: tuple[str, ...]
) -> Iterator[Fault]:
    sent = short(value) if isinstance(value, str) else value
    if not words:
        if not isinstance(value, str):
            yield Fault(
                _path(key),
                f"{key} must be the key of a machine, or none; {_said(value)} was sent.",
                received=sent,
                allowed="a key of machines, or none",
            )
        return
    if value in words:
        return
    near = question.near(value, words) if isinstance(value, str) else None
    hint = f"; did you mean {near}?" if near else "."
    yield Fault(
        _path(key),
        f"{key} must be one of {some_of(words)}; {_said(value)} was sent{hint}",
        received=sent,
        allowed=choice(words),
        suggestion=near,
    )


def _said(value: float | str) -> str:
    if isinstance(value, str):
        return f"the text {short(value)!r}"
    if isinstance(value, bool):
        return str(value).lower()
    return exact(value)


def _task(question: Question, key: str, value: float | str) -> Iterator[Fault]:
    _, owner, name, part = key.split(".")
    known = question.task_names(owner)
    if name not in known:
        near = question.near(name, known)
        hint = f", or did you mean {near}?" if near else "."
        yield Fault(
            _path(key),
            f"{owner} has no task {name!r}; give work.{owner}.{name}.per to add one{hint}",
            received=name,
            allowed=choice(known),
            suggestion=f"work.{owner}.{near}.{part}" if near else None,
        )
    drivers = _drivers_of(owner)
    if part == "per" and isinstance(value, str) and value not in drivers:
        template = template_of(key)
        if template is not None and template.words and value in template.words:
            yield Fault(
                _path(key),
                f"Nothing of {owner} is counted by the {value}; a task of it goes by "
                f"{some_of(drivers)}.",
                received=value,
                allowed=choice(drivers),
            )


@cache
def _drivers_of(owner: str) -> list[str]:
    """Return the drivers that a task of an owner can have."""
    if owner in METHODS:
        return sorted(step_drivers(owner))
    if owner in KINDS:
        return list(FLOOR_DRIVERS) if KINDS[owner].is_floor else ["winter"]
    return list(DRIVERS_OF_WATER)


def _hay_lost(question: Question) -> Iterator[Fault]:
    """Yield waste by feeder and by ground that together leave no hay."""
    pairs: dict[tuple[str, str], None] = {}
    for key in question.scenario.assumptions:
        topic, _, rest = key.partition(".")
        if topic == WASTE:
            pairs |= dict.fromkeys((rest, state) for state in STATES)
        elif topic == ADDED and rest.count(".") == 1:
            presentation, _, state = rest.partition(".")
            pairs[presentation, state] = None
    for presentation, state in pairs:
        keys = (f"{WASTE}.{presentation}", f"{ADDED}.{presentation}.{state}")
        usual, added = (_sound(question, key) for key in keys)
        if usual is None or added is None or usual + added < 1:
            continue
        key = keys[1] if keys[1] in question.scenario.assumptions else keys[0]
        other = usual if key == keys[1] else added
        yield Fault(
            _path(key),
            f"{keys[0]} {exact(usual)} and {keys[1]} {exact(added)} add up to "
            f"{exact(usual + added)}, so no hay would be eaten; together they must be less "
            "than 1.",
            received=question.scenario.assumptions[key],
            allowed=f"less than {exact(1 - other)}",
            unit="fraction",
        )


def _sound(question: Question, key: str) -> float | None:
    """Return a number that is in its own range, else None."""
    value, template = question.value(key), template_of(key)
    if template is None or not isinstance(value, float | int):
        return None
    return None if any(_number(key, value, template)) else float(value)


def _grass_lost(question: Question) -> Iterator[Fault]:
    if question.scenario.assumptions.get(WINTER_LOSS) == 1:
        yield Fault(
            _path(WINTER_LOSS),
            f"{WINTER_LOSS} of 1 leaves no grass to graze; it must be less than 1.",
            received=1,
            allowed="at least 0, less than 1",
            unit="fraction",
        )
