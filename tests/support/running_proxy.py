"""The proxy of this tree as it runs, with two replicas behind it that tell what reached them."""

import json
import os
import re
import shutil
import socket
import ssl
import subprocess
import threading
import time
from contextlib import contextmanager, suppress
from http.client import HTTPSConnection
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from service.cli.addresses import PORT

FILE = (Path(__file__).parents[2] / "docker" / "nginx.conf").read_text()
CERTIFICATE = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=localhost"]
SECONDS_TO_START = 20
NO_NGINX = "nginx and openssl are not installed"


class Replica(BaseHTTPRequestHandler):
    """Answers with what it was sent, or hangs up where the path asks for that."""

    protocol_version = "HTTP/1.1"

    def do_GET(self):
        """Answer."""
        if "hang-up" in self.path:
            self.close_connection = True
            return
        length = int(self.headers.get("Content-Length", 0))
        body = json.dumps(
            {
                "port": self.server.server_port,
                "method": self.command,
                "bytes": len(self.rfile.read(length)),
                "headers": [[name.lower(), value] for name, value in self.headers.items()],
            }
        ).encode()
        given = self.headers.get("X-Request-Id", "")
        self.send_response(200)
        self.send_header("X-Request-Id", "made-here" if "wfr_" in given else given)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    do_POST = do_PUT = do_GET  # noqa: N815 - as the library looks for them

    def log_message(self, format, *args):  # noqa: A002 - the library's name
        """Say nothing."""


class Server(ThreadingHTTPServer):
    """A replica that can be gone as a process is: with every connection it has."""

    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), Replica)
        self.connections = []

    def process_request(self, request, client_address):
        """Answer in a thread of its own."""
        self.connections.append(request)
        super().process_request(request, client_address)

    def end(self):
        """Be gone."""
        self.shutdown()
        self.server_close()
        for connection in self.connections:
            with suppress(OSError):
                connection.shutdown(socket.SHUT_RDWR)


class Proxy:
    """A proxy that runs, and two replicas behind it."""

    def __init__(self, port, replicas, logs):
        self.port, self.replicas, self.logs = port, replicas, logs

    def ask(self, path="/v1/version", method="GET", body=None, headers=None):
        """Return status, headers and body of an answer."""
        trusting = ssl._create_unverified_context()  # noqa: S323, SLF001 - its own certificate
        connection = HTTPSConnection("127.0.0.1", self.port, timeout=20, context=trusting)
        try:
            connection.request(method, path, body, headers or {})
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def said(self):
        """Return all that the proxy wrote."""
        return "".join(path.read_text() for path in self.logs)

    def lines(self, count):
        """Return the lines about requests, once there are as many: they come after the answers."""
        deadline = time.monotonic() + SECONDS_TO_START
        while True:
            found = [json.loads(line) for line in self.logs[0].read_text().splitlines()]
            if len(found) >= count:
                return found
            assert time.monotonic() < deadline, found
            time.sleep(0.02)


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def adapted(folder, port, replicas):
    """Return the file as it stands, with addresses and folders of this test in it."""
    text = FILE.replace("/tmp/", f"{folder}/").replace("/run/secrets/", f"{folder}/")  # noqa: S108
    text = text.replace("listen 8443 ", f"listen 127.0.0.1:{port} ")
    text = text.replace("127.0.0.1:8081", f"127.0.0.1:{free_port()}").replace(" resolve ", " ")
    for number, replica in enumerate(replicas, start=1):
        text = text.replace(f"replica-{number}:{PORT}", f"127.0.0.1:{replica.server_port}")
    assert "replica-" not in re.sub("#.*", "", text)
    return f"user root;\n{text}" if os.geteuid() == 0 else text


@contextmanager
def running(folder):
    """Start the proxy of this tree in a folder, or skip the test where there is none."""
    if shutil.which("nginx") is None or shutil.which("openssl") is None:
        if os.environ.get("WINTERGROUND_REQUIRE_PROXY"):
            pytest.fail(NO_NGINX)
        pytest.skip(NO_NGINX)
    key, certificate = folder / "tls_key", folder / "tls_certificate"
    subprocess.run(  # noqa: S603 - a certificate of the test's own
        [*CERTIFICATE, "-keyout", key, "-out", certificate],
        check=True,
        capture_output=True,
    )
    replicas = [Server() for _ in range(2)]
    for replica in replicas:
        threading.Thread(target=replica.serve_forever, daemon=True).start()
    port = free_port()
    file = folder / "nginx.conf"
    file.write_text(adapted(folder, port, replicas))
    logs = folder / "stdout", folder / "stderr"
    with logs[0].open("w") as out, logs[1].open("w") as err:
        program = subprocess.Popen(  # noqa: S603 - the proxy under test
            ["nginx", "-c", file, "-e", "stderr"],  # noqa: S607
            stdout=out,
            stderr=err,
        )
    proxy = Proxy(port, replicas, logs)
    try:
        wait_for(proxy, program)
        yield proxy
    finally:
        program.terminate()
        program.wait(SECONDS_TO_START)
        for replica in replicas:
            replica.end()


def wait_for(proxy, program):
    deadline = time.monotonic() + SECONDS_TO_START
    while True:
        assert program.poll() is None, proxy.said()
        try:
            proxy.ask()
        except OSError:
            assert time.monotonic() < deadline, proxy.said()
            time.sleep(0.05)
        else:
            return
