"""Draws against the machine's memory and against one farm, and processes against one."""

import time
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import numpy as np

from service.analysis.draws import drawn_winters
from service.analysis.risk import RiskWork
from service.analysis.work import answered
from service.costing.case import Case
from service.costing.engine import worked
from service.sweeps.executors import Serial, executor_of
from service.sweeps.records import CHUNK_ROWS
from service.sweeps.running import run_all
from service.web.reading import prepare, scenario_of
from tests.benchmarks.analysis_risk import BLOCK, asked
from tests.benchmarks.kernel import Kernel, costs_of
from tests.benchmarks.kernel_farm import draws_of, kernel_farm
from tests.benchmarks.kernel_values import Farm, Winters
from tests.benchmarks.measure import MILLISECONDS, Measure
from tests.benchmarks.ratio import Compared, compared
from tests.benchmarks.sweeping import SYSTEMS, sweep, varied_by
from tests.benchmarks.touched import Counted, touched

MEBIBYTE = 1024 * 1024
FAR = 256 * MEBIBYTE
"""Of an array that no cache holds [bytes]."""
TRIAD_BYTES = 40
"""What a triad reads and writes of one element."""
FLOAT = 8
STATES = 4
DRAWS = 10_000
FARMS_IN_PROCESSES = 16 * CHUNK_ROWS
ROUNDS, SLOW_ROUNDS = 9, 5


def against_memory() -> Iterator[Measure]:
    """T3 and T3b: bytes that draws touch in a second against what the machine can do."""
    document = kernel_farm()
    scenario = scenario_of(document)
    varied, picked = draws_of(BLOCK)
    count = _bytes_of_draws(document)
    yield Measure("bytes that the hand-written kernel touches, a draw", count / BLOCK, "bytes")
    of_a_block = STATES * FLOAT * (BLOCK + 1)

    def draws() -> object:
        return drawn_winters(scenario, varied, picked)

    def kernel() -> object:
        return costs_of(document, varied, picked)

    for mark, words, size, least, aim in (
        ("T3", f"{FAR // MEBIBYTE} MiB", FAR, 0.8, 1.0),
        ("T3b", f"{of_a_block // 1024} KiB, an array of a block", of_a_block, 0.25, 0.35),
    ):
        triad, in_triad = _triad(size)
        for name, work, bounds in (
            ("engine", draws, {"least": least, "aim": aim}),
            ("kernel", kernel, {}),
        ):
            found = compared(triad, work, ROUNDS)
            yield _scaled(found, count / in_triad).ratio(
                f"{mark} {name}, rate / triad of {words}", **bounds
            )


def _bytes_of_draws(document: dict[str, Any]) -> int:
    """Return the bytes that the kernel touches for a block of draws.

    The engine does the same sums on arrays of the same shape, so it touches no fewer; its own are
    not counted, since it makes arrays that do not come from those that are counted.
    """
    varied, picked = draws_of(BLOCK)

    def work(counted: dict[str, Any]) -> object:
        farm = Farm(document, counted)
        winters = Winters.of(farm, picked)
        seen = {
            item.name: np.asarray(getattr(winters, item.name)).view(Counted)
            for item in fields(winters)
        }
        kernel = Kernel(farm, replace(winters, **seen))
        return [kernel.costed(system) for system in document["systems"].values()]

    return touched(work, varied)[0]


def _triad(size: int) -> tuple[Any, int]:
    """Return a triad on arrays of a size, and the bytes that it reads and writes."""
    count = size // FLOAT
    a, b, c = np.empty(count), np.ones(count), np.ones(count)

    def triad() -> None:
        np.multiply(c, 3.0, out=a)
        np.add(a, b, out=a)

    return triad, count * TRIAD_BYTES


def _scaled(found: Compared, by: float) -> Compared:
    return replace(found, low=found.low * by, median=found.median * by, high=found.high * by)


def whole_answers() -> Iterator[Measure]:
    """T3c and T4b: a whole answer against its runs of the engine, one farm against many."""
    work = asked(DRAWS)
    if not isinstance(work, RiskWork):
        raise TypeError(work)
    blocks = [work.draws.drawn(number) for number in range(work.draws.blocks)]

    def engine() -> None:
        for picked, values in blocks:
            drawn_winters(work.subject.scenario, values, picked)

    whole = compared(lambda: answered(asked(DRAWS)), engine, SLOW_ROUNDS)
    yield whole.ratio("T3c risk, question to answer / its runs", most=1.6, aim=1.35)
    scenario = scenario_of(sweep(1).document)
    varied = varied_by(CHUNK_ROWS)

    def one() -> object:
        return worked(Case(scenario))

    def many() -> object:
        return worked(Case(scenario, varied=varied))

    found = _scaled(compared(one, many, ROUNDS), CHUNK_ROWS)
    yield found.ratio(f"T4b one farm / a farm of {CHUNK_ROWS} at once", most=25, aim=15)


def sweeps_and_processes() -> Iterator[Measure]:
    """T7d and T8: a sweep against documents one by one, two processes against one."""
    spec = sweep(CHUNK_ROWS)
    documents = [sweep(1).document | {"name": f"Farm {number}"} for number in range(3)]

    def one_by_one() -> None:
        for document in documents:
            worked(Case(scenario_of(document)))

    found = _scaled(
        compared(one_by_one, lambda: _swept(spec, Serial()), ROUNDS), CHUNK_ROWS / len(documents)
    )
    yield found.ratio("T7d sweep / documents read and costed one by one")
    many = sweep(FARMS_IN_PROCESSES)
    with executor_of("processes:2", prepare) as pool:
        _swept(many, pool)
        processes = compared(
            lambda: _swept(many, Serial()),
            lambda: _swept(many, pool),
            SLOW_ROUNDS,
            time.perf_counter,
        )
    yield processes.ratio("T8 sweep, 2 processes / 1", least=1.5, aim=1.7)
    rate = len(SYSTEMS) * FARMS_IN_PROCESSES / (processes.second_ms / MILLISECONDS)
    yield Measure("   farm-systems with 2 processes", rate, "1/s")


def _swept(spec: Any, executor: Any) -> None:
    done = 0

    def keep(_: int, result: Any) -> None:
        nonlocal done
        done += 1
        if result.failed:
            raise ValueError(result)

    run_all(spec, scenario_of, executor, keep)
    if not done:
        raise ValueError(spec)
