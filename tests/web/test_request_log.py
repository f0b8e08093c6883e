"""One line a request, by its template; and lines that repeat nothing of what was sent."""

import asyncio
import json
import logging
import sys

import pytest

from service.scenarios.events import ABOUT
from service.scenarios.tokens import TOKEN, new_token
from service.settings import Settings
from service.web.app import create_app
from service.web.observing import request_log
from service.web.observing.log_format import JsonLine, TextLine, error_told, log_config
from service.web.observing.request_log import METHODS
from tests.support.offices import small_document
from tests.web.keeping import Keeping

FARM = "Quillwort End"
"""Stands in no line, wherever it was sent."""

KNOWN = {
    "request_id",
    "method",
    "route",
    "status",
    "milliseconds",
    "bytes_in",
    "bytes_out",
    "office",
    "credential",
}


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


@pytest.fixture
def lines(caplog):
    """Return what the log has told of requests so far."""
    caplog.set_level(logging.INFO, logger=request_log.__name__)
    return lambda: [
        getattr(record, ABOUT) for record in caplog.records if record.name == request_log.__name__
    ]


def test_a_line_says_what_was_asked_for_and_how_it_ended(kept, lines):
    scenario = kept.stored()
    before = len(lines())
    answer = kept.get(f"/v1/scenarios/{scenario}")
    [told] = lines()[before:]
    assert told["method"] == "GET"
    assert told["route"] == "/v1/scenarios/{scenario}"
    assert told["status"] == 200
    assert told["request_id"] == answer.headers["X-Request-Id"]
    assert told["bytes_in"] == 0
    assert told["bytes_out"] == len(answer.content)
    assert told["milliseconds"] >= 0


def test_a_line_names_office_and_key_by_their_ids(kept, lines):
    kept.get("/v1/scenarios", "read")
    with kept.desk.store.reading() as session:
        found = session.credentials.get(lines()[-1]["office"], lines()[-1]["credential"])
    assert found.label == "read key"
    kept.get("/v1/version", None)
    assert "credential" not in lines()[-1]


def test_what_is_asked_most_is_told_too(kept, lines):
    scenario = kept.stored()
    where = kept.get(f"/v1/scenarios/{scenario}/costing").headers["Content-Location"]
    kept.get(where)
    assert lines()[-1]["route"] == "/v1/scenarios/{scenario}/costings/{costing}"
    assert lines()[-1]["credential"].startswith("ky_")


def test_a_body_is_counted_in_bytes(kept, lines):
    body = json.dumps(small_document(name=FARM))
    headers = {"Content-Type": "application/json"}
    answer = kept("POST", "/v1/scenarios", "write", content=body, headers=headers)
    assert answer.status_code == 201
    assert lines()[-1]["bytes_in"] == len(body)
    assert lines()[-1]["bytes_out"] == len(answer.content)


def test_head_is_told_as_such_and_sends_nothing(kept, lines):
    kept("HEAD", "/v1/version", None)
    told = lines()[-1]
    assert (told["method"], told["route"]) == ("HEAD", "/v1/version")
    assert told["bytes_out"] == 0


@pytest.mark.parametrize(
    ("method", "path", "status", "route"),
    [
        ("GET", f"/{FARM}", 404, None),
        ("GET", "/v1/version/", 404, None),
        ("DELETE", "/v1/version", 405, "/v1/version"),
        ("GET", "/v1/scenarios/nothing", 404, "/v1/scenarios/{scenario}"),
    ],
)
def test_what_was_refused_is_told(kept, lines, method, path, status, route):
    kept(method, path)
    assert (lines()[-1]["status"], lines()[-1]["route"]) == (status, route)


def test_a_body_that_is_too_large_is_told_before_any_route_takes_it(kept, lines):
    kept("POST", "/v1/scenarios", content=b"x" * 1_048_577)
    assert lines()[-1]["status"] == 413


def test_a_failure_of_our_own_is_told_as_it_is_answered(kept, lines, monkeypatch):
    def fail(*_):
        message = f"no such farm: '{FARM}'"
        raise RuntimeError(message)

    monkeypatch.setattr(kept.desk.store, "reading", fail)
    assert kept.get("/v1/scenarios").status_code == 500
    assert (lines()[-1]["status"], lines()[-1]["route"]) == (500, "/v1/scenarios")


def test_a_request_that_is_cut_off_is_told(lines):
    app = create_app()

    async def stalled():
        await asyncio.Event().wait()

    async def cut_off():
        scope = {
            "type": "http",
            "method": "POST",
            "path": "/v1/costings",
            "raw_path": b"/v1/costings",
            "query_string": b"",
            "headers": [(b"content-type", b"application/json")],
        }
        sending = asyncio.create_task(app(scope, stalled, stalled))
        await asyncio.sleep(0.05)
        assert app.state.in_flight.count == 1
        sending.cancel()
        with pytest.raises(asyncio.CancelledError):
            await sending

    asyncio.run(cut_off())
    assert app.state.in_flight.count == 0
    assert (lines()[-1]["status"], lines()[-1]["route"]) == (None, "/v1/costings")


def test_every_address_is_told_by_its_template_alone(kept, lines):
    description = kept.get("/openapi.json", None).json()
    token = kept.keys["read"]
    for path in description["paths"]:
        filled = "/".join(token if "{" in part else part for part in path.split("/"))
        for by in (None, "admin"):
            kept("GET", f"{filled}?farm={FARM}&x={token}", by, headers={"User-Agent": FARM})
    templates = {*description["paths"], "/openapi.json"}
    told = lines()
    routes = {line["route"].replace(":path}", "}") for line in told if line["route"]}
    assert routes <= templates
    assert len(routes) > len(templates) / 2
    assert all(set(line) <= KNOWN for line in told)
    text = json.dumps(told)
    assert FARM not in text
    assert not TOKEN.search(text)


def test_a_method_that_does_not_exist_is_not_repeated(lines):
    token = new_token("key")
    app = create_app()

    async def asked():
        scope = {
            "type": "http",
            "method": token,
            "path": "/v1/version",
            "raw_path": b"/v1/version",
            "query_string": b"",
            "headers": [],
        }

        async def receive():
            return {"type": "http.request", "body": b""}

        async def send(message):
            del message

        await app(scope, receive, send)

    asyncio.run(asked())
    assert lines()[-1]["method"] == "_OTHER"


def test_the_methods_are_those_of_http():
    # RFC 9110, section 9.3, and RFC 5789, section 2, for PATCH
    standard = {"GET", "HEAD", "POST", "PUT", "DELETE", "CONNECT", "OPTIONS", "TRACE", "PATCH"}
    assert standard <= METHODS


# How a line looks


def record(message, *args, about=None, error=None):
    info = None if error is None else (type(error), error, error.__traceback__)
    made = logging.LogRecord("service.x", logging.INFO, __file__, 1, message, args, info)
    made.created = 1_764_115_200.25
    if about is not None:
        setattr(made, ABOUT, about)
    return made


def raised(error, cause=None):
    try:
        raise error from cause  # noqa: TRY301 - it is to have a place
    except Exception as caught:  # noqa: BLE001 - whichever it is
        return caught


def test_a_line_of_json_is_one_object():
    line = JsonLine().format(record("request", about={"route": "/v1/x", "status": None}))
    assert json.loads(line) == {
        "time": "2025-11-26T00:00:00.250Z",  # RFC 3339, section 5.6
        "level": "info",
        "logger": "service.x",
        "message": "request",
        "route": "/v1/x",
        "status": None,
    }


def test_a_line_of_text_says_the_same():
    line = TextLine().format(record("request", about={"route": "/v1/x", "status": None}))
    assert line == "2025-11-26T00:00:00.250Z INFO request route=/v1/x status=-"


@pytest.mark.parametrize("form", [JsonLine, TextLine])
def test_nothing_that_is_told_begins_a_line_of_its_own(form):
    line = form().format(record("a\nb\r\x1b[2J\u2028c", about={"request_id": "x\ny"}))
    assert len(line.splitlines()) == 1
    assert "\x1b" not in line


@pytest.mark.parametrize("form", [JsonLine, TextLine])
def test_a_token_is_blotted_out_wherever_it_stands(form):
    token = new_token("key")
    error = raised(RuntimeError(f"of {token}"), raised(ValueError(token)))
    line = form().format(record("%s failed", token, error=error))
    assert token[:13] not in line
    assert "RuntimeError: of wfk_" in line


@pytest.mark.parametrize("form", [JsonLine, TextLine])
@pytest.mark.parametrize(
    "text",
    [
        f"no such farm: '{FARM}'",
        f'no such farm: "{FARM}\'s"',
        f"can't find '{FARM}' or \"{FARM}\"",
        f"'{FARM}",
        f"two lines\nDETAIL: Key (name)=({FARM}) exists",
        "x" * 300 + FARM,
    ],
)
def test_what_an_error_repeats_of_its_input_is_not_told(form, text):
    line = form().format(record("failed", error=raised(KeyError(text), raised(ValueError(text)))))
    assert FARM.split(maxsplit=1)[0] not in line
    assert "ValueError" in line
    assert "KeyError" in line


def test_an_error_is_told_by_where_it_happened_and_no_value_of_a_variable():
    def inner(farm):
        return {}[farm]

    with pytest.raises(KeyError) as caught:
        inner(FARM)
    told = error_told(caught.value)
    assert any(line.endswith("in inner") for line in told)
    assert FARM not in "".join(told)


def test_errors_that_came_together_are_all_told():
    told = error_told(raised(ExceptionGroup("both", [ValueError("one"), KeyError("two")])))
    assert {"ValueError", "KeyError", "ExceptionGroup"} <= {line.partition(":")[0] for line in told}


def test_a_chain_of_errors_without_end_is_told_in_part():
    error = ValueError("0")
    for number in range(100):
        error = raised(ValueError(str(number)), error)
    assert len(error_told(error)) < 100


@pytest.mark.parametrize(("form", "begins"), [("json", "{"), ("text", "20")])
def test_the_server_logs_in_the_form_that_is_set(form, begins, capfd):
    import logging.config  # noqa: PLC0415 - changed for this test alone

    root, level = logging.getLogger(), logging.getLogger("service").level
    before = root.handlers[:]
    try:
        logging.config.dictConfig(log_config("info", form))
        logging.getLogger("service.any").info("told")
        logging.getLogger("service.any").debug("not told")
        logging.getLogger("library").info("not told")
        logging.getLogger("uvicorn.access").info("GET /s/%s", new_token("read_link"))
        sys.stderr.flush()
    finally:
        root.handlers[:] = before
        logging.getLogger("service").setLevel(level)
        logging.getLogger("uvicorn.access").setLevel(logging.NOTSET)
        logging.getLogger("uvicorn.access").propagate = True
        logging.getLogger("uvicorn").setLevel(logging.NOTSET)
    lines = capfd.readouterr().err.splitlines()
    assert len(lines) == 1
    assert lines[0].startswith(begins)


def test_the_settings_of_the_log_are_checked():
    assert Settings().log_level == "info"
    with pytest.raises(ValueError, match="log_format"):
        Settings(log_format="yaml")
