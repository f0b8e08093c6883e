"""Pages of other origins: no header by default, and then those that are listed (Fetch standard)."""

import pytest
from pydantic import ValidationError

from service.settings import Settings
from service.web.app import create_app
from service.web.cross_origin import METHODS, SHOWN, TAKEN
from service.web.doorway import Doorway
from tests.web.conftest import Caller
from tests.web.limited import Limited

LISTED, OTHER = "https://farm.example", "https://other.example"


@pytest.fixture(scope="module")
def listed():
    return Caller(create_app(doorway=Doorway(origins=(LISTED, "http://localhost:8080"))))


def asked_beforehand(call, origin=LISTED, method="PATCH", headers="authorization,if-match"):
    return call(
        "OPTIONS",
        "/v1/scenarios/sc_x",
        headers={
            "Origin": origin,
            "Access-Control-Request-Method": method,
            "Access-Control-Request-Headers": headers,
        },
    )


def about_origins(answer):
    return {name for name in answer.headers if name.startswith("access-control-")}


def test_by_default_no_answer_has_such_a_header(call):
    for answer in (
        call.get("/v1/sources", Origin=LISTED),
        call.get("/nothing", Origin=LISTED),
        asked_beforehand(call),
    ):
        assert about_origins(answer) == set()
    assert asked_beforehand(call).status_code == 405


def test_a_listed_origin_may_read(listed):
    answer = listed.get("/v1/sources", Origin=LISTED)
    assert answer.headers["access-control-allow-origin"] == LISTED
    shown = set(answer.headers["access-control-expose-headers"].split(", "))
    assert shown == {
        *("ETag", "Location", "Retry-After", "Link", "Content-Location", "Token-Expires"),
        "X-Request-Id",
    }
    assert "Origin" in answer.headers["vary"]
    assert "access-control-allow-credentials" not in answer.headers


@pytest.mark.parametrize(
    "origin",
    [
        OTHER,
        "null",
        "https://farm.example.other.example",
        "https://farm.example:8443",
        "http://farm.example",
        "https://FARM.example",
        "https://farm.example/",
        "*",
        "",
    ],
)
def test_no_other_origin_may(listed, origin):
    answer = listed.get("/v1/sources", Origin=origin)
    assert answer.status_code == 200
    assert "access-control-allow-origin" not in answer.headers
    refused = asked_beforehand(listed, origin)
    assert refused.status_code == 400
    assert about_origins(refused) == set()
    assert refused.headers["content-type"] == "application/problem+json"


def test_what_does_not_depend_on_an_origin_says_that_it_could(listed):
    # Fetch standard, section 3.3.5 (CORS protocol and HTTP caches).
    assert "Origin" in listed.get("/v1/sources").headers["vary"]


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"])
def test_every_method_of_the_interface_may_be_asked_for(listed, method):
    answer = asked_beforehand(listed, method=method)
    assert answer.status_code == 204
    assert answer.content == b""
    assert answer.headers["access-control-allow-origin"] == LISTED
    assert method in METHODS
    assert "access-control-allow-credentials" not in answer.headers
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["x-request-id"]


@pytest.mark.parametrize("header", TAKEN)
def test_every_header_of_the_interface_may_be_sent(listed, header):
    assert asked_beforehand(listed, headers=header.lower()).status_code == 204


@pytest.mark.parametrize(
    ("method", "headers"),
    [("TRACE", "authorization"), ("GET", "x-forwarded-for"), ("GET", "cookie")],
)
def test_nothing_else_may(listed, method, headers):
    answer = asked_beforehand(listed, method=method, headers=headers)
    assert answer.status_code == 400
    assert answer.json()["type"] == "/problems/bad-request"


def test_another_options_is_answered_as_ever(listed):
    assert listed("OPTIONS", "/v1/sources", headers={"Origin": LISTED}).status_code == 405


def test_what_is_asked_beforehand_is_free_and_whoever_must_wait_can_read_so():
    kept = Limited(origins=(LISTED,))
    kept.spend("/v1/sources")
    assert asked_beforehand(kept.call).status_code == 204
    answer = kept.get("/v1/sources", None, Origin=LISTED)
    assert answer.status_code == 429
    assert answer.headers["access-control-allow-origin"] == LISTED
    assert "Retry-After" in answer.headers["access-control-expose-headers"]
    assert "Retry-After" in SHOWN


def test_origins_are_set_as_words(monkeypatch):
    monkeypatch.setenv("WINTERGROUND_CORS_ORIGINS", f"{LISTED}, http://localhost:8080")
    assert Doorway.of(Settings()).origins == (LISTED, "http://localhost:8080")
    monkeypatch.delenv("WINTERGROUND_CORS_ORIGINS")
    assert Settings().cors_origins == ()


@pytest.mark.parametrize(
    "text", ["*", "farm.example", "https://farm.example/", "https://*.example", "null", "https://"]
)
def test_what_is_no_origin_is_refused(monkeypatch, text):
    monkeypatch.setenv("WINTERGROUND_CORS_ORIGINS", text)
    with pytest.raises(ValidationError):
        Settings()


@pytest.mark.parametrize("text", ["*", "proxy", "10.0.0.0/99", "10.0.0.0/8/8", "300.1.1.1"])
def test_what_is_no_network_is_refused(monkeypatch, text):
    monkeypatch.setenv("WINTERGROUND_TRUSTED_PROXIES", text)
    with pytest.raises(ValidationError):
        Settings()
