"""Reads the farms of a sweep from a table: a line for each farm, a column for each input path.

What stands in a cell and cannot be taken is left as it was written: the farm's own row says what is
wrong with it.
"""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from service.costing.errors import InputError
from service.reports.answer_sheet.csv_file import BYTE_ORDER_MARK, OWN_NOTES, SEPARATORS
from service.reports.answer_sheet.faults import CellFault, fault_in
from service.sweeps.records import MOST_ROWS, FarmRow
from service.web.query_settings import as_json
from service.web.settings_with_units import OwnUnits

EXTERNAL_ID = "external_id"
HEADER_LINE = "line 1"


def text_of(raw: bytes) -> str:
    """Return a table as text.

    Raises
    ------
    InputError
        If it is not text in UTF-8.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        detail = f"the table is not text in UTF-8: byte {error.start + 1} cannot be read."
        raise InputError([CellFault("", f"{detail[0].upper()}{detail[1:]}")]) from None


def farms_in(text: str, document: Mapping[str, Any]) -> tuple[FarmRow, ...]:
    """Return the farms of a table.

    Parameters
    ----------
    text : str
        With a header of input paths and, if wanted, ``external_id``. Separated by commas,
        semicolons or tabs; an empty cell changes nothing.
    document : mapping
        The base; it tells in which unit an input is.

    Raises
    ------
    InputError
        If it is no such table; carries every fault.
    """
    text = text.removeprefix(BYTE_ORDER_MARK)
    first = text.partition("\n")[0]
    separator = max(SEPARATORS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    faults: list[CellFault] = []
    farms: list[FarmRow] = []
    try:
        header = [name.strip() for name in next(reader, list[str]())]
        faults += _header_faults(header)
        reading = Reading(header, document)
        for cells in reader:
            place = f"line {reader.line_num}"
            if len(farms) == MOST_ROWS:
                faults.append(fault_in(place, f"there are more farms than {MOST_ROWS:,}."))
                break
            if not any(cell.strip() for cell in cells):
                continue
            if any(cell.strip() for cell in cells[len(header) :]):
                detail = "there are more cells than columns; a text with commas belongs in quotes."
                faults.append(fault_in(place, detail))
                continue
            farms.append(reading.farm(cells))
    except csv.Error as error:
        faults.append(fault_in(f"line {reader.line_num}", f"this is no CSV: {error}."))
    if faults:
        raise InputError(faults)
    return tuple(farms)


class Reading:
    """The columns of a table, and what their cells mean."""

    def __init__(self, header: Sequence[str], document: Mapping[str, Any]) -> None:
        paths = [name for name in header if _is_path(name)]
        self._header = header
        self._units = OwnUnits(document, tuple(paths))

    def farm(self, cells: Sequence[str]) -> FarmRow:
        """Return the farm of a line."""
        name: str | None = None
        settings: dict[str, Any] = {}
        for column, cell in zip(self._header, cells, strict=False):
            text = cell.strip()
            if not text:
                continue
            if column == EXTERNAL_ID:
                name = text
            elif _is_path(column):
                settings[column] = self.value(column, text)
        return FarmRow(name, settings)

    def value(self, path: str, text: str) -> Any:  # noqa: ANN401 - any JSON value
        """Return what a cell means."""
        value = as_json(path, text)
        if not isinstance(value, str):
            return value
        try:
            return self._units.taken(path, value)
        except ValueError:
            return value


def _is_path(name: str) -> bool:
    return bool(name) and name != EXTERNAL_ID and not name.startswith(OWN_NOTES)


def _header_faults(header: Sequence[str]) -> Iterator[CellFault]:
    if not any(header):
        yield fault_in(HEADER_LINE, "the header is missing: external_id, and a path a column.")
    seen: set[str] = set()
    for name in header:
        if name and name in seen:
            yield fault_in(HEADER_LINE, f"the column {name[:100]!r} is there twice.")
        seen.add(name)
