"""What a system costs with each of eight inputs at its low and at its high, the largest first."""

from collections.abc import Iterator, Mapping
from math import isfinite
from typing import Any

from service.costing.errors import Fault, InputError
from service.costing.json_shapes import is_array, is_object
from service.costing.wording import amount as said
from service.costing.wording import spoken
from service.reports.pictures.looks import AT_HIGH, AT_LOW, INK, QUIET
from service.reports.pictures.sheet import LEFT, LINE, RIGHT, ROOM, Scale, Sheet
from service.reports.pictures.shown import Document, one_system, title_of
from service.reports.pictures.wording import SMALL, fitted, lines_of, money, width

MOST = 8
BAR = 13.0
SIDE = 46.0
NUMBERS = ("low", "high", "at_low", "at_high")
TEXTS = ("input", "meaning", "unit")
ASSUMPTIONS = "assumptions."
FRACTION, PERCENT = "fraction", 100
COUNTED = {"acre", "bale", "day", "hour", "minute", "ton", "year"}


def rows_of(more: Document) -> list[Mapping[str, Any]]:
    """Return the inputs that are drawn.

    Raises
    ------
    InputError
        If there are none, or one has not what is drawn of it; every fault.
    """
    rows = more.get("rows")
    if not is_array(rows) or not rows:
        raise InputError(
            [Fault("rows", "Give the answer of a sensitivity question, with its rows.")]
        )
    faults = list(_faults(more, rows[:MOST]))
    if faults:
        raise InputError(faults)
    return rows[:MOST]


def _faults(more: Document, rows: list[Any]) -> Iterator[Fault]:
    if not _is_number(more.get("base")):
        yield Fault("base", "Give the figure as things stand, as a number.")
    for number, row in enumerate(rows):
        if not is_object(row):
            yield Fault(f"rows.{number}", "Give each row as an object.")
            continue
        for name in NUMBERS:
            if not _is_number(row.get(name)):
                yield Fault(f"rows.{number}.{name}", "Give a number.")
        for name in TEXTS:
            if not isinstance(row.get(name), str):
                yield Fault(f"rows.{number}.{name}", "Give a text.")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def draw(sheet: Sheet, body: Document, more: Document) -> str:
    """Draw the bars and return what they show."""
    rows = rows_of(more)
    system = one_system(body, more, body["best_system"])
    title = title_of(system)
    base = more["base"]
    ends = [base, *(row[name] for row in rows for name in ("at_low", "at_high"))]
    scale = Scale(min(ends), max(ends), LEFT + SIDE, RIGHT - SIDE)
    if scale.low == scale.high:
        scale = Scale(scale.low - 1, scale.high + 1, scale.start, scale.end)
    unit = str(more.get("unit", body["currency"] + "/year")).replace("/", " a ")
    sheet.said(title, shade=INK, size=11)
    sheet.said(f"{unit}, to the nearest 100. {money(base)} as things stand.")
    sheet.legend([("Input at its low", AT_LOW), ("Input at its high", AT_HIGH)], 2)
    marks = any(row.get("changes_best") for row in rows)
    for row in rows:
        _row(sheet, row, base, scale)
    if marks:
        sheet.said("* With it at its low or its high another system is the best.")
    return " ".join([f"{title}: {money(base)} {unit} as things stand.", *map(_told, rows)])


def _row(sheet: Sheet, row: Mapping[str, Any], base: float, scale: Scale) -> None:
    sheet.y += 8
    meaning = row["meaning"].rstrip(".") + (" *" if row.get("changes_best") else "")
    for line in lines_of(meaning, ROOM)[:2]:
        sheet.y += LINE
        sheet.words(LEFT, sheet.y, line)
    spread = range_of(row)
    sheet.y += LINE - 1
    sheet.words(RIGHT, sheet.y, spread, size=SMALL, shade=QUIET, anchor="end")
    room = ROOM - width(spread, SMALL) - 8
    sheet.words(LEFT, sheet.y, fitted(place_of(row), room, SMALL), size=SMALL, shade=QUIET)
    top = sheet.y + 4
    middle = scale(base)
    foot = top + BAR - 3
    for amount, fill in ((row["at_low"], AT_LOW), (row["at_high"], AT_HIGH)):
        x = scale(amount)
        sheet.area(min(x, middle), top, abs(x - middle), BAR, fill)
    low, high = sorted((row["at_low"], row["at_high"]))
    sheet.words(scale(min(low, base)) - 4, foot, money(low), size=SMALL, anchor="end")
    sheet.words(scale(max(high, base)) + 4, foot, money(high), size=SMALL)
    sheet.line([(middle, top - 2), (middle, top + BAR + 2)], INK, 1.4)
    sheet.y = top + BAR


def place_of(row: Mapping[str, Any]) -> str:
    """Return where an input stands, in words."""
    path = row["input"].removeprefix(ASSUMPTIONS)
    return ", ".join(spoken(name) for name in path.split("."))


def range_of(row: Mapping[str, Any]) -> str:
    """Return low, high and unit of an input."""
    unit, times = row["unit"], 1
    if unit == FRACTION:
        unit, times = "%", PERCENT
    elif unit in COUNTED:
        unit += "s"
    return f"{said(times * row['low'])} to {said(times * row['high'])} {unit}"


def _told(row: Mapping[str, Any]) -> str:
    return (
        f"{row['meaning'].rstrip('.')} ({place_of(row)}), {range_of(row)}: "
        f"{money(row['at_low'])} to {money(row['at_high'])}."
    )
