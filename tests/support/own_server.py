"""Servers as the command line starts them, each a process of its own, ended whatever happens.

Limits are wide, since what is tested with them comes from one address; what a server says goes to
a file, so that no full pipe can stop it.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, TypeVar

import httpx

from tests.benchmarks.server import UNSTINTED, first_answer, free_port

T = TypeVar("T")

PATIENCE = 90.0
"""How long anything is waited for [s], on a machine with much else to do."""


class OwnServer:
    """A server and how it is reached."""

    def __init__(self, port: int, process: subprocess.Popen[bytes], said: IO[bytes]) -> None:
        self.port = port
        self.process = process
        self._said = said

    def client(self, token: str | None = None) -> httpx.Client:
        """Return what asks it, with or without a token."""
        headers = {} if token is None else {"Authorization": f"Bearer {token}"}
        base = f"http://127.0.0.1:{self.port}"
        return httpx.Client(base_url=base, headers=headers, timeout=PATIENCE, trust_env=False)

    def connection(self, receive_buffer: int | None = None) -> socket.socket:
        """Return a bare connection to it; one that takes little before it reads, if wished."""
        made = socket.socket()
        if receive_buffer is not None:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, receive_buffer)
        made.settimeout(PATIENCE)
        made.connect(("127.0.0.1", self.port))
        return made

    def kill(self) -> None:
        """End it where it is, as a loss of power would."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(PATIENCE)

    def said(self) -> str:
        """Return all that it has said up to now."""
        self._said.seek(0)
        return self._said.read().decode()

    def memory(self) -> float:
        """Return the most resident memory that it ever had [MB] (proc(5), VmHWM)."""
        status = Path(f"/proc/{self.process.pid}/status").read_text("ascii")
        [most] = [line for line in status.splitlines() if line.startswith("VmHWM:")]
        return int(most.split()[1]) / 1024


@contextmanager
def own_server(data: Path, *options: str, **settings: object) -> Iterator[OwnServer]:
    """Start a server upon a folder and wait until it answers.

    Parameters
    ----------
    data : Path
        The folder of its data.
    *options : str
        Further options of the command.
    **settings
        Settings by their names, as the environment has them.
    """
    port = free_port()
    given = {f"WINTERGROUND_{name.upper()}": str(value) for name, value in settings.items()}
    command = [sys.executable, "-m", "service", "serve", "--port", str(port), "--data", str(data)]
    with TemporaryFile() as said:
        process = subprocess.Popen(  # noqa: S603 - our own program
            [*command, *options],
            stdout=said,
            stderr=said,
            env={**os.environ, **UNSTINTED, "WINTERGROUND_SECONDS_TO_STOP": "1", **given},
        )
        try:
            first_answer(port)
            yield OwnServer(port, process, said)
        finally:
            if process.poll() is None:
                process.terminate()
            try:
                process.wait(PATIENCE)
            finally:
                process.kill()
                process.wait()


def until(happened: Callable[[], T], what: str) -> T:
    """Ask again and again until something is so; return it."""
    deadline = time.monotonic() + PATIENCE
    while not (found := happened()):
        if time.monotonic() > deadline:
            raise TimeoutError(what)
        time.sleep(0.05)
    return found


def head_of(method: str, path: str, **fields: str) -> bytes:
    """Return the head of a request as it goes over the wire; names with ``_`` for ``-``."""
    named = {"Host": "127.0.0.1", **{key.replace("_", "-"): text for key, text in fields.items()}}
    lines = "".join(f"{name}: {text}\r\n" for name, text in named.items())
    return f"{method} {path} HTTP/1.1\r\n{lines}\r\n".encode()


def everything(connection: socket.socket) -> bytes:
    """Read until the other side closes; a reset ends it like a close."""
    found = b""
    try:
        while piece := connection.recv(65_536):
            found += piece
    except ConnectionError:
        pass
    return found


def one_answer(connection: socket.socket) -> bytes:
    """Read one answer that tells its length; what was read is returned, whole or cut off."""
    found = b""
    while b"\r\n\r\n" not in found:
        piece = connection.recv(65_536)
        if not piece:
            return found
        found += piece
    head, _, body = found.partition(b"\r\n\r\n")
    [length] = [
        int(line.partition(b":")[2])
        for line in head.split(b"\r\n")
        if line.lower().startswith(b"content-length:")
    ]
    while len(body) < length and (piece := connection.recv(65_536)):
        body += piece
    return head + b"\r\n\r\n" + body
