"""The grammar of reference keys: which keys there can be, in which unit and range."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from itertools import product

INDEX = re.compile(r"<([^>]+)>")
OPEN = r"[a-z][a-z0-9_]{0,39}"
MOST_KEYS_KEPT = 10_000
"""Keys come from callers too: not all of them are kept."""

OPEN_SETS = frozenset({"task", "machine"})


@dataclass(frozen=True, slots=True)
class Template:
    """One shape of key: ``<index>`` stands for each word of a set."""

    key: str
    meaning: str
    unit: str
    minimum: float | None
    maximum: float | None
    whole: bool
    words: tuple[str, ...] | None
    """Words that the value can be; empty when any machine will do; None for a number."""


@dataclass(frozen=True, slots=True)
class Grammar:
    """All shapes of key, and the sets that their indices run over."""

    sets: dict[str, tuple[str, ...]]
    templates: tuple[tuple[re.Pattern[str], Template], ...]


@cache
def grammar() -> Grammar:
    """Read the grammar; the special keys come before the general ones that they also fit."""
    text = (files("service.costing.reference") / "keys.toml").read_text("utf-8")
    data = tomllib.loads(text)
    sets = {name: tuple(words) for name, words in data["sets"].items()}
    templates: list[tuple[re.Pattern[str], Template]] = []
    for row in data["key"]:
        words = row.get("words")
        templates.append(
            (
                _pattern(row["key"], sets),
                Template(
                    key=row["key"],
                    meaning=row["meaning"],
                    unit=row.get("unit", "word"),
                    minimum=row.get("minimum"),
                    maximum=row.get("maximum"),
                    whole=row.get("whole", False),
                    words=None if words is None else () if isinstance(words, str) else tuple(words),
                ),
            )
        )
    return Grammar(sets, tuple(templates))


@lru_cache(maxsize=MOST_KEYS_KEPT)
def template_of(key: str) -> Template | None:
    """Return the shape that ``key`` has, or None if there is no such key."""
    return next((t for pattern, t in grammar().templates if pattern.fullmatch(key)), None)


def keys_of(template: Template) -> Iterator[str]:
    """Every key of a shape without open indices."""
    parts = INDEX.split(template.key)
    choices = [_choices(index) for index in parts[1::2]]
    for words in product(*choices):
        yield "".join(part + word for part, word in zip(parts[::2], (*words, ""), strict=True))


def known_keys() -> tuple[str, ...]:
    """Every key that needs no open index: what a mistyped key may have been meant to be."""
    return tuple(
        key
        for _, template in grammar().templates
        if not OPEN_SETS & set(INDEX.findall(template.key))
        for key in keys_of(template)
    )


def _choices(index: str) -> tuple[str, ...]:
    return grammar().sets.get(index) or tuple(index.split("|"))


def _pattern(key: str, sets: dict[str, tuple[str, ...]]) -> re.Pattern[str]:
    parts = INDEX.split(key)
    expression = re.escape(parts[0])
    for index, text in zip(parts[1::2], parts[2::2], strict=True):
        words = OPEN if index in OPEN_SETS else "|".join(sets.get(index) or index.split("|"))
        expression += f"({words})" + re.escape(text)
    return re.compile(expression)
