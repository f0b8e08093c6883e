"""Offices."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Sequence

from sqlalchemy import Connection, bindparam, insert, select

from service.scenarios.records import Office
from service.store.shapes import Shape
from service.store.tables import OFFICES

OFFICE = Shape(OFFICES, Office)

_ADD = insert(OFFICES)
_EVERY = select(*OFFICE.columns).order_by(OFFICES.c.id)
_GET = select(*OFFICE.columns).where(OFFICES.c.id == bindparam("office_id"))
_BY_NAME = select(*OFFICE.columns).where(OFFICES.c.name == bindparam("office_name"))


class OfficeRows:
    """Offices by id and by name."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, office: Office) -> None:
        self._connection.execute(_ADD, OFFICE.values(office))

    def get(self, office_id: str) -> Office | None:
        return OFFICE.of_first(self._connection.execute(_GET, {"office_id": office_id}).first())

    def by_name(self, name: str) -> Office | None:
        return OFFICE.of_first(self._connection.execute(_BY_NAME, {"office_name": name}).first())

    def every(self) -> Sequence[Office]:
        return [OFFICE.of(row) for row in self._connection.execute(_EVERY)]
