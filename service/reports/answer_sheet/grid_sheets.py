"""Sheets with a row for each group, field, machine, winter, system, step or structure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.costing.input_tree import NUMBER, NUMBER_OR_WORD
from service.costing.json_shapes import is_array, is_object
from service.reports.answer_sheet.carried_units import CURRENCY, code_of, shown
from service.reports.answer_sheet.cell_rules import (
    LAST_ROW,
    check,
    note_on,
    rule_of,
    rule_of_names,
)
from service.reports.answer_sheet.cell_text import cell_of
from service.reports.answer_sheet.layout import (
    ANY_ITEM,
    BASELINE,
    FIRST_ROW,
    KEY,
    NAME_ROW,
    TITLE_ROW,
    UNIT_ROW,
    Address,
    Column,
    Grid,
    labels,
)
from service.reports.answer_sheet.styles import Styles, Worksheet, clear_above, finish, write
from service.reports.answer_sheet.usual import Guide

MARK = "x"
NARROWEST, WIDEST = 8, 34
SMALL_NAME = 0.8
"""Width of a letter of the names, which are small, against others."""

ROW_OF_UNITS, ROW_OF_TITLES = 26, 40
"""Heights [point]."""

NOTE_SIZE = {"width": 320, "height": 150, "author": ""}
LEADING_NOTES = {
    KEY: "Lower-case letters, digits and underscores; what other sheets call it by.",
    BASELINE: "An x in one row: the system that the others are held against.",
    "step": "1, 2, 3: the order in which the steps of a system are used.",
}


@dataclass(frozen=True, slots=True)
class Item:
    """One row: the cells that say which item it is, and the item."""

    leading: tuple[str | int, ...]
    value: Mapping[str, Any]


def items_of(grid: Grid, document: Mapping[str, Any]) -> Iterator[Item]:
    """Return the rows of a sheet, in the order of the document."""
    yield from _items(grid, document, grid.address, ())


def _items(
    grid: Grid, node: object, address: Address, leading: tuple[str | int, ...]
) -> Iterator[Item]:
    if not address:
        yield from _own_items(grid, node, leading)
    elif is_object(node) and address[0] == ANY_ITEM:
        for key, inner in node.items():
            yield from _items(grid, inner, address[1:], (*leading, key))
    elif is_object(node):
        yield from _items(grid, node.get(address[0]), address[1:], leading)


def _own_items(grid: Grid, node: object, leading: tuple[str | int, ...]) -> Iterator[Item]:
    if is_object(node):
        for key, value in node.items():
            yield Item((*leading, key), value or {})
    elif is_array(node):
        for number, value in enumerate(node, start=1):
            yield Item((*leading, number) if grid.own else leading, value)


def write_grid(
    sheet: Worksheet, grid: Grid, document: Mapping[str, Any], guide: Guide, styles: Styles
) -> None:
    """Write a sheet with a row for each item of the document, and room for more."""
    currency = code_of(document.get("currency"), CURRENCY)
    clear_above(sheet, UNIT_ROW, len(grid.names), styles)
    write(sheet, 0, 0, grid.sheet, styles.heading)
    write(sheet, 1, 0, _hint(grid), styles.hint)
    sheet.set_row(UNIT_ROW - 1, ROW_OF_UNITS)
    sheet.set_row(TITLE_ROW - 1, ROW_OF_TITLES)
    items = list(items_of(grid, document))
    for position, name in enumerate(grid.leading):
        title = grid.placeholder if name == KEY else name
        _write_head(sheet, position, name, title.capitalize(), styles, needed=True)
        _note(sheet, position, LEADING_NOTES.get(name, ""))
        style = styles.number if name == grid.own and grid.is_list else styles.text
        _prepare(sheet, position, name, [str(item.leading[position]) for item in items], style)
        other = grid.placeholder if name == KEY else name
        check(sheet, (FIRST_ROW - 1, LAST_ROW - 1), position, rule_of_names(other, grid))
        for row, item in enumerate(items, start=FIRST_ROW - 1):
            write(sheet, row, position, item.leading[position], style)
    for position, column in enumerate(grid.columns, start=len(grid.leading)):
        _write_column(sheet, position, column, grid, currency, items, guide, styles)
    if grid.marks_baseline:
        _write_baseline(sheet, len(grid.names) - 1, items, document.get(BASELINE), styles)
    finish(sheet, NAME_ROW, max(len(grid.leading), 1), len(grid.names))


def _hint(grid: Grid) -> str:
    what = "winter" if not grid.leading else grid.placeholder
    order = ", in order" if grid.is_list else ""
    return (
        f"One row for each {what}{order}. Titles in bold must be filled in; an empty cell is not "
        "given. What stands on a title is shown when the pointer rests there."
    )


def _write_head(
    sheet: Worksheet, position: int, name: str, title: str, styles: Styles, *, needed: bool
) -> None:
    write(sheet, TITLE_ROW - 1, position, title, styles.needed if needed else styles.title)
    write(sheet, NAME_ROW - 1, position, name, styles.name)


def _prepare(
    sheet: Worksheet,
    position: int,
    name: str,
    texts: list[str],
    style: Any,  # noqa: ANN401 - a format
) -> None:
    longest = max((len(text) for text in texts), default=0)
    width = max(longest, len(name) * SMALL_NAME, NARROWEST)
    sheet.set_column(position, position, min(width, WIDEST) + 2, style)


def _note(sheet: Worksheet, position: int, text: str) -> None:
    if text:
        sheet.write_comment(TITLE_ROW - 1, position, text, NOTE_SIZE)


def _write_column(
    sheet: Worksheet,
    position: int,
    column: Column,
    grid: Grid,
    currency: str,
    items: list[Item],
    guide: Guide,
    styles: Styles,
) -> None:
    leaf = column.leaf
    style = styles.number if leaf.sort in {NUMBER, NUMBER_OR_WORD} else styles.text
    scope = f"{column.applies_to[0]} only" if len(column.applies_to) == 1 else ""
    unit = shown(leaf.entry.unit, currency)
    write(sheet, UNIT_ROW - 1, position, "\n".join(filter(None, (scope, unit))), styles.unit)
    _write_head(
        sheet,
        position,
        column.name,
        labels(grid.columns)[column.name],
        styles,
        needed=column.needed,
    )
    _note(sheet, position, note_on(column, guide.usual(column.pattern, None)))
    cells = [_cell(column, item.value) for item in items]
    _prepare(sheet, position, column.name, [str(cell) for cell in cells], style)
    rule = rule_of(leaf, column.name, free=column.by_key) or rule_of_names(column.name, grid)
    check(sheet, (FIRST_ROW - 1, LAST_ROW - 1), position, rule)
    for row, cell in enumerate(cells, start=FIRST_ROW - 1):
        write(sheet, row, position, cell, style)


def _cell(column: Column, item: object) -> object:
    """Return what stands in a column of an item; empty where it gives nothing."""
    for name in column.inside:
        if not is_object(item) or name not in item:
            return ""
        item = item[name]
    return cell_of(column.leaf, item)


def _write_baseline(
    sheet: Worksheet, position: int, items: list[Item], baseline: object, styles: Styles
) -> None:
    _write_head(sheet, position, BASELINE, "Baseline", styles, needed=True)
    _note(sheet, position, LEADING_NOTES[BASELINE])
    _prepare(sheet, position, BASELINE, [], styles.text)
    for row, item in enumerate(items, start=FIRST_ROW - 1):
        write(sheet, row, position, MARK if item.leading[-1] == baseline else "", styles.text)
