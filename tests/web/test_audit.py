"""Who did what in an office."""

import csv
import io

import pytest

from service.web.answer_models import AuditList
from tests.web.keeping import Keeping


@pytest.fixture
def kept(app):
    return Keeping(app)


def test_the_audit_tells_by_ids_who_did_what(kept):
    scenario = kept.stored(name="Whetstone Hollow Farm")
    made = kept(
        "POST",
        "/v1/keys",
        json={"access": "read", "label": "spreadsheet"},
        headers={"X-Request-Id": "asked-1"},
    ).json()
    kept("DELETE", f"/v1/keys/{made['id']}")
    answer = kept.get("/v1/audit")
    AuditList.model_validate_json(answer.content)
    entries = answer.json()["items"]
    keys = kept.get("/v1/keys").json()["items"]
    ids = {key["label"]: key["id"] for key in keys}
    assert [entry["action"] for entry in entries[:3]] == [
        "key.revoke",
        "key.create",
        "scenario.create",
    ]
    assert entries[1] == {
        "at": "2026-02-03T07:30:00.125Z",
        "credential": ids["admin key"],
        "action": "key.create",
        "object": made["id"],
        "revision": None,
        "request_id": "asked-1",
    }
    assert (entries[2]["credential"], entries[2]["object"]) == (ids["write key"], scenario)
    assert {entry["credential"] for entry in entries[3:]} == {"operator"}
    for word in ("Whetstone", "spreadsheet", made["token"]):
        assert word not in answer.text


def test_the_audit_can_be_asked_of_one_object(kept):
    scenario, other = kept.stored(), kept.stored()
    entries = kept.get(f"/v1/audit?object={scenario}").json()["items"]
    assert [entry["object"] for entry in entries] == [scenario]
    assert kept.get(f"/v1/audit?object={other}x").json()["items"] == []
    assert kept.get("/v1/audit?object=a%00b").json()["items"] == []


def test_the_audit_comes_page_by_page_in_every_form(kept):
    for _ in range(4):
        kept.stored()
    whole = kept.get("/v1/audit").json()["items"]
    paged, address = [], "/v1/audit?limit=3"
    while address:
        page = kept.get(address).json()
        paged += page["items"]
        address = page["next"]
    assert paged == whole
    table = kept.get("/v1/audit.csv?limit=3")
    assert table.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert table.headers["cache-control"] == "no-store"
    assert kept.get("/v1/audit?format=csv&limit=3").content == table.content
    assert kept.get("/v1/audit?limit=3", Accept="text/csv").content == table.content
    rows = list(csv.DictReader(io.StringIO(table.text, newline="")))
    assert [row["object"] for row in rows] == [entry["object"] for entry in whole[:3]]
    following = table.headers["link"].removeprefix("<").partition(">")[0]
    more = list(csv.DictReader(io.StringIO(kept.get(following).text, newline="")))
    assert [row["object"] for row in more] == [entry["object"] for entry in whole[3:6]]


def test_an_office_sees_its_own_audit_alone(kept):
    scenario = kept.stored()
    theirs = kept.get("/v1/audit", kept.keys_elsewhere["admin"])
    assert scenario not in theirs.text
    assert {entry["action"] for entry in theirs.json()["items"]} == {"key.create"}
    cursor = kept.get("/v1/audit?limit=1").json()["next"]
    refused = kept.get(cursor, kept.keys_elsewhere["admin"])
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["input"] == "cursor"
