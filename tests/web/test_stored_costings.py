"""Costings of stored scenarios: made on first reading, kept as they are, compared with now."""

import gzip
import json
from dataclasses import replace

import pytest

from service.costing.errors import Fault, InputError
from service.web.encodings import takes_gzip
from tests.support.offices import small_document
from tests.web.keeping import Keeping

PLAIN = {"Accept-Encoding": "identity"}
GZIP = {"Accept-Encoding": "gzip"}


@pytest.fixture
def scenario(keeping):
    return keeping.stored()


def _kept(keeping, scenario):
    return keeping.get(f"/v1/scenarios/{scenario}/costings").json()["items"]


def test_the_costing_is_that_of_the_document_and_has_an_id(keeping, scenario):
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing", "read")
    assert answer.status_code == 200
    found = answer.json()
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    posted = keeping("POST", "/v1/costings", None, json={"document": document}).json()
    assert found | {"id": None} == posted
    location = f"/v1/scenarios/{scenario}/costings/{found['id']}"
    assert answer.headers["content-location"] == location
    assert answer.headers["cache-control"] == "private, no-cache"
    assert keeping.get(location).content == answer.content
    assert keeping.get(f"/v1/scenarios/{scenario}/costing.json").content == answer.content


def test_it_is_stored_once_and_answered_as_it_was(keeping, scenario):
    first = keeping.get(f"/v1/scenarios/{scenario}/costing")
    written = keeping.desk.store.written
    again = keeping.get(f"/v1/scenarios/{scenario}/costing")
    assert again.content == first.content
    assert keeping.desk.store.written == written
    (item,) = _kept(keeping, scenario)
    assert item["id"] == first.json()["id"]
    assert item["revision"] == 1
    assert item["moved"] == {}
    assert item["best_system"] == first.json()["best_system"]
    costs = {one["system"]: one["annual_equivalent_cost"] for one in first.json()["systems"]}
    assert item["annual_equivalent_cost"] == costs[item["best_system"]]


def test_head_and_settings_store_nothing(keeping, scenario):
    keeping.get(f"/v1/scenarios/{scenario}", "read")
    written = keeping.desk.store.written
    path = f"/v1/scenarios/{scenario}/costing"
    head = keeping("HEAD", path, "read")
    assert (head.status_code, head.content) == (200, b"")
    assert "etag" not in head.headers
    assert "content-location" not in head.headers
    assert keeping.get(f"{path}?set.hay.price_per_ton=140", "read").json()["id"] is None
    assert keeping.desk.store.written == written
    assert _kept(keeping, scenario) == []


@pytest.mark.parametrize("encoding", [PLAIN, GZIP])
def test_head_of_what_is_stored_answers_as_get_does(keeping, scenario, encoding):
    path = f"/v1/scenarios/{scenario}/costing"
    got = keeping.get(path, **encoding)
    for address in (path, got.headers["content-location"]):
        head = keeping("HEAD", address, headers=encoding)
        got = keeping.get(address, **encoding)
        for name in ("etag", "content-length", "content-type", "vary", "cache-control"):
            assert head.headers[name] == got.headers[name]


def test_gzip_and_plain_are_the_same_under_two_tags(keeping, scenario):
    path = f"/v1/scenarios/{scenario}/costing"
    location = keeping.get(path).headers["content-location"]
    (costing,) = keeping.desk.store.tables.costings.values()
    for address in (path, location):
        plain, packed = keeping.get(address, **PLAIN), keeping.get(address, **GZIP)
        assert "content-encoding" not in plain.headers
        assert packed.headers["content-encoding"] == "gzip"
        assert packed.headers["content-length"] == str(len(costing.result))
        assert plain.content == packed.content == gzip.decompress(costing.result)
        assert plain.headers["etag"] == f'"{costing.id}"'
        assert packed.headers["etag"] == f'"{costing.id}-gzip"'
        assert plain.headers["vary"] == packed.headers["vary"] == "Accept, Accept-Encoding"


@pytest.mark.parametrize("encoding", [PLAIN, GZIP])
def test_what_the_caller_has_is_not_sent_again(keeping, scenario, encoding):
    path = f"/v1/scenarios/{scenario}/costing"
    for address in (path, keeping.get(path).headers["content-location"]):
        etag = keeping.get(address, **encoding).headers["etag"]
        answer = keeping.get(address, **encoding, **{"If-None-Match": etag})
        assert (answer.status_code, answer.content) == (304, b"")
        assert answer.headers["etag"] == etag
        assert answer.headers["vary"] == "Accept, Accept-Encoding"
        other = GZIP if encoding == PLAIN else PLAIN
        assert keeping.get(address, **other, **{"If-None-Match": etag}).status_code == 200


@pytest.mark.parametrize(
    ("header", "taken"),
    [
        # RFC 9110, section 12.5.3.
        ("", False),
        ("gzip", True),
        ("GZIP", True),
        ("x-gzip", True),
        ("gzip;q=0", False),
        ("gzip; q=0.0", False),
        ("gzip;q=0.1, identity", True),
        ("deflate, gzip;q=1.0, *;q=0.5", True),
        ("*", True),
        ("*;q=0", False),
        ("identity", False),
        ("br, deflate", False),
        ("gzip;q=x", False),
        ("gzipped", False),
        ("*, gzip;q=0", False),
    ],
)
def test_gzip_is_sent_where_it_is_taken(header, taken):
    assert takes_gzip(header) is taken


def test_a_stored_costing_may_be_kept_for_good(keeping, scenario):
    location = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["content-location"]
    answer = keeping.get(location, "read")
    # RFC 8246, section 2.
    assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"
    assert "link" not in answer.headers


def test_each_revision_has_its_costing(keeping, scenario):
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    path = f"/v1/scenarios/{scenario}/costing"
    newest, first = keeping.get(path).json(), keeping.get(f"{path}?revision=1").json()
    assert newest["inputs_used"]["hay"]["price_per_ton"] == 140
    assert first["inputs_used"]["hay"]["price_per_ton"] != 140
    assert [item["revision"] for item in _kept(keeping, scenario)] == [1, 2]
    listed = keeping.get(f"/v1/scenarios/{scenario}/costings?revision=2").json()["items"]
    assert [item["id"] for item in listed] == [newest["id"]]
    assert keeping.get(f"{path}?revision=3").status_code == 404


def test_costings_come_page_by_page_the_newest_first(keeping, scenario):
    for price in (140, 150):
        keeping.clock.forward(seconds=1)
        keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": price}},
                headers={"If-Match": "*"})  # fmt: skip
        keeping.get(f"/v1/scenarios/{scenario}/costing")
    keeping.clock.forward(seconds=1)
    keeping.get(f"/v1/scenarios/{scenario}/costing?revision=1")
    first = keeping.get(f"/v1/scenarios/{scenario}/costings?limit=2").json()
    assert [item["revision"] for item in first["items"]] == [1, 3]
    second = keeping.get(first["next"]).json()
    assert [item["revision"] for item in second["items"]] == [2]
    assert second["next"] is None


@pytest.fixture
def older(keeping, keeping_app, scenario):
    """Return the address of a costing that was made by an older engine."""
    now = keeping.desk
    keeping_app.state.desk = replace(now, engine_version="0.0.1")
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing")
    keeping_app.state.desk = now
    assert answer.json()["engine_version"] == "0.0.1"
    return answer.headers["content-location"], answer.content


def test_an_older_costing_is_kept_and_says_that_the_engine_has_moved(keeping, scenario, older):
    location, content = older
    answer = keeping.get(location)
    assert answer.content == content
    link = f'</v1/scenarios/{scenario}/costing>; rel="latest-version"'
    assert answer.headers["link"] == link
    now = keeping.get(f"/v1/scenarios/{scenario}/costing")
    assert now.headers["content-location"] != location
    moved = {item["id"]: item["moved"] for item in _kept(keeping, scenario)}
    assert moved[json.loads(content)["id"]] == {
        "engine_version": {"then": "0.0.1", "now": keeping.desk.engine_version}
    }
    assert moved[now.json()["id"]] == {}


def test_what_has_moved_is_told_by_system_and_line(keeping, scenario, older):
    location, content = older
    answer = keeping.get(f"{location}?against=now", "read")
    assert answer.status_code == 200, answer.text
    found = answer.json()
    assert found["costing"] == json.loads(content)["id"]
    assert found["scenario"] == scenario
    assert set(found["moved"]) == {"engine_version"}
    assert {one["system"] for one in found["systems"]} == {
        one["system"] for one in json.loads(content)["systems"]
    }
    assert found["sentence"]
    assert answer.headers["cache-control"] == "no-store"
    assert keeping.get(f"{location}?against=then").status_code == 422


def test_opening_is_noted_once_a_day_and_not_by_head(keeping: Keeping, scenario):
    location = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["content-location"]
    costings = keeping.desk.store
    keeping.clock.forward(days=1)
    keeping.get("/v1/scenarios")  # the key's own use of the day is noted
    (before,) = costings.tables.costings.values()
    keeping("HEAD", location)
    assert list(costings.tables.costings.values()) == [before]
    keeping.get(location)
    (after,) = costings.tables.costings.values()
    assert after.opened_on == keeping.clock().date() > before.opened_on
    written = costings.written
    keeping.get(location)
    assert costings.written == written


def test_reading_one_by_its_id_takes_one_session(keeping, scenario, monkeypatch):
    location = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["content-location"]
    store = type(keeping.desk.store)
    opened = []
    reading = store.reading
    monkeypatch.setattr(store, "reading", lambda self: opened.append(1) or reading(self))
    written = keeping.desk.store.written
    assert keeping.get(location).status_code == 200
    assert len(opened) == 1
    assert keeping.desk.store.written == written


@pytest.mark.parametrize("costing", ["ct_01JD4Q8Z3V9W7K2M5N6P8R0S1T", "x", "%00", "ct_" + "0" * 90])
def test_a_costing_that_is_not_there_is_404(keeping, scenario, costing):
    path = f"/v1/scenarios/{scenario}/costings/{costing}"
    for address in (path, f"{path}?against=now"):
        answer = keeping.get(address)
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-part")


def test_a_costing_of_another_scenario_is_404(keeping, scenario):
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()["id"]
    other = keeping.stored(name="Other")
    assert keeping.get(f"/v1/scenarios/{other}/costings/{costing}").status_code == 404


def test_a_costing_that_cannot_be_made_any_more_is_refused_in_words(keeping, scenario, monkeypatch):
    def refuses(*_more):
        raise InputError([Fault("hay.price_per_ton", "The price is missing.")])

    monkeypatch.setattr("service.scenarios.costings.cost", refuses)
    answer = keeping.get(f"/v1/scenarios/{scenario}/costing")
    assert answer.status_code == 422
    assert answer.json()["errors"] == [
        {"input": "hay.price_per_ton", "detail": "The price is missing."}
    ]


def test_the_document_that_is_costed_is_the_one_that_is_kept(keeping):
    document = small_document(reference_edition=None) | {"name": "Alder"}
    document.pop("reference_edition")
    scenario = keeping.stored(document)
    found = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    kept = keeping.get(f"/v1/scenarios/{scenario}").json()
    assert found["reference_edition"] == kept["reference_edition"] == "2026.1"


@pytest.mark.parametrize(
    ("query", "errors"),
    [
        ("agianst=now", [("agianst", "did you mean against?")]),
        ("set.hay.price_per_ton=1", [("set.hay.price_per_ton", "known: against, token")]),
        ("against=then&x=1", [("x", "known"), ("against", "must be now")]),
        ("against=", [("against", "must be now")]),
    ],
)
def test_a_parameter_that_a_stored_costing_has_not_is_named(keeping, scenario, query, errors):
    location = keeping.get(f"/v1/scenarios/{scenario}/costing").headers["content-location"]
    answer = keeping.get(f"{location}?{query}")
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-parameter")
    found = answer.json()["errors"]
    assert [error["input"] for error in found] == [name for name, _ in errors]
    assert all(words in error["detail"] for error, (_, words) in zip(found, errors, strict=True))
