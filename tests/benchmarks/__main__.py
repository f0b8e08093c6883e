"""Prints every figure with its target, and ends non-zero where a target is missed.

All are measured, or those named: ``python -m tests.benchmarks engine risk``.

Ratios are taken between alternating runs in one process; times are the least of many, in processor
time of one core, and stand beside the time of a fixed piece of NumPy work on the same machine.
"""

import os
import platform
import sys

import numpy as np

from tests.benchmarks.analysis_inputs import input_measures
from tests.benchmarks.analysis_plans import plans_measures
from tests.benchmarks.analysis_risk import risk_measures
from tests.benchmarks.analysis_sweeps import sweep_measures
from tests.benchmarks.engine import engine_measures
from tests.benchmarks.page import page_measures
from tests.benchmarks.pictures import picture_measures
from tests.benchmarks.planner import planner_measures
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
}


def main(named: list[str]) -> int:
    """Measure what is named, or all, and print a table."""
    print(
        f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"NumPy {np.__version__}"
    )
    missed = False
    for name in named or MEASURES:
        for item in MEASURES[name]():
            mark = "MISSED" if item.missed else ""
            print(f"{item.name:62s} {item.value:10.2f} {item.unit:8s} {item.target:14s} {mark}")
            missed = missed or item.missed
    return int(missed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
