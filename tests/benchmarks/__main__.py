"""Prints every figure with its target, and ends non-zero where a target is missed.

Ratios are taken between alternating runs in one process; times are the least of many, in processor
time of one core, and stand beside the time of a fixed piece of NumPy work on the same machine.
"""

import os
import platform
import sys

import numpy as np

from tests.benchmarks.engine import engine_measures
from tests.benchmarks.server import server_measures
from tests.benchmarks.store import store_measures


def main() -> int:
    """Measure all and print a table."""
    print(
        f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
        f"NumPy {np.__version__}"
    )
    missed = False
    for measures in (engine_measures, server_measures, store_measures):
        for item in measures():
            mark = "MISSED" if item.missed else ""
            print(f"{item.name:62s} {item.value:10.2f} {item.unit:8s} {item.target:14s} {mark}")
            missed = missed or item.missed
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
