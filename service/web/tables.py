"""Tables as CSV: RFC 4180, in the dialects that spreadsheets ask for."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from service.costing.table_cells import cell

Dialect = Literal["excel", "excel-eu", "tsv"]


@dataclass(frozen=True, slots=True)
class _Manner:
    separator: str = ","
    decimal: str = "."
    mark: bytes = b""
    media_type: str = "text/csv; charset=utf-8; header=present"


PLAIN = _Manner()
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
MANNERS: Mapping[str, _Manner] = {
    "excel": _Manner(mark=BYTE_ORDER_MARK),
    "excel-eu": _Manner(separator=";", decimal=",", mark=BYTE_ORDER_MARK),
    "tsv": _Manner(separator="\t", media_type="text/tab-separated-values; charset=utf-8"),
}


def table(
    columns: Sequence[str], rows: Iterable[Mapping[str, Any]], dialect: str | None = None
) -> bytes:
    """Write rows as a table.

    Parameters
    ----------
    columns : sequence of str
        Names of the columns, in order; what a row lacks is left empty.
    rows : iterable of mapping
        Value by column.
    dialect : str, optional
        ``excel`` (with a byte order mark), ``excel-eu`` (semicolons and decimal commas too) or
        ``tsv``; plain RFC 4180 if not given.
    """
    manner = MANNERS.get(dialect or "", PLAIN)
    text = io.StringIO()
    writer = csv.writer(text, delimiter=manner.separator, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([cell(row.get(column), manner.decimal) for column in columns])
    return manner.mark + text.getvalue().encode()


def media_type(dialect: str | None) -> str:
    """Return the media type of a table in a dialect."""
    return MANNERS.get(dialect or "", PLAIN).media_type
