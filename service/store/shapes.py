"""Records to rows and back: a column is called as the field that it holds."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import fields
from operator import attrgetter
from typing import Any, Generic, TypeVar

from sqlalchemy import Column, Row, Table

Record = TypeVar("Record")


class Shape(Generic[Record]):
    """The columns of a table that one kind of record is made of, in the order of its fields."""

    def __init__(
        self, table: Table, record: Callable[..., Record], given: Collection[str] = ()
    ) -> None:
        """Find the columns.

        Parameters
        ----------
        table : Table
            Where it is kept.
        record : type
            The dataclass.
        given : collection of str
            Fields that the database fills in.
        """
        names = [field.name for field in fields(record)]  # pyright: ignore[reportArgumentType]
        self._record = record
        self._names = [name for name in names if name not in given]
        self._parts = attrgetter(*self._names)
        self.columns: list[Column[Any]] = [table.c[name] for name in names]

    def values(self, record: Record) -> dict[str, Any]:
        """Return what to insert, by column."""
        return dict(zip(self._names, self._parts(record), strict=True))

    def of(self, row: Sequence[Any]) -> Record:
        """Return the record of a row that was selected by these columns."""
        return self._record(*row)

    def of_first(self, row: Row[Any] | None) -> Record | None:
        """Return the record of a row, if there is one."""
        return None if row is None else self._record(*row)

    def of_joined(self, values: Sequence[Any]) -> Record | None:
        """Return the record of an outer join, if there is one: it begins with its key."""
        return None if values[0] is None else self._record(*values)
