"""Bodies that are too large, at every address that takes one, over sockets to a server of its own.

RFC 9110, section 15.5.14: 413 may be answered before the body has come; section 10.1.1: who expects
100 (Continue) may be refused instead; section 15.5.16: 415 for an encoding that is not taken. A
caller who first sends all and then reads must see the answer, as far as that is possible: a closed
connection would take it away (RFC 9112, section 9.6).
"""

import gzip
import json
import os
import socket
import threading
from contextlib import suppress

import pytest

from service.web.app import ROUTES
from service.web.connections import MOST_LEFT_OVER
from tests.support.installation import installation, stocked
from tests.support.offices import small_document
from tests.support.own_server import everything, head_of, one_answer, own_server

SECONDS = 3
MEGABYTE = 1_000_000
LARGE = 11 * MEGABYTE
"""Over every limit: the highest is 10 MiB."""
PIECE = 65_536 * b" "
TAKING = ("POST", "PUT", "PATCH")
FORMS = ("/start", "/winter")
"""Pages answer as pages, whose forms no browser compresses."""

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs Linux")  # noqa: PTH112


def addresses():
    """Return method and path of all that takes a body, as it stands in the routes."""
    return [
        (method, route.path)
        for routes in ROUTES
        for route in routes.router.routes
        for method in sorted(route.methods)
        if method in TAKING
    ]


ADDRESSES = addresses()
IDS = [" ".join(one) for one in ADDRESSES]


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    folder = tmp_path_factory.mktemp("large") / "data"
    made = stocked(installation(folder))
    with own_server(folder, seconds_to_arrive=SECONDS) as started:
        started.token = made.admin
        started.scenario = made.scenarios[0]
        yield started


def asking(server, method, path, **fields):
    """Return the head of a request; the scenario in its address is there, all else is made up."""
    path = path.replace("{scenario}", server.scenario)
    path = path.replace("{season}", "2025-26")
    path = "/".join("1" if part.startswith("{") else part for part in path.split("/"))
    given = {"Authorization": f"Bearer {server.token}", "Content_Type": "application/json"}
    return head_of(method, path, **{**given, **fields})


def is_too_large(answer):
    head, _, body = answer.partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 413"), answer[:500]
    assert b"content-type: application/problem+json" in head.lower()
    problem = json.loads(body)
    assert (problem["type"], problem["status"]) == ("/problems/body-too-large", 413)
    assert "bytes" in problem["detail"]


def test_there_are_addresses_that_take_a_body():
    assert ("POST", "/v1/costings") in ADDRESSES
    assert ("PATCH", "/v1/scenarios/{scenario}") in ADDRESSES
    assert len(ADDRESSES) > 20


@pytest.mark.parametrize(("method", "path"), ADDRESSES, ids=IDS)
def test_who_sends_all_of_it_first_is_answered_and_may_go_on(server, method, path):
    with server.connection() as connection:
        connection.sendall(asking(server, method, path, Content_Length=str(LARGE)))
        for _ in range(LARGE // len(PIECE)):
            connection.sendall(PIECE)
        connection.sendall((LARGE % len(PIECE)) * b" ")
        is_too_large(one_answer(connection))
        connection.sendall(head_of("GET", "/health/live"))
        assert one_answer(connection).startswith(b"HTTP/1.1 200")


@pytest.mark.parametrize(("method", "path"), ADDRESSES, ids=IDS)
def test_what_is_announced_is_refused_before_it_is_sent(server, method, path):
    announced = {"Content_Length": str(100 * MEGABYTE), "Expect": "100-continue"}
    with server.connection() as connection:
        connection.sendall(asking(server, method, path, **announced))
        is_too_large(one_answer(connection))  # and no 100 before it


def chunk(content):
    return b"%x\r\n%b\r\n" % (len(content), content)


@pytest.mark.parametrize(("method", "path"), ADDRESSES, ids=IDS)
def test_who_sends_a_body_without_end_hears_the_answer_meanwhile(server, method, path):
    heard = []
    with server.connection() as connection:
        listening = threading.Thread(target=lambda: heard.append(one_answer(connection)))
        listening.start()
        connection.sendall(asking(server, method, path, Transfer_Encoding="chunked"))
        with suppress(ConnectionError):
            while listening.is_alive():
                connection.sendall(chunk(PIECE))
    is_too_large(heard[0])


@pytest.mark.parametrize(
    ("method", "path"), [("POST", "/v1/costings"), ("POST", "/v1/sweeps"), ("GET", "/v1/me")]
)
def test_who_never_stops_sending_is_not_read_for_ever(server, method, path):
    with server.connection() as connection:
        connection.sendall(asking(server, method, path, Transfer_Encoding="chunked"))
        sent = 0
        with suppress(ConnectionError):
            while sent < 20 * MOST_LEFT_OVER:
                connection.sendall(chunk(PIECE))
                sent += len(PIECE)
    assert sent < 3 * MOST_LEFT_OVER


def test_one_that_stops_in_the_middle_of_what_was_refused_is_let_go(server):
    with server.connection() as connection:
        connection.sendall(asking(server, "POST", "/v1/costings", Content_Length=str(LARGE)))
        connection.sendall(PIECE)
        is_too_large(everything(connection))


def test_the_memory_of_the_server_does_not_grow_with_what_is_sent(server):
    for kind in ("announced", "chunked"):
        sent_whole(server, kind)
    before = server.memory()
    for kind in 5 * ("announced", "chunked"):
        sent_whole(server, kind)
    assert server.memory() - before < 5, "MB more at its highest, of 550 MB that were sent"


def sent_whole(server, kind):
    for path in ("/v1/costings", "/v1/scenarios", "/v1/sweeps", "/v1/weather-records", "/start"):
        fields = {"Content_Length": str(LARGE)}
        if kind == "chunked":
            fields = {"Transfer_Encoding": "chunked"}
        with server.connection() as connection:
            connection.sendall(asking(server, "POST", path, **fields))
            if kind == "announced":
                connection.sendall(LARGE * b" ")
            else:
                for _ in range(LARGE // len(PIECE) + 1):
                    connection.sendall(chunk(PIECE))
                connection.sendall(b"0\r\n\r\n")
            is_too_large(one_answer(connection))


def test_trailers_without_end_are_not_kept(server):
    """Fields may follow a chunked body (RFC 9112, section 7.1.2); they count as no body."""
    before = server.memory()
    with server.connection() as connection:
        head = asking(server, "POST", "/v1/costings", Transfer_Encoding="chunked")
        connection.sendall(head + b"2\r\n{}\r\n0\r\n")
        sent = 0
        with suppress(ConnectionError):
            while sent < 40 * MEGABYTE:
                connection.sendall(b"X-Trailer: " + 8_000 * b"a" + b"\r\n")
                sent += 8_000
    assert sent < 40 * MEGABYTE
    assert server.memory() - before < 10


@pytest.mark.parametrize(
    ("method", "path"),
    [one for one in ADDRESSES if one[1] not in FORMS],
    ids=[name for name in IDS if not name.endswith(FORMS)],
)
@pytest.mark.parametrize("encoding", ["gzip", "br", "x-unknown"])
def test_a_compressed_body_is_refused(server, method, path, encoding):
    body = gzip.compress(json.dumps(small_document()).encode())
    with server.connection() as connection:
        fields = {"Content_Length": str(len(body)), "Content_Encoding": encoding}
        connection.sendall(asking(server, method, path, **fields) + body)
        head, _, problem = one_answer(connection).partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 415"), head
    # RFC 9110, section 12.5.3: what would be taken
    assert b"accept-encoding: identity" in head.lower()
    assert json.loads(problem)["type"] == "/problems/unsupported-media-type"


def test_a_small_body_that_unpacks_to_much_is_not_unpacked(server):
    bomb = gzip.compress(200 * MEGABYTE * b" ")
    before = server.memory()
    with server.connection() as connection:
        fields = {"Content_Length": str(len(bomb)), "Content_Encoding": "gzip"}
        connection.sendall(asking(server, "POST", "/v1/costings", **fields) + bomb)
        assert one_answer(connection).startswith(b"HTTP/1.1 415")
    assert server.memory() - before < 10


def test_others_are_answered_while_large_bodies_come(server):
    stop = threading.Event()

    def flooding():
        with server.connection() as connection, suppress(ConnectionError, socket.timeout):
            head = asking(server, "POST", "/v1/sweeps", Content_Length=str(100 * MEGABYTE))
            connection.sendall(head)
            while not stop.is_set():
                connection.sendall(PIECE)

    floods = [threading.Thread(target=flooding) for _ in range(8)]
    for flood in floods:
        flood.start()
    try:
        with server.client(server.token) as client:
            for _ in range(5):
                assert client.get("/v1/me").status_code == 200
            costed = client.post("/v1/costings", json={"document": small_document()})
            assert costed.status_code == 200
    finally:
        stop.set()
        for flood in floods:
            flood.join(90)
