"""Connections for look-ups that must not wait: one for each thread that asks, kept open."""

import threading

from sqlalchemy import Connection, Engine

from service.store.costings import CostingRowsAtHand
from service.store.sessions import SqlSession


class SqlSessionAtHand(SqlSession):
    """A session in which what is asked most is quick."""

    def __init__(self, connection: Connection) -> None:
        super().__init__(connection)
        self._costings = CostingRowsAtHand(connection)

    @property
    def costings(self) -> CostingRowsAtHand:
        """Stored costings."""
        return self._costings


class AtHand:
    """Sessions upon a connection of the thread's own; nothing is begun, so nothing is held."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._own = threading.local()
        self._guard = threading.Lock()
        self._opened: list[Connection] = []

    def session(self) -> SqlSession:
        """Return the session of this thread."""
        session: SqlSession | None = getattr(self._own, "session", None)
        if session is None:
            connection = self._engine.connect()
            with self._guard:
                self._opened.append(connection)
            session = self._own.session = SqlSessionAtHand(connection)
        return session

    def close(self) -> None:
        """Close every connection, those of other threads too, which must be done with them."""
        with self._guard:
            for connection in self._opened:
                connection.close()
            self._opened.clear()
        self._own = threading.local()
        self._engine.dispose()
