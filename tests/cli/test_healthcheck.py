"""Asking a server whether it is ready, as whatever keeps it running does."""

import socket
import subprocess
import sys
import threading
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest
from typer.testing import CliRunner

from service.cli import healthcheck
from service.cli.commands import app

invoke = CliRunner().invoke


@contextmanager
def answering(status, path="/health/ready"):
    """Run a server that answers one path alone with a status."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(status if self.path == path else 418)
            self.send_header("Location", "/health/live")
            self.end_headers()

        def log_message(self, format, *args):  # noqa: A002 - the library's name
            """Say nothing."""

    server = HTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def listening(*sent):
    """Listen, send what is given a piece at a time, and never end the answer."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        ended = threading.Event()

        def drip():
            connection, _ = server.accept()
            with connection, suppress(OSError):  # whoever asked has gone
                for piece in sent:
                    connection.sendall(piece)
                    ended.wait(0.05)
                ended.wait()

        thread = threading.Thread(target=drip, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.getsockname()[1]}"
        ended.set()
        thread.join()


@pytest.fixture
def unused():
    """Return an address where nobody listens."""
    with socket.socket() as held:  # bound but not listening: nobody else gets it meanwhile
        held.bind(("127.0.0.1", 0))
        yield f"http://127.0.0.1:{held.getsockname()[1]}"


def asked(url, *options):
    return invoke(app, ["healthcheck", "--url", url, *options])


def test_a_server_that_is_ready():
    with answering(200) as url:
        result = asked(url)
    assert result.exit_code == 0
    assert result.stdout == "Ready.\n"


def test_an_address_may_have_a_path_before_it():
    with answering(200, "/winter/health/ready") as url:
        assert asked(f"{url}/winter/").exit_code == 0


# RFC 9110, section 15: 200 is OK; another 2xx or a redirection does not say that it is ready
@pytest.mark.parametrize("status", [204, 301, 404, 500, 503])
def test_a_server_that_answers_something_else(status):
    with answering(status) as url:
        result = asked(url)
    assert result.exit_code == 1
    assert result.stderr == f"Not ready: it answers {status}.\n"


def test_a_server_that_is_not_there(unused):
    result = asked(unused)
    assert result.exit_code == 1
    assert result.stderr.startswith("Not ready: ")
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize("sent", [(), (b"HTTP/1.1 200 OK\r\n",) + (b"X: y\r\n",) * 10_000])
def test_a_server_that_does_not_come_to_an_end(sent):
    with listening(*sent) as url:
        result = asked(url, "--seconds", "0.3")
    assert result.exit_code == 1
    assert result.stderr == "Not ready: no answer within 0.3 s.\n"


def test_what_is_no_answer_of_a_server():
    with listening(b"220 mail.example ESMTP\r\n") as url:
        result = asked(url)
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1


# Dockerfile reference, HEALTHCHECK: 0 healthy, 1 unhealthy, 2 reserved
@pytest.mark.parametrize(
    "url", ["", "8765", "localhost:8765", "ftp://localhost", "http://", "http://x:y", "http://[::1"]
)
def test_what_is_no_address(url):
    result = asked(url)
    assert result.exit_code == 1
    assert len(result.stderr.splitlines()) == 1


def test_no_proxy_of_the_environment_is_asked(unused, monkeypatch):
    monkeypatch.setenv("http_proxy", unused)
    with answering(200) as url:
        assert asked(url).exit_code == 0


def test_it_is_found_without_all_the_other_commands():
    """It is run every few seconds: what costs a second to import must not be imported."""
    code = (
        "import sys; from service.cli import main\n"
        "try: main()\n"
        "finally: print(*sorted({'numpy', 'pydantic_settings', 'fastapi', 'sqlalchemy', 'http'} "
        "& sys.modules.keys()))"
    )
    with answering(200) as url:
        done = subprocess.run(  # noqa: S603 - our own program
            [sys.executable, "-c", code, "healthcheck", "--url", url],
            capture_output=True,
            text=True,
            check=True,
        )
    assert done.stdout == "Ready.\nhttp\n"


def test_alone_and_among_the_others_it_is_the_same_command():
    for program in (app, healthcheck.alone):
        with answering(503) as url:
            result = invoke(program, ["healthcheck", "--url", url])
        assert result.exit_code == 1
        assert result.stderr == "Not ready: it answers 503.\n"
