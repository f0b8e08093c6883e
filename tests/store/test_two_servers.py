"""Two servers, started by two people, upon one SQLite file: one truth, and each job done once.

How SQLite keeps two programs apart stands in its documentation ("Write-Ahead Logging", section 2.2:
one writer at a time; "Atomic Commit In SQLite": what was committed survives the process).
"""

import json
import shutil
import threading
from collections import Counter
from contextlib import contextmanager

import httpx
import pytest

from service.store.soundness import findings
from tests.support.changing import together
from tests.support.installation import installation, stocked
from tests.support.offices import small_document
from tests.support.own_server import own_server, until

CALLERS, CHANGES = 3, 8
"""Callers of each server, and how often each changes something."""
PRICE = ("hay", "price_per_ton")
QUESTIONS = 6
DRAWS = 40_000
FARMS = 1_000

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made_once(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two") / "data"
    return folder, stocked(installation(folder))


@contextmanager
def both(made_once, folder):
    """Start two servers upon one folder."""
    made, stock = made_once
    data = folder / "data"
    shutil.copytree(made, data)
    told = {"log_format": "json"}
    with own_server(data, **told) as first, own_server(data, **told) as second:
        yield first, second, stock, installation(data)


@pytest.fixture(scope="module")
def two(made_once, tmp_path_factory):
    """Return two servers upon one folder, and what is kept there."""
    with both(made_once, tmp_path_factory.mktemp("both")) as servers:
        yield servers


def scenario_at(number, stock):
    return f"/v1/scenarios/{stock.scenarios[number]}"


def price_of(answer):
    return answer.json()["document"]["hay"]["price_per_ton"]


def raised(client, address, mark):
    """Add one to the price of hay, as a caller does that reads it first; return the refusals.

    The mark goes into the name: a change whose result stands already would be taken for the repeat
    of one that was made (RFC 9110, section 13.1.1).
    """
    refused = 0
    while True:
        read = client.get(address)
        change = {"name": f"Raised {mark}", "hay": {"price_per_ton": price_of(read) + 1}}
        headers = {
            "If-Match": read.headers["ETag"],
            "Content-Type": "application/merge-patch+json",
        }
        answer = client.patch(address, content=json.dumps(change), headers=headers)
        if answer.status_code == 200:
            return refused
        assert answer.status_code == 412, answer.text
        refused += 1


def at_both(two, act):
    """Let callers of both servers do an act at the same time; return what comes of it, in order."""
    first, second, stock, _ = two
    gate = threading.Barrier(2 * CALLERS)

    def one(server, caller):
        with server.client(stock.admin) as client:
            client.get("/v1/me")
            gate.wait(60)
            return [act(client, caller, number) for number in range(CHANGES)]

    callers = [(server, number) for number in range(CALLERS) for server in (first, second)]
    return together([lambda one_of=one_of: one(*one_of) for one_of in callers])


def test_changes_of_one_scenario_at_both_are_all_kept(two):
    first, second, stock, _ = two
    address = scenario_at(0, stock)
    with first.client(stock.admin) as here, second.client(stock.admin) as there:
        before = price_of(here.get(address))

        def act(client, caller, number):
            return raised(client, address, f"{client.base_url} {caller}.{number}")

        refused = sum(sum(one) for one in at_both(two, act))
        mine, theirs = here.get(address), there.get(address)
        assert price_of(mine) == price_of(theirs) == before + 2 * CALLERS * CHANGES
        assert mine.headers["ETag"] == theirs.headers["ETag"] == f'"{1 + 2 * CALLERS * CHANGES}"'
    assert refused > 0, "they never met: nothing was tried"


def test_scenarios_that_are_stored_at_both_are_all_there(two):
    first, second, stock, _ = two

    def stored(client, caller, number):
        answer = client.post(
            "/v1/scenarios", json=small_document(name=f"Made {caller}.{number} {client.base_url}")
        )
        assert answer.status_code == 201, answer.text
        return answer.json()["id"]

    made = [one for ids in at_both(two, stored) for one in ids]
    assert len(set(made)) == 2 * CALLERS * CHANGES
    for server in (first, second):
        with server.client(stock.admin) as client:
            listed = [one["id"] for one in client.get("/v1/scenarios?limit=200").json()["items"]]
        assert set(made) <= set(listed)


def test_of_one_external_id_at_both_one_is_kept(two):
    def stored(client, _caller, number):
        document = small_document(name="Same") | {"external_id": f"same-{number}"}
        return client.post("/v1/scenarios", json=document).status_code

    by_number = zip(*at_both(two, stored), strict=True)
    for statuses in by_number:
        assert Counter(statuses) == {201: 1, 409: 2 * CALLERS - 1}


def test_a_request_that_is_sent_to_both_acts_once(two):
    def stored(client, _caller, number):
        while True:
            answer = client.post(
                "/v1/scenarios",
                json=small_document(name=f"Once {number}"),
                headers={"Idempotency-Key": f"once-{number}"},
            )
            if answer.status_code == 201:
                return answer.json()["id"], answer.headers.get("Idempotency-Replayed")
            assert answer.json()["type"] == "/problems/idempotency-key-in-flight", answer.text

    for answers in zip(*at_both(two, stored), strict=True):
        assert len({scenario for scenario, _ in answers}) == 1
        assert Counter(replayed for _, replayed in answers) == {None: 1, "true": 2 * CALLERS - 1}


def test_an_etag_of_one_is_honoured_by_the_other(two):
    first, second, stock, _ = two
    address = scenario_at(1, stock)
    patch = {"Content-Type": "application/merge-patch+json"}

    def changed(client, tag, price):
        body = json.dumps({"hay": {"price_per_ton": price}})
        return client.patch(address, content=body, headers={**patch, "If-Match": tag})

    with first.client(stock.admin) as here, second.client(stock.admin) as there:
        for turn in range(5):
            old = here.get(address).headers["ETag"]
            assert there.get(address, headers={"If-None-Match": old}).status_code == 304
            new = changed(there, old, 70 + turn).headers["ETag"]
            assert here.get(address, headers={"If-None-Match": old}).status_code == 200
            refused = changed(here, old, 40)
            assert refused.status_code == 412
            assert refused.headers["ETag"] == new
            assert changed(here, new, 80 + turn).status_code == 200
            assert price_of(there.get(address)) == 80 + turn


def test_what_is_revoked_at_one_opens_nothing_at_the_other(two):
    first, second, stock, _ = two
    scenario = scenario_at(0, stock)
    with first.client(stock.admin) as here, second.client(stock.admin) as there:
        stored = here.get(f"{scenario}/costing").headers["Content-Location"]
        for turn in range(4):
            maker, other = ((here, there), (there, here))[turn % 2]
            wish = {"label": f"turn {turn}", "expires_in_days": 1}
            link = maker.post(f"{scenario}/links", json={"access": "read", **wish}).json()
            key = maker.post("/v1/keys", json={"access": "read", **wish}).json()
            shown = [{"Authorization": f"Bearer {one['token']}"} for one in (link, key)]
            page = f"/s/{link['token']}"
            for headers in shown:
                for path in (scenario, stored):  # the second is remembered by whoever answers it
                    assert other.get(path, headers=headers).status_code == 200
            assert other.get(page).status_code == 200
            assert maker.delete(f"{scenario}/links/{link['id']}").status_code == 204
            assert maker.delete(f"/v1/keys/{key['id']}").status_code == 204
            for headers in shown:
                for path in (stored, scenario):
                    assert other.get(path, headers=headers).status_code == 401
            assert other.get(page).status_code == 404


def events(server):
    """Return what a server told of jobs: id and event of each."""
    lines = [json.loads(line) for line in server.said().splitlines() if line.startswith("{")]
    return [(line["job"], line["event"]) for line in lines if line["message"] == "job"]


def test_questions_and_sweeps_are_each_taken_up_once(two):
    first, second, stock, _ = two
    asked = []
    with first.client(stock.admin) as here, second.client(stock.admin) as there:
        for number in range(QUESTIONS):
            client = (here, there)[number % 2]
            answer = client.post(
                f"{scenario_at(0, stock)}/analyses",
                json={"question": "risk", "draws": DRAWS, "seed": number},
                headers={"Prefer": "wait=0"},
            )
            assert answer.status_code == 202, answer.text
            asked.append(answer.headers["Location"])
        for client in (here, there):
            farms = [
                {"external_id": f"{number}", "set": {".".join(PRICE): 50 + number / 10}}
                for number in range(FARMS)
            ]
            body = {"document": small_document(), "farms": farms, "seed": len(asked)}
            answer = client.post("/v1/sweeps", json=body)
            assert answer.status_code == 202, answer.text
            asked.append(answer.headers["Location"])
        for address in asked:
            until(lambda address=address: there.get(address).json()["state"] == "done", address)
        told = [event for server in (first, second) for event in events(server)]
        ids = {address.rpartition("/")[2] for address in asked}
        assert len(ids) == len(asked)
        assert Counter(told) == {(one, event): 1 for one in ids for event in ("claimed", "done")}
        for address in asked:
            assert here.get(address).json() == there.get(address).json()
        sweep = next(address for address in asked if "/sweeps/" in address)
        rows = here.get(f"{sweep}/results.csv")
        assert rows.headers["Results-Complete"] == "true"
        assert rows.content == there.get(f"{sweep}/results.csv").content
        assert len({line.split(b",")[0] for line in rows.content.splitlines()[1:]}) == FARMS


@pytest.fixture
def two_to_kill(made_once, tmp_path):
    """Return two servers for one test, which may kill them."""
    with both(made_once, tmp_path) as servers:
        yield servers


def test_where_one_is_killed_while_both_write_the_other_goes_on(two_to_kill):
    first, second, stock, settings = two_to_kill
    dead = threading.Event()
    kept: list[str] = []
    guard = threading.Lock()

    def storing(server, caller):
        """Store until the first server is dead, and a few more; note what was answered as kept."""
        after = 0
        with server.client(stock.admin) as client:
            while after < CHANGES:
                after += dead.is_set()
                document = small_document(name=f"Beside {caller}.{len(kept)}")
                try:
                    answer = client.post("/v1/scenarios", json=document)
                except httpx.TransportError:
                    assert server is first
                    return None
                assert answer.status_code == 201, answer.text
                with guard:
                    kept.append(answer.json()["id"])
            return server is second

    def killing():
        until(lambda: len(kept) > 20, "too little was ever stored")
        first.kill()
        dead.set()

    acts = [
        lambda server=server, caller=caller: storing(server, caller)
        for caller in range(CALLERS)
        for server in (first, second)
    ]
    came = together([*acts, killing])
    assert came.count(True) == CALLERS
    assert came.count(None) == CALLERS + 1
    with second.client(stock.admin) as client:
        for scenario in kept:
            assert client.get(f"/v1/scenarios/{scenario}").status_code == 200
        assert raised(client, scenario_at(0, stock), "after") == 0
        answer = client.post(
            f"{scenario_at(0, stock)}/analyses",
            json={"question": "risk", "draws": DRAWS, "seed": 9},
            headers={"Prefer": "wait=0"},
        )
        address = answer.headers["Location"]
        until(lambda: client.get(address).json()["state"] == "done", "nobody works any more")
    assert findings(settings) == []
