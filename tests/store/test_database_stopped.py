"""A database that stops under load: everybody is told to come back, and then all goes on.

PostgreSQL is stopped as its administrator may stop it; see the documentation of ``pg_ctl``. SQLite
is kept from writing by another process. A server that is killed itself: ``test_killed_server``,
``test_killed_work``, ``test_killed_sweep``.
"""

import sqlite3
import threading
from contextlib import closing
from dataclasses import dataclass, field
from itertools import count

import httpx
import pytest
from pydantic import SecretStr

from service.settings import Settings
from service.store.database import MILLISECONDS_OF_PATIENCE, SECONDS_OF_SILENCE, Database
from service.store.soundness import findings
from tests.support.databases import TEMPLATE
from tests.support.offices import small_document
from tests.support.served import Asking, eventually, served, with_key
from tests.support.stoppable_postgresql import stoppable_postgresql

SECONDS_TO_RECOVER = 60
SECONDS_TO_WORK = 240
FARMS = 60
PROBLEM = "application/problem+json"
BUSY = "/problems/store-busy"


@pytest.fixture(scope="module")
def stoppable():
    with stoppable_postgresql() as server:
        yield server


@pytest.fixture(scope="module")
def settings(stoppable, tmp_path_factory):
    with stoppable.server.new(empty=True) as address:
        yield Settings(data=tmp_path_factory.mktemp("data"), database=SecretStr(address))


@pytest.fixture(scope="module")
def token(settings):
    return with_key(settings)


@pytest.fixture(scope="module")
def service(settings, token, tmp_path_factory):
    del token  # the key is there before the server is
    said = tmp_path_factory.mktemp("said") / "output"
    with served(settings, said, ANALYSIS_WORKERS="1") as one:
        yield one
    assert "status=500" not in said.read_text()


def told_to_come_back(answer):
    """Whether an answer says what RFC 9110, 15.6.4 and RFC 9457 ask for."""
    found = answer.json()
    return (
        answer.headers["Content-Type"].startswith(PROBLEM)
        and int(answer.headers["Retry-After"]) >= 1
        and (found["type"], found["status"]) == (BUSY, 503)
        and "again" in found["detail"]
    )


def add(numbers, marks):
    def ask(client):
        mark = f"made {next(numbers)}"
        answer = client.post("/v1/scenarios", json=small_document(external_id=mark))
        marks[mark] = answer.status_code
        return answer

    return ask


def change(scenario, numbers, prices):
    etag = ['"1"']

    def ask(client):
        price = 100.0 + next(numbers)
        answer = client.patch(
            f"/v1/scenarios/{scenario}",
            json={"hay": {"price_per_ton": price}},
            headers={"If-Match": etag[0]},
        )
        if answer.status_code == 200:
            prices[answer.json()["revision"]] = price
        if "ETag" in answer.headers:
            etag[0] = answer.headers["ETag"]
        return answer

    return ask


@dataclass
class Outage:
    """What was asked while the database was away, and before and after."""

    client: httpx.Client
    where: str
    readers: list[Asking]
    writers: list[Asking]
    strangers: list[Asking]
    work: list[str]
    """Where a sweep and a question are told of that were being worked on."""
    marks: dict[str, int]
    """Status by the external id that a new scenario was to have."""
    prices: dict[int, float]
    """What a revision holds that was answered."""
    ready: list[httpx.Response] = field(default_factory=list)

    @property
    def everybody(self):
        """Return all who ask."""
        return [*self.readers, *self.writers, *self.strangers]

    def stop_and_start(self, stoppable, mode, stranger):
        """Stop the database under load, look at what is said, start it and wait for recovery."""
        for one in self.everybody:
            one.start()
        try:
            answered_again(self.everybody)
            stoppable.stop(mode)
            try:
                self.ready.append(gone_or_back(stranger, 503))
                answered_again(self.everybody)
            finally:
                stoppable.start()
            self.ready.append(gone_or_back(stranger, 200))
            answered_again(self.writers)
            for one in self.writers:
                eventually(
                    lambda one=one: {answer.status_code for answer in one.answers[-3:]},
                    lambda found: bool(found & {200, 201}),
                    SECONDS_TO_RECOVER,
                )
        finally:
            for one in self.everybody:
                one.end()


def answered_again(everybody):
    """Wait until each has three answers more."""
    before = [len(one.answers) for one in everybody]
    eventually(
        lambda: [len(one.answers) - known for one, known in zip(everybody, before, strict=True)],
        lambda more: min(more) >= 3,
        SECONDS_TO_RECOVER,
    )


def gone_or_back(stranger, status):
    return eventually(
        lambda: stranger.get("/health/ready"),
        lambda answer: answer.status_code == status,
        SECONDS_TO_RECOVER,
    )


def begun(client, where):
    """Ask for a sweep and for a question that take a while; return where they are told of."""
    farms = [{"set": {"hay.price_per_ton": 60 + number}} for number in range(FARMS)]
    sweep = {"document": small_document(), "farms": farms, "figures": ["rank"]}
    question = {"question": "risk", "draws": 100_000, "seed": 3}
    answers = [
        client.post(address, json=body, headers={"Prefer": "wait=0"})
        for address, body in (("/v1/sweeps", sweep), (f"{where}/analyses", question))
    ]
    assert [answer.status_code for answer in answers] == [202, 202]
    return [answer.headers["Location"] for answer in answers]


@pytest.fixture(scope="module", params=["fast", "immediate"])
def outage(request, stoppable, token, service):
    """Stop the database and start it again; the service is the same both times."""
    with service.client(token) as client, service.client() as stranger:
        made = client.post("/v1/scenarios", json=small_document()).json()["id"]
        where = f"/v1/scenarios/{made}"
        costing = client.get(f"{where}/costing").headers["Content-Location"]
        paths = (where, "/v1/scenarios?limit=20", costing)
        marks, prices = {}, {}
        document = {"document": small_document()}
        found = Outage(
            client,
            where,
            [Asking(client, lambda one, path=path: one.get(path)) for path in paths],
            [
                Asking(client, add((f"{request.param} {number}" for number in count()), marks)),
                Asking(client, change(made, count(), prices)),
            ],
            [
                Asking(stranger, lambda one: one.post("/v1/costings", json=document)),
                Asking(stranger, lambda one: one.get("/health/live")),
            ],
            begun(client, where),
            marks,
            prices,
        )
        found.stop_and_start(stoppable, request.param, stranger)
        yield found


@pytest.mark.slow
def test_whoever_needs_the_database_is_told_to_come_back_and_nobody_hangs(outage):
    assert [one.unanswered for one in outage.everybody] == [[]] * len(outage.everybody)
    for one in outage.readers:
        assert one.statuses() == {200, 503}
    adding, changing = outage.writers
    assert adding.statuses() == {201, 503}
    # A change whose commit was not heard of is found to stand: RFC 9110, 13.1.1.
    assert {200, 503} <= changing.statuses() <= {200, 412, 503}
    for one in (*outage.readers, *outage.writers):
        for answer in one.answers:
            assert answer.status_code != 503 or told_to_come_back(answer), answer.text


@pytest.mark.slow
def test_what_needs_no_database_is_answered_meanwhile(outage):
    for one in outage.strangers:
        assert one.statuses() == {200}


@pytest.mark.slow
def test_the_service_is_not_ready_and_says_why_until_the_database_is_back(outage):
    away, back = outage.ready
    assert int(away.headers["Retry-After"]) >= 1
    assert "database" in away.json()["detail"]
    assert back.status_code == 200


@pytest.mark.slow
def test_what_was_answered_is_there_and_nothing_is_there_by_halves(outage, settings):
    client = outage.client
    for mark, status in outage.marks.items():
        found = client.get("/v1/scenarios", params={"external_id": mark}).json()["items"]
        assert len(found) <= 1
        assert found or status == 503, mark
        for one in found:
            kept = client.get(f"/v1/scenarios/{one['id']}/revisions/1").json()
            assert kept["document"]["external_id"] == mark
    for number, price in outage.prices.items():
        kept = client.get(f"{outage.where}/revisions/{number}").json()
        assert kept["document"]["hay"]["price_per_ton"] == price
    assert findings(settings) == []


@pytest.mark.slow
def test_work_that_was_in_hand_is_taken_up_again(outage):
    for address in outage.work:
        done = eventually(
            lambda address=address: outage.client.get(address).json(),
            lambda found: found["state"] not in {"queued", "running"},
            SECONDS_TO_WORK,
        )
        assert done["state"] == "done", done
        assert done.get("failed_rows", 0) == 0


@pytest.mark.slow
def test_a_file_that_another_process_writes_to_for_too_long_is_read_and_told_of(tmp_path):
    settings = Settings(data=tmp_path / "data")
    token = with_key(settings)
    with served(settings, tmp_path / "output") as service, service.client(token) as client:
        scenario = client.post("/v1/scenarios", json=small_document()).json()["id"]
        with closing(sqlite3.connect(settings.sqlite_file, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            answers = []
            sent = threading.Thread(
                target=lambda: answers.append(
                    client.post("/v1/scenarios", json=small_document(external_id="late"))
                ),
                daemon=True,
            )
            sent.start()
            while sent.is_alive():
                assert client.get(f"/v1/scenarios/{scenario}").status_code == 200
                assert client.get("/health/ready").status_code == 200
                sent.join(MILLISECONDS_OF_PATIENCE / 10_000)
            [answer] = answers
            assert answer.status_code == 503
            assert told_to_come_back(answer)
            other.execute("ROLLBACK")
        again = client.post("/v1/scenarios", json=small_document(external_id="late"))
        assert again.status_code == 201
    assert findings(settings) == []


def test_a_silent_host_is_not_waited_for_for_hours(stoppable):
    with closing(Database.postgres(stoppable.server.address(TEMPLATE), 1)) as database:
        database.check()
        with closing(database.engine.raw_connection()) as connection:
            used = connection.dbapi_connection.info.get_parameters()
    assert int(used["tcp_user_timeout"]) == SECONDS_OF_SILENCE * 1000
    waited = int(used["keepalives_idle"]) + int(used["keepalives_count"]) * int(
        used["keepalives_interval"]
    )
    assert waited <= SECONDS_OF_SILENCE
