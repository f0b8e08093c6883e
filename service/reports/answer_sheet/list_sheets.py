"""Sheets with a row for each plain input, and for each reference value."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.entry import Entry
from service.costing.input_tree import NUMBER, NUMBER_OR_WORD, WORD, Leaf, WordOrMap
from service.costing.reference.keys import template_of
from service.costing.reference.table import Row
from service.reports.answer_sheet.addresses import ASSUMPTIONS as ASSUMED
from service.reports.answer_sheet.addresses import Held, held, path_of
from service.reports.answer_sheet.carried_units import CURRENCY, code_of, shown
from service.reports.answer_sheet.cell_rules import check, rule_of
from service.reports.answer_sheet.cell_text import NONE, NOT_GIVEN, Cell, cell_of
from service.reports.answer_sheet.layout import (
    ANY_ITEM,
    ASSUMPTIONS,
    BASELINE,
    FARM,
    FIRST_ROW,
    KEY,
    NAME_ROW,
    SYSTEMS,
    TITLE_ROW,
    Address,
    Column,
    labels,
    layout,
)
from service.reports.answer_sheet.styles import (
    Styles,
    Worksheet,
    clear_above,
    finish,
    height_of,
    write,
)
from service.reports.answer_sheet.usual import Guide, allowed, cited

INPUT, VALUE, UNIT = "input", "value", "unit"
DEPTH = 2
"""Most inputs of the farm lie in a part of it, as the price of hay."""


FARM_COLUMNS: Mapping[str, tuple[str, int]] = {
    INPUT: ("Input", 38),
    "title": ("What it is", 24),
    VALUE: ("Value", 26),
    UNIT: ("Unit", 15),
    "default": ("If not given", 17),
    "allowed": ("Takes", 27),
    "usual_low": ("Usual low", 10),
    "usual_high": ("Usual high", 10),
    "meaning": ("Meaning", 38),
    "source": ("Where the usual range is from", 70),
}
"""Title and width of each column; those that are read are the value, its unit and the path."""

ASSUMPTION_COLUMNS: Mapping[str, tuple[str, int]] = {
    KEY: ("Reference value", 52),
    VALUE: ("Your value", 14),
    UNIT: ("Unit", 16),
    "low": ("Low", 10),
    "usual": ("Usual", 16),
    "high": ("High", 10),
    "meaning": ("Meaning", 36),
    "source": ("Source", 70),
}
READ = frozenset({INPUT, KEY, VALUE, UNIT})
FARM_HINT = (
    "One row for each input. Fill in the column Value; an empty cell is not given. Titles in bold "
    "are read; another unit may stand in the column Unit, or behind the value."
)
ASSUMPTION_HINT = (
    "Leave a value empty to use the reference. Fill it in only where you know better; then the "
    "report says that it is yours."
)


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its path, its value, and what helps to fill it in."""

    path: str
    leaf: Leaf | None
    value: Cell
    unit: str
    helping: Mapping[str, object]


def write_farm(sheet: Worksheet, document: Mapping[str, Any], guide: Guide, styles: Styles) -> None:
    """Write the sheet of plain inputs."""
    _write(sheet, FARM, FARM_HINT, FARM_COLUMNS, list(_farm_lines(document, guide)), styles)


def write_assumptions(
    sheet: Worksheet, document: Mapping[str, Any], guide: Guide, styles: Styles
) -> None:
    """Write the sheet of reference values."""
    lines = list(_assumption_lines(document, guide))
    _write(sheet, ASSUMPTIONS, ASSUMPTION_HINT, ASSUMPTION_COLUMNS, lines, styles)


def _farm_lines(document: Mapping[str, Any], guide: Guide) -> Iterator[Line]:
    currency = code_of(document.get("currency"), CURRENCY)
    given = {one.address: one.value for one in held(document, numbered=True)}
    titles = labels(layout().plain, DEPTH)
    for column in layout().plain:
        if column.name == BASELINE:
            continue
        leaf, value = column.leaf, given.get(column.inside)
        usual = guide.usual(column.pattern, value)
        yield Line(
            path=column.name,
            leaf=leaf,
            value=cell_of(leaf, value) if column.inside in given else "",
            unit=shown(leaf.entry.unit, currency),
            helping={
                "title": titles[column.name],
                "allowed": allowed(leaf),
                "usual_low": usual.low,
                "usual_high": usual.high,
                "default": _without(column),
                "meaning": _joined(leaf.entry.meaning, "" if usual.low else usual.words),
                "source": usual.source,
            },
        )
    yield from _unplaced(document)


def _without(column: Column) -> Cell:
    """Return what holds where an input is not given."""
    if column.required:
        return f"needed with {column.part}" if column.part else "must be given"
    return "" if column.default is None else cell_of(column.leaf, column.default)


def _joined(meaning: str, usual: str) -> str:
    return f"{meaning} {usual.capitalize()}." if usual else meaning


def _unplaced(document: Mapping[str, Any]) -> Iterator[Line]:
    """Return what the document says to be empty or null, and no other sheet shows."""
    patterns = [(*grid.address, ANY_ITEM) for grid in layout().grids]
    for one in held(document, numbered=True):
        whole = not isinstance(one.shape, Leaf | WordOrMap)
        item = any(_fits(one.address, pattern) for pattern in patterns)
        if whole and not item:
            value = NOT_GIVEN if one.value is None else NONE
            yield Line(path_of(one.address), None, value, "", {})
        elif one.address == (BASELINE,) and one.value not in document.get(SYSTEMS, {}):
            yield Line(BASELINE, None, _word(one), "", {})


def _word(one: Held) -> Cell:
    return cell_of(one.shape, one.value) if isinstance(one.shape, Leaf) else ""


def _fits(address: Address, pattern: Address) -> bool:
    return len(address) == len(pattern) and all(
        ANY_ITEM in {name, other} or name == other
        for name, other in zip(address, pattern, strict=True)
    )


def _assumption_lines(document: Mapping[str, Any], guide: Guide) -> Iterator[Line]:
    given: Mapping[str, Any] = document.get(ASSUMED) or {}
    for row in guide.edition.rows.values():
        yield _assumption(row.key, given, _helping(row, guide), row.unit)
    for key in given:
        if key not in guide.edition.rows:
            template = template_of(key)
            meaning = {"meaning": template.meaning} if template else {}
            yield _assumption(key, given, meaning, template.unit if template else "")


def _assumption(
    key: str, given: Mapping[str, Any], helping: Mapping[str, object], unit: str
) -> Line:
    template = template_of(key)
    words = template.words if template else None
    entry = Entry(
        key,
        ge=template.minimum if template else None,
        le=template.maximum if template else None,
        whole=template.whole if template else False,
    )
    leaf = Leaf(NUMBER_OR_WORD if words is not None else NUMBER, entry, words or ())
    value = cell_of(leaf, given[key]) if key in given else ""
    leaf = Leaf(WORD, entry, words) if words else leaf
    return Line(key, leaf, value, "" if unit == "word" else shown(unit, CURRENCY), helping)


def _helping(row: Row, guide: Guide) -> dict[str, object]:
    source = guide.edition.sources[row.source]
    return {
        "low": row.low,
        "usual": row.usual,
        "high": row.high,
        "meaning": row.meaning,
        "source": cited(source, row.where, row.note, known=not row.unverified),
    }


def _write(
    sheet: Worksheet,
    heading: str,
    hint: str,
    columns: Mapping[str, tuple[str, int]],
    lines: list[Line],
    styles: Styles,
) -> None:
    clear_above(sheet, TITLE_ROW - 1, len(columns), styles)
    write(sheet, 0, 0, heading, styles.heading)
    write(sheet, 1, 0, hint, styles.hint)
    for position, (name, (title, width)) in enumerate(columns.items()):
        write(
            sheet,
            TITLE_ROW - 1,
            position,
            title,
            styles.needed if name in READ else styles.title,
        )
        write(sheet, NAME_ROW - 1, position, name, styles.name)
        sheet.set_column(position, position, width, styles.text if name in READ else None)
    for row, line in enumerate(lines, start=FIRST_ROW - 1):
        _write_line(sheet, row, line, list(columns), styles)
        texts = [(str(line.helping.get(name, "")), columns[name][1]) for name in columns]
        sheet.set_row(row, height_of(texts))
    if heading == FARM:
        sheet.print_area(0, 0, FIRST_ROW + len(lines) - 2, len(columns) - 2)  # without sources
    finish(sheet, NAME_ROW, 2 if heading == FARM else 1, len(columns))


def _write_line(sheet: Worksheet, row: int, line: Line, columns: list[str], styles: Styles) -> None:
    numeric = line.leaf is not None and line.leaf.sort in {NUMBER, NUMBER_OR_WORD}
    for position, name in enumerate(columns):
        if name in {INPUT, KEY}:
            write(sheet, row, position, line.path, styles.fixed)
        elif name == VALUE:
            write(sheet, row, position, line.value, styles.number if numeric else styles.text)
            rule = rule_of(line.leaf, line.path) if line.leaf is not None else {}
            check(sheet, (row, row), position, rule)
        elif name == UNIT:
            write(sheet, row, position, line.unit, styles.text)
        else:
            helping = line.helping.get(name)
            number = isinstance(helping, int | float)
            write(sheet, row, position, helping, styles.help_number if number else styles.help)
