"""Idempotency-Key: a POST that is sent again acts once and is answered as it was."""

import json

import pytest

from service.scenarios import keeping as acts
from tests.support.offices import small_document
from tests.web.keeping import Keeping

KEY = {"Idempotency-Key": "farm-0417-a"}


def _count(keeping):
    return len(keeping.get("/v1/scenarios").json()["items"])


def _posted(keeping, path, sent, by="write", **headers):
    return keeping("POST", path, by, json=sent, headers=KEY | headers)


def test_the_same_request_is_answered_as_before_and_stores_once(keeping):
    first = _posted(keeping, "/v1/scenarios", small_document())
    again = _posted(keeping, "/v1/scenarios", small_document())
    assert first.status_code == again.status_code == 201
    assert again.content == first.content
    for name in ("etag", "location", "content-location", "last-modified", "content-type"):
        assert again.headers[name] == first.headers[name]
    assert "idempotency-replayed" not in first.headers
    assert again.headers["idempotency-replayed"] == "true"
    assert _count(keeping) == 1


def test_without_a_key_every_request_stores(keeping):
    for _ in range(2):
        assert keeping.stored()
    assert _count(keeping) == 2


def test_another_body_or_address_under_the_same_key_is_refused(keeping):
    scenario = _posted(keeping, "/v1/scenarios", small_document()).json()["id"]
    other = _posted(keeping, "/v1/scenarios", small_document(name="Other"))
    assert other.status_code == 422
    assert other.json()["type"] == "/problems/idempotency-key-reused"
    copies = _posted(keeping, f"/v1/scenarios/{scenario}/copies", {})
    assert copies.status_code == 422
    assert _count(keeping) == 1


def test_a_key_belongs_to_whoever_sends_it(keeping):
    _posted(keeping, "/v1/scenarios", small_document())
    assert _posted(keeping, "/v1/scenarios", small_document(), "admin").status_code == 201
    assert _count(keeping) == 2


def test_a_refused_request_may_be_mended_and_sent_again(keeping):
    assert _posted(keeping, "/v1/scenarios", {"name": "x"}).status_code == 422
    assert _posted(keeping, "/v1/scenarios", small_document()).status_code == 201


def test_a_copy_is_made_once(keeping):
    scenario = keeping.stored()
    answers = [_posted(keeping, f"/v1/scenarios/{scenario}/copies", {"name": "B"}) for _ in "ab"]
    assert answers[0].json() == answers[1].json()
    assert _count(keeping) == 2


def test_a_revision_is_restored_once(keeping):
    scenario = keeping.stored()
    address = f"/v1/scenarios/{scenario}"
    keeping("PATCH", address, "write", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": '"1"'})  # fmt: skip
    restore = f"{address}/revisions/1/restore"
    first = keeping("POST", restore, "write", headers=KEY | {"If-Match": '"2"'})
    assert first.json()["revision"] == 3
    keeping("PATCH", address, "write", json={"hay": {"price_per_ton": 150}},
            headers={"If-Match": '"3"'})  # fmt: skip
    again = keeping("POST", restore, "write", headers=KEY | {"If-Match": '"2"'})
    assert again.status_code == 200
    assert again.json()["revision"] == 3
    assert keeping.get(address).json()["revision"] == 4


def test_one_that_is_being_worked_on_is_told_to_wait(keeping, monkeypatch):
    inside = []

    def twice(keep, *more):
        inside.append(_posted(keeping, "/v1/scenarios", small_document()))
        return keep(*more)

    create = acts.create
    monkeypatch.setattr(acts, "create", lambda *more: twice(create, *more))
    outer = _posted(keeping, "/v1/scenarios", small_document())
    assert outer.status_code == 201
    (refused,) = inside
    assert refused.status_code == 409
    assert refused.json()["type"] == "/problems/idempotency-key-in-flight"
    assert int(refused.headers["retry-after"]) > 0


def test_after_a_day_the_key_is_free_again(keeping):
    _posted(keeping, "/v1/scenarios", small_document())
    keeping.clock.forward(hours=24, seconds=1)
    assert "idempotency-replayed" not in _posted(keeping, "/v1/scenarios", small_document()).headers


@pytest.mark.parametrize("key", ["", " ", "a b", "x" * 256])
def test_what_is_no_key_is_refused(keeping, key):
    answer = keeping(
        "POST",
        "/v1/scenarios",
        "write",
        json=small_document(),
        headers={"Idempotency-Key": key},
    )
    assert answer.status_code == 422
    error = answer.json()["errors"][0]
    assert error["input"] == "Idempotency-Key"
    assert "pointer" not in error


def test_what_was_erased_is_not_answered_again(keeping):
    scenario = _posted(keeping, "/v1/scenarios", small_document(name="Alder")).json()["id"]
    keeping("POST", f"/v1/scenarios/{scenario}/erasure")
    again = _posted(keeping, "/v1/scenarios", small_document(name="Alder"))
    assert again.json()["id"] != scenario


def test_nothing_of_a_key_is_kept_where_the_token_is_bad(keeping: Keeping):
    before = keeping.desk.store.written
    answer = _posted(keeping, "/v1/scenarios", small_document(), by="wfk_" + "0" * 38)
    assert answer.status_code == 401
    assert keeping.desk.store.written == before
    assert json.loads(answer.content)["type"] == "/problems/unknown-token"
