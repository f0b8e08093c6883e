"""What is kept: how long a page of a list takes, and how many requests a second are answered."""

import json
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.demo import demo_document
from service.scenarios.repositories import Listing
from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.opening import close_desk, open_desk
from service.store.upgrading import prepare
from service.web.reading import scenario_of
from tests.benchmarks.load import loaded, request_bytes
from tests.benchmarks.many_scenarios import OFFICE, filled, position
from tests.benchmarks.measure import MILLISECONDS, Measure
from tests.benchmarks.server import first_answer, free_port, served
from tests.support.databases import PostgresqlServer, postgresql_server

FEW, MANY = 1_000, 1_000_000
PAGE = 200
DEPTHS = {"first": 0.0, "middle": 0.5, "99 % deep": 0.99}
DEEPEST_OF_FEW = 0.5
"""Half of a thousand are the office's, and a page is 200 of them."""
PAGES_A_ROUND, ROUNDS = 20, 15
CLIENTS, MANY_CLIENTS = 16, 64
SECONDS, TURNS = 2.0, 3


def store_measures() -> Iterator[Measure]:
    """Measure lists on both databases, then requests over HTTP."""
    yield from _lists("SQLite", None)
    with postgresql_server() as server:
        yield from _lists("PostgreSQL", server)
    with tempfile.TemporaryDirectory() as folder:
        yield from _requests(Path(folder))


def _lists(name: str, server: PostgresqlServer | None) -> Iterator[Measure]:
    firsts: dict[str, float] = {}
    with filled(FEW, server) as few, filled(MANY, server) as many:
        for words, depth in DEPTHS.items():
            for order in ("by id", "by time of change"):
                times: tuple[list[float], list[float]] = ([], [])
                for _ in range(ROUNDS):
                    times[0].append(
                        _page_time(few, _listing(FEW, min(depth, DEEPEST_OF_FEW), order))
                    )
                    times[1].append(_page_time(many, _listing(MANY, depth, order)))
                ratio = statistics.median(times[1]) / statistics.median(times[0])
                label = f"{name}: page of 10^6 / of 10^3, {order}, {words}"
                yield Measure(label, ratio, "times", 1.5)
                took = statistics.median(times[1])
                deep = took / firsts.setdefault(order, took)
                if depth:
                    yield Measure(f"  against the first of 10^6 (T5b), {words}", deep, "times", 1.3)


def _listing(count: int, depth: float, order: str) -> Listing:
    """Return a page so deep in the list, first the newest by id, or the oldest by change."""
    if order == "by id":
        after = position(count, 1 - depth)[0] if depth else None
        return Listing(limit=PAGE, after_id=after)
    since = position(count, 0)[1]
    after, changed = position(count, depth)
    return Listing(limit=PAGE, updated_since=since, after_id=after, after_updated_at=changed)


def _page_time(store, listing: Listing) -> float:
    """Return how long a page takes, in ms; on a held session, as a request has it."""
    began = time.perf_counter()
    for _ in range(PAGES_A_ROUND):
        with store.reading() as session:
            found = session.scenarios.page(OFFICE, listing)
    took = time.perf_counter() - began
    if len(found) < PAGE:  # pyright: ignore[reportPossiblyUnboundVariable] - it has run
        message = "a page that is not full measures less"
        raise ValueError(message)
    return took / PAGES_A_ROUND * MILLISECONDS


def _requests(folder: Path) -> Iterator[Measure]:
    settings = Settings(data=folder)
    prepare(settings, migrate=True)
    desk = open_desk(settings, scenario_of)
    _, _, token = make_key_on_host(desk, "Office", "write", "benchmark", 1)
    close_desk(desk)
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    document = {name: value for name, value in demo_document().items() if name != "external_id"}
    body = json.dumps(document).encode()
    with served(str(folder)) as (port, _):
        kept = json.load(_opened(port, "POST", "/v1/scenarios", headers, body))["id"]
        costing = _opened(port, "GET", f"/v1/scenarios/{kept}/costing", headers).headers
        headers["Accept-Encoding"] = "gzip"
        address = costing["Content-Location"]
        content = _opened(port, "GET", address, headers).read()
        file = folder / "content"
        file.write_bytes(content)
        ask, bare_ask, post = folder / "ask", folder / "bare", folder / "post"
        ask.write_bytes(request_bytes("GET", address, headers))
        bare_ask.write_bytes(request_bytes("GET", "/content", headers))
        post.write_bytes(request_bytes("POST", "/v1/scenarios", headers, body))
        with _bare(file) as bare_port:
            ours, bare = [], []
            for _ in range(TURNS):
                ours.append(loaded(port, CLIENTS, SECONDS, ask))
                bare.append(loaded(bare_port, CLIENTS, SECONDS, bare_ask))
        served_a_second = statistics.median(load.a_second for load in ours)
        bare_a_second = statistics.median(load.a_second for load in bare)
        yield Measure("bare route that returns the bytes of a costing", bare_a_second, "a second")
        yield Measure("stored costing by id", served_a_second, "a second")
        yield Measure(
            "  against the bare route", served_a_second / bare_a_second, "times", least=0.5
        )
        yield Measure("  failures", sum(load.failures for load in ours), "", 0)
    with served(str(folder), "--workers", "2") as (port, _):  # one for each core
        loaded(port, MANY_CLIENTS, 2 * SECONDS, post)  # until the second has started too
        turns = [loaded(port, MANY_CLIENTS, 2 * SECONDS, post) for _ in range(TURNS)]
        yield Measure(
            "storing a scenario on SQLite, 2 workers, 64 clients",
            statistics.median(turn.a_second for turn in turns),
            "a second",
            least=150,
        )
        yield Measure("  failures", sum(turn.failures for turn in turns), "", 0)
        yield Measure("  slowest", max(turn.slowest_ms for turn in turns), "ms")


def _opened(port: int, method: str, path: str, headers: dict[str, str], body: bytes | None = None):
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", body, headers, method=method)
    return urllib.request.urlopen(request, timeout=30)  # noqa: S310 - this machine


@contextmanager
def _bare(content: Path) -> Iterator[int]:
    port = free_port()
    command = [sys.executable, "-m", "tests.benchmarks.bare", str(port), str(content)]
    server = subprocess.Popen(command)  # noqa: S603 - our own program
    try:
        first_answer(port)
        yield port
    finally:
        server.terminate()
        server.wait()
