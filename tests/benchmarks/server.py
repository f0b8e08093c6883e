"""A server as the command line starts it: how long until it answers, how much memory it takes."""

import os
import resource
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager

from tests.benchmarks.measure import Measure

STARTS = 3
PATIENCE = 240
"""How long a server is waited for on a busy machine [s]."""
MEGABYTE = 1024 * 1024
UNSTINTED = {f"WINTERGROUND_UNITS_PER_MINUTE{of}": "1000000000" for of in ("", "_BY_ADDRESS")}
"""Limits are counted as ever, but nothing that is measured comes near them."""
AT_ONCE = {"WINTERGROUND_SECONDS_TO_STOP": "0"}
"""Nobody waits for a server that has been measured."""


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def resident(process: int) -> float:
    """Return the resident memory of a process, in MB."""
    with open(f"/proc/{process}/statm", encoding="ascii") as file:  # noqa: PTH123 - no path to keep
        return int(file.read().split()[1]) * resource.getpagesize() / MEGABYTE


@contextmanager
def served(folder: str, *options: str, database: str = "") -> Iterator[tuple[int, int]]:
    """Start the server with its data in a folder; yield its port and process once it is ready."""
    kept_in = {"WINTERGROUND_DATABASE": database} if database else {}
    port = free_port()
    server = subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "service", "serve", "--port", str(port), "--data", folder, *options],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=os.environ | UNSTINTED | AT_ONCE | kept_in,
    )
    try:
        first_answer(port)
        yield port, server.pid
    finally:
        server.terminate()
        server.wait()


def server_measures() -> list[Measure]:
    """Time from starting the server to its first answer, and its memory when idle."""
    starts: list[float] = []
    memory = 0.0
    with tempfile.TemporaryDirectory() as folder:
        with served(folder):
            pass  # the first start makes the database
        for _ in range(STARTS):
            began = time.perf_counter()
            with served(folder) as (_, process):
                starts.append(time.perf_counter() - began)
                memory = resident(process)
    return [
        Measure("server: start to first answer", min(starts), "s", 2.5),
        Measure("server: idle memory", memory, "MB", 150),
    ]


def first_answer(port: int) -> None:
    """Wait until a server is ready."""
    deadline = time.perf_counter() + PATIENCE
    while time.perf_counter() < deadline:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/health/ready", timeout=1).close()
        except OSError:
            time.sleep(0.02)
        else:
            return
    message = f"the server did not answer within {PATIENCE} s"
    raise TimeoutError(message)
