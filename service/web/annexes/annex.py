"""What an annex is made of: blocks of lines, each with value, unit, origin and source.

The page, JSON and CSV are all written from here, so that they cannot differ.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

Value = float | str | bool | None
Origin = Literal["given", "reference", "worked", "stated", "not_known"]
"""``stated`` is said by this service of itself; ``not_known`` has no value."""

Shape = Literal["list", "grid", "names", "texts", "sources"]
"""How a page lays a block out: line by line, as a table, as names after one another, as sentences,
or as the numbered sources at its end."""

COLUMNS = (
    "block",
    "line",
    "title",
    "about",
    "value",
    "unit",
    "origin",
    "low",
    "usual",
    "high",
    "source",
    "where",
    "mark",
    "note",
    "input",
)
"""Of the CSV, in order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of a block.

    ``about`` says what it speaks of: a group, a structure, a year. ``low``, ``usual`` and ``high``
    are the range that the source gives, or that was worked.
    """

    line: str
    title: str
    value: Value = None
    unit: str = ""
    origin: Origin
    about: str = ""
    low: float | None = None
    usual: float | None = None
    high: float | None = None
    source: str = ""
    where: str = ""
    """Where in the source, and how it was used; of an assumption why."""
    mark: str = ""
    """``seen``, ``from memory``, ``common practice`` or ``assumption``; empty without a source."""
    note: str = ""
    input: str = ""
    """Path of the input, where the value is one."""


@dataclass(frozen=True, slots=True)
class Block:
    """One block of an annex."""

    block: str
    title: str
    items: Sequence[Item]
    shape: Shape = "list"
    remark: str = ""
    """A sentence that belongs to all of it."""
    half: bool = False
    """Whether half the width of a sheet is enough for it."""


@dataclass(frozen=True, slots=True)
class Annex:
    """One annex: what it is about, and its blocks."""

    reader: str
    title: str
    status: str
    disclaimer: str
    about: dict[str, Any]
    blocks: Sequence[Block] = field(default_factory=tuple[Block, ...])


def unknown(line: str, title: str, about: str = "", note: str = "") -> Item:
    """Return a line of which nothing is known."""
    return Item(line=line, title=title, origin="not_known", about=about, note=note)


def stated(line: str, title: str, value: Value, about: str = "", note: str = "") -> Item:
    """Return a line that the service says of itself."""
    return Item(line=line, title=title, value=value, origin="stated", about=about, note=note)


SourceKey = tuple[str, str, str]
UNSOURCED = frozenset({"assumption", "common practice"})
WHY_ELSEWHERE = "Why stands with each value in the JSON and CSV of this annex."


def source_key(item: Item) -> SourceKey | None:
    """Return what tells the source of a line from others; None where it has none.

    Assumptions have one source for them all, and so has common practice.
    """
    if item.mark in UNSOURCED:
        return item.mark.capitalize(), WHY_ELSEWHERE, item.mark
    return (item.source, item.where, item.mark) if item.source else None


def sources_block(blocks: Sequence[Block]) -> Block:
    """Return the sources of some blocks, numbered in the order in which they are met."""
    found: dict[SourceKey, dict[str, None]] = {}
    for block in blocks:
        for item in block.items:
            key = source_key(item)
            if key is not None:
                about = found.setdefault(key, {})
                if item.input:
                    about[item.input] = None
    items = [
        Item(
            line="source",
            title=str(number),
            value=source,
            origin="stated",
            where=where,
            mark=mark,
            note=" ".join(about),
        )
        for number, ((source, where, mark), about) in enumerate(found.items(), start=1)
    ]
    return Block("sources", "Sources", items, shape="sources")


def document_of(annex: Annex) -> dict[str, Any]:
    """Return an annex as JSON has it."""
    return {
        "reader": annex.reader,
        "title": annex.title,
        "status": annex.status,
        "disclaimer": annex.disclaimer,
        **annex.about,
        "blocks": [
            {
                "block": block.block,
                "title": block.title,
                "remark": block.remark,
                "items": [_members(item) for item in block.items],
            }
            for block in annex.blocks
        ],
    }


def rows_of(annex: Annex) -> Iterator[dict[str, Value]]:
    """Yield one row a line, as CSV has it; status, disclaimer and remarks are lines too."""
    for line in ("title", "status", "disclaimer"):
        yield _said("annex", line, str(getattr(annex, line)))
    for name, value in annex.about.items():
        yield {"block": "annex", "line": name, "title": name.replace("_", " "), "value": value}
    for block in annex.blocks:
        if block.remark:
            yield _said(block.block, "remark", block.remark)
        for item in block.items:
            yield {"block": block.block, **_members(item)}


def _said(block: str, line: str, text: str) -> dict[str, Value]:
    return {
        "block": block,
        "line": line,
        "title": line.capitalize(),
        "value": text,
        "origin": "stated",
    }


def _members(item: Item) -> dict[str, Value]:
    return {name: getattr(item, name) for name in COLUMNS if name != "block"}
