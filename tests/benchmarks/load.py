"""Callers in a process of their own: many connections, each one request after the other.

Run as ``python -m tests.benchmarks.load PORT CLIENTS SECONDS FILE``; the file holds one request as
it goes over the wire. Prints what came of it as JSON. Speaks to this machine alone.
"""

import asyncio
import json
import subprocess
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import uvloop

HOST = "127.0.0.1"
LENGTH = b"content-length: "
STATUS = slice(9, 12)
"""Where the status stands in the first line of an answer."""


@dataclass(frozen=True)
class Load:
    """What came of it."""

    a_second: float
    failures: int
    slowest_ms: float


def loaded(port: int, clients: int, seconds: float, request: Path) -> Load:
    """Run the callers and return what came of it."""
    arguments = [str(port), str(clients), str(seconds), str(request)]
    command = [sys.executable, "-m", "tests.benchmarks.load", *arguments]
    printed = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603
    return Load(**json.loads(printed.stdout))


def request_bytes(method: str, path: str, headers: dict[str, str], body: bytes = b"") -> bytes:
    """Return a request as it goes over the wire."""
    fields = {"Host": HOST, "Content-Length": str(len(body)), **headers}
    head = "".join(f"{name}: {value}\r\n" for name, value in fields.items())
    return f"{method} {path} HTTP/1.1\r\n{head}\r\n".encode() + body


async def _caller(port: int, request: bytes, until: float) -> tuple[int, int, float]:
    reader, writer = await asyncio.open_connection(HOST, port, limit=4 * 1024 * 1024)
    answered = failures = 0
    slowest = 0.0
    while (began := time.perf_counter()) < until:
        writer.write(request)
        head = await reader.readuntil(b"\r\n\r\n")
        lower = head.lower()
        at = lower.index(LENGTH) + len(LENGTH)
        await reader.readexactly(int(lower[at : lower.index(b"\r", at)]))
        answered += 1
        failures += not head[STATUS].startswith(b"2")
        slowest = max(slowest, time.perf_counter() - began)
    writer.close()
    return answered, failures, slowest


async def _all(port: int, clients: int, seconds: float, request: bytes) -> Load:
    began = time.perf_counter()
    results = await asyncio.gather(
        *(_caller(port, request, began + seconds) for _ in range(clients)), return_exceptions=True
    )
    took = time.perf_counter() - began
    told = [result for result in results if not isinstance(result, BaseException)]
    return Load(
        a_second=sum(answered for answered, _, _ in told) / took,
        failures=sum(failed for _, failed, _ in told) + len(results) - len(told),
        slowest_ms=max((slowest for _, _, slowest in told), default=0.0) * 1e3,
    )


if __name__ == "__main__":
    _, port, clients, seconds, file = sys.argv
    found = uvloop.run(_all(int(port), int(clients), float(seconds), Path(file).read_bytes()))
    print(json.dumps(asdict(found)))
