"""A server that is killed outright, fifty times, loses nothing that it has answered."""

import random
import subprocess
import sys
import threading
import time

import httpx
import pytest

from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.opening import close_desk, open_desk
from service.store.soundness import findings
from service.store.upgrading import prepare
from service.web.reading import scenario_of
from tests.support.offices import small_document

KILLS = 50
FEWEST_ANSWERED = 10
"""On a busy machine few writes are answered between two kills; without any, nothing is shown."""
SHORTEST, LONGEST = 0.02, 0.15
"""How long the server writes before it is killed [s]."""


class Writer(threading.Thread):
    """Changes one scenario and adds others, one after the other; notes what was answered."""

    def __init__(self, client: httpx.Client, scenario: str) -> None:
        super().__init__(daemon=True)
        self.client = client
        self.scenario = scenario
        self.answered: dict[int, float] = {}
        self.added: list[str] = []
        self.unexpected: list[str] = []
        self.ended = threading.Event()

    def run(self) -> None:
        """Write until told to end."""
        price = 100.0
        while not self.ended.is_set():
            price += 1
            try:
                self._change(price)
                self._add(price)
            except httpx.TransportError:
                continue  # killed before it answered

    def _change(self, price: float) -> None:
        address = f"/v1/scenarios/{self.scenario}"
        etag = self.client.get(address).headers["ETag"]
        patch = {"hay": {"price_per_ton": price}}
        answer = self.client.patch(address, json=patch, headers={"If-Match": etag})
        if answer.status_code == 200:
            self.answered[answer.json()["revision"]] = price
        else:
            self.unexpected.append(answer.text)

    def _add(self, price: float) -> None:
        document = small_document() | {"external_id": f"added {price}"}
        answer = self.client.post("/v1/scenarios", json=document)
        if answer.status_code == 201:
            self.added.append(answer.json()["id"])
        else:
            self.unexpected.append(answer.text)


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_every_answered_write_is_there_and_the_file_is_sound(tmp_path):
    settings = Settings(data=tmp_path)
    prepare(settings, migrate=True)
    desk = open_desk(settings, scenario_of)
    _, _, token = make_key_on_host(desk, "Office", "write", "writer", 1)
    close_desk(desk)

    with subprocess.Popen(  # noqa: S603 - our own program
        [sys.executable, "-m", "tests.support.killable_server", str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:

        def obey(word: str) -> None:
            server.stdin.write(f"{word}\n")
            server.stdin.flush()
            assert server.stdout.readline() == "done\n"

        base = f"http://127.0.0.1:{server.stdout.readline().strip()}"
        headers = {"Authorization": f"Bearer {token}"}
        with (
            httpx.Client(base_url=base, headers=headers, timeout=20) as client,
            httpx.Client(base_url=base, timeout=20) as watcher,
        ):
            obey("start")
            scenario = client.post("/v1/scenarios", json=small_document()).json()["id"]
            writer = Writer(client, scenario)
            writer.start()
            chance = random.Random(20261125)  # noqa: S311 - moments, no secrets
            for _ in range(KILLS):
                time.sleep(chance.uniform(SHORTEST, LONGEST))
                obey("kill")
                obey("start")
                watcher.get("/health/live", headers={"Connection": "close"})
            time.sleep(LONGEST)
            writer.ended.set()
            writer.join(timeout=30)
            assert not writer.is_alive()

            assert writer.unexpected == []
            assert len(writer.answered) >= FEWEST_ANSWERED
            for number, price in writer.answered.items():
                kept = client.get(f"/v1/scenarios/{scenario}/revisions/{number}").json()
                assert kept["document"]["hay"]["price_per_ton"] == price
            for added in writer.added:
                assert client.get(f"/v1/scenarios/{added}").status_code == 200
        server.stdin.close()

    assert findings(settings) == []
