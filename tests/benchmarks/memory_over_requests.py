"""What a server's memory does over two hundred thousand requests.

The mix has fewer costings than that of the load, so that the run ends in a quarter of an hour; all
kinds are in it. The slope is that of the least squares through memory over requests answered.
"""

import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.benchmarks.measure import Measure
from tests.benchmarks.mixed_callers import called
from tests.benchmarks.mixed_load import furnished, resident_of_tree
from tests.benchmarks.server import served

REQUESTS = 200_000
WARM_UP = 0.1
"""Share of the requests that is left out, 20,000 of all: until then caches fill."""
SECONDS = 1_800.0
"""The longest that it may take; what was not asked by then is missing from the count."""
PER = 10_000
FEWEST_POINTS = 10
MIX: Mapping[str, float] = {
    "scenario": 0.30,
    "stored costing": 0.45,
    "list": 0.10,
    "page": 0.02,
    "costing of the example": 0.015,
    "costing of the demo": 0.005,
    "change": 0.08,
    "new scenario": 0.03,
}


def memory_measures(seconds: float = SECONDS) -> Iterator[Measure]:
    """Measure one process on SQLite."""
    told = ", ".join(f"{kind} {share:.1%}" for kind, share in MIX.items())
    print(f"{REQUESTS:,} requests, or {seconds:g} s; of 100 requests: {told}")
    answered: list[int] = []
    memory: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        plan = replace(furnished(Path(folder)), shares=MIX, most=REQUESTS, seconds=seconds)
        with served(folder) as (port, process):
            began = time.monotonic()

            def told_of(count: int) -> None:
                answered.append(count)
                memory.append(resident_of_tree(process))

            came = called(replace(plan, port=port), Path(folder) / "plan.json", told_of)
            took = time.monotonic() - began
            last = resident_of_tree(process)
    asked = sum(len(times) for times in came.milliseconds.values())
    yield Measure("requests answered by one process on SQLite", asked, "", least=REQUESTS)
    yield Measure("  a second", asked / took, "a second")
    yield Measure("  failures", sum(came.failures.values()), "", 0)
    for share in (0.1, 0.25, 0.5, 0.75):
        at = min(range(len(answered)), key=lambda i, share=share: abs(answered[i] - share * asked))
        yield Measure(f"  memory after {answered[at]:,} requests", memory[at], "MB")
    yield Measure(f"  memory after {asked:,} requests", last, "MB")
    yield Measure(f"  growth with each {PER:,} requests", slope(answered, memory), "MB", 1)


def slope(answered: list[int], memory: list[float]) -> float:
    """Return how memory grows with each 10,000 requests, the first tenth left out [MB].

    Raises
    ------
    ValueError
        If too few were answered to tell.
    """
    kept = [
        point for point in zip(answered, memory, strict=True) if point[0] >= WARM_UP * answered[-1]
    ]
    if len(kept) < FEWEST_POINTS:
        message = f"too short: {FEWEST_POINTS} seconds are needed after the first tenth"
        raise ValueError(message)
    counts, sizes = np.array(kept, dtype=float).T
    return float(np.polyfit(counts / PER, sizes, 1)[0])
