"""Prints every figure with its target, and ends non-zero where a target is missed.

All are measured, or those named: ``python -m tests.benchmarks engine risk``. ``--seconds`` says for
how long those go on that go on for a time: ``python -m tests.benchmarks load --seconds 10``.

Ratios are taken between alternating runs in one process; times are the least of many, in processor
time of one core, and stand beside the time of a fixed piece of NumPy work on the same machine.
"""

import argparse
import os
import platform
import sys

import numpy as np

from tests.benchmarks.analysis_inputs import input_measures
from tests.benchmarks.analysis_plans import plans_measures
from tests.benchmarks.analysis_risk import risk_measures
from tests.benchmarks.analysis_sweeps import sweep_measures
from tests.benchmarks.engine import engine_measures
from tests.benchmarks.growth import growth_measures
from tests.benchmarks.memory_over_requests import memory_measures
from tests.benchmarks.mixed_load import load_measures
from tests.benchmarks.page import page_measures
from tests.benchmarks.pictures import picture_measures
from tests.benchmarks.planner import planner_measures
from tests.benchmarks.ratios import ratio_measures
from tests.benchmarks.replicas import replica_measures
from tests.benchmarks.season import season_measures
from tests.benchmarks.server import server_measures
from tests.benchmarks.spreadsheets import spreadsheet_measures
from tests.benchmarks.store import store_measures
from tests.benchmarks.sweeping import many_farms_measures
from tests.benchmarks.weather import weather_measures

MEASURES = {
    "engine": engine_measures,
    "weather": weather_measures,
    "inputs": input_measures,
    "sweeps": sweep_measures,
    "plans": plans_measures,
    "risk": risk_measures,
    "pictures": picture_measures,
    "page": page_measures,
    "season": season_measures,
    "spreadsheets": spreadsheet_measures,
    "planner": planner_measures,
    "many_farms": many_farms_measures,
    "server": server_measures,
    "store": store_measures,
    "ratios": ratio_measures,
    "replicas": replica_measures,
    "growth": growth_measures,
    "load": load_measures,
    "memory": memory_measures,
}
FOR_A_TIME = {"load": load_measures, "memory": memory_measures}
"""What takes how many seconds it goes on."""


def main(arguments: list[str]) -> int:
    """Measure what is named, or all, and print a table."""
    reading = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    reading.add_argument("named", nargs="*", choices=[[], *MEASURES], metavar="NAME")
    reading.add_argument("--seconds", type=float)
    asked = reading.parse_args(arguments)
    print(
        f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"NumPy {np.__version__}"
    )
    missed = False
    for name in asked.named or MEASURES:
        timed = name in FOR_A_TIME and asked.seconds is not None
        for item in FOR_A_TIME[name](asked.seconds) if timed else MEASURES[name]():
            print(item.line, flush=True)
            missed = missed or item.missed
    return int(missed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
