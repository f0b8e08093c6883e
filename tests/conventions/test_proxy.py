"""The proxy before the replicas: what its file says, and, where the program is, what it does."""

import json
import re
from pathlib import Path

import pytest
import yaml

from service.cli.addresses import PORT
from service.web import middleware
from service.web.problem_kinds import BODY_TOO_LARGE, NOT_READY
from tests.support.running_proxy import running

DOCKER = Path(__file__).parents[2] / "docker"
FILE = (DOCKER / "nginx.conf").read_text()
COMPOSE = yaml.safe_load((DOCKER / "compose.yaml").read_text())
TOKEN = re.compile(r"""\s+|\#.*|("[^"]*"|'[^']*')|([{};])|([^\s{};"']+)""")
KILO = 1_024
LARGEST = max(middleware.LARGEST_BODY, *middleware.LARGER_BODIES.values())


def directives(text):
    """Return the directives of a file as lists of words, each with those inside its braces."""
    words = [
        match[0].strip("\"'") if match[1] else match[0]
        for match in TOKEN.finditer(text)
        if match[0].strip() and not match[0].startswith("#")
    ]
    found, _ = _block(words, 0)
    return found


def _block(words, at):
    found, current = [], []
    while at < len(words):
        word = words[at]
        at += 1
        if word == "}":
            return found, at
        if word == ";":
            found.append((current, []))
            current = []
        elif word == "{":
            inner, at = _block(words, at)
            found.append((current, inner))
            current = []
        else:
            current.append(word)
    return found, at


def all_named(name, tree):
    """Return the arguments of every directive of a name, wherever it stands."""
    for words, inner in tree:
        if words and words[0] == name:
            yield words[1:], inner
        yield from all_named(name, inner)


TREE = directives(FILE)


def the(name):
    [(arguments, inner)] = all_named(name, TREE)
    return arguments, inner


def test_the_replicas_of_the_proxy_are_those_of_the_compose_file():
    [((name,), upstream)] = all_named("upstream", TREE)
    asked = [arguments for arguments, _ in all_named("server", upstream)]
    replicas = [one for one, service in COMPOSE["services"].items() if one.startswith("replica")]
    assert sorted(address for address, *_ in asked) == [f"{one}:{PORT}" for one in replicas]
    for _, *options in asked:
        assert "resolve" in options, "a replica made anew has another address"
        assert any(option.startswith("max_fails=") for option in options)
    for one in replicas:
        assert "inside" in COMPOSE["services"][one]["networks"]
    assert the("proxy_pass")[0] == [f"http://{name}"]


def test_the_version_of_the_proxy_knows_how_to_look_names_up_again():
    # nginx, "Module ngx_http_upstream_module", server: resolve, in the free one since 1.27.3
    [(major, minor)] = re.findall(r"^nginx:(\d+)\.(\d+)", COMPOSE["services"]["proxy"]["image"])
    assert (int(major), int(minor)) >= (1, 28)


def test_the_ports_and_files_of_the_proxy_are_those_of_the_compose_file():
    proxy = COMPOSE["services"]["proxy"]
    listening = [arguments[0] for arguments, _ in all_named("listen", TREE)]
    [published] = proxy["ports"]
    assert published.split(":")[-1] in listening
    address = next(word for word in proxy["healthcheck"]["test"] if word.startswith("http://"))
    assert address.removeprefix("http://").rstrip("/") in listening
    for name in ("ssl_certificate", "ssl_certificate_key"):
        assert the(name)[0][0].removeprefix("/run/secrets/") in proxy["secrets"]
    [mounted] = proxy["volumes"]
    source, target, mode = mounted.split(":")
    assert (DOCKER / source).read_text() == FILE
    assert target in proxy["entrypoint"]
    assert mode == "ro"


def test_the_proxy_writes_only_where_it_may():
    writing = [path for name in ("pid", *TEMPORARY) for path in the(name)[0]]
    assert len(writing) == 1 + len(TEMPORARY)
    assert all(path.startswith("/tmp/") for path in writing)  # noqa: S108 - a tmpfs of its own


TEMPORARY = [f"{kind}_temp_path" for kind in ("client_body", "proxy", "fastcgi", "scgi", "uwsgi")]


def test_the_largest_body_is_that_of_the_service():
    [size] = the("client_max_body_size")[0]
    assert int(size.removesuffix("m")) * KILO**2 == LARGEST


def test_the_log_holds_nothing_that_a_token_could_stand_in():
    (name, *parts), _ = the("log_format")
    [((place, used), _), (off, _)] = all_named("access_log", TREE)
    assert (place, used, off) == ("/dev/stdout", name, ["off"])
    written = set(re.findall(r"\$(\w+)", "".join(parts)))
    assert written <= {
        "bytes_sent",
        "logged_id",
        "logged_method",
        "logged_place",
        "remote_addr",
        "request_length",
        "request_time",
        "status",
        "time_iso8601",
        "upstream_addr",
        "upstream_response_time",
        "upstream_status",
    }
    levels = [arguments for arguments, _ in all_named("error_log", TREE)]
    assert levels == [["stderr", "notice"], ["stderr", "emerg"]]
    assert ["error_log", "stderr", "emerg"] in [words for words, _ in the("http")[1]]


def test_what_a_client_says_of_itself_is_replaced():
    headers = {name: value for (name, value), _ in all_named("proxy_set_header", TREE)}
    assert headers["X-Forwarded-For"] == "$remote_addr"
    assert headers["X-Forwarded-Proto"] == "$scheme"
    assert headers["Forwarded"] == ""
    assert "$proxy_add_x_forwarded_for" not in FILE


def test_connections_are_let_go_before_the_service_does_it():
    import uvicorn  # noqa: PLC0415 - for its default alone

    [(arguments, _)] = all_named("keepalive_timeout", the("upstream")[1])
    kept = uvicorn.Config("service").timeout_keep_alive
    assert int(arguments[0].removesuffix("s")) < kept


# --- the program itself


@pytest.fixture
def proxy(tmp_path):
    with running(tmp_path) as found:
        yield found


def sent_on(answer):
    return dict(json.loads(answer[2])["headers"])


def test_both_replicas_are_asked_and_told_who_the_client_is(proxy):
    claimed = {
        "X-Forwarded-For": "203.0.113.9",  # RFC 5737: addresses for documentation
        "X-Forwarded-Proto": "http",
        "Forwarded": "for=203.0.113.9",
        "X-Real-IP": "203.0.113.9",
    }
    answers = [proxy.ask(headers=claimed) for _ in range(10)]
    assert {json.loads(body)["port"] for _, _, body in answers} == {
        replica.server_port for replica in proxy.replicas
    }
    for answer in answers:
        headers = sent_on(answer)
        assert headers["x-forwarded-for"] == "127.0.0.1"
        assert headers["x-forwarded-proto"] == "https"
        assert "203.0.113.9" not in str(headers)
        assert answer[1]["Strict-Transport-Security"].startswith("max-age=")


@pytest.mark.parametrize(
    ("given", "is_passed"),
    [("a-lawful.Id_1", True), ("x" * 65, False), ("with a space", False), ('quo"te', False)],
)
def test_an_id_of_a_request_is_passed_on_if_the_service_would_take_it(proxy, given, is_passed):
    passed = sent_on(proxy.ask(headers={"X-Request-Id": given}))["x-request-id"]
    assert (passed == given) is is_passed
    assert middleware.LAWFUL_ID.fullmatch(passed)
    assert passed in {line["request_id"] for line in proxy.lines(2)}


def test_a_replica_that_is_gone_is_not_missed(proxy):
    proxy.replicas[0].end()
    for method in ("GET", "POST", "PUT") * 4:
        status, _, body = proxy.ask(method=method, body=b"{}")
        assert status == 200
        assert json.loads(body)["port"] == proxy.replicas[1].server_port
        assert json.loads(body)["method"] == method


def test_where_no_replica_answers_the_caller_is_told_when_to_try_again(proxy):
    for replica in proxy.replicas:
        replica.end()
    ids = []
    for method in ("GET", "POST"):
        status, headers, body = proxy.ask(method=method)
        assert (status, headers["Content-Type"]) == (503, "application/problem+json")
        assert int(headers["Retry-After"]) > 0
        told = json.loads(body)
        ids.append(told.pop("request_id"))
        assert told == {
            "type": f"/problems/{NOT_READY.name}",
            "title": NOT_READY.title,
            "status": NOT_READY.status,
        }
    assert ids == [line["request_id"] for line in proxy.lines(3)][1:]


def test_a_body_is_passed_on_up_to_what_the_service_takes(proxy):
    status, _, body = proxy.ask("/v1/weather-records", "POST", bytes(LARGEST))
    assert status == 200
    assert json.loads(body)["bytes"] == LARGEST
    headers = {"Content-Length": str(LARGEST + 1)}
    status, headers, body = proxy.ask("/v1/weather-records", "POST", b"", headers)
    assert (status, headers["Content-Type"]) == (413, "application/problem+json")
    told = json.loads(body)
    assert told["type"] == f"/problems/{BODY_TOO_LARGE.name}"
    assert told["title"] == BODY_TOO_LARGE.title


def test_figures_of_operation_stay_inside(proxy):
    assert proxy.ask("/metrics")[0] == 404


def test_no_token_is_written_down_whatever_becomes_of_the_request(proxy):
    token = "wfr_S3cretS3cretS3cretS3cretS3cret"  # noqa: S105 - made up
    paths = (
        f"/s/{token}",
        f"/s/{token}/form",
        f"/{token}",
        f"/v1/{token}",
        f"/v1/scenarios/{token}",
        f"/v1/scenarios?key={token}",
        f"/hang-up/{token}",
        f"/health/ready?{token}",
        f"//s/%77fr_{token}",
    )
    headers = {
        "Authorization": f"Bearer {token}",
        "X-Request-Id": token,
        "Referer": f"https://x/s/{token}",
        "User-Agent": token,
        "Host": token.replace("_", "-"),
    }

    def all_asked():
        for path in paths:
            proxy.ask(path, headers=headers)
            proxy.ask(path, "POST", b"x", headers)
            proxy.ask(path, "PUT", b"", {**headers, "Content-Length": str(LARGEST + 1)})
        proxy.ask("/s/x", token.upper())
        proxy.ask(f"/s/{token}", headers={"X": f"{token}" * 3000})

    all_asked()
    for replica in proxy.replicas:
        replica.end()
    all_asked()
    lines = proxy.lines(1 + 2 * (3 * len(paths) + 2))
    assert {"/s/", "/v1/scenarios", "other"} <= {line["place"] for line in lines}
    assert {"", "200", "502"} <= {line["upstream_status"] for line in lines}
    assert {200, 400, 413, 503} <= {line["status"] for line in lines}
    assert "cret" not in proxy.said().casefold()
