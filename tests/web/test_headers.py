"""What surrounds every answer: request id, careful headers, HEAD."""

import pytest

from service.web.routes.documentation import ASSETS

ADDRESSES = [
    "/v1/inputs",
    "/v1/inputs.csv",
    "/v1/figures",
    "/v1/feeding-methods",
    "/v1/structures",
    "/v1/reference-values",
    "/v1/reference-values/hay_waste.ring_open",
    "/v1/sources",
    "/v1/version",
    "/health/live",
    "/health/ready",
    "/problems",
    "/problems/not-found",
    "/docs",
    *(f"/docs/assets/{name}" for name in (*ASSETS, "start.js")),
    "/openapi.json",
]


@pytest.mark.parametrize("path", ADDRESSES)
def test_head_answers_as_get_does_without_the_body(call, path):
    # RFC 9110, section 9.3.2.
    got, head = call("GET", path), call("HEAD", path)
    assert got.status_code == head.status_code == 200
    assert got.content
    assert not head.content
    for name in ("content-type", "content-length"):
        assert head.headers[name] == got.headers[name]


def test_the_request_id_is_sent_back(call):
    assert (
        call.get("/health/live", **{"X-Request-Id": "a-1.b_2"}).headers["x-request-id"] == "a-1.b_2"
    )


@pytest.mark.parametrize("given", ["", "a b", "x" * 65, "a<b"])
def test_an_unlawful_request_id_is_replaced(call, given):
    found = call.get("/health/live", **{"X-Request-Id": given}).headers["x-request-id"]
    assert found != given
    assert found


@pytest.mark.parametrize("path", ["/health/live", "/nothing", "/docs"])
def test_browsers_are_told_to_be_careful(call, path):
    headers = call.get(path).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"
