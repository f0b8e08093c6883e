"""What a spreadsheet checks and shows while a cell is filled in: ranges, choices and notes."""

from collections.abc import Mapping
from functools import cache
from typing import Any

from service.costing.input_tree import NUMBER, WORD, YES_NO, Leaf
from service.reports.answer_sheet.layout import FIRST_ROW, Column, Grid, layout
from service.reports.answer_sheet.styles import Worksheet
from service.reports.answer_sheet.usual import Usual, allowed

LAST_ROW = 500
"""Rows below are read too, but not helped with."""

LONGEST_LIST, LONGEST_TITLE, LONGEST_MESSAGE = 255, 32, 255
"""Most characters of choices, of a title and of a message (ISO/IEC 29500, data validations)."""

WITH_UNIT = "A value with its unit, as 590 kg, may stand here too: then say yes."
CONDITIONS = {"ge": ">=", "gt": ">", "le": "<=", "lt": "<"}
YES_OR_NO = ["yes", "no"]


def check(sheet: Worksheet, rows: tuple[int, int], column: int, rule: Mapping[str, Any]) -> None:
    """Attach a rule to cells of a column; rows and column count from 0."""
    if rule:
        sheet.data_validation(rows[0], column, rows[1], column, dict(rule))


def rule_of(leaf: Leaf, name: str, *, free: bool = False) -> dict[str, Any]:
    """Return what a spreadsheet shall check of an input; empty if nothing.

    Parameters
    ----------
    leaf : Leaf
        How the input is declared.
    name : str
        Name of the column or path of the input.
    free : bool
        Whether something else than the choices can be meant.
    """
    title = name.rpartition(".")[2][:LONGEST_TITLE]
    if leaf.sort == NUMBER:
        return _range(leaf, title)
    choices = YES_OR_NO if leaf.sort == YES_NO else list(leaf.choices)
    if leaf.sort in {WORD, YES_NO} and len(",".join(choices)) <= LONGEST_LIST:
        return {
            "validate": "list",
            "source": choices,
            "error_title": title,
            "error_message": f"Choose {' or '.join(choices)}."[:LONGEST_MESSAGE],
            "error_type": "warning" if free else "stop",
        }
    return {}


def _range(leaf: Leaf, title: str) -> dict[str, Any]:
    entry = leaf.entry
    limits = {
        sign: limit
        for name, sign in CONDITIONS.items()
        if (limit := getattr(entry, name)) is not None
    }
    if not limits:
        return {}
    rule: dict[str, Any] = {
        "validate": "integer" if entry.whole else "decimal",
        "error_title": title,
        "error_message": f"It must be {entry.allowed}. {WITH_UNIT}"[:LONGEST_MESSAGE],
        "error_type": "warning",
    }
    if entry.ge is not None and entry.le is not None:
        return {**rule, "criteria": "between", "minimum": entry.ge, "maximum": entry.le}
    sign, limit = next(iter(limits.items()))
    return {**rule, "criteria": sign, "value": limit}


def rule_of_names(name: str, grid: Grid) -> dict[str, Any]:
    """Return the rule of a column that names an item of another sheet; empty if it does not."""
    for placeholder, home in _homes().items():
        named = name == placeholder or name.endswith(f"_{placeholder}")
        if named and home is not grid and home.own:
            letter = "ABC"[home.names.index(home.own)]
            first, last = f"${letter}${FIRST_ROW}", f"${letter}${LAST_ROW}"
            return {
                "validate": "list",
                "source": f"='{home.sheet}'!{first}:{last}",
                "error_title": name[:LONGEST_TITLE],
                "error_message": f"Sheet {home.sheet} has no such key yet.",
                "error_type": "warning",
            }
    return {}


@cache
def _homes() -> dict[str, Grid]:
    """Return the sheet where each sort of item has its row."""
    homes: dict[str, Grid] = {}
    for grid in layout().grids:
        if not grid.is_list:
            homes.setdefault(grid.placeholder, grid)
    return homes


def note_on(column: Column, usual: Usual) -> str:
    """Return the note of a column: what it means, what is allowed, usual, and for whom it is."""
    leaf = column.leaf
    lines = [
        *column.meanings,
        f"Only for {', '.join(column.applies_to)}." if column.applies_to else "",
        "A word for all, or one for each group, as cows: ring_open, ewes: sheep_rack."
        if column.by_key
        else "",
        f"Takes {allowed(leaf)}." if allowed(leaf) else "",
        f"{usual.words.capitalize()}." if usual.words else "",
        usual.source,
    ]
    return "\n".join(line for line in lines if line)
