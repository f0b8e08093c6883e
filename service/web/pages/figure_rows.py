"""The rows of the table: one figure of every system each, from money to mud."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.triggers.facts import SHEEP
from service.web.pages.columns import Column
from service.web.pages.systems_compared import ALMOST_NONE, money

Document = Mapping[str, Any]

WHOLE_DAY = 0.5
STAR = "*"


@dataclass(frozen=True, slots=True)
class FigureCell:
    """A figure of one system, and a word on it below."""

    text: str
    below: str = ""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure of every system."""

    key: str
    title: str
    cells: list[FigureCell]
    is_detail: bool = False
    """Whether it says more about the row above it."""
    is_main: bool = False


def rows_of(costing: Document, columns: Sequence[Column]) -> list[FigureRow]:
    """Return the rows in the order in which they are read."""
    return list(_rows(costing, columns))


def _rows(costing: Document, columns: Sequence[Column]) -> Iterator[FigureRow]:
    def row(
        key: str, title: str, shown: Callable[[Column], FigureCell | str], **more: bool
    ) -> FigureRow:
        cells = [shown(column) for column in columns]
        return FigureRow(
            key,
            title,
            [cell if isinstance(cell, FigureCell) else FigureCell(cell) for cell in cells],
            **more,
        )

    if costing["ranked_by"] == "farm_margin":
        yield row("farm_margin", "Left to the farm", lambda one: money(one.system["farm_margin"]))
    yield row("year", "A year, all told", _year, is_main=True)
    winters = costing["winter"]["winters"]
    if winters > 1:
        yield _worst_row(columns, winters)
    yield row(
        "out_of_pocket",
        "Out of your pocket**",
        lambda one: money(one.before_cost_share["out_of_pocket"]),
    )
    yield row("up_front", "Up front", lambda one: money(one.system["first_cost"]))
    if winters > 1:
        yield row("bales", "Bales (worst winter)", _bales_and_worst)
    else:
        yield row("bales", "Bales", lambda one: _whole(_bales(one)["needed_mean"]))
    on_hand = columns[0].system["quantities"]["bales"]["on_hand"]
    yield row("balance", f"you have {_whole(on_hand)}:", _balance, is_detail=True)
    yield row(
        "minutes",
        "Minutes, ordinary day",
        lambda one: _whole(_quantity(one, "minutes.ordinary_day")),
    )
    yield row(
        "mornings", "Mornings with tractor", lambda one: _whole(_quantity(one, "tractor_mornings"))
    )
    yield from _mud_rows(costing, row)
    yield row("acres", "Acres to fix in spring", lambda one: _acres(acres_to_fix(one.system)))
    if winters > 1:
        yield row(
            "won", "Cheapest in", lambda one: f"{one.system['cheapest_in_winters']} of {winters}"
        )


def acres_to_fix(system: Document) -> float:
    """Return the acres damaged of all severities [acre]."""
    return sum(system["quantities"]["acres_damaged"].values())


def _year(column: Column) -> FigureCell:
    shown = money(column.before_cost_share["annual_equivalent_cost"])
    if not column.is_starred:
        return FigureCell(shown)
    return FigureCell(shown, f"{money(column.system['annual_equivalent_cost'])} with it")


def _worst_row(columns: Sequence[Column], winters: int) -> FigureRow:
    worst = [column.worst for column in columns]
    seasons = {row["season"] for row in worst}
    one = len(seasons) == 1
    title = f"worst of {winters} winters" + (f", {worst[0]['season']}" if one else "")
    cells = [
        FigureCell(money(row["annual_equivalent_cost"]), "" if one else str(row["season"]))
        for row in worst
    ]
    return FigureRow("worst", title, cells, is_detail=True)


def _bales(column: Column) -> Document:
    return column.system["quantities"]["bales"]


def _bales_and_worst(column: Column) -> str:
    bales = _bales(column)
    return f"{_whole(bales['needed_mean'])} ({_whole(bales['needed_worst'])})"


def _balance(column: Column) -> str:
    bales = _bales(column)
    if bales["short_mean"] >= WHOLE_DAY:
        return f"short {_whole(bales['short_mean'])}"
    return f"spare {_whole(bales['spare_mean'])}" if bales["spare_mean"] >= WHOLE_DAY else "enough"


def _mud_rows(costing: Document, row: Callable[..., FigureRow]) -> Iterator[FigureRow]:
    """Yield the days in mud: of cattle, then of sheep where there are both."""
    herd = costing["inputs_used"]["herd"]
    sheep = {group for group, kept in herd.items() if kept["animal"] in SHEEP}
    cattle = set(herd) - sheep

    def days(groups: set[str]) -> Callable[[Column], str]:
        return lambda one: _whole(
            max(one.system["quantities"]["comfort"][group]["days_in_mud"] for group in groups)
        )

    if cattle:
        yield row("mud", "Days cattle stand in mud", days(cattle))
    if sheep and cattle:
        yield row("mud_sheep", "sheep", days(sheep), is_detail=True)
    elif sheep:
        yield row("mud", "Days sheep stand in mud", days(sheep))


def _quantity(column: Column, path: str) -> float:
    found: Any = column.system["quantities"]
    for name in path.split("."):
        found = found[name]
    return found


def _whole(number: float) -> str:
    return f"{number:,.0f}"


def _acres(acres: float) -> str:
    return "0" if acres < ALMOST_NONE else f"{acres:.1f}"
