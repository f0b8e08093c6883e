"""The table of ratios T1 to T12b: each with its floor and its aim, or why there is none.

A floor that is missed says so; an aim is told beside it.
"""

from collections.abc import Callable, Iterable, Iterator

from tests.benchmarks.measure import Measure
from tests.benchmarks.ratio import NotTaken
from tests.benchmarks.ratios_engine import against_memory, sweeps_and_processes, whole_answers
from tests.benchmarks.ratios_http import (
    against_bare_routes,
    against_null_routes,
    around_the_routes,
)
from tests.benchmarks.ratios_reports import report_measures
from tests.benchmarks.ratios_served import beside_draws, two_workers
from tests.benchmarks.ratios_start import start_measures
from tests.benchmarks.ratios_store import act_measures


def _said(*lines: str) -> Callable[[], list[Measure]]:
    return lambda: [NotTaken(line) for line in lines]


ROWS: tuple[Callable[[], Iterable[Measure]], ...] = (
    against_bare_routes,
    around_the_routes,
    against_memory,
    whole_answers,
    _said(
        "T4 no counterpart: there is no second engine in plain Python; risk: engine / kernel",
        "T5, T5b are among the figures of store: a page at any depth, of 10^6 against 10^3",
    ),
    act_measures,
    against_null_routes,
    _said(
        "T6c is a fact that a test holds: tests/store/test_concurrency.py, two processes",
        "T7 no counterpart: no batch of lines; many_farms: a chunk against its parts",
        "T7b is among the figures of many_farms: memory that 10^3 to 10^5 farms add",
        "T7c no counterpart: farms come as a sweep, not as one array of documents",
    ),
    sweeps_and_processes,
    beside_draws,
    two_workers,
    start_measures,
    report_measures,
)


def ratio_measures() -> Iterator[Measure]:
    """Return every row, in their order."""
    for rows in ROWS:
        yield from rows()
