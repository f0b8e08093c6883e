"""Site screening and places over HTTP: forms, access, faults, hostile names."""

import csv
import io

import pytest

from service.demo import demo_document
from service.season.site.document import CHECK_COLUMNS, FIELD_COLUMNS
from service.web.app import create_app
from service.web.openapi import describe
from service.web.routes.site import PLACE_COLUMNS
from service.web.site_models import PlaceList
from tests.web.keeping import Keeping


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


@pytest.fixture(scope="module")
def demo(kept):
    document = demo_document()
    document["land"]["place"] = "england"
    return kept.stored(document)


def _rows(answer):
    return list(csv.DictReader(io.StringIO(answer.text, newline="")))


def _site(kept, scenario, query="", suffix="", by="read"):
    return kept.get(f"/v1/scenarios/{scenario}/site{suffix}?{query}", by)


def test_a_screening_is_answered_for_the_system_asked_for(kept, demo):
    answer = _site(kept, demo, "system=lot_open_rings")
    assert answer.status_code == 200
    found = answer.json()
    assert (found["scenario"], found["revision"], found["system"]) == (demo, 1, "lot_open_rings")
    # SI 2018/151 regulation 10(2)(b): 50 m from a well; Barn Lot is 140 ft from water
    too_near = [check for check in found["checks"] if check["verdict"] == "too_near"]
    assert [(check["field"], check["setback"]) for check in too_near] == [
        ("barn_lot", "england_feeder_well")
    ]
    assert found["setbacks"][0]["source"]
    assert "law changes" in found["disclaimer"]


def test_best_and_baseline_are_systems(kept, demo):
    assert _site(kept, demo, "system=baseline").json()["system"] == "lot_open_rings"
    assert _site(kept, demo).json() == _site(kept, demo, "system=best").json()


def test_another_revision_has_its_own_place(kept):
    scenario = kept.stored(demo_document() | {"external_id": "revised"})
    patch = {"land": {"place": "ohio"}}
    changed = kept(
        "PATCH", f"/v1/scenarios/{scenario}", "write", json=patch, headers={"If-Match": '"1"'}
    )
    assert changed.status_code == 200
    assert _site(kept, scenario, "revision=1").json()["place"] is None
    assert _site(kept, scenario, "revision=2").json()["place"] == "ohio"
    assert _site(kept, scenario).json()["revision"] == 2


def test_it_comes_as_json_and_as_two_tables(kept, demo):
    body = _site(kept, demo).json()
    assert _site(kept, demo, suffix=".json").json() == body
    checks = _site(kept, demo, suffix=".csv")
    assert checks.headers["content-type"].startswith("text/csv")
    assert list(_rows(checks)[0]) == list(CHECK_COLUMNS)
    assert len(_rows(checks)) == len(body["checks"])
    fields = _site(kept, demo, "format=csv&table=fields")
    assert list(_rows(fields)[0]) == list(FIELD_COLUMNS)
    assert [row["field"] for row in _rows(fields)] == [item["field"] for item in body["fields"]]


def test_who_has_it_is_told_that_it_stands(kept, demo):
    first = _site(kept, demo)
    again = kept.get(
        f"/v1/scenarios/{demo}/site", "read", **{"If-None-Match": first.headers["ETag"]}
    )
    assert again.status_code == 304


def test_a_read_link_opens_it_and_nobody_else(kept, demo):
    token = kept.link(demo)
    assert kept.get(f"/v1/scenarios/{demo}/site?token={token}", None).status_code == 200
    assert kept.get(f"/v1/scenarios/{demo}/site", None).status_code == 401
    assert kept.get(f"/v1/scenarios/{demo}/site", kept.keys_elsewhere["read"]).status_code == 404


def test_an_unknown_system_is_refused_with_the_nearest(kept, demo):
    answer = _site(kept, demo, "system=rock_pat")
    assert answer.status_code in {400, 422}
    assert answer.json()["errors"][0]["suggestion"] == "rock_pad"


@pytest.mark.parametrize("query", ["revision=0", "table=none", "format=xml", "spam=1"])
def test_a_parameter_that_is_none_is_a_problem(kept, demo, query):
    answer = _site(kept, demo, query)
    assert 400 <= answer.status_code < 500
    assert answer.headers["content-type"] == "application/problem+json"


def test_a_hostile_name_never_becomes_a_formula(kept):
    document = demo_document() | {"external_id": "hostile"}
    document["land"]["fields"]["barn_lot"]["title"] = "=1+1"
    scenario = kept.stored(document)
    rows = _rows(_site(kept, scenario, "table=fields&system=baseline", ".csv"))
    assert rows[0]["title"] == "'=1+1"


def test_an_unknown_place_is_refused_when_it_is_sent(kept):
    document = demo_document() | {"external_id": "misspelled"}
    document["land"]["place"] = "englund"
    answer = kept("POST", "/v1/scenarios", "write", json=document)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert (error["input"], error["suggestion"]) == ("land.place", "england")


def test_the_catalogue_of_places_is_open_and_has_sources(kept):
    answer = kept.get("/v1/places", None)
    listed = PlaceList.model_validate_json(answer.content)
    assert {"england", "ohio", "iowa", "minnesota"} <= {item.place for item in listed.items}
    assert all(row.source and row.date for item in listed.items for row in item.setbacks)
    assert "max-age" in answer.headers["cache-control"]
    table = kept.get("/v1/places.csv", None)
    assert list(_rows(table)[0]) == list(PLACE_COLUMNS)
    assert len(_rows(table)) == sum(len(item.setbacks) for item in listed.items)
    assert kept.get("/v1/places", None, Accept="text/csv").content == table.content
    assert kept.get("/v1/places.json", None).content == answer.content


def test_new_inputs_are_in_the_catalogue_and_the_description(kept):
    paths = {item["path"]: item for item in kept.get("/v1/inputs", None).json()["items"]}
    assert paths["land.setback_ft"]["unit"] == "ft"
    assert paths["land.place"]["type"] == "name"
    described = describe(create_app())
    assert {"place", "setback_ft"} <= set(described["components"]["schemas"]["Land"]["properties"])
    assert described["paths"]["/v1/places"]["get"]["operationId"] == "list_places"
