"""Limits by work done: what is charged to whom, and what is told to whoever must wait."""

import asyncio
import json
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.scenarios.tokens import new_token
from service.settings import Settings
from service.web.app import ROUTES, create_app
from service.web.doorway import Doorway
from service.web.limiting.amounts import Amounts
from service.web.limiting.buckets import SECONDS, Buckets
from service.web.limiting.callers import KnownTokens, address_of
from service.web.limiting.counters import SHARED, WindowCounters
from service.web.limiting.meter import Meter
from service.web.limiting.operations import Operations
from service.web.limiting.prices import (
    BYTES_PER_UNIT,
    FAILED_LOOK_UP,
    FREE,
    PART,
    PRICES,
    WINTER,
    Price,
)
from service.web.limiting.storages import LimitsStorageError, buckets_of
from service.web.openapi import describe
from tests.support.offices import small_document
from tests.web.limited import AWAY, HOME, Clock, Limited

EXAMPLES = Path(__file__).parents[2] / "openapi_examples"


def every_route():
    return [route for routes in ROUTES for route in routes.router.routes]


def taken(buckets, units, caller="a"):
    return asyncio.run(buckets.take(caller, units))


def charged(buckets, units, caller="a"):
    asyncio.run(buckets.charge(caller, units))


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def buckets(clock):
    return Buckets(WindowCounters(SECONDS, clock), "test", 100, clock)


# The table


def test_every_operation_of_the_description_has_its_price():
    described = {
        operation["operationId"]
        for methods in describe(create_app())["paths"].values()
        for operation in methods.values()
    }
    assert described <= set(PRICES)


def test_no_price_is_left_over():
    assert set(PRICES) == {route.name for route in every_route()}


def test_every_route_is_found_by_its_address_and_has_a_price():
    operations = Operations(every_route())
    for route in every_route():
        path = route.path.replace("{", "x").replace(":path}", "/y").replace("}", "")
        for method in route.methods:
            assert operations.at(method, path).name == route.name, path
            assert route.name in PRICES


def test_what_is_at_no_address_is_no_operation():
    operations = Operations(every_route())
    for path in ("/", "/v1", "/v1/scenarios/", "/v1/scenarios/x/costings/y/z", "/v1//me"):
        assert not operations.at("GET", path).name
    assert not operations.at("PUT", "/v1/me").name


def test_health_and_documentation_are_free_and_nothing_else():
    free = {name for name, price in PRICES.items() if price == FREE}
    assert free == {
        *("get_live", "get_ready", "show_documentation", "get_asset", "get_openapi"),
        *("list_problems", "get_problem"),
    }
    assert all(price.units > 0 and price.why for name, price in PRICES.items() if name not in free)


def test_a_costing_is_charged_by_systems_and_winters():
    # By hand: 5 + 2 x 7 + 7 x 12 / 250 = 19.3; with 12,000 winters 5 + 14 + 336 = 355, which is 18
    # times as much. The engine was measured at 17 times as long (DEVELOPERS.md, the table).
    def of(winters):
        meter = Meter(documents=1, systems=7, system_winters=7 * winters)
        return Price(1, "", costs=True).owed(meter)

    assert of(12) == 19
    assert of(12_000) == 355


def test_what_shows_later_is_charged_later():
    meter = Meter(recorded_winters=12, parts=3)
    assert PRICES["get_own_figures"].owed(meter) == 12 * WINTER
    assert PRICES["ask_question"].owed(meter) == 3 * PART
    assert PRICES["get_me"].owed(meter) == 0


# Buckets


def test_a_bucket_empties_and_fills_again(buckets, clock):
    assert [taken(buckets, 25) for _ in range(4)] == [0, 0, 0, 0]
    assert taken(buckets, 25) > 0
    clock.go(2 * SECONDS)
    assert taken(buckets, 25) == 0


def test_no_window_of_a_minute_holds_much_more_than_the_limit(buckets, clock):
    # A moving window: not twice the limit at the turn of a minute.
    clock.go(SECONDS - clock.now % SECONDS - 1)  # the last second of a window
    before = sum(taken(buckets, 1) == 0 for _ in range(150))
    clock.go(2)
    after = sum(taken(buckets, 1) == 0 for _ in range(150))
    assert before == 100
    assert after <= 3


def test_callers_do_not_share(buckets):
    while not taken(buckets, 10):
        pass
    assert taken(buckets, 10, "b") == 0


def test_what_was_spent_already_makes_the_next_one_wait(buckets, clock):
    charged(buckets, 1_000_000)
    seconds = taken(buckets, 1)
    assert 0 < seconds <= 2 * SECONDS
    clock.go(seconds)
    assert taken(buckets, 1) == 0


def test_what_is_more_than_a_bucket_is_given_all_the_same(buckets):
    assert taken(buckets, 1_000_000) == 0


@settings(deadline=None)
@given(
    spent=st.lists(st.tuples(st.floats(0, 70), st.integers(1, 60)), max_size=20),
    asked=st.integers(1, 50),
    began=st.floats(0, 1e6),
)
def test_after_the_seconds_that_are_told_it_is_there_and_not_a_second_before(spent, asked, began):
    clock = Clock(began)
    buckets = Buckets(WindowCounters(SECONDS, clock), "test", 100, clock)
    for seconds, units in spent:
        clock.go(seconds)
        charged(buckets, units)
    seconds = taken(buckets, asked)
    if seconds:
        assert seconds <= 2 * SECONDS
        clock.go(seconds - 1)
        assert seconds == 1 or taken(buckets, asked) in {1, 2}  # 2 by rounding of the clock alone
        clock.go(1 + 1e-6)
        assert taken(buckets, asked) == 0


def test_a_hundred_thousand_addresses_take_bounded_memory(clock):
    counters = WindowCounters(SECONDS, clock, most=1_000)
    buckets = Buckets(counters, "test", 100, clock)

    async def come(first, count):
        for number in range(first, first + count):
            await buckets.take(f"2001:db8:{number:x}::/64", 1)

    asyncio.run(come(0, 5_000))
    tracemalloc.start()
    try:
        asyncio.run(come(5_000, 95_000))
        grown, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(counters) <= 1_000 + SHARED
    assert grown < 200_000
    clock.go(2 * SECONDS)
    taken(buckets, 1)
    assert len(counters) == 1


def test_the_default_bound_is_kept_too(clock):
    counters = WindowCounters(SECONDS, clock)
    for number in range(100_000):
        counters.incr(str(number), SECONDS)
    assert len(counters) <= 50_000 + SHARED


def test_whoever_came_first_keeps_a_counter_of_its_own(clock):
    counters = WindowCounters(SECONDS, clock, most=2)
    buckets = Buckets(counters, "test", 100, clock)
    assert taken(buckets, 40, "first") == 0
    for number in range(300):
        charged(buckets, 1, str(number))
    assert taken(buckets, 40, "first") == 0
    assert taken(buckets, 40, "first") > 0


def test_known_tokens_are_bounded():
    known = KnownTokens(most=100)
    for number in range(1_000):
        known.learn(f"token {number}", HOME, f"id {number}")
    assert len(known) == 100
    assert known.credential("token 999", HOME) == "id 999"
    assert known.credential("token 999", AWAY) is None
    known.forget("token 999", HOME)
    assert known.credential("token 999", HOME) is None


def test_windows_of_another_length_are_refused(clock):
    counters = WindowCounters(SECONDS, clock)
    with pytest.raises(ValueError, match="60 s"):
        counters.get_sliding_window("a", 1)


# Storages of the library


def test_the_librarys_own_storage_counts_as_ours_does():
    # Its clock cannot be moved, so that only what needs none is compared.
    first, _ = buckets_of(Amounts(1_000, 1_000, "memory://"))
    for _ in range(4):
        assert taken(first, 250) == 0
    assert 0 < taken(first, 250) <= 2 * SECONDS
    charged(first, 250)


@pytest.mark.parametrize(
    "address", ["nothing://", "async+memory://", "memcached+nothing://", "no address"]
)
def test_a_storage_that_cannot_count_is_refused_without_its_password(address):
    with pytest.raises(LimitsStorageError) as caught:
        buckets_of(Amounts(storage=f"{address}user:secret@host"))
    assert "secret" not in str(caught.value)


def test_a_storage_that_fails_stops_nobody(clock, caplog):
    class Broken(WindowCounters):
        def acquire_sliding_window_entry(self, key, limit, expiry, amount=1):
            del key, limit, expiry, amount
            message = "secret address"
            raise ConnectionError(message)

    buckets = Buckets(Broken(SECONDS, clock), "test", 100, clock)
    buckets._elsewhere = True  # noqa: SLF001 - as if it were on another machine
    assert taken(buckets, 1) == 0
    charged(buckets, 1)
    assert "does not answer" in caplog.text
    assert "secret" not in caplog.text


# Over HTTP


def test_whoever_asks_for_too_much_is_told_when_to_come_back():
    kept = Limited()
    assert kept.spend("/v1/sources") == 300 // PRICES["list_sources"].units
    answer = kept.get("/v1/sources", None)
    assert answer.status_code == 429
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["type"] == "/problems/too-many-requests"
    seconds = int(answer.headers["retry-after"])  # RFC 9110, section 10.2.3: whole seconds
    assert problem["detail"] == f"Ask again in {seconds} s."
    kept.time.go(seconds)
    assert kept.get("/v1/sources", None).status_code == 200


def test_what_keeps_browsers_careful_stays_where_somebody_must_wait():
    kept = Limited()
    kept.spend("/v1/sources")
    answer = kept.get("/v1/sources", None, **{"X-Request-Id": "mine"})
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert answer.headers["x-request-id"] == "mine"
    assert answer.headers["cache-control"] == "no-store"
    head = kept("HEAD", "/v1/sources", None)
    assert (head.status_code, head.content) == (429, b"")


def test_health_documentation_and_problems_answer_all_the_same():
    kept = Limited()
    kept.spend("/v1/sources")
    for path in ("/health/live", "/health/ready", "/docs", "/problems/too-many-requests"):
        assert kept.get(path, None).status_code == 200


def test_two_credentials_do_not_share():
    kept = Limited()
    for by in ("read", "write"):
        assert kept.get("/v1/me", by).status_code == 200  # known from now on
    assert kept.spend("/v1/me", "read") == 300
    assert kept.get("/v1/me", "write").status_code == 200
    assert kept.get("/v1/sources", None).status_code == 200


def test_a_link_pays_for_itself():
    kept = Limited()
    scenario = kept.stored()
    links = [kept.link(scenario) for _ in range(2)]
    for link in links:
        assert kept.get(f"/v1/me?token={link}", None).status_code == 200
    assert kept.spend(f"/v1/me?token={links[0]}") == 300
    assert kept.get(f"/v1/me?token={links[1]}", None).status_code == 200
    assert kept.get("/v1/me", links[0]).status_code == 429  # the same link, shown otherwise


def test_a_costing_is_charged_by_its_systems_and_the_next_one_pays():
    kept = Limited(by_address=300)
    document = small_document()
    prices = []
    for _ in range(2):
        before = _left(kept)
        answer = kept("POST", "/v1/costings", None, json={"document": document})
        assert answer.status_code == 200, answer.text
        body = len(answer.request.content) // BYTES_PER_UNIT
        prices.append(before - _left(kept) - body)
        document["systems"] |= {
            f"more_{number}": document["systems"]["barn"] for number in range(8)
        }
    # By hand: 1 before, then 5 + 2 x 4 and 5 + 2 x 12; so few winters do not make up a unit.
    assert prices == [1 + 13, 1 + 29]


def test_what_was_owed_is_paid_by_the_next_one():
    kept = Limited(by_address=20)
    sent = {"json": {"document": small_document()}}
    assert kept("POST", "/v1/costings", None, **sent).status_code == 200  # 5 before, 13 after
    answer = kept.get("/v1/sources", None)
    assert PRICES["list_sources"].units <= 20 - 5
    assert answer.status_code == 429
    kept.time.go(int(answer.headers["retry-after"]))
    assert kept.get("/v1/sources", None).status_code == 200


def test_a_stored_costing_by_its_id_is_one_unit():
    kept = Limited()
    scenario = kept.stored()
    found = kept.get(f"/v1/scenarios/{scenario}/costing", "read").headers["content-location"]
    kept.time.go(2 * SECONDS)
    assert kept.spend(found, "read") == 300


def test_a_large_body_takes_more():
    kept = Limited(by_credential=1_000)
    assert kept.get("/v1/me", "write").status_code == 200
    body = b"[" + b" " * 1_000_000 + b"]"
    headers = {"Content-Type": "application/json"}
    answers = [
        kept("POST", "/v1/scenarios", "write", content=body, headers=headers).status_code
        for _ in range(6)
    ]
    assert answers == [422, 422, 422, 422, 429, 429][: len(answers)]


def test_a_body_without_a_length_is_charged_by_what_came():
    kept = Limited(by_credential=1_000)
    assert kept.get("/v1/me", "write").status_code == 200

    async def pieces():
        for _ in range(16):
            yield b" " * 62_500

    headers = {"Content-Type": "application/json"}
    answers = [
        kept("POST", "/v1/scenarios", "write", content=pieces(), headers=headers).status_code
        for _ in range(6)
    ]
    assert answers[0] == 400
    assert answers[-1] == 429


def test_a_question_is_charged_by_its_parts_once():
    kept = Limited(by_credential=10_000)
    scenario = kept.stored()
    low_and_high = {"input": "hay.price_per_ton", "low": 40, "high": 400}
    question = {"question": "break_even", "systems": ["rings", "barn"], **low_and_high}
    path = f"/v1/scenarios/{scenario}/analyses"
    before = _left(kept, "write")
    first = kept("POST", path, "write", json=question)
    between = _left(kept, "write")
    again = kept("POST", path, "write", json=question)
    after = _left(kept, "write")
    assert first.status_code in {201, 202}, first.text
    assert again.status_code in {200, 202}
    parts = first.json()["progress"]["total"]
    assert before - between == PRICES["ask_question"].units + parts * PART
    assert between - after == PRICES["ask_question"].units


def _left(kept, by=None):
    """Return what is left in the bucket of a key, or of the address."""
    limiter = _limiter(kept)
    if by is None:
        found, caller = limiter.by_address, HOME
    else:
        found = limiter.by_credential
        caller = limiter.known.credential(kept.keys[by], HOME)
    return _remaining(found, caller)


def _left_of(kept, token):
    limiter = _limiter(kept)
    return _remaining(limiter.by_credential, limiter.known.credential(token, HOME))


def _remaining(buckets, caller):
    return buckets._limiter.get_window_stats(buckets._limit, caller).remaining  # noqa: SLF001


def _limiter(kept):
    kept.get("/health/live", None)  # what surrounds the routes is built by the first request
    found = kept.app.middleware_stack
    while type(found).__name__ != "Limiter":
        found = found.app
    return found


# Addresses


def test_addresses_do_not_share():
    kept = Limited()
    kept.spend("/v1/sources")
    assert kept.at(AWAY).get("/v1/sources", None).status_code == 200


@pytest.mark.parametrize("header", ["X-Forwarded-For", "Forwarded", "X-Real-IP"])
def test_what_a_request_says_of_its_origin_is_not_believed(header):
    kept = Limited()
    kept.spend("/v1/sources")
    for value in (AWAY, f"for={AWAY}", "203.0.113.9"):
        assert kept.get("/v1/sources", None, **{header: value}).status_code == 429


def test_a_trusted_proxy_is_believed_and_what_went_before_it_is_not():
    kept = Limited(proxies=("10.0.0.0/8",)).at("10.1.2.3")

    def asked(forwarded):
        return kept.get("/v1/sources", None, **{"X-Forwarded-For": forwarded}).status_code

    while asked(HOME) == 200:
        pass
    assert asked(AWAY) == 200
    assert asked(f"{AWAY}, {HOME}") == 429  # the client wrote the first, the proxy the last
    kept.at(HOME)  # around the proxy
    assert asked(AWAY) == 429


def test_a_network_of_ipv6_is_one_caller():
    # RFC 6177: a site is given at least a /64, so that it has as many addresses as it likes.
    def of(host):
        return address_of({"client": (host, 1)})

    assert of("2001:db8:1:2::1") == of("2001:db8:1:2:ffff::9") == "2001:db8:1:2::/64"
    assert of("2001:db8:1:3::1") != of("2001:db8:1:2::1")
    assert of("::ffff:192.0.2.1") == of("192.0.2.1") == "192.0.2.1"
    assert of("fe80::1%eth0") == "fe80::/64"
    assert address_of({"client": None}) == of("nonsense")


# Tokens that open nothing


def _wrong(number):
    """Return a token that adds up and opens nothing, or one that does not even add up."""
    token = new_token(("key", "read_link")[number % 2])
    return token if number % 3 else token[:-1]


def test_a_flood_of_wrong_tokens_is_slowed_and_told_nothing():
    kept = Limited()
    scenario = kept.stored(by=kept.keys_elsewhere["write"])
    kept.time.go(2 * SECONDS)
    good = kept.keys["read"]
    statuses = [kept.get("/v1/me", _wrong(number)).status_code for number in range(40)]
    slowed = statuses.index(429)
    assert set(statuses[:slowed]) == {401}
    assert set(statuses[slowed:]) == {429}
    assert slowed <= 300 // FAILED_LOOK_UP
    # A token that is good but was never shown from here is answered as a wrong one is.
    wrong = kept.get("/v1/me", new_token("key"))
    right = kept.get("/v1/me", good)
    assert right.status_code == wrong.status_code == 429
    assert right.content == wrong.content
    page = kept.get(f"/s/{new_token('read_link')}", None)
    assert page.status_code == 429
    # From another address it is good as ever.
    assert kept.at(AWAY).get("/v1/me", good).status_code == 200
    assert kept.get(f"/v1/scenarios/{scenario}", kept.keys_elsewhere["read"]).status_code == 200
    # And what is known to be good there is not told here.
    assert kept.at(HOME).get("/v1/me", good).status_code == 429


def test_a_key_that_was_known_before_is_not_locked_out():
    kept = Limited()
    assert kept.get("/v1/me", "read").status_code == 200
    for number in range(100):
        kept.get("/v1/me", _wrong(number))
    assert kept.get("/v1/me", new_token("key")).status_code == 429
    assert kept.get("/v1/me", "read").status_code == 200


@pytest.mark.parametrize("path", ["/s/{token}", "/v1/me?token={token}", "/v1/me?%74oken={token}"])
def test_links_are_not_guessed_by_the_address_either(path):
    kept = Limited()
    statuses = [
        kept.get(path.format(token=new_token("read_link")), None).status_code for _ in range(60)
    ]
    assert statuses[0] == 404
    assert statuses[-1] == 429
    assert statuses.index(429) <= 300 // FAILED_LOOK_UP


def test_codes_are_not_guessed_by_the_form_either():
    kept = Limited()
    statuses = [
        kept(
            "POST",
            "/winter",
            None,
            content=f"code={new_token('edit_link')}",
            headers={"Content-Type": "application/x-www-form-urlencoded"},
        ).status_code
        for _ in range(60)
    ]
    assert statuses[0] == 401
    assert statuses[-1] == 429


def test_a_revoked_key_is_not_known_any_more():
    kept = Limited()
    assert kept.get("/v1/me", "read").status_code == 200
    key = next(
        item["id"]
        for item in kept.get("/v1/keys", "admin").json()["items"]
        if item["access"] == "read"
    )
    assert kept("DELETE", f"/v1/keys/{key}", "admin").status_code == 204
    statuses = [kept.get("/v1/me", "read").status_code for _ in range(100)]
    assert statuses[0] == 401
    assert statuses[-1] == 429


def test_a_misspelt_address_with_a_good_key_is_no_failed_look_up():
    kept = Limited()
    for _ in range(60):
        assert kept.get("/v1/nothing", "read").status_code == 404


def test_nothing_of_tokens_or_addresses_is_logged(caplog):
    caplog.set_level("DEBUG")
    kept = Limited()
    token = new_token("key")
    for _ in range(60):
        kept.get("/v1/me", token)
    assert token[:9] not in caplog.text
    assert HOME not in caplog.text


# What must not be hit


@pytest.fixture(scope="module")
def generous():
    return Limited(Amounts().by_credential, Amounts().by_address)


def test_a_planner_with_two_hundred_farms_is_not_slowed(generous):
    # As planner.py asks, without a key; one farm is asked for, and the rest is multiplied.
    base = json.loads((EXAMPLES / "base_farms" / "tansy_county.json").read_text("utf-8"))
    body = {"document": base, "set": {"herd.cows.head": 61}}
    before = _left(generous)
    assert generous("POST", "/v1/costings", None, json=body).status_code == 200
    assert 1 < before - _left(generous) < Amounts().by_address / 200 / 2


def test_a_spreadsheet_with_two_hundred_cells_is_not_slowed(generous):
    # All asked for at once by a link that was never shown before, so that its address pays.
    scenario = generous.stored()
    link = generous.link(scenario)
    before = _left(generous)
    path = f"/v1/cell/out_of_pocket?scenario={scenario}&system=best&token={link}"
    answer = generous.get(path, None)
    assert answer.status_code == 200, answer.text
    assert 1 < before - _left(generous) < Amounts().by_address / 200 / 2
    before = _left_of(generous, link)
    assert generous.get(path, None).status_code == 200
    assert before - _left_of(generous, link) < Amounts().by_credential / 200 / 2


def test_the_settings_lead_to_the_limits(monkeypatch):
    monkeypatch.setenv("WINTERGROUND_UNITS_PER_MINUTE", "5000")
    monkeypatch.setenv("WINTERGROUND_LIMITS_STORAGE", "memory://")
    monkeypatch.setenv("WINTERGROUND_TRUSTED_PROXIES", "10.0.0.2, 172.16.0.0/12")
    found = Doorway.of(Settings())
    assert found.amounts == Amounts(5_000, 20_000, "memory://")
    assert found.proxies == ("10.0.0.2/32", "172.16.0.0/12")
    assert "memory" not in repr(found)
    monkeypatch.setenv("WINTERGROUND_LIMITS", "false")
    assert Doorway.of(Settings()).amounts is None
