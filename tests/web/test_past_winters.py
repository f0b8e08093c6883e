"""Winters as they were over HTTP: recorded by PUT, fact by fact, and nobody's facts are lost."""

import pytest

from service.web.past_winter_models import PastWinter, PastWinterList
from service.web.problems import MEDIA_TYPE
from tests.web.keeping import Keeping, without_request_id

UNKNOWN = "sc_00000000000000000000000000"
SEASON = "2025-26"
FACTS = {"bales_fed": 300, "turnout_date": "2026-04-12", "would_do_again": "with_changes"}


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture
def scenario(kept):
    return kept.stored()


def _address(scenario, season=SEASON):
    return f"/v1/scenarios/{scenario}/winters/{season}"


def put(kept, scenario, facts, by="write", season=SEASON, **headers):
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return kept("PUT", _address(scenario, season), by, json=facts, headers=named)


def test_a_winter_is_recorded_and_read(kept, scenario):
    made = put(kept, scenario, FACTS)
    assert made.status_code == 201, made.text
    assert made.headers["location"] == _address(scenario)
    assert made.headers["etag"] == '"1"'
    PastWinter.model_validate_json(made.content)
    body = made.json()
    assert body["facts"] == FACTS
    assert (body["season"], body["version"], body["planned_revision"]) == (SEASON, 1, 1)
    assert body["system"] == kept.get(f"/v1/scenarios/{scenario}/costing").json()["best_system"]
    assert body["author"]["label"] == "write key"
    read = kept.get(_address(scenario), "read")
    assert (read.status_code, read.json()) == (200, body)
    assert (read.headers["etag"], read.headers["cache-control"]) == ('"1"', "private, no-cache")


def test_an_edit_link_records_and_a_read_link_reads(kept, scenario):
    edit, read = kept.link(scenario, "edit"), kept.link(scenario, "read")
    assert put(kept, scenario, FACTS, edit).status_code == 201
    assert put(kept, scenario, {}, edit, If_Match='"1"').json()["version"] == 2
    assert kept.get(f"{_address(scenario)}?token={read}", None).json()["facts"] == {}
    assert kept.get(f"/v1/scenarios/{scenario}/winters?token={read}", None).status_code == 200
    for token in (read, "read"):
        assert put(kept, scenario, FACTS, token, If_Match='"2"').status_code == 403


def test_a_change_needs_the_version_that_was_read(kept, scenario):
    put(kept, scenario, FACTS)
    changed = {**FACTS, "bales_fed": 310}
    answer = put(kept, scenario, changed)
    # RFC 6585, section 3.
    assert (answer.status_code, answer.json()["type"]) == (428, "/problems/precondition-required")
    assert '"1" stands' in answer.json()["detail"]
    answer = put(kept, scenario, changed, If_Match='"1"')
    assert (answer.status_code, answer.headers["etag"]) == (200, '"2"')
    assert "location" not in answer.headers
    assert answer.json()["facts"] == changed


@pytest.mark.parametrize("tag", ['"7"', '"x"', 'W/"2"', '"1"', '"0"', '"1", "7"'])
def test_a_stale_version_is_412_and_the_answer_names_what_stands(kept, scenario, tag):
    # RFC 9110, section 13.1.1.
    put(kept, scenario, FACTS)
    put(kept, scenario, {"bales_fed": 305, "remark": "Wet."}, If_Match='"1"')
    answer = put(kept, scenario, {"bales_fed": 310, "fuel_gallon": 90}, If_Match=tag)
    assert (answer.status_code, answer.json()["type"]) == (412, "/problems/stale-winter")
    assert answer.headers["etag"] == '"2"'
    told = {error["input"]: error for error in answer.json()["errors"]}
    assert set(told) == {"bales_fed", "fuel_gallon", "remark"}
    assert "305 stands" in told["bales_fed"]["detail"]
    assert told["bales_fed"]["received"] == 310
    assert "'Wet.' stands" in told["remark"]["detail"]
    assert kept.get(_address(scenario)).json()["version"] == 2


def test_if_none_match_keeps_what_stands(kept, scenario):
    # RFC 9110, section 13.1.2: * is false once there is anything.
    made = put(kept, scenario, FACTS, If_None_Match="*")
    assert made.status_code == 201
    again = put(kept, scenario, FACTS, If_None_Match="*")
    assert (again.status_code, again.headers["etag"]) == (412, '"1"')


def test_if_match_is_not_met_where_nothing_stands(kept, scenario):
    # RFC 9110, section 13.1.1: * is false as long as there is nothing.
    for tag in ("*", '"1"'):
        answer = put(kept, scenario, FACTS, If_Match=tag)
        assert answer.status_code == 412
        assert "etag" not in answer.headers
    assert kept.get(_address(scenario)).status_code == 404
    put(kept, scenario, FACTS)
    assert put(kept, scenario, {}, If_Match="*").status_code == 200


def test_what_is_no_entity_tag_is_400(kept, scenario):
    assert put(kept, scenario, FACTS, If_Match="1").status_code == 400


def test_the_same_facts_again_are_answered_again(kept, scenario):
    made = put(kept, scenario, FACTS)
    for headers in ({}, {"If_Match": '"1"'}, {"If_Match": '"9"'}):
        again = put(kept, scenario, FACTS, **headers)
        assert (again.status_code, again.json()) == (200, made.json())


def test_an_answer_may_be_sent_back_as_it_came(kept, scenario):
    put(kept, scenario, {**FACTS, "system": "barn"})
    read = kept.get(_address(scenario)).json()
    read["facts"]["bales_fed"] = 310
    answer = put(kept, scenario, read, If_Match='"1"')
    assert answer.status_code == 200, answer.text
    assert answer.json() | {"updated_at": ""} == read | {"version": 2, "updated_at": ""}


def test_every_fault_is_told_where_it_stands(kept, scenario):
    facts = {
        "bales_fet": 3,
        "fuel_gallon": "40",
        "ground_days": {"wet": 400},
        "days_by_method": {"bale_grazing": 200},
        "system": "bales_and_pad",
        "prices": {"hay_per_ton": 90, "hay_per_bale": 45},
    }
    for body, before in ((facts, ""), ({"facts": facts}, "/facts")):
        answer = put(kept, scenario, body)
        assert (answer.status_code, answer.headers["content-type"]) == (422, MEDIA_TYPE)
        told = {error["pointer"]: error for error in answer.json()["errors"]}
        assert set(told) == {
            f"{before}/bales_fet",
            f"{before}/fuel_gallon",
            f"{before}/ground_days/wet",
            f"{before}/days_by_method/bale_grazing",
            f"{before}/prices/hay_per_bale",
        }
        assert told[f"{before}/bales_fet"]["suggestion"] == "bales_fed"
        assert told[f"{before}/ground_days/wet"]["unit"] == "day"


@pytest.mark.parametrize(
    "body",
    [
        b"[]",
        b"3",
        b'{"facts": 3}',
        b'{"facts": {}, "sistem": "barn"}',
        b'{"bales_fed": 1e999}',
        b'{"bales_fed": NaN}',
        b'{"bales_fed": 1, "bales_fed": 2}',
        b'{"facts": {}, "facts": {}}',
        b'{"bales_fed": true}',
        b'{"remark": 3}',
        b'{"days_by_method": {"Barn": 3}}',
        b'{"days_by_method": []}',
        b'{"planned_revision": 1.5}',
        b'{"planned_revision": 2}',
        b'{"system": null, "would_do_again": "perhaps"}',
    ],
)
def test_what_are_no_facts_is_422_and_records_nothing(kept, scenario, body):
    answer = kept(
        "PUT",
        _address(scenario),
        content=body,
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 422, answer.text
    assert answer.json()["errors"]
    assert kept.get(_address(scenario)).status_code == 404


def test_what_is_no_json_is_400(kept, scenario):
    headers = {"Content-Type": "application/json"}
    answer = kept("PUT", _address(scenario), content=b"{", headers=headers)
    assert answer.status_code == 400


@pytest.mark.parametrize("season", ["2025", "2025-27", "25-26", "winter", "2025-26.json"])
def test_a_season_is_called_by_its_years(kept, scenario, season):
    answer = put(kept, scenario, {}, season=season)
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-parameter")
    [error] = answer.json()["errors"]
    assert error["input"] == "season"
    assert "pointer" not in error


def test_a_winter_that_is_not_recorded_is_an_unknown_part(kept, scenario):
    for season in ("2024-25", "winter", "%00"):
        answer = kept.get(_address(scenario, season))
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-part")


def test_winters_are_listed_the_oldest_first(kept, scenario):
    assert kept.get(f"/v1/scenarios/{scenario}/winters").json() == {"items": [], "next": None}
    for season in ("2025-26", "2019-20"):
        put(kept, scenario, {}, season=season)
    answer = kept.get(f"/v1/scenarios/{scenario}/winters", "read")
    PastWinterList.model_validate_json(answer.content)
    items = answer.json()["items"]
    assert [item["season"] for item in items] == ["2019-20", "2025-26"]
    assert items[1] == kept.get(_address(scenario)).json()
    assert answer.headers["cache-control"] == "no-store"
    assert kept.get(f"/v1/scenarios/{scenario}/winters?limit=1").status_code == 422


def test_what_the_caller_has_is_not_sent_again(kept, scenario):
    put(kept, scenario, FACTS)
    answer = kept.get(_address(scenario), **{"If-None-Match": '"1"'})
    assert (answer.status_code, answer.content) == (304, b"")
    assert answer.headers["etag"] == '"1"'
    assert kept.get(_address(scenario), **{"If-None-Match": '"2"'}).status_code == 200
    head = kept("HEAD", _address(scenario))
    assert (head.status_code, head.content, head.headers["etag"]) == (200, b"", '"1"')


@pytest.mark.parametrize(
    ("method", "tail"), [("GET", ""), ("GET", f"/{SEASON}"), ("PUT", f"/{SEASON}")]
)
def test_winters_of_another_office_are_as_unknown_as_none(kept, scenario, method, tail):
    put(kept, scenario, FACTS)
    body = {"json": FACTS} if method == "PUT" else {}
    theirs = kept.keys_elsewhere["admin"]
    answers = [
        without_request_id(kept(method, f"/v1/scenarios/{one}/winters{tail}", theirs, **body))
        for one in (scenario, UNKNOWN)
    ]
    assert answers[0] == answers[1]
    assert answers[0][0] == 404
    assert kept(method, f"/v1/scenarios/{scenario}/winters{tail}", None, **body).status_code == 401


def test_the_bin_hides_winters_and_an_erasure_counts_them(kept, scenario):
    put(kept, scenario, FACTS)
    kept("DELETE", f"/v1/scenarios/{scenario}", headers={"If-Match": '"1"'})
    for answer in (kept.get(_address(scenario)), put(kept, scenario, {}, If_Match='"1"')):
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/binned-scenario")
    assert kept("POST", f"/v1/scenarios/{scenario}/erasure").json()["winters"] == 1


def test_a_copy_takes_no_winters_along(kept, scenario):
    put(kept, scenario, FACTS)
    other = kept("POST", f"/v1/scenarios/{scenario}/copies").json()["id"]
    assert kept.get(f"/v1/scenarios/{other}/winters").json()["items"] == []


def test_the_audit_tells_who_recorded_a_winter(kept, scenario):
    put(kept, scenario, FACTS)
    put(kept, scenario, {}, "admin", If_Match='"1"')
    entries = kept.get(f"/v1/audit?object={scenario}").json()["items"]
    assert [entry["action"] for entry in entries[:2]] == ["winter.change", "winter.record"]
    assert "2026-04-12" not in str(entries)


def test_a_secret_in_an_address_or_a_fact_is_not_sent_back(kept, scenario):
    token = kept.link(scenario)
    for answer in (
        put(kept, scenario, {"system": token}),
        put(kept, scenario, {"remark": token}),
        put(kept, scenario, {token: 1}),
        put(kept, scenario, {"facts": {}, token: 1}),
        kept.get(_address(scenario, token)),
        put(kept, scenario, {}, season=token),
    ):
        assert answer.status_code in {404, 422}
        assert token not in answer.text


def test_the_facts_are_described_with_range_and_unit(app):
    schemas = Keeping(app).call.get("/openapi.json").json()["components"]["schemas"]
    facts = schemas["RecordedFacts"]
    assert facts["additionalProperties"] is False
    assert "required" not in facts
    assert facts["properties"]["bales_fed"]["x-unit"] == "bale"
    assert facts["properties"]["days_by_method"]["propertyNames"]["pattern"]
