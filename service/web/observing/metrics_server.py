"""The address at which figures of operation are read: GET /metrics and nothing else."""

import threading
from collections.abc import Callable
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import AF_INET, AF_INET6

from service.web.observing.metrics import Meters, NoMetricsError

PATH = "/metrics"
TEXT = "text/plain; version=0.0.4; charset=utf-8"
"""Of the text form, as its description has it."""

SECONDS_FOR_A_READER = 10


def parted(address: str) -> tuple[str, int]:
    """Return host and port of an address, which was checked when it was set."""
    host, _, port = address.rpartition(":")
    return host.strip("[]"), int(port)


class MetricsServer:
    """Answers in threads of its own, so that it answers while requests are slow."""

    def __init__(self, address: str, meters: Meters, ports: int = 1) -> None:
        """Begin to listen.

        Parameters
        ----------
        address : str
            Host and port.
        meters : Meters
            What is told.
        ports : int
            How many ports from there on may be taken: processes that serve the same address take
            the first that is free.

        Raises
        ------
        NoMetricsError
            If all of them are taken, or the host is not of this machine.
        """
        host, first = parted(address)
        self._server = _first_free(host, range(first, first + ports), meters.text)
        self.port: int = self._server.server_port
        thread = threading.Thread(target=self._server.serve_forever, daemon=True)
        thread.start()

    def close(self) -> None:
        """Answer no more."""
        self._server.shutdown()
        self._server.server_close()


def _first_free(host: str, ports: range, text: Callable[[], bytes]) -> ThreadingHTTPServer:
    reason = ""
    for port in ports:
        try:
            return _listening(host, port, text)
        except (OSError, OverflowError) as error:
            reason = str(error)
    message = f"Figures of operation cannot be served at {host}:{ports.start}: {reason}."
    raise NoMetricsError(message)


def _listening(host: str, port: int, text: Callable[[], bytes]) -> ThreadingHTTPServer:
    class Answering(BaseHTTPRequestHandler):
        timeout = SECONDS_FOR_A_READER

        def do_GET(self) -> None:
            """Answer one reader."""
            if self.path.partition("?")[0] != PATH:
                self.send_error(HTTPStatus.NOT_FOUND)
                return
            body = text()
            self.send_response(HTTPStatus.OK)
            self.send_header("Content-Type", TEXT)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's name
            """Say nothing of who reads."""

        def version_string(self) -> str:
            return "winterground"

    class Listening(ThreadingHTTPServer):
        address_family = AF_INET6 if ":" in host else AF_INET
        daemon_threads = True

    return Listening((host, port), Answering)
