"""No token comes back: not in a body, not in a header, not in the log."""

import json
import logging
from dataclasses import replace

import pytest

from service.scenarios.tokens import SHOWN_LETTERS
from tests.web.keeping import Keeping

FILLER = "x" * 90
ADDRESSES = (
    "/s/{token}?x=1",
    "/s/{token}/",
    "/{token}",
    "/v1/{token}",
    "/v1/me?token={token}",
    "/v1/me?{token}=1",
    "/v1/me?x={token}",
    "/v1/keys?limit={token}",
    "/v1/keys?cursor={token}",
    "/v1/audit?dialect={token}",
    "/v1/scenarios?updated_since={token}",
    "/v1/scenarios?token={token}&limit=1",
    "/v1/scenarios/{token}",
    "/v1/scenarios/{token}/revisions/{token}",
    "/v1/scenarios/{scenario}/costing?set.{token}=1",
    "/v1/scenarios/{scenario}/costing?set.hay.storage={token}",
    "/v1/scenarios/{scenario}/costing?{token}=1",
    "/v1/scenarios/{scenario}/costing/workings?system={token}",
    "/v1/comparisons?scenarios={token}",
    "/v1/comparisons?scenarios={token}@x",
    "/v1/comparisons?scenarios={filler}{token}@x",
    "/v1/reference-values/{token}",
    "/v1/reference-values?edition={token}",
    "/v1/reference-values/{filler}{token}",
    "/v1/inputs?{token}=1",
    "/v1/inputs?{filler}{token}=1",
    "/v1/inputs?format={filler}{token}",
    "/problems/{token}",
    "/docs/assets/{token}",
    "/{filler}/{filler}{token}",
)
BODIES = (
    ("POST", "/v1/keys", {"access": "{token}", "label": "x"}),
    ("POST", "/v1/keys", {"access": "{filler}{token}", "label": "x"}),
    ("POST", "/v1/keys", {"access": "read", "label": "x", "{token}": 1}),
    ("POST", "/v1/keys", {"access": "read", "label": "x", "{filler}{token}": 1}),
    ("POST", "/v1/scenarios", {"{token}": 1}),
    ("POST", "/v1/scenarios", {"name": ["{token}"], "currency": "{token}"}),
    ("POST", "/v1/scenarios/{scenario}/notes", {"text": "x", "input": "{token}"}),
    ("POST", "/v1/scenarios/{scenario}/links", {"access": "{token}", "{token}": "{token}"}),
    ("PATCH", "/v1/scenarios/{scenario}", {"{token}": {"{token}": 1}}),
    ("POST", "/v1/costings", {"scenario": "{token}"}),
    ("POST", "/v1/costings", {"{token}": 1}),
    ("POST", "/v1/costings", {"document": {}, "set": {"{token}": "{token}"}}),
)


@pytest.fixture(scope="module")
def kept(app):
    return Keeping(app)


@pytest.fixture(scope="module")
def scenario(kept):
    return kept.stored()


@pytest.fixture(scope="module")
def tokens(kept, scenario):
    """Return live tokens of every kind."""
    return {
        "key": kept.keys["read"],
        "read": kept.link(scenario),
        "edit": kept.link(scenario, "edit"),
    }


def _assert_unseen(token, answer, log):
    shown = token[: SHOWN_LETTERS + 1]
    assert shown not in answer.text
    for name, value in answer.headers.multi_items():
        assert shown not in name + value
    assert shown not in log


@pytest.mark.parametrize("kind", ["key", "read", "edit"])
@pytest.mark.parametrize("address", ADDRESSES)
def test_a_token_in_an_address_does_not_come_back(kept, scenario, tokens, caplog, kind, address):
    caplog.set_level(logging.DEBUG, logger="service")
    path = address.format(token=tokens[kind], scenario=scenario, filler=FILLER)
    for method in ("GET", "POST", "DELETE", "TRACE"):
        for shown in (None, "admin"):
            answer = kept(method, path, shown, headers={"Accept": "application/json"})
            _assert_unseen(tokens[kind], answer, caplog.text)


@pytest.mark.parametrize("kind", ["key", "edit"])
@pytest.mark.parametrize(("method", "address", "body"), BODIES)
def test_a_token_in_a_body_does_not_come_back(
    kept, scenario, tokens, caplog, kind, method, address, body
):
    caplog.set_level(logging.DEBUG, logger="service")
    token = tokens[kind]
    text = json.dumps(body).replace("{token}", token).replace("{filler}", FILLER)
    answer = kept(
        method,
        address.format(scenario=scenario),
        "admin",
        content=text,
        headers={"Content-Type": "application/json", "If-Match": "*"},
    )
    assert answer.status_code in {404, 422}, answer.text
    _assert_unseen(token, answer, caplog.text)


@pytest.mark.parametrize(
    "headers",
    [
        {"X-Request-Id": "{token}"},
        {"Idempotency-Key": "{token} {token}"},
        {"If-Match": "{token}"},
        {"Accept": "{token}"},
        {"Content-Type": "{token}"},
        {"Authorization": "Basic {token}"},
        {"Authorization": "Bearer {token}x"},
    ],
)
def test_a_token_in_a_header_does_not_come_back(kept, scenario, tokens, caplog, headers):
    caplog.set_level(logging.DEBUG, logger="service")
    token = tokens["key"]
    filled = {name: value.format(token=token) for name, value in headers.items()}
    for method, path in (("GET", "/v1/me"), ("PATCH", f"/v1/scenarios/{scenario}")):
        shown = None if "Authorization" in headers else "admin"
        body = {"json": {}} if "Content-Type" not in headers else {"content": "{}"}
        answer = kept(method, path, shown, headers=filled, **(body if method == "PATCH" else {}))
        _assert_unseen(token, answer, caplog.text)


def test_a_failure_of_our_own_does_not_log_the_token(kept, caplog):
    def fail(document):
        del document
        message = "the engine is out of order"
        raise RuntimeError(message)

    token = kept.link(kept.stored(name="Never costed"))
    working, kept.app.state.desk = kept.app.state.desk, replace(kept.desk, read=fail)
    try:
        answer = kept.get(f"/s/{token}", None)
    finally:
        kept.app.state.desk = working
    assert answer.status_code == 500
    assert "out of order" in caplog.text
    _assert_unseen(token, answer, caplog.text)


def test_the_page_does_not_hold_its_own_token(kept, tokens):
    answer = kept.get(f"/s/{tokens['read']}?x=1", None)
    assert answer.status_code == 200
    assert tokens["read"][:SHOWN_LETTERS] not in answer.text


def test_the_next_page_does_not_carry_the_token_along(kept, scenario):
    for text in ("One.", "Two."):
        kept("POST", f"/v1/scenarios/{scenario}/notes", "write", json={"text": text})
    token = kept.link(scenario)
    page = kept.get(f"/v1/scenarios/{scenario}/notes?limit=1&token={token}", None)
    assert page.json()["next"]
    assert 'rel="next"' in page.headers["link"]
    assert token not in page.text + page.headers["link"]
