"""Reads the reference editions: TOML files by topic, each row with unit, range and source."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from service.costing.errors import (
    UnknownEditionError,
    UnknownReferenceValueError,
    nearest,
)
from service.costing.reference.keys import template_of

NO_EDITION = "none"
"""A document of this edition takes nothing from the tables and must bring every value itself."""

EDITIONS = ("2026.1",)

RANGES = "ranges.toml"
"""How far given values may be off: no reference values, read by a module of its own."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was published, or why it has no publication."""

    key: str
    author: str
    year: int | None
    title: str
    published_in: str
    kind: str
    url: str | None = None

    @property
    def in_words(self) -> str:
        """The source as a person would cite it."""
        author = f"{self.author} ({self.year})" if self.year else self.author
        return ", ".join(part for part in (author, self.title, self.published_in) if part)


COMMON_PRACTICE = Source(
    "common_practice", "", None, "Common practice, no source", "", "common practice"
)
ASSUMPTION = Source("assumption", "", None, "Assumption; the note says why", "", "assumption")


@dataclass(frozen=True, slots=True)
class Row:
    """One reference value."""

    key: str
    unit: str
    low: float | None
    usual: float | str
    high: float | None
    words: tuple[str, ...] | None
    meaning: str
    minimum: float | None
    maximum: float | None
    source: str
    where: str = ""
    note: str = ""
    seen: bool = False
    find_out: str | None = None
    currency: str | None = None
    price_year: int | None = None

    @property
    def unverified(self) -> bool:
        """Whether the value is from memory of its source and still to be checked against it."""
        return not self.seen and self.source not in {
            COMMON_PRACTICE.key,
            ASSUMPTION.key,
        }


@dataclass(frozen=True, slots=True)
class Edition:
    """All reference values published together."""

    name: str
    rows: dict[str, Row] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)

    def row(self, key: str) -> Row:
        """Return one reference value.

        Raises
        ------
        UnknownReferenceValueError
            If the edition has no such key; the message names the nearest one.
        """
        if key not in self.rows:
            near = nearest(key, tuple(self.rows))
            message = f"no reference value {key!r}" + (f"; did you mean {near!r}" if near else "")
            raise UnknownReferenceValueError(message)
        return self.rows[key]


def editions() -> tuple[str, ...]:
    """Names of the published editions, oldest first."""
    return EDITIONS


def newest_edition() -> str:
    """Name of the newest edition."""
    return EDITIONS[-1]


@cache
def load_edition(name: str) -> Edition:
    """Read one edition.

    Raises
    ------
    UnknownEditionError
        If there is none of that name.
    """
    if name == NO_EDITION:
        return Edition(name)
    if name not in EDITIONS:
        message = f"no reference edition {name!r}; there are {', '.join(EDITIONS)}"
        raise UnknownEditionError(message)
    folder = files("service.costing.reference") / name.replace(".", "_")
    rows: dict[str, Row] = {}
    sources = {source.key: source for source in (COMMON_PRACTICE, ASSUMPTION)}
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not file.name.endswith(".toml") or file.name == RANGES:
            continue
        data = tomllib.loads(file.read_text("utf-8"))
        if file.name.startswith("sources"):
            sources |= {key: source_of(key, entry) for key, entry in data.items()}
            continue
        for row in _rows(data["family"]):
            if row.key in rows:
                message = f"{file.name} gives {row.key} a second time"
                raise ValueError(message)
            rows[row.key] = row
    return Edition(name, rows, sources)


def source_of(key: str, entry: dict[str, Any]) -> Source:
    """Return a publication as a file of sources has it."""
    return Source(
        key=key,
        author=entry["author"],
        year=entry.get("year"),
        title=entry["title"],
        published_in=entry.get("published_in", ""),
        kind=entry["kind"],
        url=entry.get("url"),
    )


def _rows(families: list[dict[str, Any]]) -> Iterator[Row]:
    for family in families:
        ways = family.get("find_out", {})
        for suffix, value in family["values"].items():
            key = f"{family['prefix']}.{suffix}" if suffix else family["prefix"]
            template = template_of(key)
            if template is None:
                message = f"no shape of key fits {key}"
                raise ValueError(message)
            low, usual, high = (None, value, None) if isinstance(value, str) else value
            yield Row(
                key=key,
                unit=template.unit,
                low=low,
                usual=usual,
                high=high,
                words=template.words,
                meaning=template.meaning,
                minimum=template.minimum,
                maximum=template.maximum,
                source=family["source"],
                where=family.get("where", ""),
                note=family.get("note", ""),
                seen=family.get("seen", False),
                find_out=ways.get(suffix),
                currency=family.get("currency"),
                price_year=family.get("price_year"),
            )
