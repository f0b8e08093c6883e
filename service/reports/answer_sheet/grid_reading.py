"""Rows of items, read back: which item each row is, and what it gives."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from service.costing.errors import nearest
from service.reports.answer_sheet.addresses import NUMBERED
from service.reports.answer_sheet.assembling import Assembly, Entered
from service.reports.answer_sheet.columns import columns_of
from service.reports.answer_sheet.faults import fault_in
from service.reports.answer_sheet.grid_sheets import MARK
from service.reports.answer_sheet.layout import ANY_ITEM, BASELINE, FIRST_ROW, Address, Grid
from service.reports.answer_sheet.opened import Sheet

MARKS = frozenset({MARK, "yes", "true", "1"})
Row = Mapping[str, Any]


@dataclass
class GridReader:
    """Reads the sheets of items one after the other; those of systems know the systems by then."""

    assembly: Assembly
    keys: dict[Address, dict[str, int]] = field(default_factory=dict[Address, dict[str, int]])
    """Row of each item, by its key, of each map that was read."""

    def entered(self, grid: Grid, sheet: Sheet) -> Iterator[Entered]:
        """Return what a sheet gives, an item after the other."""
        columns = columns_of(sheet, grid.names, (), self.assembly.faults)
        self.keys.setdefault(grid.address, {})
        if not columns.keys() >= set(grid.names):
            return
        if ANY_ITEM not in grid.address:
            self.assembly.cells[grid.address] = sheet.place(FIRST_ROW, 1)
        for item, number in self._items(grid, sheet, columns):
            place = sheet.place(number, columns[grid.own] if grid.own else 1)
            self.assembly.cells[item] = place
            yield Entered(item, None, place, item=True)
            for column in grid.columns:
                at = number, columns[column.name]
                address = (*item, *column.inside)
                self.assembly.cells[address] = sheet.place(*at)
                if at in sheet.cells:
                    yield Entered(address, sheet.cells[at], sheet.place(*at))
        if grid.marks_baseline:
            yield from self._baseline(grid, sheet, columns)

    def _items(
        self, grid: Grid, sheet: Sheet, columns: Mapping[str, int]
    ) -> Iterator[tuple[Address, int]]:
        """Return the address and the row of each item."""
        lists: dict[Address, list[tuple[float, int]]] = {}
        for number in sheet.rows():
            if not any((number, column) in sheet.cells for column in columns.values()):
                continue
            around = self._around(grid, sheet, columns, number)
            if around is None:
                continue
            if grid.is_list:
                order = self._order(grid, sheet, columns, number)
                if order is not None:
                    lists.setdefault(around, []).append((order, number))
            elif (key := self._key(grid, sheet, columns, number, around)) is not None:
                yield (*around, key), number
        for around, rows in lists.items():
            yield from self._in_order(grid, sheet, around, rows)

    def _around(
        self, grid: Grid, sheet: Sheet, columns: Mapping[str, int], number: int
    ) -> Address | None:
        """Return the map or list that a row belongs to; None if it is not known."""
        address: Address = ()
        parents = iter(grid.parents)
        for name in grid.address:
            if name != ANY_ITEM:
                address = (*address, name)
                continue
            parent = next(parents)
            text = _key_text(sheet.cells.get((number, columns[parent])))
            known = self.keys.get(address, {})
            if text not in known:
                self._unknown_parent(
                    parent, text, list(known), sheet.place(number, columns[parent])
                )
                return None
            address = (*address, text)
        return address

    def _unknown_parent(self, parent: str, text: str, known: list[str], place: str) -> None:
        if not text:
            detail = f"this row does not say which {parent} it belongs to."
        else:
            near = nearest(text[:100], known)
            hint = f"; did you mean {near}" if near else ""
            detail = f"there is no {parent} {text[:100]!r}{hint}."
        self.assembly.faults.append(fault_in(place, detail, received=text))

    def _key(
        self, grid: Grid, sheet: Sheet, columns: Mapping[str, int], number: int, around: Address
    ) -> str | None:
        """Return the key of an item; None if it has none, or that of another."""
        column = columns[grid.own or ""]
        key = _key_text(sheet.cells.get((number, column)))
        known = self.keys.setdefault(around, {})
        if not key:
            detail = f"this row has no key; give the {grid.placeholder} one."
        elif key in known:
            detail = (
                f"the key {key[:100]!r} stands in two rows (see {sheet.place(known[key], column)})."
            )
        else:
            known[key] = number
            return key
        self.assembly.faults.append(fault_in(sheet.place(number, column), detail, received=key))
        return None

    def _order(
        self, grid: Grid, sheet: Sheet, columns: Mapping[str, int], number: int
    ) -> float | None:
        if grid.own is None:
            return number
        at = number, columns[grid.own]
        value = sheet.cells.get(at)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return value
        detail = f"number the {grid.own}s of a system 1, 2, 3; they are used in that order."
        self.assembly.faults.append(fault_in(sheet.place(*at), detail, received=_key_text(value)))
        return None

    def _in_order(
        self, grid: Grid, sheet: Sheet, around: Address, rows: list[tuple[float, int]]
    ) -> Iterator[tuple[Address, int]]:
        seen: dict[float, int] = {}
        for position, (order, number) in enumerate(sorted(rows), start=1):
            if order in seen:
                other = sheet.place(seen[order], 1)
                detail = f"{grid.own} {order:g} of {around[1]} stands in two rows (see {other})."
                self.assembly.faults.append(fault_in(sheet.place(number, 1), detail))
            seen[order] = number
            yield (*around, f"{NUMBERED}{position}"), number

    def _baseline(self, grid: Grid, sheet: Sheet, columns: Mapping[str, int]) -> Iterator[Entered]:
        """Return which row is marked."""
        column = columns[BASELINE]
        self.assembly.cells[BASELINE,] = sheet.place(FIRST_ROW, column)
        marked: list[str] = []
        for key, number in self.keys[grid.address].items():
            mark = sheet.cells.get((number, column))
            if mark is None:
                continue
            here = sheet.place(number, column)
            if _key_text(mark).lower() not in MARKS:
                detail = f"mark the system that the others are held against with {MARK}."
                self.assembly.faults.append(fault_in(here, detail, BASELINE, _key_text(mark)))
            elif marked:
                detail = f"only one system can be the baseline (see {marked[0]})."
                self.assembly.faults.append(fault_in(here, detail, BASELINE))
            else:
                marked.append(here)
                yield Entered((BASELINE,), key, here)


def _key_text(value: object) -> str:
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return "" if value is None else str(value).strip()
