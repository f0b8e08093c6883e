"""Risk: draws of the demo, and draws of the engine against a hand-written kernel of the same sums.

Run as ``python -m tests.benchmarks.analysis_risk DRAWS`` it answers one question about the demo and
prints the processor time of a draw [µs] and the peak memory of the process [MB].
"""

import resource
import statistics
import subprocess
import sys
import time

import numpy as np

from service.analysis.draw_values import BLOCK
from service.analysis.draws import drawn_winters
from service.analysis.questions import Risk
from service.analysis.risk import risk
from service.analysis.subject import Subject
from service.analysis.work import Work, answered
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.benchmarks.kernel import costs_of
from tests.benchmarks.kernel_farm import draws_of, kernel_farm
from tests.benchmarks.measure import MILLISECONDS, Measure, least

MICROSECONDS = 1e6
THOUSANDS = 1e3
MILLION = 1_000_000
ROUNDS = 21
AVERSIONS = (1e-5, 1e-4)


def asked(draws: int) -> Work:
    """Return the work for a question about the demo, all that is varied by default."""
    document = demo_document()
    subject = Subject(document, scenario_of(document), scenario_of)
    return risk(subject, Risk(draws=draws, absolute_risk_aversion=AVERSIONS))


def warm_up() -> None:
    """Let the allocator learn of large arrays, and import what is imported when first needed."""
    np.empty(4_000_000)
    answered(asked(1))


def of_a_draw(draws: int, rounds: int) -> float:
    """Return the processor time of one of many draws, from the first part to the answer [µs]."""
    work = asked(draws)
    return least(lambda: answered(work), rounds) / MILLISECONDS / draws * MICROSECONDS


def against_kernel() -> tuple[float, float, float]:
    """Return draws a second of the engine and of the kernel, and the median of their ratio."""
    document = kernel_farm()
    scenario = scenario_of(document)
    varied, picked = draws_of(BLOCK)
    engine: list[float] = []
    kernel: list[float] = []
    for _ in range(ROUNDS):
        start = time.process_time()
        drawn_winters(scenario, varied, picked)
        between = time.process_time()
        costs_of(document, varied, picked)
        engine.append(between - start)
        kernel.append(time.process_time() - between)
    ratio = statistics.median(own / other for own, other in zip(kernel, engine, strict=True))
    return BLOCK / min(engine), BLOCK / min(kernel), ratio


def million() -> tuple[float, float]:
    """Return time of a draw [µs] and peak memory [MB] of a million, in a process of their own."""
    command = [sys.executable, "-m", "tests.benchmarks.analysis_risk", str(MILLION)]
    told = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603
    each, memory = told.stdout.split()
    return float(each), float(memory)


def risk_measures() -> list[Measure]:
    """How fast draws are, alone, many and against the kernel, and how much memory they take."""
    warm_up()
    whole = least(lambda: answered(asked(10_000)), 5)
    engine, kernel, ratio = against_kernel()
    each, memory = million()
    times = {
        1_000: of_a_draw(1_000, 10),
        10_000: of_a_draw(10_000, 5),
        100_000: of_a_draw(100_000, 1),
        MILLION: each,
    }
    return [
        Measure("risk: demo, 10,000 draws x 7 systems, question to answer", whole, "ms", 1_000),
        *(
            Measure(f"  one of {draws:,} draws", microseconds, "µs")
            for draws, microseconds in times.items()
        ),
        Measure(
            "  dearest of these / cheapest", max(times.values()) / min(times.values()), "times", 2
        ),
        Measure("  peak memory, a million draws", memory, "MB", 400),
        Measure("engine, benchmark farm, thousand draws a second", engine / THOUSANDS, "k/s"),
        Measure("hand-written kernel, the same", kernel / THOUSANDS, "k/s"),
        Measure("engine / kernel", ratio, "times", least=1 / 3),
    ]


def main(draws: int) -> None:
    """Answer one question and print what it took."""
    warm_up()
    each = of_a_draw(draws, 1)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / THOUSANDS
    print(each, memory)


if __name__ == "__main__":
    main(int(sys.argv[1]))
