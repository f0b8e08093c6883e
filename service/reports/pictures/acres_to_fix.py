"""Acres to repair in spring under each system, as squares by how badly the ground is hurt."""

from collections.abc import Iterator
from math import floor

from service.costing.units import SEVERITIES
from service.costing.wording import sentence
from service.reports.pictures.looks import SEVERITIES as LOOKS
from service.reports.pictures.sheet import LEFT, LINE, RIGHT, ROOM, Sheet
from service.reports.pictures.shown import Document, Shown, left_out, shown_systems
from service.reports.pictures.wording import fitted, width

SQUARE = 11.0
STEP = 13.5
WORTHS = (0.25, 1, 5, 25, 100, 500, 2_500)
"""Acres that a square stands for: the least that leaves few enough squares."""
MOST_SQUARES = 100
Box = tuple[float, float, float, float]


def draw(sheet: Sheet, body: Document, _: Document) -> str:
    """Draw the squares and return what they show."""
    systems = shown_systems(body)
    acres = {item.key: item.document["quantities"]["acres_damaged"] for item in systems}
    most = max(sum(found.values()) for found in acres.values())
    worth = next((size for size in WORTHS if most / size <= MOST_SQUARES), WORTHS[-1])
    one = (
        "a quarter of an acre"
        if worth == WORTHS[0]
        else f"{worth:,g} acres".replace("1 acres", "1 acre")
    )
    sheet.said(f"One square is {one}.")
    sheet.legend([(sentence(name), LOOKS[name]) for name in SEVERITIES], 3)
    for item in systems:
        _row(sheet, item, acres[item.key], worth)
    return " ".join([*(_told(item, acres[item.key]) for item in systems), left_out(body)]).strip()


def _row(sheet: Sheet, item: Shown, acres: dict[str, float], worth: float) -> None:
    whole = acres_in_words(sum(acres.values()))
    sheet.y += LINE + 9
    room = ROOM - width(whole, 11, bold=True) - 8
    sheet.words(LEFT, sheet.y, fitted(item.title, room))
    sheet.words(RIGHT, sheet.y, whole, bold=True, anchor="end")
    places = _places(sheet.y + 5)
    top = sheet.y
    for name in SEVERITIES:
        boxes = list(squares(acres[name] / worth, places))
        sheet.areas(boxes, LOOKS[name])
        top = max([top, *(y + SQUARE for _, y, _, _ in boxes)])
    sheet.y = max(top, sheet.y + 4)


def acres_in_words(acres: float) -> str:
    """Return acres to one decimal."""
    return f"{acres:,.1f} acres"


def squares(count: float, places: Iterator[tuple[float, float]]) -> Iterator[Box]:
    """Yield as many squares as a count says; the last as wide as its part."""
    whole = floor(count)
    for part in [1.0] * whole + [count - whole]:
        if part * SQUARE >= 1:
            x, y = next(places)
            yield x, y, SQUARE * part, SQUARE


def _places(top: float) -> Iterator[tuple[float, float]]:
    a_row = floor((ROOM + STEP - SQUARE) / STEP)
    number = 0
    while True:
        yield LEFT + STEP * (number % a_row), top + STEP * (number // a_row)
        number += 1


def _told(item: Shown, acres: dict[str, float]) -> str:
    split = ", ".join(f"{acres[name]:.1f} {name}" for name in SEVERITIES)
    return f"{item.title}: {acres_in_words(sum(acres.values()))} to repair in spring ({split})."
