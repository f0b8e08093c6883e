"""What a state and a country need, worked on paper from figures measured in the same run.

Run as ``python -m tests.benchmarks.growth CORE_HOUR GB_MONTH`` it takes other prices. Prices are
assumptions, from memory, no quotes: put in those of whoever will run it.
"""

import gzip
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import psycopg
from sqlalchemy import text

from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.scenarios.access import identified
from service.scenarios.costings import costing_now
from service.scenarios.desk import Desk
from service.scenarios.ids import new_id
from service.scenarios.keeping import create
from service.store.database import Database
from service.sweeps.chunk import chunk_payload, run_chunk
from service.sweeps.records import CHUNK_ROWS, SweepSpec
from service.web.app import create_app
from service.web.reading import scenario_of
from tests.benchmarks.in_process import opened_desk
from tests.benchmarks.measure import MILLISECONDS, Measure, least
from tests.benchmarks.sweeping import sweep
from tests.support.databases import postgresql_server
from tests.web.keeping import Keeping

FARMS = {"state": 100_000, "country": 2_000_000}
MADE = 2_000
"""Scenarios of which the size is taken."""
WARM_UP = 50
"""Kept before, so that empty tables are not counted."""
NIGHT = 8.0
"""Hours of a night."""
NIGHTS = 30
"""Of a month."""
GIGABYTE = 1e9
HOUR = 3_600.0
ROUNDS = 5
HEAD = "herd.cows.head"
PLAN = "plan?system=by_the_ground"


@dataclass(frozen=True)
class Prices:
    """What is paid; from memory, for a rented machine of a common kind, without tax."""

    core_hour: float = 0.05
    """[USD/hour]"""
    gigabyte_month: float = 0.12
    """Of a disk, without copies [USD/month]."""


@dataclass(frozen=True)
class Swept:
    """What a sweep takes of a farm with so many systems."""

    systems: int
    seconds: float
    """Of one core."""
    kept: int
    """Inputs and results, compressed [bytes]."""


def growth_measures(prices: Prices | None = None) -> Iterator[Measure]:
    """Measure sizes and times, then work out what many farms need."""
    prices = prices or Prices()
    sizes = {"SQLite": _sqlite_bytes(), "PostgreSQL": _postgresql_bytes()}
    for name, size in sizes.items():
        yield Measure(f"a scenario of the demo with its costing, {name}", size / 1_000, "kB")
    whole, plan = _times()
    yield Measure("processor time of a costing of the demo", whole, "s")
    yield Measure("  of its plan", plan, "s")
    yield Measure(
        "  farms opened with costing and plan, one core", HOUR / (whole + plan), "an hour"
    )
    swept = [_swept(sweep(CHUNK_ROWS)), _swept(_of_all_systems())]
    for one in swept:
        yield Measure(
            f"sweep of {one.systems} systems: farm-systems, one core",
            one.systems / one.seconds,
            "1/s",
        )
        yield Measure(f"  kept of a farm with {one.systems} systems", one.kept, "bytes")
    yield Measure("assumed, from memory: a core for an hour", prices.core_hour, "USD")
    yield Measure("assumed, from memory: a GB for a month", prices.gigabyte_month, "USD")
    for words, farms in FARMS.items():
        yield from _needed(f"{words}, {farms:,} farms", farms, sizes, swept, prices)
        yield from _costed_anew(farms * whole / HOUR, prices)


def _needed(
    words: str, farms: int, sizes: dict[str, float], swept: list[Swept], prices: Prices
) -> Iterator[Measure]:
    for name, size in sizes.items():
        yield Measure(f"{words}: {name}", farms * size / GIGABYTE, "GB")
    largest = farms * sizes["PostgreSQL"] / GIGABYTE
    yield Measure("  PostgreSQL, disk for a month", largest * prices.gigabyte_month, "USD")
    for one in swept:
        hours = farms * one.seconds / HOUR
        yield Measure(f"  sweep of {one.systems} systems, one core", hours, "hours")
        yield Measure(f"    cores for a night of {NIGHT:g} h", hours / NIGHT, "")
        yield Measure(f"    {NIGHTS} nights, cores", NIGHTS * hours * prices.core_hour, "USD")
        yield Measure("    kept of a night", farms * one.kept / GIGABYTE, "GB")


def _costed_anew(hours: float, prices: Prices) -> Iterator[Measure]:
    """Return what it takes to cost each farm's own document anew, as for a new edition."""
    yield Measure("  each farm's own document costed anew, one core", hours, "hours")
    yield Measure(f"    cores for a night of {NIGHT:g} h", hours / NIGHT, "")
    yield Measure("    once, cores", hours * prices.core_hour, "USD")


def _sqlite_bytes() -> float:
    with tempfile.TemporaryDirectory() as folder, opened_desk(Path(folder)) as (desk, token):
        return _bytes_of_each(desk, token, lambda: _sqlite_size(desk.store))


def _postgresql_bytes() -> float:
    with (
        tempfile.TemporaryDirectory() as folder,
        postgresql_server() as server,
        server.new(empty=True) as address,
        opened_desk(Path(folder), address) as (desk, token),
    ):
        return _bytes_of_each(desk, token, lambda: _postgresql_size(address))


def _bytes_of_each(desk: Desk, token: str, size) -> float:
    """Keep scenarios with their costings; return what each adds, indexes and audit with it."""
    document = {name: value for name, value in demo_document().items() if name != "external_id"}
    with desk.store.reading() as session:
        caller, _ = identified(session, desk, token)
    first = create(desk, caller, document)
    costing = costing_now(desk, caller, first.head.id)

    def keep(number: int) -> None:
        document["name"] = f"Farm {number}"
        document["external_id"] = f"farm-{number:07d}"
        document["herd"]["cows"]["head"] = herd(number)
        head = create(desk, caller, document).head
        own = replace(costing, id=new_id("co", desk.now()), scenario_id=head.id)
        with desk.store.writing() as session:
            session.costings.add(own)

    for number in range(WARM_UP):
        keep(number)
    before = size()
    for number in range(WARM_UP, WARM_UP + MADE):
        keep(number)
    return (size() - before) / MADE


def _sqlite_size(store) -> int:
    if not isinstance(store, Database):
        raise TypeError(store)
    with store.engine.connect() as connection:
        pages, free, each = (
            connection.execute(text(f"pragma {name}")).scalar_one()
            for name in ("page_count", "freelist_count", "page_size")
        )
    return (pages - free) * each


def _postgresql_size(address: str) -> int:
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute("vacuum")
        [size] = connection.execute("select pg_database_size(current_database())").fetchone() or [0]
    return size


def _times() -> tuple[float, float]:
    """Return the processor time of a whole costing of the demo and of its plan [s]."""
    document = demo_document()
    scenario = scenario_of(document)
    whole = least(lambda: costing_document(cost(scenario), given=document), ROUNDS)
    kept = Keeping(create_app())
    stored = kept.stored(document)
    address = f"/v1/scenarios/{stored}/{PLAN}"
    kept.get(address)
    plan = least(lambda: kept.get(address), ROUNDS)
    return whole / MILLISECONDS, plan / MILLISECONDS


def _of_all_systems() -> SweepSpec:
    """Return a sweep over the demo's seven systems, of herds that all of them have room for."""
    spec = sweep(CHUNK_ROWS)
    rows = tuple(
        replace(row, set={**row.set, HEAD: herd(number)}) for number, row in enumerate(spec.farms)
    )
    return replace(spec, document=demo_document(), farms=rows)


def herd(number: int) -> int:
    """Return how many cows a made farm has."""
    return 40 + number % 20


def _swept(spec: SweepSpec) -> Swept:
    """Return what a chunk takes and leaves, by farm."""
    payload = chunk_payload(spec, 0)
    found = run_chunk(payload, scenario_of)
    if found.failed:
        raise ValueError(found.problems)
    seconds = least(lambda: run_chunk(payload, scenario_of), ROUNDS) / MILLISECONDS
    kept = len(gzip.compress(found.csv)) + len(gzip.compress(payload))
    return Swept(len(spec.document["systems"]), seconds / CHUNK_ROWS, kept // CHUNK_ROWS)


if __name__ == "__main__":
    for item in growth_measures(Prices(*map(float, sys.argv[1:]))):
        print(item.line)
