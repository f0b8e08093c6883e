"""Servers over sockets: others while draws are worked, and two processes against one."""

import json
import statistics
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from service.demo import demo_document
from service.web.openapi import EXAMPLES
from tests.benchmarks.in_process import opened_desk
from tests.benchmarks.load import request_bytes
from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import Ratio
from tests.benchmarks.round_robin import turns
from tests.benchmarks.server import served

JSON = {"Content-Type": "application/json"}
SECONDS, COSTING_SECONDS, ROUNDS = 3.0, 8.0, 3
CLIENTS = 8
DRAWS = 8_000
"""Of a question that a request is still answered at once."""


def beside_draws() -> Iterator[Measure]:
    """T9 and T9b: reading a stored costing, idle and while one caller asks for draws."""
    with tempfile.TemporaryDirectory() as folder:
        requests = Path(folder) / "requests"
        requests.mkdir()
        with opened_desk(Path(folder)) as (_, token):
            pass
        with served(folder) as (port, _):
            address = stored_costing(port, token)
            headers = {"Authorization": f"Bearer {token}", "Accept-Encoding": "gzip"}
            (requests / "read").write_bytes(request_bytes("GET", address, headers))
            idle, beside = [], []
            asked = 0
            for _ in range(ROUNDS):
                idle.append(turns([port], requests, SECONDS, 1))
                with _draws(port) as answers:
                    beside.append(turns([port], requests, SECONDS, 1))
                asked += len(answers)
    rates = [two.a_second / one.a_second for one, two in zip(idle, beside, strict=True)]
    slow = [two.p99_ms / one.p99_ms for one, two in zip(idle, beside, strict=True)]
    yield Ratio(
        "T9 stored costing, while draws are worked / idle",
        statistics.median(rates),
        "times",
        least=0.7,
        aim=0.9,
    )
    yield Ratio("T9b its 99th of 100, the same", statistics.median(slow), "times", 10, aim=4)
    for words, found in (("idle", idle), ("beside draws", beside)):
        yield Measure(
            f"   median of a read, {words}", statistics.median(t.median_ms for t in found), "ms"
        )
        yield Measure(f"   99th, {words}", statistics.median(t.p99_ms for t in found), "ms")
    yield Measure(f"   questions of {DRAWS} draws answered meanwhile", asked, "", least=ROUNDS)
    yield Measure("   failures", sum(one.failures for one in (*idle, *beside)), "", 0)


def two_workers() -> Iterator[Measure]:
    """T10: costing the demo with two processes against one."""
    body = json.dumps({"document": demo_document()}).encode()
    rates: dict[int, list[float]] = {1: [], 2: []}
    failures = 0
    with tempfile.TemporaryDirectory() as folder:
        requests = Path(folder) / "requests"
        requests.mkdir()
        (requests / "cost").write_bytes(request_bytes("POST", "/v1/costings", JSON, body))
        for _ in range(ROUNDS):
            for workers, found in rates.items():
                with served(folder, "--workers", str(workers)) as (port, _):
                    turns([port], requests, COSTING_SECONDS / 2, CLIENTS)  # until all have started
                    came = turns([port], requests, COSTING_SECONDS, CLIENTS)
                found.append(came.a_second)
                failures += came.failures
    ratio = statistics.median(two / one for one, two in zip(rates[1], rates[2], strict=True))
    yield Ratio("T10 costing the demo, 2 workers / 1", ratio, "times", least=1.4, aim=1.7)
    yield Measure("   of one worker", statistics.median(rates[1]), "a second")
    yield Measure("   failures", failures, "", 0)


def stored_costing(port: int, token: str) -> str:
    """Store the demo and its costing; return the address of that."""
    headers = {**JSON, "Authorization": f"Bearer {token}"}
    document = {name: value for name, value in demo_document().items() if name != "external_id"}
    with _sent(port, "/v1/scenarios", json.dumps(document).encode(), headers) as answer:
        kept = json.load(answer)["id"]
    with _sent(port, f"/v1/scenarios/{kept}/costing", None, headers) as answer:
        return answer.headers["Content-Location"]


@contextmanager
def _draws(port: int) -> Iterator[list[float]]:
    """Have draws worked, one question after the other, meanwhile."""
    example = json.loads((EXAMPLES / "ask_question_risk.json").read_text("utf-8"))["request"]
    asked = example | {"draws": DRAWS, "document": demo_document()}
    body = json.dumps(asked).encode()
    answers: list[float] = []
    ended = threading.Event()

    def ask() -> None:
        while not ended.is_set():
            began = time.perf_counter()
            _sent(port, "/v1/analyses", body, JSON).read()
            answers.append(time.perf_counter() - began)

    thread = threading.Thread(target=ask)
    thread.start()
    try:
        yield answers
    finally:
        ended.set()
        thread.join()


def _sent(port: int, path: str, body: bytes | None, headers: dict[str, str]):
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", body, headers)
    return urllib.request.urlopen(request, timeout=60)  # noqa: S310 - this machine
