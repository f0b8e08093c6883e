"""Callers in a process of their own who go from one server to the next, request by request.

Run as ``python -m tests.benchmarks.round_robin SECONDS CLIENTS FOLDER PORT ...``; each file of the
folder holds one request as it goes over the wire, and they are sent by turns. Prints what came of
it as JSON. Speaks to this machine alone.
"""

import asyncio
import json
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import cycle
from pathlib import Path

import uvloop

from tests.benchmarks.load import HOST, LENGTH, STATUS

HUNDREDTHS = 100


@dataclass(frozen=True)
class Turns:
    """What came of it."""

    a_second: float
    answered: int
    failures: int
    median_ms: float
    p99_ms: float
    callers_seconds: float
    """Processor time of the callers themselves."""


def turns(
    ports: Sequence[int], requests: Path, seconds: float, clients: int, core: int | None = None
) -> Turns:
    """Run the callers, upon one core if it is named, and return what came of it."""
    arguments = [str(seconds), str(clients), str(requests), *map(str, ports)]
    command = [sys.executable, "-m", "tests.benchmarks.round_robin", *arguments]
    if core is not None:
        command = ["taskset", "--cpu-list", str(core), *command]
    printed = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603
    return Turns(**json.loads(printed.stdout))


async def _caller(
    ports: Sequence[int], requests: Sequence[bytes], first: int, until: float
) -> tuple[list[float], int]:
    lines = [await asyncio.open_connection(HOST, port, limit=4 * 1024 * 1024) for port in ports]
    took: list[float] = []
    failures = 0
    order = cycle([(line, request) for request in requests for line in lines])
    for _ in range(first):
        next(order)
    while (began := time.perf_counter()) < until:
        (reader, writer), request = next(order)
        writer.write(request)
        head = await reader.readuntil(b"\r\n\r\n")
        lower = head.lower()
        at = lower.index(LENGTH) + len(LENGTH)
        await reader.readexactly(int(lower[at : lower.index(b"\r", at)]))
        failures += not head[STATUS].startswith(b"2")
        took.append(time.perf_counter() - began)
    for _, writer in lines:
        writer.close()
    return took, failures


async def _all(
    seconds: float, clients: int, requests: Sequence[bytes], ports: Sequence[int]
) -> Turns:
    began = time.perf_counter()
    results = await asyncio.gather(
        *(_caller(ports, requests, first, began + seconds) for first in range(clients)),
        return_exceptions=True,
    )
    whole = time.perf_counter() - began
    told = [result for result in results if not isinstance(result, BaseException)]
    took = [one for times, _ in told for one in times]
    hundredths = statistics.quantiles(took, n=HUNDREDTHS, method="inclusive")
    return Turns(
        a_second=len(took) / whole,
        answered=len(took),
        failures=sum(failed for _, failed in told) + len(results) - len(told),
        median_ms=statistics.median(took) * 1e3,
        p99_ms=hundredths[-1] * 1e3,
        callers_seconds=time.process_time(),
    )


if __name__ == "__main__":
    _, seconds, clients, folder, *ports = sys.argv
    sent = [file.read_bytes() for file in sorted(Path(folder).iterdir())]
    found = uvloop.run(_all(float(seconds), int(clients), sent, [int(port) for port in ports]))
    print(json.dumps(asdict(found)))
