"""Revisions over HTTP: the history of a scenario, what changed, and undo."""

import pytest

from service.web.answers import timestamp
from tests.support.offices import small_document

PRICE = small_document()["hay"]["price_per_ton"]


@pytest.fixture
def scenario(keeping):
    """Return a scenario with three revisions, each an hour after the one before."""
    found = keeping.stored()
    for price in (PRICE + 33, PRICE + 50):
        keeping.clock.forward(hours=1)
        _price(keeping, found, price)
    return found


def _price(keeping, scenario, price):
    sent = {"document": {"hay": {"price_per_ton": price}}, "remark": f"Hay at {price}."}
    answer = keeping(
        "PATCH", f"/v1/scenarios/{scenario}", "write", json=sent, headers={"If-Match": "*"}
    )
    assert answer.status_code == 200, answer.text
    return answer


def test_revisions_are_listed_the_newest_first_without_documents(keeping, scenario):
    items = keeping.get(f"/v1/scenarios/{scenario}/revisions", "read").json()["items"]
    assert [item["revision"] for item in items] == [3, 2, 1]
    assert [item["made_by"] for item in items] == ["patch", "patch", "create"]
    assert [item["remark"] for item in items][:2] == [f"Hay at {PRICE + 50}.",
                                                      f"Hay at {PRICE + 33}."]  # fmt: skip
    assert items[0]["created_at"] == timestamp(keeping.clock())
    assert all(item["author"]["label"] == "write key" for item in items)
    assert all(len(item["document_sha256"]) == 64 and "document" not in item for item in items)


def test_revisions_come_page_by_page(keeping, scenario):
    path = f"/v1/scenarios/{scenario}/revisions?limit=2"
    first = keeping.get(path).json()
    assert [item["revision"] for item in first["items"]] == [3, 2]
    _price(keeping, scenario, PRICE + 60)
    second = keeping.get(first["next"]).json()
    assert [item["revision"] for item in second["items"]] == [1]
    assert second["next"] is None


def test_a_revision_is_read_as_it_was(keeping, scenario):
    found = keeping.get(f"/v1/scenarios/{scenario}/revisions/2", "read").json()
    assert found["scenario"] == scenario
    assert found["revision"] == 2
    assert found["document"]["hay"]["price_per_ton"] == PRICE + 33
    newest = keeping.get(f"/v1/scenarios/{scenario}")
    again = keeping.get(newest.headers["content-location"]).json()
    assert again["document"] == newest.json()["document"]


@pytest.mark.parametrize("number", ["4", "2147483647"])
@pytest.mark.parametrize("suffix", ["", "/changes"])
def test_a_revision_that_is_not_there_is_404(keeping, scenario, number, suffix):
    answer = keeping.get(f"/v1/scenarios/{scenario}/revisions/{number}{suffix}")
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-part")


@pytest.mark.parametrize("number", ["0", "-1", "x", "1.5", "2147483648", "9" * 40])
def test_what_is_no_number_of_a_revision_is_422(keeping, scenario, number):
    answer = keeping.get(f"/v1/scenarios/{scenario}/revisions/{number}")
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-parameter")


def test_changes_name_the_input_and_say_what_it_did(keeping, scenario):
    found = keeping.get(f"/v1/scenarios/{scenario}/revisions/2/changes", "read").json()
    assert (found["scenario"], found["from"], found["to"]) == (scenario, 1, 2)
    (change,) = found["changes"]
    assert (change["input"], change["before"], change["after"]) == (
        "hay.price_per_ton",
        PRICE,
        PRICE + 33,
    )
    costs = [
        keeping.get(f"/v1/scenarios/{scenario}/costing?revision={number}").json()["systems"]
        for number in (1, 2)
    ]
    before, after = (
        {system["system"]: system["annual_equivalent_cost"] for system in systems}
        for systems in costs
    )
    for row in found["effect"]["systems"]:
        assert row["change"] == pytest.approx(after[row["system"]] - before[row["system"]])
    assert f"{PRICE:g} to {PRICE + 33:g}" in found["sentence"]


def test_changes_since_an_older_revision(keeping, scenario):
    path = f"/v1/scenarios/{scenario}/revisions/3/changes"
    found = keeping.get(f"{path}?since=1").json()
    assert (found["from"], found["changes"][0]["after"]) == (1, PRICE + 50)
    backwards = keeping.get(f"/v1/scenarios/{scenario}/revisions/1/changes?since=3").json()
    assert backwards["changes"][0]["after"] == PRICE
    assert keeping.get(f"{path}?since=9").status_code == 404
    assert keeping.get(f"{path}?since=0").status_code == 422
    assert keeping.get(f"/v1/scenarios/{scenario}/revisions/1/changes").json()["changes"] == []


def test_an_earlier_revision_is_brought_back_and_nothing_is_lost(keeping, scenario):
    address = f"/v1/scenarios/{scenario}"
    answer = keeping("POST", f"{address}/revisions/1/restore", "write", headers={"If-Match": '"3"'})
    assert answer.status_code == 200, answer.text
    restored = answer.json()
    assert (restored["revision"], restored["made_by"], restored["made_from"]) == (4, "restore", 1)
    assert restored["document"]["hay"]["price_per_ton"] == PRICE
    assert answer.headers["etag"] == '"4"'
    assert answer.headers["content-location"] == f"{address}/revisions/4"
    assert "location" not in answer.headers
    assert len(keeping.get(f"{address}/revisions").json()["items"]) == 4


def test_what_cannot_be_brought_back_is_404(keeping, scenario):
    answer = keeping(
        "POST",
        f"/v1/scenarios/{scenario}/revisions/9/restore",
        "write",
        headers={"If-Match": '"3"'},
    )
    assert answer.status_code == 404


def test_head_reads_a_history_as_get_does(keeping, scenario):
    for suffix in ("", "/2", "/2/changes"):
        path = f"/v1/scenarios/{scenario}/revisions{suffix}"
        got, head = keeping.get(path), keeping("HEAD", path)
        assert head.status_code == 200
        assert head.content == b""
        assert head.headers["content-length"] == got.headers["content-length"]
