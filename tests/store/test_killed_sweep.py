"""A sweep that is being worked on when the server is killed is ended by the next one."""

import hashlib
import subprocess
import sys
import time
from functools import partial

import httpx
import pytest

from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.opening import close_desk, open_desk
from service.store.soundness import findings
from service.store.upgrading import prepare
from service.sweeps.chunk import chunk_payload, chunks, run_chunk
from service.sweeps.records import FarmRow, SweepSpec
from service.web.reading import scenario_of
from tests.support.offices import small_document

LEASE = 2
"""Short, so that the next server need not wait a minute [s]."""
PATIENCE = 120
PATH = "hay.price_per_ton"
FARMS = 2_500
FIGURES = ("annual_equivalent_cost", "rank")


def settings_of(number):
    # Every hundredth cannot be costed.
    return {PATH: -1 if number % 100 == 0 else 60 + number / 100}


def at_once():
    """Return the rows as one process gives them that nobody kills."""
    document = {"reference_edition": "2026.1", **small_document()}
    farms = tuple(FarmRow(f"{number}", settings_of(number)) for number in range(FARMS))
    spec = SweepSpec(document, farms, figures=FIGURES)
    parts = (run_chunk(chunk_payload(spec, one.number), scenario_of) for one in chunks(spec))
    return b"".join(part.csv for part in parts)


def obey(server, word):
    server.stdin.write(f"{word}\n")
    server.stdin.flush()
    assert server.stdout.readline() == "done\n"


def looked_at(client, where, enough):
    until = time.monotonic() + PATIENCE
    while not enough(found := client.get(where).json()):
        assert time.monotonic() < until, found
        assert found["state"] != "failed", found
        time.sleep(0.02)
    return found


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_a_sweep_goes_on_where_the_killed_server_left_it(tmp_path):
    settings = Settings(data=tmp_path)
    prepare(settings, migrate=True)
    desk = open_desk(settings, scenario_of)
    _, _, token = make_key_on_host(desk, "Office", "write", "writer", 1)
    close_desk(desk)

    sent = {
        "document": small_document(),
        "farms": [
            {"external_id": f"{number}", "set": settings_of(number)} for number in range(FARMS)
        ],
        "figures": FIGURES,
    }
    with subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "tests.support.killable_server", str(tmp_path), str(LEASE)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:
        told = partial(obey, server)
        base = f"http://127.0.0.1:{server.stdout.readline().strip()}"
        headers = {"Authorization": f"Bearer {token}", "Connection": "close"}
        with httpx.Client(base_url=base, headers=headers, timeout=20) as client:
            told("start")
            asked = client.post("/v1/sweeps", json=sent)
            assert asked.status_code == 202, asked.text
            where, total = asked.headers["Location"], asked.json()["progress"]["total"]
            before = looked_at(client, where, lambda one: one["progress"]["done"] >= 2)
            told("kill")
            assert before["state"] == "running"
            assert before["progress"]["done"] < total
            told("start")
            after = client.get(where).json()
            assert after["progress"]["done"] >= before["progress"]["done"]
            done = looked_at(client, where, lambda one: one["state"] == "done")
            assert done["progress"] == {"done": total, "total": total, "unit": "chunk"}
            results = client.get(done["results"])
            assert results.headers["Results-Complete"] == "true"
        server.stdin.close()

    header, _, rows = results.content.partition(b"\r\n")
    assert header.decode().split(",") == done["columns"]
    assert hashlib.sha256(rows).digest() == hashlib.sha256(at_once()).digest()
    assert done["failed_rows"] == FARMS // 100
    assert findings(settings) == []
