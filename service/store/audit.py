"""Who did what; triggers of the database keep it from being changed."""

# ruff: noqa: D102 - the protocols say what each does

from collections.abc import Sequence
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import Connection, Select, bindparam, delete, insert, select

from service.scenarios.records import AuditEntry
from service.store.shapes import Shape
from service.store.tables import AUDIT

ENTRY = Shape(AUDIT, AuditEntry, given=("number",))
LARGEST = 2**63 - 1

_ADD = insert(AUDIT).inline()
_PRUNE = delete(AUDIT).where(AUDIT.c.at < bindparam("day"))


class AuditRows:
    """Who did what. Only added to."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, entry: AuditEntry) -> None:
        self._connection.execute(_ADD, ENTRY.values(entry))

    def page(
        self, office_id: str, object_id: str | None, before: int | None, limit: int
    ) -> Sequence[AuditEntry]:
        below = LARGEST if before is None else max(0, min(before, LARGEST))
        wanted: dict[str, Any] = {"office": office_id, "below": below, "most": limit}
        if object_id is not None:
            wanted["object"] = object_id
        statement = _page(of_one=object_id is not None)
        return [ENTRY.of(row) for row in self._connection.execute(statement, wanted)]

    def prune(self, before: datetime) -> int:
        return self._connection.execute(_PRUNE, {"day": before}).rowcount


@cache
def _page(*, of_one: bool) -> Select[Any]:
    statement = select(*ENTRY.columns).where(
        AUDIT.c.office_id == bindparam("office"), AUDIT.c.number < bindparam("below")
    )
    if of_one:
        statement = statement.where(AUDIT.c.object_id == bindparam("object"))
    return statement.order_by(AUDIT.c.number.desc()).limit(bindparam("most"))
