"""Faults that name the cell to be mended, and places of inputs in a sheet."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from service.costing.errors import Fault

Places = Mapping[str, str]
"""Place by path, as ``Herd!D6``, or a line of a CSV file."""


@dataclass(frozen=True, slots=True)
class CellFault(Fault):
    """A fault and the place in the sheet where it can be mended.

    ``cell`` is the place, as ``Herd!D6``; None where it is in no one place.
    """

    cell: str | None = None


def place_of(path: str, places: Places) -> str | None:
    """Return where a path stands, or the nearest part around it that does."""
    while path:
        if path in places:
            return places[path]
        path = path.rpartition(".")[0]
    return None


def placed(faults: Iterable[Fault], places: Places) -> tuple[CellFault, ...]:
    """Return faults of a document with the cells that they came from.

    Parameters
    ----------
    faults : iterable of Fault
        As the engine or the reading of the document found them.
    places : mapping
        Place by path, as the reader of the sheet gave it.
    """
    return tuple(_placed(fault, places) for fault in faults)


def _placed(fault: Fault, places: Places) -> CellFault:
    if isinstance(fault, CellFault):
        return fault
    place = place_of(fault.input, places)
    return CellFault(
        fault.input,
        f"{said(place)}: {fault.detail}" if place else fault.detail,
        received=fault.received,
        allowed=fault.allowed,
        unit=fault.unit,
        suggestion=fault.suggestion,
        cell=place,
    )


def said(place: str) -> str:
    """Return a place in words."""
    sheet, mark, cell = place.rpartition("!")
    return f"Sheet {sheet}, cell {cell}" if mark else place.capitalize()


def fault_in(place: str, detail: str, path: str = "", received: object = None) -> CellFault:
    """Return a fault of one cell, with the cell in its sentence."""
    return CellFault(path or place, f"{said(place)}: {detail}", received=received, cell=place)


def fault_of_sheet(sheet: str, detail: str) -> CellFault:
    """Return a fault of a whole sheet."""
    return CellFault(sheet, f"Sheet {sheet}: {detail}", cell=None)
