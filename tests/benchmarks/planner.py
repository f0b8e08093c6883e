"""The planner's script as an office runs it: a file of farms against a server of one worker."""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from service.web.openapi import EXAMPLES
from tests.benchmarks.measure import Measure
from tests.benchmarks.server import served

SCRIPT = EXAMPLES / "planner.py"
FARMS = EXAMPLES / "farms.csv"
DEMO = Path(__file__).parents[2] / "service" / "demo" / "whetstone_hollow.json"
OF_DEMO = 20
"""Farms made of the demo's, with its seven systems."""

USER, SYSTEM = 11, 12
"""Where the two kinds of processor time stand in a line of /proc, after the program's name."""


def planner_measures() -> list[Measure]:
    """Return what two hundred farms take from start to end, and one farm of the demo's size."""
    with tempfile.TemporaryDirectory() as folder:
        small = Path(folder) / "farms.csv"
        lines = [f"{number},{40 + number}" for number in range(OF_DEMO)]
        small.write_text("\n".join(["external_id,herd.cows.head", *lines]) + "\n", "utf-8")
        with served(folder) as (port, server):
            address = f"http://127.0.0.1:{port}"
            out = Path(folder) / "costs.csv"
            before = processor_seconds(server)
            whole = _seconds([str(FARMS), "--url", address, "--out", str(out)])
            worked = processor_seconds(server) - before
            of_demo = _seconds(
                [str(small), "--url", address, "--out", str(out), "--base", str(DEMO)]
            )
    return [
        Measure("planner: 200 farms of 4 systems and 12 winters", whole, "s", 20),
        Measure("  of that, processor time of the server", worked, "s"),
        Measure("planner: a farm of the demo's 7 systems", of_demo / OF_DEMO, "s"),
    ]


def processor_seconds(process: int) -> float:
    """Return the processor time that a process has taken [s]."""
    fields = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[USER]) + int(fields[SYSTEM])) / os.sysconf("SC_CLK_TCK")


def _seconds(arguments: Sequence[str]) -> float:
    began = time.perf_counter()
    command = [sys.executable, str(SCRIPT), *arguments]
    subprocess.run(command, check=True, stderr=subprocess.DEVNULL)  # noqa: S603 - our own script
    return time.perf_counter() - began
