"""Keys, links and ids are not found by trying: too many to guess, too slow, and nothing told.

That wrong tokens are slowed at the doors where they are mostly shown is in ``test_limits.py``; that
what is another office's is answered and looked up as what never was, in ``test_isolation.py``,
``test_record_isolation.py`` and ``test_sweep_isolation.py``; what a token is made of, in
``tests/scenarios/test_tokens.py``; that none is logged or sent back, in ``test_secrets.py``.
"""

import ast
import hmac
import logging
import random
import re
from collections import Counter
from pathlib import Path

import pytest

import service
from service.scenarios.desk import utc_now
from service.scenarios.ids import new_id
from service.scenarios.tokens import ALPHABET, PREFIXES, RANDOM_LETTERS, kind_of, new_token
from service.web.app import create_app
from service.web.limiting.amounts import Amounts
from service.web.limiting.prices import FAILED_LOOK_UP
from service.web.openapi import describe
from tests.support.offices import small_document
from tests.web.keeping import Keeping, without_request_id
from tests.web.limited import AWAY, HOME, Limited
from tests.web.test_isolation import BODIES

KINDS = sorted(PREFIXES)
OPERATIONS = [
    (method.upper(), path, operation)
    for path, methods in describe(create_app())["paths"].items()
    for method, operation in methods.items()
]
GUARDED = [
    (method, path, operation["operationId"])
    for method, path, operation in OPERATIONS
    if operation.get("security") and {} not in operation["security"]
]


# What there is to guess


def test_a_token_cannot_be_guessed_by_any_number_of_callers():
    # RFC 6749, section 10.10: the probability of guessing a token must be at most 2^-128 and
    # should be at most 2^-160 (from memory). Here: of one try, and of a million addresses that try
    # for ten years as fast as they are let, against a hundred million tokens that open something.
    tokens = len(ALPHABET) ** RANDOM_LETTERS
    assert tokens >= 2**160
    minutes = 10 * 366 * 24 * 60
    tries = 10**6 * minutes * (Amounts().by_address // FAILED_LOOK_UP + 1)
    assert tries * 10**8 < tokens / 2**64


@pytest.mark.parametrize("kind", KINDS)
def test_a_token_is_drawn_from_the_system_and_from_nothing_that_repeats(kind, monkeypatch):
    drawn = []
    urandom = random._urandom  # noqa: SLF001 - what the generator of the system reads

    def noting(count):
        drawn.append(count)
        return urandom(count)

    monkeypatch.setattr(random, "_urandom", noting)
    found = set()
    for _ in range(50):
        random.seed(7)
        found.add(new_token(kind))
    assert len(found) == 50
    assert sum(drawn) * 8 >= 50 * 128


def test_every_letter_of_a_token_is_as_likely_as_every_other():
    # Pearson's chi-square with 61 degrees of freedom is above 160 once in 10^10 times (from
    # memory): a letter that came a tenth too often would be told.
    letters = Counter("".join(new_token("key")[4 : 4 + RANDOM_LETTERS] for _ in range(1_000)))
    assert set(letters) == set(ALPHABET)
    expected = 1_000 * RANDOM_LETTERS / len(ALPHABET)
    assert sum((count - expected) ** 2 for count in letters.values()) / expected < 160


# How a token is compared


SECRET_WORDS = re.compile(r"(^|_)(token|digest|signature|secret|pepper|check|hash)s?$")
IN_THE_DATABASE = "bindparam"
"""What a statement compares with, by its index; see the test of the look-up below."""
NO_SECRETS = {"restoring.py"}
"""Here a file is held against its sum."""


def compared(node):
    """Yield the names that a comparison puts side by side with == or !=."""
    for part in [node.left, *node.comparators]:
        if isinstance(part, ast.Name):
            yield part.id
        elif isinstance(part, ast.Attribute):
            yield part.attr
        elif isinstance(part, ast.Call):
            function = part.func
            yield (
                function.attr
                if isinstance(function, ast.Attribute)
                else getattr(function, "id", "")
            )


def test_no_secret_is_compared_letter_by_letter():
    found = []
    for file in Path(service.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if not isinstance(node, ast.Compare):
                continue
            if not any(isinstance(one, ast.Eq | ast.NotEq) for one in node.ops):
                continue
            names = set(compared(node))
            if IN_THE_DATABASE not in names and file.name not in NO_SECRETS:
                found += [
                    f"{file.name}:{node.lineno} {one}" for one in names if SECRET_WORDS.search(one)
                ]
    assert found == []


@pytest.fixture
def compared_in_constant_time(monkeypatch):
    """Return the pairs that were compared in a time that tells nothing of them."""
    pairs = []
    compare = hmac.compare_digest

    def noting(one, other):
        pairs.append((one, other))
        return compare(one, other)

    monkeypatch.setattr(hmac, "compare_digest", noting)
    return pairs


def test_check_letters_and_signatures_are_compared_in_constant_time(
    keeping, compared_in_constant_time
):
    token = keeping.keys["read"]
    kind_of(token)
    assert compared_in_constant_time == [(token[-6:], token[-6:])]
    for _ in range(2):
        keeping.stored(external_id=None)
    following = keeping.get("/v1/scenarios?limit=1").json()["next"]
    compared_in_constant_time.clear()
    spoilt = following[:-3] + ("AAA" if following[-3:] != "AAA" else "BBB")
    assert keeping.get(spoilt).status_code == 422
    assert [
        len(one) for pair in compared_in_constant_time for one in pair if isinstance(one, bytes)
    ]


def test_a_token_is_looked_up_by_its_keyed_hash_alone(keeping, monkeypatch):
    # Whoever could measure the look-up learns of the hash, which nobody without the secret knows.
    asked = []
    store = type(keeping.desk.peppers)
    digests = store.digests

    def noting(peppers, token):
        found = list(digests(peppers, token))
        asked.append((token, found))
        return found

    monkeypatch.setattr(store, "digests", noting)
    guess = new_token("key")
    assert keeping.get("/v1/me", guess).status_code == 401
    assert asked
    assert all(guess.encode() not in digest for _, found in asked for digest in found)
    assert {len(digest) for _, found in asked for digest in found} == {32}


# How fast it may be tried


LAWFUL = {"season": "2024-25", "revision": "1", "figure": "best_system"}
ASKED = {
    "compare_scenarios": "?scenarios=sc_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "get_cell": "?scenario=sc_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
}


def filled(path):
    return re.sub(
        r"\{(\w+)\}", lambda found: LAWFUL.get(found[1], "x_01JD5B7Q0M3T8X2Y6Z9A1C4E5G"), path
    )


@pytest.fixture(scope="module")
def limited():
    return Limited()


@pytest.mark.parametrize(("method", "path", "name"), GUARDED, ids=[found[2] for found in GUARDED])
def test_guessing_is_slowed_at_every_door(limited, method, path, name):
    address = filled(path) + ASKED.get(name, "")
    limited.time.go(600)
    statuses = []
    body = {"json": {}} if method in {"POST", "PUT", "PATCH"} else {}
    for number in range(300 // FAILED_LOOK_UP + 2):
        token = new_token(KINDS[number % 3])
        answer = limited(method, address, token, headers={"If-Match": '"1"'}, **body)
        statuses.append(answer.status_code)
    assert 429 in statuses
    tried = statuses.index(429)
    assert set(statuses[tried:]) == {429}
    assert not any(status < 400 for status in statuses)


def test_all_doors_are_slowed_together():
    kept = Limited()
    doors = (
        lambda: kept.get("/v1/me", new_token("key")),
        lambda: kept("HEAD", "/v1/scenarios", new_token("edit_link")),
        lambda: kept.get(f"/s/{new_token('read_link')}", None),
        lambda: kept.get(f"/v1/scenarios?token={new_token('read_link')}", None),
        lambda: kept("POST", "/v1/scenarios", new_token("key"), json=small_document()),
    )
    statuses = [door().status_code for _ in range(20) for door in doors]
    assert statuses[-1] == 429
    assert statuses.index(429) <= 300 // FAILED_LOOK_UP
    assert [door().status_code for door in doors] == [429] * len(doors)


def test_whoever_says_to_be_many_is_one():
    kept = Limited()
    statuses = [
        kept.get(
            "/v1/me",
            new_token("key"),
            **{
                "X-Forwarded-For": f"198.51.100.{number}",
                "Forwarded": f"for=198.51.100.{number}",
                "User-Agent": f"browser {number}",
                "X-Request-Id": f"{number}",
            },
        ).status_code
        for number in range(60)
    ]
    assert statuses[-1] == 429


def test_who_must_wait_is_told_the_same_whether_the_token_opens_anything_or_not():
    kept = Limited()
    scenario = kept.stored()
    good = [kept.keys["read"], kept.keys["admin"], kept.link(scenario)]
    wrong = [new_token("key"), new_token("read_link"), "wfk_cut-off", "x" * 500]
    kept.at(AWAY)
    while kept.get("/v1/me", new_token("key")).status_code != 429:
        pass
    answers = []
    for token in (*good, *wrong):
        for path in (
            "/v1/me",
            f"/v1/scenarios/{scenario}",
            f"/v1/scenarios/{new_id('sc', utc_now())}",
        ):
            answer = kept.get(path, token, **{"X-Request-Id": "mine"})
            answers.append((answer.status_code, answer.content, sorted(answer.headers.items())))
    assert all(answer == answers[0] for answer in answers)
    assert answers[0][0] == 429
    assert kept.at(HOME).get("/v1/me", "read").status_code == 200


# What is told


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


def headers_of(answer):
    return sorted((name, value) for name, value in answer.headers.items() if name != "x-request-id")


@pytest.mark.parametrize("path", ["/v1/me", "/v1/scenarios", "/v1/cell/best_system?scenario={sc}"])
def test_tokens_that_open_nothing_are_told_alike(kept, path):
    scenario = kept.stored(external_id=None)
    address = path.format(sc=scenario)
    revoked = kept("POST", "/v1/keys", json={"access": "read", "label": "old"}).json()
    assert kept("DELETE", f"/v1/keys/{revoked['id']}").status_code == 204
    short = kept.key("read", days=1)
    told = []
    kept.clock.forward(days=2)
    for token in (revoked["token"], short, new_token("key"), new_token("key")):
        answer = kept.get(address, token)
        told.append((answer.status_code, answer.content, headers_of(answer)))
    kept.clock.forward(days=-2)
    assert told[0][0] == 401
    assert all(one == told[0] for one in told)


PARTS = ("link", "analysis", "costing", "key", "season", "revision", "sweep", "record")
PARTED = [
    (method, path, operation["operationId"], part)
    for method, path, operation in OPERATIONS
    for part in PARTS
    if f"{{{part}}}" in path
]


def test_every_part_that_an_address_can_name_is_tried():
    named = {part for _, path, _ in OPERATIONS for part in re.findall(r"\{(\w+)\}", path)}
    # What is named alike for everybody, and what others try: scenarios and tokens themselves.
    public = {"figure", "name", "case", "document"}
    assert named - set(PARTS) - public == {"scenario", "token"}


@pytest.fixture(scope="module")
def elsewhere(kept):
    """Return what another office and another scenario of the same office have, by part."""
    found = {}
    for by in ("admin", kept.keys_elsewhere["admin"]):
        scenario = kept("POST", "/v1/scenarios", by, json=small_document(external_id=None)).json()
        base = f"/v1/scenarios/{scenario['id']}"
        link = kept("POST", f"{base}/links", by, json={"access": "read", "label": "x"}).json()["id"]
        where = kept.get(f"{base}/costing", by).headers["Content-Location"]
        asked = kept("POST", f"{base}/analyses", by, json={"question": "winter_types"}).json()["id"]
        kept("PUT", f"{base}/winters/2024-25", by, json={"bales_fed": 300})
        kept("PATCH", base, by, json={"hay": {"price_per_ton": 99}}, headers={"If-Match": "*"})
        sweep = kept("POST", "/v1/sweeps", by, json={"document": small_document()}).json()["id"]
        key = next(one["id"] for one in kept.get("/v1/keys", by).json()["items"])
        found[by == "admin"] = {
            "link": link,
            "costing": where.rpartition("/")[2],
            "analysis": asked,
            "key": key,
            "season": "2024-25",
            "revision": "2",
            "sweep": sweep,
            "record": new_id("wr", utc_now()),
        }
    return found


NEVER = {
    "link": "ln_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "costing": "ct_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "analysis": "an_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "key": "ky_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "season": "2003-04",
    "revision": "77",
    "sweep": "sw_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
    "record": "wr_01JD5B7Q0M3T8X2Y6Z9A1C4E5G",
}


@pytest.mark.parametrize("shown", ["nobody", "link", "read", "admin"])
@pytest.mark.parametrize(
    ("method", "path", "name", "part"), PARTED, ids=[f"{found[2]}-{found[3]}" for found in PARTED]
)
def test_a_part_of_something_else_is_told_as_one_that_never_was(
    kept, elsewhere, method, path, name, part, shown
):
    scenario = kept.stored(external_id=None)
    token = {"nobody": None, "link": kept.link(scenario)}.get(shown, shown)
    told = []
    of_others = [elsewhere[False][part]]
    if part not in {"key", "sweep"}:  # those of the office are its own, whatever the scenario
        of_others.append(elsewhere[True][part])
    for value in (*of_others, NEVER[part]):
        address = path.replace("{scenario}", scenario).replace(f"{{{part}}}", value)
        more = {"json": BODIES.get(name, {})} if method in {"PUT", "PATCH", "POST"} else {}
        if name == "record_winter":
            more["headers"] = {"If-Match": '"9"'}
        if name.startswith(("restore", "cancel")):
            more = {"headers": {"If-Match": "*"}}
        answer = kept(method, address, token, **more)
        status, content, headers = without_request_id(answer)
        content = re.sub(rf"\b{value}\b".encode(), b"(id)", content)
        told.append((status, content, headers))
    if path == "/v1/reference-values/{key}":
        assert {status for status, _, _ in told} == {404}
        return
    assert all(one == told[0] for one in told)
    assert told[0][0] in ({401} if shown == "nobody" else {403, 404, 412})


def test_no_guess_stands_in_the_log_of_anybody(caplog):
    caplog.set_level(logging.WARNING, "httpx")  # the client that asks here, not the service
    caplog.set_level(logging.DEBUG)
    kept = Limited(by_address=5_000)
    scenario = kept.stored()
    good = kept.link(scenario)
    guesses = [new_token(kind) for kind in KINDS] + [good, good[:-4]]
    for guess in guesses:
        for path in ("/v1/me", f"/v1/scenarios/{scenario}", "/none"):
            kept.get(path, guess)
            kept.get(f"{path}?token={guess}", None)
        kept.get(f"/s/{guess}", None)
        kept("POST", "/winter", None, content=f"code={guess}",
             headers={"Content-Type": "application/x-www-form-urlencoded"})  # fmt: skip
    assert caplog.records
    told = caplog.text + "".join(str(vars(record)) for record in caplog.records
                                 if record.name.startswith("service"))  # fmt: skip
    for guess in guesses:
        assert guess[:13] not in told
