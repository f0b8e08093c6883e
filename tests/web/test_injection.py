"""What is sent in a path, a query or a header stays what it is: no path, statement or line of ours.

Sent as bytes, past any client that would set them right: first to the application as a server hands
them over, then through the server itself. Request ids are in ``test_headers.py``, tokens in each of
these places in ``test_secrets.py``, cells of tables and stored texts in ``test_injected_text.py``,
addresses of proxies in ``test_limits.py``, the form of a log's lines in ``test_request_log.py``.
"""

import asyncio
import contextlib
import itertools
import json
import logging
import re
import socket
import threading
import time
from urllib.parse import quote

import pytest
import uvicorn

from service.web.app import create_app
from service.web.observing.log_format import JsonLine, TextLine
from service.web.openapi import describe
from tests.support.databases import ROOT, opened
from tests.support.offices import desk as new_desk
from tests.support.offices import small_document
from tests.web.keeping import Keeping
from tests.web.limited import HOME, Limited

PATIENCE = 60
MARK = b"X-Injected"


class Raw:
    """An answer as the application gave it."""

    def __init__(self, app, method, path, headers=(), query=b"", body=b"", host=HOME):
        self.status, self.headers, self.body = 0, [], b""
        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path.decode("utf-8", "replace"),
            "raw_path": path,
            "query_string": query,
            "root_path": "",
            "headers": [(b"host", b"winterground"), *headers],
            "client": (host, 50_000),
            "server": ("127.0.0.1", 80),
        }

        async def receive():
            return {"type": "http.request", "body": body, "more_body": False}

        async def send(message):
            if message["type"] == "http.response.start":
                self.status, self.headers = message["status"], list(message["headers"])
            else:
                self.body += message.get("body", b"")

        asyncio.run(app(scope, receive, send))

    def value(self, name):
        """Return the value of a header."""
        return next((value for key, value in self.headers if key.lower() == name), None)


def sound(answer):
    """Check that an answer is one, and that nothing could be put between its headers."""
    assert 200 <= answer.status < 500, answer.body
    for name, value in answer.headers:
        assert re.fullmatch(rb"[!#$%&'*+.^_`|~0-9A-Za-z-]+", name)  # RFC 9110, section 5.6.2
        assert not set(value) & {0, 10, 13}  # RFC 9110, section 5.5
        assert MARK.lower() not in name.lower()


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


@pytest.fixture(scope="module")
def scenario(kept):
    return kept.stored()


@pytest.fixture
def one_line_each(caplog):
    """Check afterwards that every request was told in one line, which holds nothing of the mark."""
    caplog.set_level(logging.INFO, "service")
    caplog.handler.setLevel(logging.INFO)
    yield
    records = [record for record in caplog.get_records("call") if record.name.startswith("service")]
    assert records
    for record in records:
        assert record.exc_info is None
        text, as_json = TextLine().format(record), JsonLine().format(record)
        assert text.isprintable()
        assert len(as_json.splitlines()) == 1
        assert json.loads(as_json)["message"] == record.getMessage()
        assert MARK.decode() not in text + as_json
        assert len(text) < 1_000


# Headers

HOSTILE = (
    b"a\r\nX-Injected: 1",
    b"a\nX-Injected: 1",
    b"a\rX-Injected: 1",
    b"a\0X-Injected",
    b"a\x1b[2JX-Injected",
    b"\xff\xfeX-Injected\x80",
    "é\N{COW}X-Injected".encode(),
    b'"a\r\n\r\n<script>X-Injected</script>"',
    b"%0d%0aX-Injected:%201",
    b"\xe5\x98\x8a\xe5\x98\x8dX-Injected: 1",  # ends of lines if cut to their low bytes
    b"X-Injected" * 6_000,
    b"",
    b"\t \t",
    b",,,;;;===\"\"''",
)
READ = (
    *("x-request-id", "if-match", "if-none-match", "idempotency-key", "accept", "accept-encoding"),
    *("prefer", "content-type", "content-encoding", "content-length", "authorization", "host"),
    *("x-forwarded-for", "x-forwarded-proto", "x-forwarded-host", "forwarded", "origin", "referer"),
    *("user-agent", "cookie", "range", "accept-language", "x-http-method-override", "te", "expect"),
)


@pytest.mark.parametrize("header", READ)
def test_whatever_a_header_holds_is_answered_without_it(kept, scenario, header, one_line_each):
    del one_line_each
    bearer = (b"authorization", f"Bearer {kept.keys['admin']}".encode())
    base = f"/v1/scenarios/{scenario}".encode()
    for value in HOSTILE:
        for method, path, kind, body in (
            ("GET", base + b"/costing", b"", b""),
            ("GET", b"/v1/inputs", b"", b""),
            ("PATCH", base, b"application/json", b'{"hay": {"price_per_ton": 99}}'),
            ("POST", base + b"/notes", b"application/json", b'{"text": "Wet again."}'),
        ):
            own = {b"content-type": kind, b"if-match": b"*", bearer[0]: bearer[1]}
            headers = [*(own | {header.encode(): value}).items()]
            answer = Raw(kept.app, method, path, headers, body=body)
            sound(answer)
            assert MARK not in b"".join(value for _, value in answer.headers)


@pytest.mark.parametrize("header", ["x-forwarded-for", "x-forwarded-proto", "forwarded"])
@pytest.mark.parametrize("proxies", [(), ("192.0.2.0/24",)], ids=["untrusted", "trusted"])
def test_what_a_proxy_says_may_be_anything(header, proxies):
    limited = Limited(by_address=60_000, proxies=proxies)
    more = (b"1.2.3.4, a\r\nb", b"[::1", b"::ffff:1.2.3.4%eth0", b"1" * 60_000, b"http, https")
    for value in (*HOSTILE, *more, b"," * 9_000, b"javascript"):
        answer = Raw(limited.app, "GET", b"/v1/me", [(header.encode(), value)], host=HOME)
        sound(answer)
        assert answer.status in {401, 429}


@pytest.mark.parametrize("public_url", [None, "https://farm.invalid"])
@pytest.mark.parametrize(
    "host",
    [
        *(b"evil.invalid/<script>", b'evil.invalid"onload=', b"evil.invalid\r\nX-Injected: 1"),
        *(b"a b", b"", b"a@b", b"[::1", b"x" * 60_000, b"\xff", b"evil.invalid#", b"evil?x="),
        *(b"javascript:alert(1)//", b"a:b:c", b"winterground:99999999"),
    ],
    ids=lambda host: ascii(host[:16]),
)
def test_an_address_that_is_handed_out_is_one_whatever_the_host_is_said_to_be(host, public_url):
    kept = Keeping(create_app(public_url=public_url))
    scenario = kept.stored()
    headers = [
        (b"authorization", f"Bearer {kept.keys['admin']}".encode()),
        (b"content-type", b"application/json"),
    ]
    path = f"/v1/scenarios/{scenario}/links".encode()
    answer = Raw(kept.app, "POST", path, headers, body=b'{"access": "read", "label": "x"}')
    assert answer.status == 201
    kept.app.state.public_url = public_url
    spoilt = _with_host(kept, path, headers, host)
    sound(spoilt)
    if spoilt.status == 201:
        url = json.loads(spoilt.body)["url"]
        assert re.fullmatch(r"https?://(\[[0-9a-f:]+\]|[A-Za-z0-9.-]+)(:\d{1,5})?/s/wfr_\w+", url)
    if public_url is not None:
        assert spoilt.status == 201
        assert json.loads(spoilt.body)["url"].startswith(f"{public_url}/s/")


def _with_host(kept, path, headers, host):
    """Ask with another Host, in the place of the usual one."""

    async def app(scope, receive, send):
        scope["headers"] = [(b"host", host), *headers]
        await kept.app(scope, receive, send)

    return Raw(app, "POST", path, body=b'{"access": "read", "label": "y"}')


# Paths

PATHS = (
    *("/../../etc/passwd", "/docs/assets/../../settings.py", "/docs/assets/..%2f..%2fsettings.py"),
    *("/docs/assets/%2e%2e/%2e%2e/settings.py", "/docs/assets/..%252f..%252fsettings.py"),
    *("/docs/assets/..%c0%afsettings.py", "/docs/assets/..%e0%80%afsettings.py"),
    *("/docs/assets/....//settings.py", "/docs/assets/..\\settings.py", "/docs/assets/%5c..%5c"),
    *(
        "/docs/assets//etc/passwd",
        "/docs/assets/%2fetc%2fpasswd",
        "/docs/assets/file:///etc/passwd",
    ),
    *("/docs/assets/start.js%00.css", "/docs/assets/start.js/", "/docs/assets/start.js;x=1"),
    *("/problems/..%2f..%2fsettings.py", "/problems/%00", "/problems/not-found%0d%0aX-Injected:1"),
    *("/v1/reference-values/..%2f2026_1%2fsources", "/v1/reference-values/%2e%2e"),
    *("/v1/scenarios/..%2fkeys", "/v1/scenarios/../keys", "/v1/scenarios/%2e%2e/keys"),
    *(
        "/v1//keys",
        "//v1/keys",
        "/V1/keys",
        "/v1/keys/",
        "/v1/keys;a=b",
        "/v1/keys%20",
        "/v1%2fkeys",
    ),
    *(
        "/v1/keys%00",
        "/v1/keys%0a",
        "/v1/keys%0d%0aX-Injected:%201",
        "/%",
        "/%zz",
        "/%ff",
        "/%C0%AE",
    ),
    *(
        "/s/..%2fv1%2fkeys",
        "/s/../v1/keys",
        "/s/%00",
        "/s/" + "a/" * 20_000,
        "/" + "%2e%2e%2f" * 5_000,
    ),
    *("/" + "a" * 60_000, "/v1/scenarios/" + "x" * 60_000, "/v1/cell/" + "%00" * 10_000),
    *("/v1/sweeps/../keys", "/start/..%2fv1%2fkeys", "http://127.0.0.1:1/v1/keys", "*"),
)
OUR_OWN = ("class Settings", "root:", "import ", "[tool.", f"{ROOT}/", "site-packages")


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path[:40])
@pytest.mark.parametrize("method", ["GET", "DELETE"])
def test_a_path_leads_to_nothing_that_has_no_address(kept, path, method, one_line_each):
    del one_line_each
    raw = path.encode()
    decoded = re.sub(rb"%([0-9A-Fa-f]{2})", lambda found: bytes([int(found[1], 16)]), raw)
    for sent in (raw, decoded):
        answer = Raw(kept.app, method, sent)
        sound(answer)
        assert answer.status in {400, 401, 404, 405, 415, 422}
        assert not [own for own in OUR_OWN if own in answer.body.decode(errors="replace")]
        assert len(answer.body) < 70_000


# Statements

SQL = (
    *("' OR '1'='1", "'; DROP TABLE scenarios; --", "1 OR 1=1", "x' UNION SELECT 1,2,3 --"),
    *("%", "_", "%%", "\\", "'", '"', "`", "[", "{", "x'||(SELECT 1)||'", "1;ATTACH 'a' AS b"),
    *(
        "\0",
        "$1",
        ":name",
        "?",
        "sc_%",
        "NULL",
        "-- ",
        "/*",
        "\N{RIGHT SINGLE QUOTATION MARK} OR 1=1",
    ),
)
NEUTRAL = "Quillwort"


@pytest.fixture(scope="module")
def stored(tmp_path_factory, request):
    folder = tmp_path_factory.mktemp("statements")
    with opened("sqlite", request, folder) as database:
        keeping = Keeping(create_app(), new_desk(store=database))
        keeping.scenario = keeping.stored()
        keeping.stored(external_id=None)
        yield keeping


PARAMETERS = [
    (path, parameter["name"])
    for path, methods in describe(create_app())["paths"].items()
    for parameter in methods.get("get", {}).get("parameters", [])
    if parameter["in"] == "query" and path.startswith("/v1")
]


def alike(answer):
    """Return what answers to two texts that mean nothing share."""
    items = answer.json().get("items") if "json" in answer.headers["content-type"] else None
    return answer.status_code, items


@pytest.mark.parametrize(("path", "name"), PARAMETERS, ids=[" ".join(one) for one in PARAMETERS])
def test_a_statement_in_a_query_is_a_text_like_any_other(stored, path, name):
    parts = {"scenario": stored.scenario, "revision": "1", "season": "2025-26", "name": "winters"}
    address = re.sub(r"\{(\w+)\}", lambda found: parts.get(found[1], NEUTRAL), path)
    wanted = alike(stored.get(f"{address}?{name}={NEUTRAL}"))
    for text in SQL[:6]:
        answer = stored.get(f"{address}?{name}={quote(text)}")
        assert alike(answer) == wanted or answer.status_code in {404, 422}, (text, answer.text)
        assert "sql" not in answer.text.lower().replace("%", "")


@pytest.mark.parametrize("text", SQL)
def test_a_statement_in_a_path_or_a_body_is_a_text_like_any_other(stored, text):
    before = stored.get("/v1/scenarios").json()
    for path in ("/v1/scenarios/{}", "/v1/sweeps/{}", "/v1/weather-records/{}", "/v1/keys/{}"):
        for method in ("GET", "DELETE"):
            answer = stored(method, path.format(quote(text, safe="")), headers={"If-Match": "*"})
            assert answer.status_code in {404, 405, 412, 422}, answer.text
    for body in ({"scenario": text, "question": "winter_types"}, {"scenario": text}):
        for path in ("/v1/analyses", "/v1/costings", "/v1/sweeps"):
            assert 400 <= stored("POST", path, json=body).status_code < 500
    answer = stored("POST", "/v1/scenarios", json=small_document(external_id=text, name=text))
    assert answer.status_code in {201, 422}
    if answer.status_code == 201:
        made = answer.json()
        assert made["document"]["name"] == text
        found = stored.get(f"/v1/scenarios?external_id={quote(text)}").json()["items"]
        assert [one["id"] for one in found] == [made["id"]]
        stored("DELETE", f"/v1/scenarios/{made['id']}", headers={"If-Match": "*"})
    assert stored.get("/v1/scenarios").json() == before


# The server itself


@pytest.fixture(scope="module")
def port(kept):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        found = free.getsockname()[1]
    config = uvicorn.Config(kept.app, port=found, log_config=None, access_log=False, lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    deadline = time.monotonic() + PATIENCE
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.02)
    assert server.started
    yield found
    server.should_exit = True
    thread.join(PATIENCE)


def spoken(port, sent):
    """Send bytes and return all that comes back until the server closes."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE) as line:
        told = b""
        with contextlib.suppress(ConnectionError):
            line.sendall(sent)
            line.shutdown(socket.SHUT_WR)
            while piece := line.recv(65_536):
                told += piece
    return told


HEAD = b"Host: winterground\r\nConnection: close\r\n"


def test_the_server_answers_what_is_right(port):
    told = spoken(port, b"GET /v1/version HTTP/1.1\r\n" + HEAD + b"\r\n")
    assert told.startswith(b"HTTP/1.1 200 OK\r\n")


@pytest.mark.parametrize(
    "sent",
    [
        *(b"GET /none\r\nX-Injected: 1 HTTP/1.1\r\n" + HEAD + b"\r\n",),
        *(
            b"GET /v1/ver sion HTTP/1.1\r\n" + HEAD + b"\r\n",
            b"GET\0/ HTTP/1.1\r\n" + HEAD + b"\r\n",
        ),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"X-Request-Id: a\0b\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"X-Request-Id: a\rX-Injected: 1\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"X-Request-Id: a\nX-Injected: 1\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b" folded: 1\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"X-Injected : 1\r\n\r\n",),
        *(b"GET / HTTP/9.9\r\n" + HEAD + b"\r\n", b"\0" * 9_000, b"\r\n" * 9_000),
        *(b"GET /\xff\xfe HTTP/1.1\r\n" + HEAD + b"\r\n", b"QUIT / HTTP/1.1\r\n" + HEAD + b"\r\n"),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"Content-Length: -1\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"Content-Length: 1e3\r\n\r\n",),
        *(b"GET / HTTP/1.1\r\n" + HEAD + b"Transfer-Encoding: x\r\n\r\n",),
    ],
    ids=itertools.count(),
)
def test_what_is_no_request_gets_no_answer_of_ours(port, sent):
    told = spoken(port, sent)
    heads = re.findall(rb"^HTTP/1\.1 (\d{3})", told, re.MULTILINE)
    assert len(heads) <= 1
    assert not [status for status in heads if status.startswith((b"2", b"5"))]
    assert MARK not in told.partition(b"\r\n\r\n")[0]


@pytest.mark.parametrize(
    "framing",
    [
        # RFC 9112, section 6.1 and 6.3: what a proxy and we might take for different ends.
        b"Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        b"Content-Length: 4\r\nContent-Length: 60\r\n\r\n0\r\n\r\n",
        b"Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n\r\n0\r\n\r\n",
        b"Transfer-Encoding:\x0bchunked\r\n\r\n0\r\n\r\n",
        b"Transfer-Encoding: chunked\r\n\r\n0x0\r\n\r\n",
        b"Transfer-Encoding: chunked\r\n\r\n-1\r\n\r\n",
        b"Transfer-Encoding: chunked\r\n\r\nffffffffffffffffff\r\n",
    ],
    ids=itertools.count(),
)
def test_no_second_request_hides_in_the_body_of_the_first(port, framing):
    hidden = b"GET /v1/version HTTP/1.1\r\nHost: winterground\r\nX-Request-Id: hidden\r\n\r\n"
    sent = b"POST /v1/costings HTTP/1.1\r\nHost: winterground\r\n"
    told = spoken(port, sent + b"Content-Type: application/json\r\n" + framing + hidden)
    assert b"x-request-id: hidden" not in told.lower()


@pytest.mark.parametrize(
    "path", [path for path in PATHS if path.isascii()], ids=lambda path: path[:40]
)
def test_a_path_through_the_server_leads_to_nothing_either(port, path):
    told = spoken(port, b"GET " + path.encode() + b" HTTP/1.1\r\n" + HEAD + b"\r\n")
    status = re.match(rb"HTTP/1\.1 (\d{3})", told)
    assert status is None or status[1].startswith(b"4"), told[:200]
    assert not [own for own in OUR_OWN if own.encode() in told]
    assert MARK not in told.partition(b"\r\n\r\n")[0]
