"""Callers in a process of their own who ask for all kinds of things, each one after the other.

Run as ``python -m tests.benchmarks.mixed_callers FILE``; the file holds a plan as JSON. Says every
second how many were answered, and at the end what came of it. Speaks to this machine alone.
"""

import asyncio
import json
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

import uvloop

from tests.benchmarks.load import HOST, LENGTH, STATUS, request_bytes

LIMIT = 16 * 1024 * 1024
JSON = {"Content-Type": "application/json"}
PATCH = {"Content-Type": "application/merge-patch+json"}
ETAG = b"etag: "
LOST = "connection lost"
WHOLE = ", whole"
"""At the end of a kind of costing: with what to check first, which a program leaves out."""
OWN = "own scenario"
"""Read by a caller before its first change, and after one that was refused."""


@dataclass(frozen=True)
class Plan:
    """What is asked, by whom and for how long."""

    port: int
    token: str
    shares: Mapping[str, float]
    """How often each kind is asked, by its name; they add up to 1."""
    scenarios: list[str]
    """Ids; each caller changes the one of its own number, and reads all."""
    costings: list[str]
    """Addresses of stored costings."""
    documents: Mapping[str, str]
    """Bodies by the kind that sends them."""
    seconds: float
    most: int
    """How many requests at the most."""
    seed: int = 20261126


@dataclass
class Came:
    """What came of it."""

    seconds: float = 0.0
    milliseconds: dict[str, list[float]] = field(default_factory=dict)
    """How long each answer took, by kind."""
    failures: dict[str, int] = field(default_factory=dict)
    """How often, by kind and status."""


def called(plan: Plan, file: Path, told: Callable[[int], None] = lambda _: None) -> Came:
    """Run the callers; return what came of it.

    Parameters
    ----------
    plan : Plan
        What they do.
    file : Path
        Where to lay the plan for them.
    told : callable
        Called every second with how many were answered.
    """
    file.write_text(json.dumps(asdict(plan)), "utf-8")
    command = [sys.executable, "-m", "tests.benchmarks.mixed_callers", str(file)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as callers:  # noqa: S603
        came = Came()
        for line in callers.stdout or ():
            if line.startswith("{"):
                came = Came(**json.loads(line))
            else:
                told(int(line))
    if callers.returncode or not came.milliseconds:
        message = "the callers did not come to an end"
        raise RuntimeError(message)
    return came


class Callers:
    """All callers, and what came of them so far."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.until = time.perf_counter() + plan.seconds
        self.begun = self.answered = 0
        self.milliseconds: dict[str, list[float]] = {kind: [] for kind in (*plan.shares, OWN)}
        self.failures: Counter[str] = Counter()
        self.authorized = {"Authorization": f"Bearer {plan.token}"}

    async def all(self) -> Came:
        """Run them to the end."""
        began = time.perf_counter()
        telling = asyncio.create_task(self._tell())
        await asyncio.gather(*(self._caller(number) for number in range(len(self.plan.scenarios))))
        telling.cancel()
        took = time.perf_counter() - began
        return Came(took, self.milliseconds, dict(self.failures))

    async def _tell(self) -> None:
        while True:
            await asyncio.sleep(1)
            print(self.answered, flush=True)

    async def _caller(self, number: int) -> None:
        chance = random.Random(self.plan.seed + number)  # noqa: S311 - the same each time
        kinds, shares = list(self.plan.shares), list(self.plan.shares.values())
        own, tag = f"/v1/scenarios/{self.plan.scenarios[number]}", ""
        connection = None
        while time.perf_counter() < self.until and self.begun < self.plan.most:
            self.begun += 1
            [kind] = chance.choices(kinds, shares)
            if kind == "change" and not tag:
                kind = OWN  # who changes has read before
            request = self._request(kind, own, tag, chance)
            began = time.perf_counter()
            try:
                if connection is None:
                    connection = await asyncio.open_connection(HOST, self.plan.port, limit=LIMIT)
                status, head = await _exchanged(*connection, request)
            except (OSError, EOFError):
                self.failures[f"{kind} {LOST}"] += 1
                connection, tag = None, ""
                continue
            self.milliseconds[kind].append((time.perf_counter() - began) * 1e3)
            self.answered += 1
            if not status.startswith("2"):
                self.failures[f"{kind} {status}"] += 1
            if b"connection: close" in head:
                connection[1].close()
                connection = None
            if kind in {"change", OWN}:
                tag = _field(head, ETAG) if status.startswith("2") else ""
        if connection is not None:
            connection[1].close()

    def _request(self, kind: str, own: str, tag: str, chance: random.Random) -> bytes:
        headers = {**self.authorized, "Accept-Encoding": "gzip"}
        scenario = f"/v1/scenarios/{chance.choice(self.plan.scenarios)}"
        if kind in {"scenario", OWN}:
            return request_bytes("GET", own if kind == OWN else scenario, headers)
        if kind == "stored costing":
            return request_bytes("GET", chance.choice(self.plan.costings), headers)
        if kind == "list":
            return request_bytes("GET", "/v1/scenarios?limit=50", headers)
        if kind == "page":
            return request_bytes("GET", f"{scenario}/page.html", headers)
        if kind == "change":
            price = json.dumps({"hay": {"price_per_ton": 40 + round(chance.random() * 100, 2)}})
            return request_bytes("PATCH", own, headers | PATCH | {"If-Match": tag}, price.encode())
        path = "/v1/scenarios" if kind == "new scenario" else "/v1/costings?check_first=false"
        if kind.endswith(WHOLE):
            path = "/v1/costings"
        return request_bytes("POST", path, headers | JSON, self.plan.documents[kind].encode())


async def _exchanged(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, request: bytes
) -> tuple[str, bytes]:
    """Send one request; return status and head of the answer once it has come whole."""
    writer.write(request)
    head = await reader.readuntil(b"\r\n\r\n")
    lower = head.lower()
    await reader.readexactly(int(_field(lower, LENGTH) or "0"))
    return head[STATUS].decode(), lower


def _field(head: bytes, name: bytes) -> str:
    """Return the value of a field, by its name in small letters; empty if there is none."""
    at = head.find(b"\n" + name)
    if at < 0:
        return ""
    at += 1 + len(name)
    return head[at : head.index(b"\r", at)].decode()


async def _run(plan: Plan) -> Came:
    return await Callers(plan).all()


if __name__ == "__main__":
    given = Plan(**json.loads(Path(sys.argv[1]).read_text("utf-8")))
    print(json.dumps(asdict(uvloop.run(_run(given)))))
