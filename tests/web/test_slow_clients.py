"""Callers who send or take slowly, or stop half-way, over bare sockets to a server of its own.

What they are owed stands in RFC 9110 and RFC 9112: a body that was announced and did not come whole
is no request (RFC 9112, section 8), 408 ends the wait for one (RFC 9110, section 15.5.9).
"""

import json
import os
import shutil
import socket
import time
from contextlib import ExitStack, suppress

import pytest

from service.demo import demo_document
from service.settings import Settings
from service.web.connections import LARGEST_HEAD
from tests.support.installation import installation, stocked
from tests.support.offices import small_document
from tests.support.own_server import everything, head_of, own_server, until

SECONDS = 3
"""How long the impatient server waits; long enough for a busy machine to send a byte meanwhile."""
MANY = 200
AGAIN = 40
FARMS = 600
LITTLE = 4_096
"""As much as a caller's system takes before the caller reads [bytes]."""

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs Linux")  # noqa: PTH112


@pytest.fixture(scope="module")
def stock(tmp_path_factory):
    """Make an installation with large answers once; it is copied for each server."""
    folder = tmp_path_factory.mktemp("slow") / "data"
    made = stocked(installation(folder))
    with own_server(folder) as server:
        return folder, made.admin, large_answers(server, made.admin)


def copied(stock, tmp_path_factory):
    folder = tmp_path_factory.mktemp("served") / "data"
    shutil.copytree(stock[0], folder)
    return folder


@pytest.fixture(scope="module")
def impatient(stock, tmp_path_factory):
    """Start a server that waits three seconds."""
    folder = copied(stock, tmp_path_factory)
    with own_server(folder, seconds_to_arrive=SECONDS, log_format="json") as server:
        yield server


@pytest.fixture(scope="module")
def patient(stock, tmp_path_factory):
    """Start a server that waits an hour: nobody is answered because slow callers were let go."""
    with own_server(copied(stock, tmp_path_factory), seconds_to_arrive=3_600) as server:
        yield server


@pytest.fixture(scope="module")
def token(stock):
    return stock[1]


def posting(token, **fields):
    return head_of(
        "POST",
        "/v1/scenarios",
        Authorization=f"Bearer {token}",
        Content_Type="application/json",
        **fields,
    )


def whole_document(name):
    return json.dumps(small_document(name=name)).encode()


def names(server, token):
    with server.client(token) as client:
        found, after = [], "/v1/scenarios?limit=200"
        while after:
            page = client.get(after).json()
            found += [one["name"] for one in page["items"]]
            after = page["next"]
        return found


def trickled(connection, piece):
    """Send a piece again and again until the other side closes; return what it said."""
    connection.settimeout(0.1)
    heard = b""
    deadline = time.monotonic() + 90
    while time.monotonic() < deadline:
        with suppress(TimeoutError):
            try:
                connection.sendall(piece)
                came = connection.recv(65_536)
            except ConnectionError:
                return heard
            if not came:
                return heard
            heard += came
    raise TimeoutError


def parts(answer):
    """Return status, fields and the problem of an answer."""
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    fields = dict(line.lower().split(": ", 1) for line in lines)
    assert len(body) == int(fields["content-length"]), answer
    return int(first.split()[1]), fields, json.loads(body)


def is_problem(answer, status, name):
    found, fields, problem = parts(answer)
    assert (found, problem["status"], problem["type"]) == (status, status, f"/problems/{name}")
    assert fields["content-type"] == "application/problem+json"
    assert fields["connection"] == "close"


# ------------------------------------------------------------------------- heads


@pytest.mark.parametrize(
    ("begun", "piece"),
    [
        (b"", b""),
        (b"", b"\r\n"),
        (b"GET /", b"a"),
        (b"GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ", b"a"),
    ],
    ids=["nothing", "empty lines", "address", "field"],
)
def test_a_head_that_does_not_end_is_waited_for_no_longer_than_set(impatient, begun, piece):
    with impatient.connection() as connection:
        connection.sendall(begun)
        assert trickled(connection, piece) == b""


def test_a_second_head_that_does_not_end_is_not_waited_for_either(impatient):
    with impatient.connection() as connection:
        connection.sendall(head_of("GET", "/health/live") + b"GET /")
        heard = trickled(connection, b"a")
    assert heard.startswith(b"HTTP/1.1 200")
    assert heard.count(b"HTTP/1.1") == 1


def test_a_head_without_end_is_refused_by_its_size(patient):
    # RFC 6585, section 5: 431 Request Header Fields Too Large
    with patient.connection() as connection:
        connection.sendall(b"GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Long: ")
        with suppress(ConnectionError):
            for _ in range(4 * LARGEST_HEAD // 1_000):
                connection.sendall(1_000 * b"a")
                time.sleep(0)
        is_problem(everything(connection), 431, "head-too-large")


def test_a_head_just_below_that_size_is_answered(patient):
    with patient.connection() as connection:
        connection.sendall(head_of("GET", "/health/live", X_Long=(LARGEST_HEAD - 200) * "a"))
        assert connection.recv(100).startswith(b"HTTP/1.1 200")


@pytest.mark.parametrize(
    "sent", [b"\x16\x03\x01 hello\r\n\r\n", b"GET\r\n\r\n", b"GET / FTP\r\n\r\n"]
)
def test_what_is_no_http_is_told_so_as_a_problem(patient, sent):
    with patient.connection() as connection:
        connection.sendall(sent)
        is_problem(everything(connection), 400, "bad-request")


# ------------------------------------------------------------------------ bodies


@pytest.mark.parametrize(
    ("fields", "piece"),
    [({"Content_Length": "100000"}, b" "), ({"Transfer_Encoding": "chunked"}, b"1\r\n \r\n")],
    ids=["announced", "chunked"],
)
@pytest.mark.parametrize("path", ["/v1/scenarios", "/v1/costings", "/v1/sweeps", "/start"])
def test_a_body_that_trickles_is_answered_by_408(impatient, token, path, fields, piece):
    with impatient.connection() as connection:
        sent = posting(token, **fields).replace(b"/v1/scenarios", path.encode(), 1)
        connection.sendall(sent)
        is_problem(trickled(connection, piece), 408, "request-timeout")


def test_a_body_that_never_begins_is_answered_by_408(impatient, token):
    with impatient.connection() as connection:
        connection.sendall(posting(token, Content_Length="10"))
        is_problem(everything(connection), 408, "request-timeout")


def test_a_body_that_takes_longer_but_comes_fast_enough_is_taken(impatient, token):
    """It takes longer than is waited for one that does not come: by its size it may."""
    document = whole_document("Fescue Rise")
    body = document + (1_000_000 - len(document)) * b" "
    with impatient.connection() as connection:
        connection.sendall(posting(token, Content_Length=str(len(body))))
        size = len(body) // 20 + 1
        for first in range(0, len(body), size):
            connection.sendall(body[first : first + size])
            time.sleep(2 * SECONDS / 20)
        assert connection.recv(100).startswith(b"HTTP/1.1 201")
    assert "Fescue Rise" in names(impatient, token)


@pytest.mark.parametrize("way", ["announced", "chunked", "chunk cut", "not a chunk"])
def test_of_a_body_that_was_cut_off_nothing_is_kept(impatient, token, way):
    """What came is a whole document by itself: it must not be taken for the body."""
    name = f"Cut off {way}"
    document = whole_document(name)
    first_chunk = b"%x\r\n%b\r\n" % (len(document), document)
    if way == "announced":
        sent = posting(token, Content_Length=str(len(document) + 1)) + document
    else:
        more = {"chunked": b"", "chunk cut": b"10\r\n ", "not a chunk": b"none\r\n\r\n"}[way]
        sent = posting(token, Transfer_Encoding="chunked") + first_chunk + more
    with impatient.connection() as connection:
        connection.sendall(sent)
        connection.shutdown(socket.SHUT_WR)
        heard = everything(connection)
    assert not heard or parts(heard)[0] == 400
    assert name not in names(impatient, token)


def test_a_caller_who_goes_is_no_fault_of_the_service(impatient, token):
    """It is one line of the log, without a status, and no error."""

    def cut_off():
        lines = [json.loads(line) for line in impatient.said().splitlines() if line[:1] == "{"]
        return [line for line in lines if line.get("route") and line.get("status") is None], lines

    before = len(cut_off()[0])
    with impatient.connection() as connection:
        connection.sendall(posting(token, Content_Length="1000") + b"{")
    until(lambda: len(cut_off()[0]) > before, "the request was never told of")
    assert [line for line in cut_off()[1] if line["level"] in {"ERROR", "error"}] == []
    assert "Traceback" not in impatient.said()


# ----------------------------------------------------------------------- answers


def large_answers(server, token):
    """Keep what has large answers; return the requests for them."""
    with server.client(token) as client:
        for number in range(MANY):
            made = client.post(
                "/v1/scenarios", json=small_document(name=f"Farm {number} {'x' * 60}")
            )
            assert made.status_code == 201, made.text
        demo = {name: value for name, value in demo_document().items() if name != "external_id"}
        large = client.post("/v1/scenarios", json=demo).json()["id"]
        scenario = made.json()["id"]  # pyright: ignore[reportPossiblyUnboundVariable] - it has run
        farms = [
            {"external_id": f"{number:05d}", "set": {"hay.price_per_ton": 50 + number / 100}}
            for number in range(FARMS)
        ]
        asked = client.post("/v1/sweeps", json={"scenario": scenario, "farms": farms})
        assert asked.status_code in {201, 202}, asked.text
        sweep = f"/v1/sweeps/{asked.json()['id']}"
        until(lambda: client.get(sweep).json()["state"] == "done", "the sweep was never done")
    paths = {
        "list": "/v1/scenarios?limit=200",
        "workbook": f"/v1/scenarios/{large}/costing.xlsx",
        "costing": f"/v1/scenarios/{large}/costing",
        "sweep": f"{sweep}/results.csv",
        "description": "/openapi.json",
    }
    with server.client(token) as client:
        for path in paths.values():
            assert client.get(path).status_code == 200, path
    return paths


@pytest.fixture(scope="module")
def large(stock):
    return stock[2]


def asking(path, token):
    return head_of("GET", path, Authorization=f"Bearer {token}")


def connections_of(server):
    """Return how many sockets a server holds."""
    folder, found = f"/proc/{server.process.pid}/fd", 0
    for name in os.listdir(folder):  # noqa: PTH208 - one goes while another is looked at
        with suppress(OSError):
            found += os.readlink(f"{folder}/{name}").startswith("socket:")  # noqa: PTH115
    return found


@pytest.mark.parametrize("kind", ["list", "workbook", "costing", "sweep", "description"])
def test_an_answer_that_nobody_takes_is_not_kept_for_ever(impatient, token, large, kind):
    """Asked again and again upon one connection, so that it is more than the system takes."""
    before = connections_of(impatient)
    with ExitStack() as held:
        for _ in range(3):
            connection = held.enter_context(impatient.connection(LITTLE))
            connection.sendall(AGAIN * asking(large[kind], token))
        until(lambda: connections_of(impatient) >= before + 3, "they were never let in")
        until(lambda: connections_of(impatient) <= before, "they were never let go")


@pytest.mark.parametrize("kind", ["sweep", "description"])
def test_an_answer_that_is_taken_slowly_is_given_to_its_end(impatient, token, large, kind):
    with impatient.client(token) as client:
        wanted = client.get(large[kind], headers={"Accept-Encoding": "identity"}).content
    with impatient.connection(LITTLE) as connection:
        asked = head_of("GET", large[kind], Authorization=f"Bearer {token}", Connection="close")
        connection.sendall(asked)
        found, pause = b"", 2.5 * SECONDS / 25
        size = len(wanted) // 25 + 1
        while piece := connection.recv(size, socket.MSG_WAITALL):
            found += piece
            time.sleep(pause)
    head, _, body = found.partition(b"\r\n\r\n")
    if b"transfer-encoding: chunked" in head.lower():
        body = unchunked(body)
    assert body == wanted


def unchunked(body):
    """Return a body without its framing (RFC 9112, section 7.1)."""
    found = b""
    while True:
        size, _, body = body.partition(b"\r\n")
        if int(size, 16) == 0:
            return found
        found, body = found + body[: int(size, 16)], body[int(size, 16) + 2 :]


# ------------------------------------------------------------------ many at once


@pytest.mark.parametrize("kind", ["head", "body", "list", "costing", "sweep"])
def test_two_hundred_slow_callers_keep_nobody_from_being_answered(patient, token, large, kind):
    sent = {
        "head": b"GET /health/live HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ",
        "body": posting(token, Content_Length="100000") + b"{",
    }
    begun = sent.get(kind) or asking(large[kind], token)
    before = connections_of(patient)
    with ExitStack() as held:
        for _ in range(MANY):
            connection = held.enter_context(patient.connection(LITTLE))
            connection.sendall(begun)
        until(lambda: connections_of(patient) >= before + MANY, "they were never let in")
        with patient.client(token) as client:
            assert client.get("/health/ready").status_code == 200
            assert client.get("/v1/scenarios?limit=5").status_code == 200
            costed = client.post("/v1/costings", json={"document": small_document()})
            assert costed.status_code == 200
            kept = client.post("/v1/scenarios", json=small_document(name=f"Beside {kind}"))
            assert kept.status_code == 201
            assert client.get(large["sweep"]).status_code == 200
    until(lambda: connections_of(patient) <= before + 1, "those who went were never let go")


def test_the_setting_is_declared_and_bounded():
    field = Settings.model_fields["seconds_to_arrive"]
    assert "Seconds" in (field.description or "")
    with pytest.raises(ValueError, match="greater than 0"):
        Settings(seconds_to_arrive=0)
