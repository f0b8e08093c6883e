"""Remarks."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Sequence

from sqlalchemy import Connection, bindparam, insert, select

from service.scenarios.records import Note
from service.store.shapes import Shape
from service.store.tables import NOTES

NOTE = Shape(NOTES, Note)

_ADD = insert(NOTES)
_PAGE = (
    select(*NOTE.columns)
    .where(NOTES.c.scenario_id == bindparam("scenario"), NOTES.c.id > bindparam("after"))
    .order_by(NOTES.c.id)
    .limit(bindparam("most"))
)


class NoteRows:
    """Remarks."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, note: Note) -> None:
        self._connection.execute(_ADD, NOTE.values(note))

    def page(self, scenario_id: str, after_id: str | None, limit: int) -> Sequence[Note]:
        wanted = {"scenario": scenario_id, "after": after_id or "", "most": limit}
        return [NOTE.of(row) for row in self._connection.execute(_PAGE, wanted)]
