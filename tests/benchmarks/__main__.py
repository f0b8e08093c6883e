"""Prints every figure with its target, and ends non-zero where a target is missed.

Ratios are taken between alternating runs in one process; times are the least of many, in processor
time of one core, and stand beside the time of a fixed piece of NumPy work on the same machine.
"""

import copy
import gc
import json
import os
import platform
import resource
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from pydantic import TypeAdapter

from service.costing.check_first import check_first_of
from service.costing.engine import cost
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.costing.workings import workings_of
from service.demo import demo_document

ROUNDS = 40
MILLISECONDS = 1e3
STARTS = 3
MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class Measure:
    """One figure: what it is, how much, and the most it may be."""

    name: str
    value: float
    unit: str
    most: float | None = None

    @property
    def missed(self) -> bool:
        """Whether a target is stated and not met."""
        return self.most is not None and self.value > self.most


def least(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the least processor time of one run, in ms."""
    times: list[float] = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times) * MILLISECONDS


def yardstick() -> object:
    """Do a fixed piece of NumPy work: a thousand small operations, as the engine has them."""
    a = np.ones((6, 4, 1, 13))
    b = np.ones((6, 1, 1, 1))
    product = a
    for _ in range(1_000):
        product = a * b
    return product


def scenario_of(document: dict) -> Scenario:
    """Read a document."""
    return TypeAdapter(Scenario).validate_json(json.dumps(document))


def with_winters(document: dict, count: int) -> Scenario:
    """Return the demo with its winters repeated."""
    longer = copy.deepcopy(document)
    rows = longer["winter"]["rows"]
    longer["winter"]["rows"] = [
        rows[number % len(rows)] | {"season": f"winter {number}"} for number in range(count)
    ]
    return scenario_of(longer)


def engine_measures() -> list[Measure]:
    """One farm, with and without workings, and many winters."""
    document = demo_document()
    scenario = scenario_of(document)
    cost(scenario)
    gc.collect()
    gc.freeze()  # as the server does when it starts
    dozen, many = with_winters(document, 12), with_winters(document, 12_000)
    costing = cost(scenario)
    kept = cost(scenario, workings=True)
    ratio = least(lambda: cost(many), 5) / least(lambda: cost(dozen), 10)
    return [
        Measure("yardstick: 1,000 small NumPy operations", least(yardstick), "ms"),
        Measure("engine, demo farm, no workings", least(lambda: cost(scenario)), "ms", 10),
        Measure(
            "engine, demo farm, with workings",
            least(lambda: workings_of(cost(scenario, workings=True)), 20),
            "ms",
            25,
        ),
        Measure("  of it: writing the workings down", least(lambda: workings_of(kept), 20), "ms"),
        Measure("what to check first", least(lambda: check_first_of(costing), 10), "ms"),
        Measure(
            "whole document without workings", least(lambda: costing_document(costing), 10), "ms"
        ),
        Measure("12,000 winters / 12 winters", ratio, "times", 40),
    ]


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def resident(process: int) -> float:
    """Return the resident memory of a process, in MB."""
    with open(f"/proc/{process}/statm", encoding="ascii") as file:  # noqa: PTH123 - no path to keep
        return int(file.read().split()[1]) * resource.getpagesize() / MEGABYTE


def server_measures() -> list[Measure]:
    """Time from starting the server to its first answer, and its memory when idle."""
    starts: list[float] = []
    memory = 0.0
    for _ in range(STARTS):
        port = free_port()
        began = time.perf_counter()
        server = subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "service", "serve", "--port", str(port)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        try:
            _first_answer(port)
            starts.append(time.perf_counter() - began)
            memory = resident(server.pid)
        finally:
            server.terminate()
            server.wait()
    return [
        Measure("server: start to first answer", min(starts), "s", 2.5),
        Measure("server: idle memory", memory, "MB", 150),
    ]


def _first_answer(port: int) -> None:
    deadline = time.perf_counter() + 60
    while time.perf_counter() < deadline:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/health/ready", timeout=1).close()
        except OSError:
            time.sleep(0.02)
        else:
            return
    message = "the server did not answer within a minute"
    raise TimeoutError(message)


def main() -> int:
    """Measure all and print a table."""
    print(
        f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"NumPy {np.__version__}"
    )
    measures = [*engine_measures(), *server_measures()]
    for item in measures:
        target = "" if item.most is None else f"at most {item.most:g}"
        mark = "MISSED" if item.missed else ""
        print(f"{item.name:45s} {item.value:10.2f} {item.unit:6s} {target:14s} {mark}")
    return int(any(item.missed for item in measures))


if __name__ == "__main__":
    sys.exit(main())
