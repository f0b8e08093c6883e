"""A server that is told to end: it says so, answers for a while yet, and hands its work back."""

import json
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager

import httpx
import pytest

from service.analysis.answering import prepared
from service.analysis.questions import Risk
from service.analysis.work import answered
from service.scenarios.analyses import subject_of
from service.scenarios.costings import packed
from service.scenarios.tokens import TOKEN
from service.scenarios.winters import Recorded
from service.web.reading import scenario_of
from tests.benchmarks.server import first_answer, free_port
from tests.support.installation import at_desk, stocked
from tests.support.offices import small_document

PATIENCE = 120
SECONDS_TO_STOP = 16
"""Half of it is for those who ask meanwhile, half for what was begun."""
DRAWS, SEED = 100_000, 20261125
FARM = "Quillwort End"
NOTE = "Zostera marina"

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs SIGTERM")


class Server:
    """A server of its own process."""

    def __init__(self, *options):
        self.port = free_port()
        self.process = subprocess.Popen(  # noqa: S603 - our own program
            [sys.executable, "-m", "service", "serve", "--port", str(self.port), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        first_answer(self.port)

    def client(self, token=None):
        """Return what asks it, with or without a token."""
        headers = {"Connection": "close"}
        if token is not None:
            headers["Authorization"] = f"Bearer {token}"
        base = f"http://127.0.0.1:{self.port}"
        return httpx.Client(base_url=base, headers=headers, timeout=30)

    def terminate(self):
        """Tell it to end."""
        self.process.send_signal(signal.SIGTERM)

    def ended(self):
        """Wait for its end; return its exit code and all that it said."""
        said = "".join(self.process.communicate(timeout=PATIENCE))
        return self.process.returncode, said


@contextmanager
def serving(*options):
    server = Server(*options)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.process.kill()
            server.process.communicate()


@pytest.fixture(autouse=True)
def short(monkeypatch):
    monkeypatch.setenv("WINTERGROUND_SECONDS_TO_STOP", str(SECONDS_TO_STOP))
    monkeypatch.setenv("WINTERGROUND_LOG_FORMAT", "json")


def until(happened, what):
    deadline = time.monotonic() + PATIENCE
    while not (found := happened()):
        assert time.monotonic() < deadline, what
        time.sleep(0.05)
    return found


def begun(port, body):
    """Begin to send a question, and stop in the middle of it."""
    head = (
        f"POST /v1/costings HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    connection = socket.create_connection(("127.0.0.1", port), timeout=30)
    connection.sendall(head.encode() + body[: len(body) // 2])
    return connection


def everything(connection):
    found = b""
    while piece := connection.recv(65_536):
        found += piece
    return found


def readiness(server):
    with server.client() as client:
        try:
            return client.get("/health/ready")
        except (httpx.ConnectError, httpx.ReadError, httpx.RemoteProtocolError):
            # refused, or reset: it waited at a door that was closed meanwhile
            return None


def says_that_it_stops(server):
    answer = readiness(server)
    return answer is not None and answer.status_code == 503


@pytest.mark.parametrize("options", [(), ("--workers", "2")], ids=["one", "two"])
def test_what_is_being_answered_is_answered_and_a_proxy_is_told_in_time(settings, options):
    del settings
    body = json.dumps({"document": small_document()}).encode()
    with serving(*options) as server:
        slow, stalled = begun(server.port, body), begun(server.port, body)
        with slow, stalled:
            time.sleep(0.5)  # both are read as far as they go
            server.terminate()
            until(lambda: says_that_it_stops(server), "it never said that it stops")
            told = readiness(server)
            assert told.headers["Content-Type"] == "application/problem+json"
            # RFC 9110, section 10.2.3: seconds as a decimal number
            assert told.headers["Retry-After"].isdecimal()
            with server.client() as client:
                assert client.get("/health/live").status_code == 200
                assert client.get("/v1/version").status_code == 200
                # RFC 9112, section 9.6: no further request upon this connection
                assert client.get("/v1/version").headers["Connection"] == "close"
            until(lambda: readiness(server) is None, "it took requests for ever")
            slow.sendall(body[len(body) // 2 :])
            answer = everything(slow)
            assert answer.startswith(b"HTTP/1.1 200")
            assert b'"systems"' in answer
            assert everything(stalled).startswith(b"HTTP/1.1 503")  # nobody waits for ever
        code, said = server.ended()
    assert code == 0, said
    assert "Traceback" not in said


def test_told_twice_it_takes_no_more_requests_at_once(settings, monkeypatch):
    del settings
    monkeypatch.setenv("WINTERGROUND_SECONDS_TO_STOP", "600")
    with serving() as server:
        server.terminate()
        until(lambda: says_that_it_stops(server), "it never said that it stops")
        server.terminate()
        assert server.ended()[0] == 0


def test_interrupted_at_the_keyboard_it_ends_without_notice(settings, monkeypatch):
    del settings
    monkeypatch.setenv("WINTERGROUND_SECONDS_TO_STOP", "600")
    with serving() as server:
        server.process.send_signal(signal.SIGINT)
        code, said = server.ended()
    assert code == 0, said
    assert "Traceback" not in said


def at_once():
    """Return the answer as one process gives it that nobody stops."""
    document = small_document()
    subject = subject_of(scenario_of, document, Recorded(document))
    return packed(answered(prepared(subject, Risk(draws=DRAWS, seed=SEED))))


def jobs_events(said):
    lines = [json.loads(line) for line in said.splitlines() if line.startswith("{")]
    return [line["event"] for line in lines if line["message"] == "job"]


def test_work_is_handed_back_and_another_process_goes_on_from_its_parts(settings):
    stock = stocked(settings)
    with serving() as server:
        with server.client(stock.admin) as client:
            scenario = client.post("/v1/scenarios", json=small_document()).json()["id"]
            asked = client.post(
                f"/v1/scenarios/{scenario}/analyses",
                json={"question": "risk", "draws": DRAWS, "seed": SEED},
                headers={"Prefer": "wait=0"},
            )
            assert asked.status_code == 202, asked.text
            where = asked.headers["Location"]
            until(
                lambda: client.get(where).json()["progress"]["done"] >= 2, "no part was ever done"
            )
        server.terminate()
        code, said = server.ended()
    assert code == 0, said
    assert jobs_events(said) == ["claimed", "handed_back"]

    with at_desk(settings) as desk, desk.store.reading() as session:
        job = session.jobs.get(scenario, where.rpartition("/")[2])
        assert (job.state, job.worker, job.lease_until, job.attempts) == ("queued", None, None, 0)
        kept = session.jobs.parts_done(job.id)
        assert 2 <= len(kept) == job.done < job.total

    with serving() as server:
        with server.client(stock.admin) as client:
            assert client.get(where).json()["progress"]["done"] >= job.done
            until(lambda: client.get(where).json()["state"] == "done", "nobody went on")
        server.terminate()
        code, said = server.ended()
    assert code == 0, said
    assert jobs_events(said) == ["claimed", "done"]

    with at_desk(settings) as desk, desk.store.reading() as session:
        done = session.jobs.get(scenario, job.id)
        assert done.attempts == 1
        assert done.result == at_once()


def test_the_log_of_a_server_holds_no_token_and_nothing_of_a_farm(settings, monkeypatch):
    monkeypatch.setenv("WINTERGROUND_LOG_LEVEL", "debug")
    monkeypatch.setenv("WINTERGROUND_SECONDS_TO_STOP", "1")
    stock = stocked(settings)
    with serving() as server:
        with server.client(stock.admin) as client:
            kept = client.post("/v1/scenarios", json=small_document(name=FARM))
            scenario = f"/v1/scenarios/{kept.json()['id']}"
            client.post(f"{scenario}/notes", json={"text": NOTE})
            client.get(f"/s/{stock.link}")
            client.get(f"{scenario}?token={stock.link}", headers={"X-Request-Id": stock.admin})
            client.get(f"/{FARM}/{stock.admin}", headers={"User-Agent": FARM})
            client.get(f"{scenario}/costing?set.name={FARM}&set.{FARM}=1")
            client.post("/v1/scenarios", json={"name": [FARM], FARM: FARM})
            client.post("/v1/scenarios", content=f'{{"name": "{FARM}"')
            client.post("/v1/scenarios", content=FARM, headers={"Content-Type": FARM})
            client.request("PURGE", scenario)
            client.delete(f"{scenario}/{FARM}", headers={"If-Match": f'"{FARM}"'})
        with socket.create_connection(("127.0.0.1", server.port)) as broken:
            broken.sendall(f"GET /{FARM}?{stock.admin} FTP\r\n{FARM}\r\n\r\n".encode())
            broken.recv(1000)
        server.terminate()
        code, said = server.ended()
    assert code == 0, said
    lines = [line for line in said.splitlines() if not line.startswith("Winterground")]
    assert sum(json.loads(line)["message"] == "request" for line in lines) >= 11
    assert not TOKEN.search(said)
    for sent in (FARM, FARM.split(maxsplit=1)[0], NOTE.split(maxsplit=1)[0]):
        assert sent not in said
