"""Many farms at once: how many a second, against the engine alone, and how memory grows."""

import resource
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from service.costing.case import Case
from service.costing.checks import faults_of
from service.costing.engine import worked
from service.demo import demo_document
from service.sweeps.chunk import chunk_payload, chunks, run_chunk
from service.sweeps.executors import Serial
from service.sweeps.records import CHUNK_ROWS, ChunkResult, FarmRow, SweepSpec
from service.sweeps.running import run_all
from service.web.reading import scenario_of
from tests.benchmarks.measure import Measure

FARMS = 20_000
SYSTEMS = ("lot_open_rings", "grass_first", "rock_pad")
SIZES = (1_000, 10_000, 100_000)
ROUNDS = 20
MICROSECONDS = 1e6
MEGABYTES = 1024 * 1024
MOST_GROWTH = 10.0
"""Of the resident set while a sweep runs, the list of its farms left out [MB]."""


def many_farms_measures() -> list[Measure]:
    """Farm-systems a second of one core end to end, and memory by number of farms."""
    _run(4 * CHUNK_ROWS)
    whole = _run(FARMS)[0] / FARMS
    alone, checked, chunk = _engine_alone(), _checked_and_engine(), _one_chunk()
    runs = {size: _run(size) for size in SIZES}
    times = [seconds / size for size, (seconds, _) in runs.items()]
    return [
        Measure(
            "many farms: 20,000 x 3 systems, farm-systems", len(SYSTEMS) / whole, "1/s", least=1500
        ),
        Measure("a farm of it, end to end", whole * MICROSECONDS, "us"),
        Measure("a farm in the engine alone, as a draw", alone * MICROSECONDS, "us"),
        Measure("a farm read, checked and in the engine", checked * MICROSECONDS, "us"),
        Measure("a chunk against reading, checks and engine", chunk / checked, "times", most=1.3),
        Measure(
            "a farm: 10^3 to 10^5 farms, most / least", max(times) / min(times), "times", most=1.3
        ),
        *[
            Measure(f"memory that a run of {size} farms adds", growth, "MB", most=MOST_GROWTH)
            for size, (_, growth) in runs.items()
        ],
    ]


def sweep(farms: int) -> SweepSpec:
    """Return a sweep over so many farms, three systems each."""
    document = demo_document()
    document["systems"] = {key: document["systems"][key] for key in SYSTEMS}
    listed = tuple(FarmRow(f"F{number:06d}", _settings(number)) for number in range(farms))
    return SweepSpec(document, listed)


def _settings(number: int) -> dict[str, float]:
    return {
        "herd.cows.head": 40.0 + number % 61,
        "hay.price_per_ton": 55.0 + number % 83,
        "prices.labor_per_hour": 14.0 + number % 47 / 4,
    }


def _run(farms: int) -> tuple[float, float]:
    """Return processor time [s] of a whole sweep and what memory grows meanwhile [MB]."""
    spec = sweep(farms)
    before = _resident()
    largest = before

    def keep(number: int, result: ChunkResult) -> None:
        nonlocal largest
        assert result.failed == 0, number
        largest = max(largest, _resident())

    start = time.process_time()
    run_all(spec, scenario_of, Serial(), keep)
    return time.process_time() - start, largest - before


def _resident() -> float:
    """Return the memory that the process holds now [MB]."""
    pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    return pages * resource.getpagesize() / MEGABYTES


def _one_chunk() -> float:
    """Return the least processor time of a farm in one chunk [s]."""
    spec = sweep(CHUNK_ROWS)
    [only] = chunks(spec)

    def run() -> None:
        run_chunk(chunk_payload(spec, only.number), scenario_of)

    return _least(run) / CHUNK_ROWS


def _engine_alone() -> float:
    """Return the least processor time of one draw of a run as large as a chunk [s]."""
    scenario = scenario_of(sweep(1).document)
    varied = varied_by(CHUNK_ROWS)

    def run() -> None:
        for system in worked(Case(scenario, varied=varied)).systems.values():
            assert len(system.account.annual_equivalent.value) == CHUNK_ROWS

    return _least(run) / CHUNK_ROWS


def varied_by(farms: int) -> dict[str, NDArray[np.float64]]:
    """Return what so many farms of a sweep set, as draws."""
    settings = [_settings(number) for number in range(farms)]
    return {path: np.array([one[path] for one in settings])[:, None] for path in settings[0]}


def _checked_and_engine() -> float:
    """Return the same with the reading and the checks that every document passes [s]."""
    document = sweep(1).document
    return _least(lambda: faults_of(scenario_of(document))) + _engine_alone()


def _least(work) -> float:
    times = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)
