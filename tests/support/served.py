"""The program as an operator runs it, in a process of its own, and callers who keep asking it."""

import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import httpx

from service.scenarios.sharing import make_key_on_host
from service.settings import Settings
from service.store.opening import address_of
from service.store.upgrading import prepare
from tests.support.installation import at_desk

SECONDS_TO_START = 60
SECONDS_TO_ANSWER = 45
"""The service itself gives up after 30 s at most: for a free connection, or a silent host."""

Ask: TypeAlias = Callable[[httpx.Client], httpx.Response]


def with_key(settings: Settings) -> str:
    """Make the database ready, and return the token of an admin key."""
    prepare(settings, migrate=True)
    with at_desk(settings) as desk:
        return make_key_on_host(desk, "Tansy", "admin", "host", 1)[2]


@dataclass(frozen=True)
class Served:
    """A server that runs."""

    address: str
    process: subprocess.Popen[str]

    def client(self, token: str | None = None) -> httpx.Client:
        """Return a client of it, who shows a token if there is one."""
        shown = {} if token is None else {"Authorization": f"Bearer {token}"}
        return httpx.Client(base_url=self.address, headers=shown, timeout=SECONDS_TO_ANSWER)


@contextmanager
def served(
    settings: Settings, said: Path | str, *options: str, **environment: str
) -> Iterator[Served]:
    """Run the server, and end it whatever happens.

    Parameters
    ----------
    settings : Settings
        Where it keeps things.
    said : Path or str
        File that takes what it says.
    *options
        More of the command line.
    **environment
        More settings, without their prefix.
    """
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    more = {"DATA": str(settings.data), "LIMITS": "false", **environment}
    if settings.database is not None:
        assert address_of(settings) is not None
        more["DATABASE"] = settings.database.get_secret_value()
    command = [sys.executable, "-m", "service", "serve", "--port", str(port), *options]
    with Path(said).open("a") as output:
        process = subprocess.Popen(  # noqa: S603 - our own program
            command,
            stdout=output,
            stderr=output,
            text=True,
            env=os.environ | {f"WINTERGROUND_{name}": value for name, value in more.items()},
        )
    try:
        _wait_for(f"http://127.0.0.1:{port}/health/live", process)
        yield Served(f"http://127.0.0.1:{port}", process)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
        try:
            process.wait(SECONDS_TO_START)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            raise


def _wait_for(address: str, process: subprocess.Popen[str]) -> None:
    until = time.monotonic() + SECONDS_TO_START
    while True:
        assert process.poll() is None, process.returncode
        try:
            httpx.get(address, timeout=2)
        except httpx.TransportError:
            assert time.monotonic() < until, "the server did not answer"
            time.sleep(0.05)
        else:
            return


class Asking(threading.Thread):
    """Asks again and again until told to end, and keeps every answer, or the lack of one."""

    def __init__(self, client: httpx.Client, ask: Ask) -> None:
        super().__init__(daemon=True)
        self._client = client
        self._ask = ask
        self._ended = threading.Event()
        self.answers: list[httpx.Response] = []
        self.unanswered: list[str] = []

    def run(self) -> None:
        """Ask until told to end."""
        while not self._ended.is_set():
            try:
                self.answers.append(self._ask(self._client))
            except httpx.TransportError as error:
                self.unanswered.append(repr(error))
            time.sleep(0.02)

    def end(self) -> None:
        """Ask no more, and wait for the last answer."""
        self._ended.set()
        self.join(2 * SECONDS_TO_ANSWER)
        assert not self.is_alive(), "a request hangs"

    def statuses(self) -> set[int]:
        """Return the statuses of all answers."""
        return {answer.status_code for answer in self.answers}


def eventually(found: Callable[[], Any], enough: Callable[[Any], bool], seconds: float) -> Any:
    """Look until what is found is enough, and return it; a failure if that takes too long."""
    until = time.monotonic() + seconds
    while not enough(one := found()):
        assert time.monotonic() < until, one
        time.sleep(0.1)
    return one
