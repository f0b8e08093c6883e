"""A table: named columns with units, and rows of plain values."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.json_shapes import is_array

Document = Mapping[str, Any]
Value = str | float | bool | None
Row = dict[str, Value]

CURRENCY = "currency"
NO_UNIT = frozenset({"none", "word"})
"""What the catalogues call the unit of a number that has none, and of a word."""

BETWEEN_WORDS = ","
"""As settings in a query have it."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in files, its title for people, and its unit where all rows share it."""

    name: str
    title: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Columns in order, and rows with a value for each."""

    name: str
    columns: list[Column]
    rows: list[Row]

    @property
    def names(self) -> list[str]:
        """Names of the columns."""
        return [column.name for column in self.columns]


IDENTIFYING = (
    Column("scenario", "Scenario"),
    Column("external_id", "External id"),
    Column("revision", "Revision"),
    Column("engine_version", "Engine version"),
    Column("reference_edition", "Reference edition"),
    Column("currency", "Currency"),
)
"""What each table of a costing begins with."""


def identity(body: Document, about: Document) -> Row:
    """Return the identifying values of a costing.

    Parameters
    ----------
    body : mapping
        The costing as a document, or an item of a comparison.
    about : mapping
        ``scenario``, ``external_id`` and ``revision``; None where nothing is stored.
    """
    return {
        "scenario": about.get("scenario"),
        "external_id": about.get("external_id"),
        "revision": about.get("revision"),
        "engine_version": body["engine_version"],
        "reference_edition": body["reference_edition"],
        "currency": body["currency"],
    }


def identified(name: str, columns: Sequence[Column], first: Row, rows: Iterable[Row]) -> Table:
    """Return a table whose rows all begin with the same identifying values."""
    return Table(name, [*IDENTIFYING, *columns], [first | row for row in rows])


def records(table: Table) -> list[Row]:
    """Return the rows as JSON records: every column in each, in order."""
    return [{name: row.get(name) for name in table.names} for row in table.rows]


def in_currency(unit: str, currency: str) -> str:
    """Return a unit with the currency of the amounts; empty where there is no unit."""
    return "" if unit in NO_UNIT else unit.replace(CURRENCY, currency)


def plain(value: Any) -> Value:  # noqa: ANN401 - any leaf of a document
    """Return a value as it stands in one cell: a list as its words, joined as in a query."""
    return BETWEEN_WORDS.join(str(item) for item in value) if is_array(value) else value
