"""The published shape of a table as JSON, for the description of the interface alone."""

from pydantic import RootModel

Cell = str | float | bool | None


class TableRecords(RootModel[list[dict[str, Cell]]]):
    """One kind of row: the identifying columns, then those of the table."""
