"""Which column of a sheet that was sent holds what."""

from collections.abc import Iterable, Sequence

from service.costing.errors import nearest
from service.reports.answer_sheet.csv_file import OWN_NOTES
from service.reports.answer_sheet.faults import CellFault, fault_in, fault_of_sheet
from service.reports.answer_sheet.layout import NAME_ROW
from service.reports.answer_sheet.opened import Sheet, letters

LONGEST_SHOWN = 100


def columns_of(
    sheet: Sheet, read: Sequence[str], helping: Iterable[str], faults: list[CellFault]
) -> dict[str, int]:
    """Return the column of each name that is read.

    Parameters
    ----------
    sheet : Sheet
        The sheet as it was sent.
    read : sequence of str
        Names that must be there.
    helping : iterable of str
        Names that may be there and are not read.
    faults : list of CellFault
        Missing, unknown and doubled names are added.
    """
    names = sheet.names()
    known = {*read, *helping}
    found: dict[str, int] = {}
    for column, name in names.items():
        place = sheet.place(NAME_ROW, column)
        if name in found:
            faults.append(fault_in(place, f"a second column {name!r}; delete one of them."))
        elif name in known:
            found[name] = column
        elif not name.startswith(OWN_NOTES):
            faults.append(_unknown(name, place, list(known)))
    for name in read:
        if name not in found:
            detail = f"the column {name} is missing from row {NAME_ROW}; take a new template."
            faults.append(fault_of_sheet(sheet.name, detail))
    faults.extend(_nameless(sheet, set(names)))
    return {name: column for name, column in found.items() if name in read}


def _unknown(name: str, place: str, known: list[str]) -> CellFault:
    near = nearest(name[:LONGEST_SHOWN], known)
    hint = f"did you mean {near}" if near else "let the name of your own notes begin with _"
    fault = fault_in(place, f"there is no column {name[:LONGEST_SHOWN]!r}; {hint}.", received=name)
    return CellFault(fault.input, fault.detail, fault.received, suggestion=near, cell=place)


def _nameless(sheet: Sheet, named: set[int]) -> list[CellFault]:
    """Say which columns hold data that nobody would read."""
    first = {
        column: row
        for row, column in sorted(sheet.cells, reverse=True)
        if row > NAME_ROW and column not in named
    }
    return [
        fault_in(
            sheet.place(row, column),
            f"column {letters(column)} has no name in row {NAME_ROW}; clear it, or begin its name "
            "with _ if it is your own.",
        )
        for column, row in sorted(first.items())
    ]
