"""An annex laid out for a page: lines, tables and numbered sources, all as text."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from string import ascii_lowercase

from service.costing.wording import amount, listed
from service.web.annexes.annex import Annex, Block, Item, SourceKey, Value, source_key

DATE = re.compile(r"\d\d-\d\d")
PLAIN_YEAR = 2001
CENTS_BELOW = 100
"""Prices of a unit under this are shown with cents."""
YEARLY = frozenset({"", "/year", "/head/year"})
"""What follows the currency in units of money that is shown whole."""
PERCENT = 100
MANY_LINES = 310
"""More than the demo farm has for any of its systems."""
LETTERS = {"given": "g", "reference": "r", "worked": "w", "stated": "", "not_known": ""}
UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Shown:
    """One value as it is shown."""

    text: str
    unit: str = ""
    letter: str = ""
    ranged: str = ""
    """From its low to its high."""
    number: int | None = None
    """Of its source."""
    note: str = ""
    """The note itself in a list, its letter in a table."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a list: what it is, of what, and its value."""

    title: str
    about: str
    shown: Shown


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table; what all its cells share stands in its head."""

    title: str
    unit: str
    letter: str
    is_text: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: a cell for each column, None where there is nothing."""

    about: str
    cells: list[Shown | None]


@dataclass(frozen=True, slots=True)
class Laid:
    """One block laid out."""

    block: str
    title: str
    shape: str
    remark: str
    half: bool
    lines: Sequence[Line] = ()
    columns: Sequence[Column] = ()
    rows: Sequence[Row] = ()
    names: str = ""
    notes: Sequence[tuple[str, str]] = ()
    """Of a table: letter and note."""


def blocks_of(annex: Annex) -> list[Laid]:
    """Return the blocks of an annex laid out, the sources last."""
    laying = _Laying(annex)
    return [laying.laid(block) for block in annex.blocks]


def unknown_lines(annex: Annex) -> int:
    """Return how many lines are not known."""
    return sum(item.origin == "not_known" for block in annex.blocks for item in block.items)


def is_long(annex: Annex) -> bool:
    """Whether an annex has so many lines that it needs smaller print to keep to two sheets."""
    return sum(len(block.items) for block in annex.blocks) > MANY_LINES


class _Laying:
    """Lays out the blocks of one annex, whose sources are numbered."""

    def __init__(self, annex: Annex) -> None:
        self.currency: str = annex.about["currency"]
        self.numbers: dict[SourceKey, int] = {
            (str(item.value), item.where, item.mark): number
            for block in annex.blocks
            if block.shape == "sources"
            for number, item in enumerate(block.items, start=1)
        }

    def laid(self, block: Block) -> Laid:
        """Return a block laid out by its shape."""
        head = block.block, block.title, block.shape, block.remark, block.half
        if block.shape == "names":
            return Laid(*head, names="; ".join(item.title for item in block.items))
        if block.shape == "sources":
            return Laid(*head, lines=[Line("", "", Shown(_cited(item))) for item in block.items])
        if block.shape == "grid" and block.items:
            return self._table(block)
        items = block.items if block.shape == "texts" else _joined(block.items)
        lines = [Line(item.title, item.about, self._shown(item)) for item in items]
        return Laid(*head, lines=lines)

    def _table(self, block: Block) -> Laid:
        """Return a row for each thing that items are about, a column for each line."""
        by_column: dict[tuple[str, str], list[Item]] = {}
        for item in block.items:
            by_column.setdefault((item.line, item.title), []).append(item)
        columns = [self._column(title, own) for (_, title), own in by_column.items()]
        places = {line: place for place, line in enumerate(by_column)}
        notes = list(dict.fromkeys(item.note for item in block.items if item.note))
        letters = dict(zip(notes, ascii_lowercase, strict=False))
        rows: dict[str, list[Shown | None]] = {}
        for item in block.items:
            place = places[item.line, item.title]
            row = rows.setdefault(item.about, [None] * len(columns))
            row[place] = self._cell(item, columns[place], letters.get(item.note, ""))
        return Laid(
            block.block,
            block.title,
            "grid",
            block.remark,
            block.half,
            columns=columns,
            rows=[Row(about, cells) for about, cells in rows.items()],
            notes=[(letter, note) for note, letter in letters.items()],
        )

    def _column(self, title: str, items: Sequence[Item]) -> Column:
        known = [item for item in items if item.value is not None]
        units = {_unit(item) for item in known}
        letters = {LETTERS[item.origin] for item in known}
        unit = units.pop() if len(units) == 1 else ""
        return Column(
            title=title,
            unit="" if unit == title.lower() else unit,
            letter=letters.pop() if len(letters) == 1 else "",
            is_text=all(isinstance(item.value, str) for item in known),
        )

    def _cell(self, item: Item, column: Column, note: str) -> Shown:
        shown = self._shown(item)
        in_head = column.unit or _unit(item) == column.title.lower()
        return Shown(
            text=shown.text,
            unit="" if in_head else shown.unit,
            letter="" if column.letter else shown.letter,
            ranged=shown.ranged,
            number=shown.number,
            note=note,
        )

    def _shown(self, item: Item) -> Shown:
        key = source_key(item)
        number = None if key is None else self.numbers.get(key)
        if item.value is None:
            return Shown(UNKNOWN, number=number, note=item.note)
        ranged = ""
        if item.low is not None and item.high is not None and item.low != item.high:
            low, high = (self._text(end, item.unit) for end in (item.low, item.high))
            ranged = f"{low} to {high}"
        return Shown(
            text=self._text(item.value, item.unit),
            unit=_unit(item),
            letter=LETTERS[item.origin],
            ranged=ranged,
            number=number,
            note=item.note,
        )

    def _text(self, value: Value, unit: str) -> str:
        """Write a value: money whole or with cents, a share as percent, a day in words."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, str) or value is None:
            return _day(value) if value and DATE.fullmatch(value) else value or ""
        if unit.startswith(self.currency):
            whole = unit.removeprefix(self.currency) in YEARLY or abs(value) >= CENTS_BELOW
            return f"{value + 0.0:,.0f}" if whole else f"{value:,.2f}"
        if unit.startswith("fraction"):
            return f"{PERCENT * value:,.1f}".removesuffix(".0")
        if unit in {"", "none"} and float(value).is_integer():
            return f"{value:.0f}"
        return amount(value)


def _joined(items: Sequence[Item]) -> Iterable[Item]:
    """Return the lines of a list; those not known that need no word become one at the end."""
    bare = [item for item in items if item.origin == "not_known" and not item.note]
    yield from (item for item in items if item not in bare)
    if bare:
        yield Item(line="not_known", title=listed(map(_named, bare)), origin="not_known")


def _named(item: Item) -> str:
    return f"{item.title} ({item.about})" if item.about else item.title


def _cited(item: Item) -> str:
    """Return a source in one sentence, with how far it was seen."""
    parts = [str(item.value).rstrip("."), item.where.rstrip(".")]
    if item.mark and item.mark.lower() != parts[0].lower():
        parts.append(item.mark)
    return ". ".join(part[:1].upper() + part[1:] for part in parts if part)


def _unit(item: Item) -> str:
    """Return a unit as it is shown: a share as percent."""
    if isinstance(item.value, str) or item.value is None:
        return ""
    return item.unit.replace("fraction", "%").replace("%/year", "% a year")


def _day(text: str) -> str:
    day = date.fromisoformat(f"{PLAIN_YEAR}-{text}")
    return f"{day.day} {day:%b}"
