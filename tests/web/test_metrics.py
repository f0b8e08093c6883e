"""Figures of operation: what they count, and where they are read."""

import sqlite3
import sys
import urllib.error
import urllib.request
from contextlib import contextmanager
from dataclasses import replace

import pytest
from prometheus_client.parser import text_string_to_metric_families
from typer.testing import CliRunner

from service.cli.commands import app as command_line
from service.costing.tally import Tally
from service.scenarios import analyses
from service.scenarios.errors import StoreBusyError
from service.scenarios.tokens import TOKEN
from service.scenarios.working import work_on_next
from service.settings import Settings
from service.store.database import Database
from service.web.app import create_app
from service.web.observing.metrics import SECONDS, Meters, NoMetricsError
from service.web.observing.metrics_server import MetricsServer, parted
from service.web.observing.request_log import InFlight
from tests.support.databases import opened
from tests.support.desks import WRITER, kept, opened_desk
from tests.support.made_up_work import ASKED, made_up
from tests.support.offices import small_document
from tests.web.keeping import Keeping

DURATION = "http_server_request_duration_seconds"


@pytest.fixture
def counted():
    """Return a service that is counted."""
    app = create_app()
    found = Keeping(app)
    app.state.meters = Meters(app.state.in_flight, found.desk)
    yield found
    app.state.meters.close()


def figures(meters):
    """Read the figures as the format's own library reads them."""
    found = {}
    for family in text_string_to_metric_families(meters.text().decode()):
        for sample in family.samples:
            found[sample.name, *sorted(sample.labels.items())] = sample.value
    return found


def of_requests(found, part="_count", **labels):
    """Return what was counted of requests: sort, route and status class."""
    wanted = {f"http_{name}": value for name, value in labels.items()}
    return sum(
        value
        for (name, *about), value in found.items()
        if name == DURATION + part and wanted.items() <= dict(about).items()
    )


def test_requests_are_counted_by_route_method_and_class_of_status(counted):
    for _ in range(3):
        counted.get("/v1/version", None)
    counted("HEAD", "/v1/version", None)
    counted.get("/v1/scenarios/nothing")
    counted.get("/nowhere/at-all")
    found = figures(counted.app.state.meters)
    get = {"route": "/v1/version", "request_method": "GET", "response_status_class": "2xx"}
    assert of_requests(found, **get) == 3
    assert of_requests(found, **get | {"request_method": "HEAD"}) == 1
    assert of_requests(found, response_status_class="4xx", route="/v1/scenarios/{scenario}") == 1
    assert of_requests(found, response_status_class="4xx", route="none") == 1
    assert of_requests(found) == 6


def test_a_histogram_adds_up(counted):
    for _ in range(20):
        counted.get("/v1/version", None)
    found = figures(counted.app.state.meters)
    # Text form of Prometheus: buckets are cumulative, the last is le="+Inf" and is the count.
    buckets = {
        float(dict(about)["le"]): value
        for (name, *about), value in found.items()
        if name == f"{DURATION}_bucket"
    }
    # OpenTelemetry semantic conventions, HTTP metrics: bounds of http.server.request.duration.
    assert sorted(buckets) == [*SECONDS, float("inf")]
    assert [buckets[bound] for bound in sorted(buckets)] == sorted(buckets.values())
    assert buckets[float("inf")] == of_requests(found) == 20
    assert of_requests(found, "_sum") > 0


def test_no_label_repeats_what_was_sent(counted):
    token = counted.keys["read"]
    for path in (f"/s/{token}", f"/{token}", f"/v1/scenarios/{token}?token={token}"):
        counted.get(path, None)
    counted("POST", "/v1/scenarios", json=small_document(name="Quillwort End"))
    text = counted.app.state.meters.text().decode()
    assert not TOKEN.search(text)
    assert "Quillwort" not in text
    assert counted.keys["read"][:12] not in text


def test_requests_that_are_being_answered():
    in_flight = InFlight()
    meters = Meters(in_flight, None)
    in_flight.begin()
    in_flight.begin()
    assert figures(meters)["http_server_active_requests",] == 2
    in_flight.end()
    assert figures(meters)["http_server_active_requests",] == 1


def test_costings_are_counted_where_the_engine_runs(counted):
    name = ("winterground_engine_runs_total",)
    before = figures(counted.app.state.meters)[name]
    for _ in range(2):
        assert counted("POST", "/v1/costings", json={"document": small_document()}).is_success
    assert figures(counted.app.state.meters)[name] == before + 2
    counted("POST", "/v1/costings", json={"document": {}})
    assert figures(counted.app.state.meters)[name] == before + 2


@pytest.fixture(params=["fake", "sqlite", "postgresql"])
def desk(request, tmp_path):
    if request.param == "fake":
        yield opened_desk()
        return
    with opened(request.param, request, tmp_path) as database:
        yield opened_desk(store=database)


def test_jobs_are_counted_while_open_and_when_they_end(desk, monkeypatch):
    work = made_up(monkeypatch)
    meters = Meters(InFlight(), desk)

    def standing():
        found = figures(meters)
        return [found["winterground_jobs", ("state", state)] for state in ("queued", "running")]

    def ended(how):
        return figures(meters)["winterground_jobs_ended_total", ("how", how)]

    assert standing() == [0, 0]
    before = {how: ended(how) for how in ("done", "failed", "handed_back")}
    scenario = kept(desk).head.id
    analyses.ask(desk, WRITER, scenario, ASKED)
    assert standing() == [1, 0]
    work.before_part = lambda _: pytest.fail(str(standing())) if standing() != [0, 1] else None
    work_on_next(desk, "one", lambda: True)
    assert standing() == [1, 0]
    work_on_next(desk, "one")
    assert standing() == [0, 0]

    def wrong(number):
        raise RuntimeError(number)

    work.before_part = wrong
    analyses.ask(desk, WRITER, kept(desk).head.id, ASKED)
    while work_on_next(desk, "one"):
        pass
    after = {how: ended(how) - count for how, count in before.items()}
    assert after == {"done": 1, "failed": 1, "handed_back": 1}


def test_a_database_that_does_not_answer_is_counted_and_hides_what_only_it_knows(tmp_path):
    store = Database.sqlite(tmp_path / "empty.sqlite", 1)
    desk = replace(opened_desk(), store=store)
    meters = Meters(InFlight(), desk)
    before = figures(meters)["winterground_database_busy_total",]
    with pytest.raises(StoreBusyError), store.reading():
        raise sqlite3.OperationalError
    found = figures(meters)
    assert found["winterground_database_busy_total",] >= before + 1
    assert not any(name == "winterground_jobs" for name, *_ in found)
    store.close()


def test_the_memory_of_the_process_is_told():
    found = figures(Meters(InFlight(), None))
    assert 10e6 < found["process_resident_memory_bytes",] < 10e9


def test_a_tally_that_threads_add_to_counts_each():
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 - of this test alone

    tally = Tally()
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda _: tally.add("x"), range(5000)))
    assert (tally.of("x"), tally.of()) == (5000, 0)


@contextmanager
def served(ports=1, address="127.0.0.1:0"):
    server = MetricsServer(address, Meters(InFlight(), None), ports)
    try:
        yield server
    finally:
        server.close()


def read(port, path="/metrics"):
    with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=10) as answer:
        return answer.status, answer.headers["Content-Type"], answer.read().decode()


def test_they_are_read_at_an_address_of_their_own(counted):
    assert counted.get("/metrics").status_code == 404
    assert counted.get("/metrics").headers["Content-Type"] == "application/problem+json"
    with served() as server:
        status, kind, text = read(server.port)
        assert status == 200
        assert kind.startswith("text/plain; version=0.0.4")
        assert list(text_string_to_metric_families(text))
        for path in ("/", "/v1/scenarios", "/metrics/x"):
            with pytest.raises(urllib.error.HTTPError) as refused:
                read(server.port, path)
            assert refused.value.code == 404
            refused.value.close()


def test_each_of_several_processes_takes_a_port_of_its_own():
    with served() as first:
        address = f"127.0.0.1:{first.port}"
        with pytest.raises(NoMetricsError, match="cannot be served"), served(1, address):
            pass
        with served(64, address) as second:
            assert first.port < second.port < first.port + 64
            assert read(second.port)[0] == 200


@pytest.mark.parametrize(
    ("address", "host", "port"),
    [
        ("127.0.0.1:9464", "127.0.0.1", 9464),
        ("[::1]:1", "::1", 1),
        ("any.example:80", "any.example", 80),
    ],
)
def test_an_address_is_host_and_port(address, host, port):
    assert parted(address) == (host, port)
    assert Settings(metrics=address).metrics == address


@pytest.mark.parametrize("address", ["9464", "127.0.0.1", "http://x:1", ":1", "x:", "x:123456"])
def test_what_is_no_address_is_refused(address):
    with pytest.raises(ValueError, match="metrics"):
        Settings(metrics=address)


@pytest.mark.parametrize("workers", ["1", "2"])
def test_without_what_it_needs_the_server_does_not_start(tmp_path, monkeypatch, workers):
    monkeypatch.setitem(sys.modules, "opentelemetry.sdk", None)
    environment = {"WINTERGROUND_DATA": str(tmp_path), "WINTERGROUND_METRICS": "127.0.0.1:0"}
    result = CliRunner().invoke(command_line, ["serve", "--workers", workers], env=environment)
    assert result.exit_code == 2
    assert "winterground[metrics]" in result.stderr


def test_an_address_that_is_taken_is_told_at_the_start(tmp_path):
    with served() as other:
        environment = {
            "WINTERGROUND_DATA": str(tmp_path),
            "WINTERGROUND_METRICS": f"127.0.0.1:{other.port}",
        }
        result = CliRunner().invoke(command_line, ["serve"], env=environment)
    assert result.exit_code == 2
    assert "cannot be served" in result.stderr
