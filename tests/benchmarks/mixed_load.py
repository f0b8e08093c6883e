"""Many callers at once who read, cost and write: whether any fails, and how the slowest fare.

The callers run on the same machine as the server, each asks as soon as it was answered, and what
they ask is printed. What costs and what reads stand in one queue, so the ratio of the slowest to
the median is given for each kind, too.
"""

import json
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import SecretStr

from service.demo import demo_document
from service.scenarios.costings import costing_now
from service.scenarios.keeping import create
from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.upgrading import prepare
from tests.benchmarks.measure import Measure
from tests.benchmarks.mixed_callers import WHOLE, Came, Plan, called
from tests.benchmarks.server import resident, served
from tests.support.databases import ROOT, postgresql_server
from tests.support.installation import at_desk, caller_of

CLIENTS = 64
SECONDS = 60.0
WARM_UP = 3.0
"""Until every process of the server has answered [s]."""
WORKERS = 2
NO_END = 1_000_000_000
EXAMPLE = ROOT / "openapi_examples" / "create_scenario_ring_against_pad.json"

MIX: Mapping[str, float] = {
    "scenario": 0.25,
    "stored costing": 0.25,
    "list": 0.15,
    "page": 0.05,
    "costing of the example": 0.10,
    "costing of the demo": 0.08,
    f"costing of the demo{WHOLE}": 0.02,
    "change": 0.08,
    "new scenario": 0.02,
}
"""Reads 70 %, costings of documents 20 %, writes 10 %: changes each with the ETag of the last.

Costings are asked as a program asks, without what to check first, but for the whole ones.
"""


def load_measures(seconds: float = SECONDS) -> Iterator[Measure]:
    """Measure both databases, each with two processes and 64 callers."""
    told = ", ".join(f"{kind} {share:.0%}" for kind, share in MIX.items())
    print(f"{CLIENTS} callers for {seconds:g} s, {WORKERS} processes; of 100 requests: {told}")
    with tempfile.TemporaryDirectory() as folder:
        yield from _of("SQLite", Path(folder), "", seconds)
    with (
        postgresql_server() as server,
        server.new() as address,
        tempfile.TemporaryDirectory() as folder,
    ):
        yield from _of("PostgreSQL", Path(folder), address, seconds)


def furnished(folder: Path, database: str = "") -> Plan:
    """Make an office with a scenario for each caller; return a plan that lacks port and time."""
    address = SecretStr(database) if database else None
    settings = Settings(data=folder, database=address)
    prepare(settings, migrate=True)
    example = json.loads(EXAMPLE.read_text("utf-8"))["request"]["document"]
    demo = demo_document()
    for document in (example, demo):
        document.pop("external_id", None)
    with at_desk(settings) as desk:
        _, _, token = make_key_on_host(desk, "Office", "write", "benchmark", 1)
        caller = caller_of(desk, token)
        ids = [create(desk, caller, example).head.id for _ in range(CLIENTS)]
        kept = [costing_now(desk, caller, scenario) for scenario in ids]
    return Plan(
        port=0,
        token=token,
        shares=MIX,
        scenarios=ids,
        costings=[_address(one) for one in kept],
        documents={
            "costing of the example": json.dumps({"document": example}),
            "costing of the demo": json.dumps({"document": demo}),
            f"costing of the demo{WHOLE}": json.dumps({"document": demo}),
            "new scenario": json.dumps(example),
        },
        seconds=0,
        most=NO_END,
    )


def _address(kept: Any) -> str:
    return f"/v1/scenarios/{kept.scenario_id}/costings/{kept.id}"


def tree(process: int) -> list[int]:
    """Return a process and all that it started, however far down (proc(5), stat)."""
    parents: dict[int, int] = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            stat = (folder / "stat").read_text("ascii", errors="replace")
        except OSError:
            continue  # it ended meanwhile
        parents[int(folder.name)] = int(stat.rpartition(")")[2].split()[1])
    found = [process]
    for one in found:
        found += [child for child, parent in parents.items() if parent == one]
    return found


def resident_of_tree(process: int) -> float:
    """Return the resident memory of a process and all that it started [MB]."""
    return sum(resident(one) for one in tree(process))


def _of(name: str, folder: Path, database: str, seconds: float) -> Iterator[Measure]:
    plan = furnished(folder, database)
    file = folder / "plan.json"
    with served(str(folder), "--workers", str(WORKERS), database=database) as (port, process):
        plan = replace(plan, port=port, seconds=WARM_UP)
        called(plan, file)
        before = resident_of_tree(process)
        came = called(replace(plan, seconds=seconds, seed=plan.seed + 1_000), file)
        after = resident_of_tree(process)
    yield from _told(name, came)
    yield Measure("  memory of all its processes before", before, "MB")
    yield Measure("  memory of all its processes after", after, "MB")


def _told(name: str, came: Came) -> Iterator[Measure]:
    every = [one for times in came.milliseconds.values() for one in times]
    yield Measure(f"{name}: mixed load", len(every) / came.seconds, "a second")
    for kind, count in sorted(came.failures.items()):
        yield Measure(f"  failures: {kind}", count, "")
    yield Measure("  failures in all", sum(came.failures.values()), "", 0)
    yield from _times("all", every, 20)
    for kind, times in came.milliseconds.items():
        yield from _times(f"{kind} ({len(times)})", times, 20)


def _times(what: str, times: list[float], most: float) -> Iterator[Measure]:
    if not times:
        return
    median, slow = np.percentile(times, [50, 99])
    yield Measure(f"  {what}: median", float(median), "ms")
    yield Measure(f"  {what}: 99 of 100 within", float(slow), "ms")
    yield Measure(f"  {what}: that against the median", float(slow / median), "times", most)
