"""Two servers on one PostgreSQL against one: reads by id and lists, callers going by turns.

Where servers, database and callers share two cores, one server has a core to itself and two have
not. So the processor time of each side is told too: of it follows what cores of their own give.
"""

import os
import statistics
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import psycopg

from tests.benchmarks.in_process import opened_desk
from tests.benchmarks.load import request_bytes
from tests.benchmarks.measure import MILLISECONDS, Measure
from tests.benchmarks.planner import processor_seconds
from tests.benchmarks.ratio import Ratio
from tests.benchmarks.ratios_served import stored_costing
from tests.benchmarks.round_robin import Turns, turns
from tests.benchmarks.server import served
from tests.support.databases import postgresql_server

REPLICAS = 2
KEPT = 100
CLIENTS = 16
SECONDS, ROUNDS = 4.0, 3
READS = ("scenario by id", "stored costing by id", "list of 50")


@dataclass(frozen=True)
class Shares:
    """What a run came to, and the processor time of servers and database meanwhile [s]."""

    turns: Turns
    servers: float
    database: float

    def each(self, seconds: float) -> float:
        """Return the processor time that a request took of it [ms]."""
        return seconds / self.turns.answered * MILLISECONDS


def replica_measures() -> Iterator[Measure]:
    """Return reads of two replicas against one, and what each side takes of a request."""
    with (
        tempfile.TemporaryDirectory() as folder,
        postgresql_server() as server,
        server.new(empty=True) as database,
    ):
        with opened_desk(Path(folder), database) as (_, token):
            pass
        with ExitStack() as stack:
            started = [
                stack.enter_context(served(folder, database=database)) for _ in range(REPLICAS)
            ]
            addresses = _addresses(started[0][0], token)
            alone, both = [], []
            for _ in range(ROUNDS):
                alone.append(_run(started[:1], addresses, token, folder, database))
                both.append(_run(started, addresses, token, folder, database))
    yield from _told(alone, both)


def _told(alone: Sequence[Shares], both: Sequence[Shares]) -> Iterator[Measure]:
    ratio = statistics.median(
        two.turns.a_second / one.turns.a_second for one, two in zip(alone, both, strict=True)
    )
    yield Measure(
        "one replica: reads", statistics.median(one.turns.a_second for one in alone), "a second"
    )
    yield Ratio(
        f"{REPLICAS} replicas / 1, all on {os.cpu_count()} cores", ratio, "times", least=1.6
    )
    servers, database, callers = (
        statistics.median(read(one) for one in alone)
        for read in (
            lambda one: one.each(one.servers),
            lambda one: one.each(one.database),
            lambda one: one.each(one.turns.callers_seconds),
        )
    )
    yield Measure("processor time of a read: server", servers, "ms")
    yield Measure("  database", database, "ms")
    yield Measure("  callers", callers, "ms")
    whole = servers + database + callers
    limit = REPLICAS * max(servers, whole - servers) / whole
    yield Measure(f"  most that {REPLICAS} replicas can be here, all cores full", limit, "times")
    yield Measure("  what came of it / that most", ratio / limit, "times")
    grown = statistics.median(two.each(two.servers) for two in both) / servers
    yield Measure("  a read takes of a server, two replicas / one", grown, "times")
    yield Measure(
        f"worked out: {REPLICAS} replicas with a core each",
        REPLICAS / servers * MILLISECONDS,
        "a second",
    )
    yield Measure("  cores that the database needs for that", REPLICAS * database / servers, "")
    failures = sum(one.turns.failures for one in (*alone, *both))
    yield Measure("  failures", failures, "", 0)


def _addresses(port: int, token: str) -> dict[str, str]:
    """Keep many scenarios; return what is read."""
    for _ in range(KEPT - 1):
        stored_costing(port, token)
    costing = stored_costing(port, token)
    paths = (costing.partition("/costings/")[0], costing, "/v1/scenarios?limit=50")
    return dict(zip(READS, paths, strict=True))


def _run(
    servers: Sequence[tuple[int, int]],
    addresses: dict[str, str],
    token: str,
    folder: str,
    database: str,
) -> Shares:
    headers = {"Authorization": f"Bearer {token}", "Accept-Encoding": "gzip"}
    requests = Path(folder) / "requests"
    requests.mkdir(exist_ok=True)
    for name, path in addresses.items():
        (requests / name).write_bytes(request_bytes("GET", path, headers))
    ports = [port for port, _ in servers]
    before = _spent(servers, database)
    found = turns(ports, requests, SECONDS, CLIENTS)
    after = _spent(servers, database)
    return Shares(found, after[0] - before[0], after[1] - before[1])


def _spent(servers: Sequence[tuple[int, int]], database: str) -> tuple[float, float]:
    """Return the processor time so far of the servers, and of the database."""
    return (
        sum(processor_seconds(process) for _, process in servers),
        sum(map(processor_seconds, _backends(database))),
    )


def _backends(database: str) -> list[int]:
    """Return the processes of the database that serve somebody."""
    with psycopg.connect(database) as connection:
        rows = connection.execute(
            "select pid from pg_stat_activity where backend_type = 'client backend'"
            " and pid <> pg_backend_pid()"
        ).fetchall()
    return [pid for (pid,) in rows]
