"""A copy of the journal of what was erased and revoked."""

# ruff: noqa: D102 - the protocols say what each does

from datetime import datetime
from typing import Literal

from sqlalchemy import Connection, select

from service.store.inserts import unless_there
from service.store.tables import ERASURES

_ADD = unless_there(ERASURES.c.act, ERASURES.c.object_id)
_IDS = select(ERASURES.c.act, ERASURES.c.object_id)


class ErasureRows:
    """A copy of the journal."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, act: Literal["erase", "revoke"], object_id: str, at: datetime) -> None:
        add = _ADD[self._connection.dialect.name]
        self._connection.execute(add, {"act": act, "object_id": object_id, "at": at})

    def ids(self) -> set[tuple[str, str]]:
        return {(act, object_id) for act, object_id in self._connection.execute(_IDS)}
