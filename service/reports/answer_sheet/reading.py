"""A workbook that was filled in, back to the scenario document."""

from collections.abc import Iterator, Mapping
from typing import Any

from service.costing.errors import InputError, nearest
from service.costing.input_tree import Leaf, WordOrMap
from service.reports.answer_sheet.addresses import ASSUMPTIONS as ASSUMED
from service.reports.answer_sheet.addresses import UnknownAddressError, address_of, shape_at
from service.reports.answer_sheet.assembling import Assembly, Entered
from service.reports.answer_sheet.cell_text import NONE, NOT_GIVEN
from service.reports.answer_sheet.columns import columns_of
from service.reports.answer_sheet.csv_file import OWN_NOTES
from service.reports.answer_sheet.faults import CellFault, fault_in, fault_of_sheet
from service.reports.answer_sheet.grid_reading import GridReader
from service.reports.answer_sheet.layout import (
    ASSUMPTIONS,
    FARM,
    KEY,
    README,
    TEMPLATE,
    layout,
)
from service.reports.answer_sheet.list_sheets import (
    ASSUMPTION_COLUMNS,
    FARM_COLUMNS,
    INPUT,
    UNIT,
    VALUE,
)
from service.reports.answer_sheet.opened import Sheet, sheets_of


def read_workbook(data: bytes) -> tuple[dict[str, Any], dict[str, str]]:
    """Read a scenario document from an answer sheet.

    Parameters
    ----------
    data : bytes
        The workbook as it was sent.

    Returns
    -------
    document : dict
        The scenario document, still to be checked by whoever costs it.
    places : dict
        Cell of each input, filled in or not, by path.

    Raises
    ------
    InputError
        If anything cannot be read; carries every fault, each with sheet and cell.
    """
    assembly = Assembly(typed=True)
    sheets = sheets_of(data, assembly.faults)
    _check_template(sheets)
    _check_sheets(sheets, assembly.faults)
    plain = {column.inside for column in layout().plain}
    farm = list(_farm(sheets, assembly))
    entered = [one for one in farm if one.address in plain]
    reader = GridReader(assembly)
    for grid in layout().grids:
        if grid.sheet in sheets:
            entered.extend(reader.entered(grid, sheets[grid.sheet]))
    entered.extend(_assumptions(sheets, assembly))
    entered.extend(one for one in farm if one.address not in plain)  # items have their order by now
    return assembly.document(entered)


def _check_template(sheets: Mapping[str, Sheet]) -> None:
    """Refuse what was not made from this template, before its cells are spoken of."""
    first = sheets.get(README)
    made_from = first.cells.get((2, 2)) if first is not None else None
    if made_from != TEMPLATE:
        found = f"; {str(made_from)[:100]!r} stands there" if made_from is not None else ""
        detail = (
            f"This workbook is not made from the template {TEMPLATE}, which says so on sheet "
            f"{README}, cell B2{found}. Take the template and fill that in."
        )
        raise InputError([CellFault(README, detail, received=made_from, cell=f"{README}!B2")])


def _check_sheets(sheets: Mapping[str, Sheet], faults: list[CellFault]) -> None:
    known = layout().sheets
    for name in sheets:
        if name not in known:
            near = nearest(name, known)
            hint = (
                f"did you mean {near}" if near else f"let the name of notes begin with {OWN_NOTES}"
            )
            faults.append(fault_of_sheet(name, f"the template has no such sheet; {hint}."))
    faults.extend(
        fault_of_sheet(name, "it is missing; take a new template.")
        for name in known
        if name not in sheets
    )


def _farm(sheets: Mapping[str, Sheet], assembly: Assembly) -> Iterator[Entered]:
    for one in _lines(sheets.get(FARM), INPUT, FARM_COLUMNS, assembly):
        if detail := _out_of_place(one):
            assembly.faults.append(fault_in(one.place, detail, ".".join(one.address), one.value))
        else:
            yield one


def _assumptions(sheets: Mapping[str, Sheet], assembly: Assembly) -> Iterator[Entered]:
    yield from _lines(sheets.get(ASSUMPTIONS), KEY, ASSUMPTION_COLUMNS, assembly)


def _lines(
    sheet: Sheet | None, path: str, names: Mapping[str, object], assembly: Assembly
) -> Iterator[Entered]:
    """Return the filled rows of a sheet with a row for each input."""
    read = (path, VALUE, UNIT)
    columns = columns_of(sheet, read, names, assembly.faults) if sheet is not None else {}
    if sheet is None or not columns.keys() >= set(read):
        return
    for number in sheet.rows():
        text = str(sheet.cells.get((number, columns[path]), "")).strip()
        value = sheet.cells.get((number, columns[VALUE]))
        place = sheet.place(number, columns[VALUE])
        address = (ASSUMED, text) if path == KEY else address_of(text)
        if text:
            for length in range(1, len(address)):
                assembly.cells.setdefault(address[:length], place)
            assembly.cells.setdefault(address, place)
        if value is not None and not text:
            detail = f"a value stands here without its {path} in column {path}."
            assembly.faults.append(fault_in(place, detail, received=value))
        elif value is not None:
            unit = str(sheet.cells.get((number, columns[UNIT]), "")).strip()
            yield Entered(address, value, place, unit)


def _out_of_place(one: Entered) -> str | None:
    """Say why an input does not belong on the sheet of plain inputs."""
    plain = [column.inside for column in layout().plain]
    said_empty = isinstance(one.value, str) and one.value.strip() in {NONE, NOT_GIVEN}
    if one.address in plain or said_empty:
        return None
    path = ".".join(one.address)[:200]
    near = nearest(path, [".".join(inside) for inside in plain])
    try:
        shape = shape_at(one.address, {})
    except UnknownAddressError:
        return f"there is no input {path!r}" + (f"; did you mean {near}." if near else ".")
    if isinstance(shape, Leaf | WordOrMap):
        return f"{path} does not belong here; it has a cell on a sheet of its own."
    return f"{path} is not one value; name one inside it."
