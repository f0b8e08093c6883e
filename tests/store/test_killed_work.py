"""A question that is being worked on when the server is killed is answered by the next one."""

import subprocess
import sys
import time

import httpx
import pytest

from service.analysis.answering import prepared
from service.analysis.questions import Risk
from service.analysis.work import answered
from service.scenarios.analyses import subject_of
from service.scenarios.costings import packed
from service.scenarios.sharing import make_key_on_host
from service.scenarios.winters import Recorded
from service.settings import Settings
from service.store.opening import close_desk, open_desk
from service.store.soundness import findings
from service.store.upgrading import prepare
from service.web.reading import scenario_of
from tests.support.offices import small_document

LEASE = 1
"""Short, so that the next server need not wait a minute [s]."""
PATIENCE = 120
DRAWS, SEED = 200_000, 20261125


def at_once():
    """Return the answer as one process gives it that nobody kills."""
    document = small_document()
    subject = subject_of(scenario_of, document, Recorded(document))
    return packed(answered(prepared(subject, Risk(draws=DRAWS, seed=SEED))))


def looked_at(client, where, enough):
    until = time.monotonic() + PATIENCE
    while not enough(found := client.get(where).json()):
        assert time.monotonic() < until, found
        assert found["state"] != "failed", found
        time.sleep(0.02)
    return found


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_work_goes_on_where_the_killed_server_left_it(tmp_path):
    settings = Settings(data=tmp_path)
    prepare(settings, migrate=True)
    desk = open_desk(settings, scenario_of)
    _, _, token = make_key_on_host(desk, "Office", "write", "writer", 1)
    close_desk(desk)

    with subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "tests.support.killable_server", str(tmp_path), str(LEASE)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:

        def obey(word: str) -> None:
            server.stdin.write(f"{word}\n")
            server.stdin.flush()
            assert server.stdout.readline() == "done\n"

        base = f"http://127.0.0.1:{server.stdout.readline().strip()}"
        headers = {"Authorization": f"Bearer {token}", "Connection": "close"}
        with httpx.Client(base_url=base, headers=headers, timeout=20) as client:
            obey("start")
            scenario = client.post("/v1/scenarios", json=small_document()).json()["id"]
            asked = client.post(
                f"/v1/scenarios/{scenario}/analyses",
                json={"question": "risk", "draws": DRAWS, "seed": SEED},
                headers={"Prefer": "wait=0"},
            )
            assert asked.status_code == 202, asked.text
            where = asked.headers["Location"]
            total = asked.json()["progress"]["total"]
            before = looked_at(client, where, lambda one: one["progress"]["done"] >= 3)
            obey("kill")
            assert before["state"] == "running"
            assert before["progress"]["done"] < total
            obey("start")
            after = client.get(where).json()
            assert after["progress"]["done"] >= before["progress"]["done"]
            done = looked_at(client, where, lambda one: one["state"] == "done")
            assert done["progress"] == {"done": total, "total": total, "unit": "part"}
        server.stdin.close()

    desk = open_desk(settings, scenario_of)
    with desk.store.reading() as session:
        job = session.jobs.get(scenario, done["id"])
        assert job.attempts == 2
        assert job.result == at_once()
        assert session.jobs.parts_done(job.id) == set()
    close_desk(desk)
    assert findings(settings) == []
