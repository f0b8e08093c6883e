"""A scenario as CSV with a line for each input: its path, its value and its unit."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from service.costing.errors import InputError, nearest
from service.costing.input_tree import Leaf, WordOrMap
from service.reports.answer_sheet.addresses import ASSUMPTIONS, Held, address_of, held, path_of
from service.reports.answer_sheet.assembling import USUAL_CURRENCY, Assembly, Entered
from service.reports.answer_sheet.carried_units import code_of, shown
from service.reports.answer_sheet.cell_text import NONE, NOT_GIVEN, Cell, cell_of, is_empty
from service.reports.answer_sheet.entered import of_assumption
from service.reports.answer_sheet.faults import CellFault, fault_in

INPUT, VALUE, UNIT = HEADER = ("input", "value", "unit")
OWN_NOTES = "_"
"""Columns and sheets whose names begin so are the author's own."""

SEPARATORS = (",", ";", "\t")
BYTE_ORDER_MARK = "\ufeff"
LARGEST = 4_000_000
MOST_LINES = 20_000


def csv_of(document: Mapping[str, Any]) -> str:
    """Return a scenario document as CSV (RFC 4180).

    Parameters
    ----------
    document : mapping
        A document that fits the schema.

    Raises
    ------
    UnknownAddressError
        If the document has what no scenario has.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADER)
    currency = code_of(document.get("currency"), USUAL_CURRENCY)
    for one in held(document):
        value, unit = cell_and_unit(one, currency)
        writer.writerow((path_of(one.address), repr(value) if _is_number(value) else value, unit))
    return text.getvalue()


def _is_number(value: Cell) -> bool:
    return not isinstance(value, str)


def cell_and_unit(one: Held, currency: str) -> tuple[Cell, str]:
    """Return what stands in the cells of a value and of its unit."""
    shape = one.shape.word if isinstance(one.shape, WordOrMap) else one.shape
    if not isinstance(shape, Leaf):
        return (NOT_GIVEN if one.value is None else NONE), ""
    if one.address[0] == ASSUMPTIONS:
        shape = of_assumption(shape, one.address[-1])
    return cell_of(shape, one.value), shown(shape.entry.unit, currency)


def read_csv(text: str) -> tuple[dict[str, Any], dict[str, str]]:
    """Read a scenario document from CSV.

    Parameters
    ----------
    text : str
        With a header of ``input``, ``value`` and, if wanted, ``unit``. Separated by commas,
        semicolons or tabs; the decimal sign is a point.

    Returns
    -------
    document : dict
        The scenario document, still to be checked by whoever costs it.
    places : dict
        Line of each input, by path.

    Raises
    ------
    InputError
        If anything cannot be read; carries every fault.
    """
    if len(text) > LARGEST:
        message = f"The file has more than {LARGEST:,} characters."
        raise InputError([CellFault("", message)])
    text = text.removeprefix(BYTE_ORDER_MARK)
    assembly = Assembly(typed=False)
    entered = list(_entered(text, assembly.faults))
    return assembly.document(entered)


def _entered(text: str, faults: list[CellFault]) -> Iterator[Entered]:
    first = text.partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        columns = _columns(next(reader, list[str]()), faults)
        for row in reader if columns else ():
            if reader.line_num > MOST_LINES:
                message = f"there are more lines than {MOST_LINES:,}"
                faults.append(fault_in(f"line {reader.line_num}", f"{message}."))
                return
            yield from _line(row, columns, f"line {reader.line_num}", faults)
    except csv.Error as error:
        faults.append(fault_in(f"line {reader.line_num}", f"this is no CSV: {error}."))


def _columns(header: Sequence[str], faults: list[CellFault]) -> dict[str, int]:
    names = [name.strip() for name in header]
    found = {name: position for position, name in enumerate(names) if name}
    for name in found:
        if name not in HEADER and not name.startswith(OWN_NOTES):
            near = nearest(name[:100], HEADER)
            detail = f"there is no column {name[:100]!r}; known are {', '.join(HEADER)}."
            faults.append(CellFault("line 1", f"Line 1: {detail}", suggestion=near, cell="line 1"))
    missing = [name for name in (INPUT, VALUE) if name not in found]
    faults.extend(fault_in("line 1", f"the column {name!r} is missing.") for name in missing)
    return {} if missing else found


def _line(
    row: Sequence[str], columns: Mapping[str, int], place: str, faults: list[CellFault]
) -> Iterator[Entered]:
    cells = {name: row[at] for name, at in columns.items() if at < len(row)}
    path, value = cells.get(INPUT, "").strip(), cells.get(VALUE, "")
    if is_empty(value):
        return
    if any(cell.strip() for cell in row[max(columns.values()) + 1 :]):
        detail = "there are more cells than columns; a text with commas belongs in quotes."
        faults.append(fault_in(place, detail, path))
    elif not path:
        faults.append(fault_in(place, "a value stands here without the path of its input.", ""))
    else:
        yield Entered(address_of(path), value, place, cells.get(UNIT, "").strip())
