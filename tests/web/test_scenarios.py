"""Scenarios over HTTP: stored, read, changed, copied, binned, restored, erased."""

import json
from datetime import timedelta

import pytest

from service.web.answers import timestamp
from tests.support.offices import START, small_document

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"
MERGE_PATCH = {"Content-Type": "application/merge-patch+json"}


def _change(keeping, scenario, patch):
    headers = {"If-Match": '"1"'}
    return keeping("PATCH", f"/v1/scenarios/{scenario}", "write", json=patch, headers=headers)


def test_a_stored_scenario_says_where_it_stands_and_what_was_kept(keeping):
    answer = keeping("POST", "/v1/scenarios", "write", json=small_document(external_id="0417"))
    assert answer.status_code == 201
    stored = answer.json()
    address = f"/v1/scenarios/{stored['id']}"
    assert answer.headers["location"] == address
    assert answer.headers["content-location"] == f"{address}/revisions/1"
    assert answer.headers["etag"] == '"1"'
    assert stored["external_id"] == "0417"
    assert stored["name"] == stored["document"]["name"]
    assert stored["revision"] == 1
    assert stored["made_by"] == "create"
    assert stored["made_from"] is stored["remark"] is stored["origin"] is None
    assert stored["author"]["label"] == "write key"
    assert stored["created_at"] == stored["updated_at"] == timestamp(START)
    assert stored["reference_edition"] == stored["document"]["reference_edition"]
    steps = [step for system in stored["document"]["systems"].values() for step in system["plan"]]
    assert all(step["key"] for step in steps)
    assert keeping.get(address, "read").json() == stored


def test_times_are_in_utc_to_the_millisecond(keeping):
    # RFC 3339, section 5.6.
    answer = keeping.get(f"/v1/scenarios/{keeping.stored()}")
    assert answer.json()["created_at"] == "2026-02-03T07:30:00.125Z"
    assert answer.headers["last-modified"] == "Tue, 03 Feb 2026 07:30:00 GMT"


@pytest.mark.parametrize("suffix", ["", ".json"])
def test_a_scenario_is_read_at_its_address_and_with_a_suffix(keeping, suffix):
    scenario = keeping.stored()
    answer = keeping.get(f"/v1/scenarios/{scenario}{suffix}", "read")
    assert answer.status_code == 200
    assert answer.json()["id"] == scenario
    assert answer.headers["cache-control"] == "private, no-cache"


def test_the_body_may_be_an_envelope_with_a_remark(keeping):
    sent = {"document": small_document(), "remark": "After the walk."}
    stored = keeping("POST", "/v1/scenarios", "write", json=sent).json()
    assert stored["remark"] == "After the walk."


def test_an_answer_may_be_sent_back_as_it_came(keeping):
    scenario = keeping.stored()
    kept = keeping.get(f"/v1/scenarios/{scenario}").json()
    kept["document"]["hay"]["price_per_ton"] += 10
    answer = keeping(
        "PUT", f"/v1/scenarios/{scenario}", "write", json=kept, headers={"If-Match": '"1"'}
    )
    assert answer.status_code == 200, answer.text
    assert answer.json()["revision"] == 2
    assert answer.headers["etag"] == '"2"'
    assert answer.json()["document"]["hay"] == kept["document"]["hay"]
    assert answer.json()["made_by"] == "put"


@pytest.mark.parametrize("media_type", ["application/merge-patch+json", "application/json"])
def test_a_merge_patch_changes_what_it_names_and_removes_what_is_null(keeping, media_type):
    # RFC 7396, section 2.
    scenario = keeping.stored()
    before = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    answer = keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        content=json.dumps({"hay": {"price_per_ton": 131, "bales_on_hand": None}}),
        headers={"Content-Type": media_type, "If-Match": '"1"'},
    )
    assert answer.status_code == 200, answer.text
    after = answer.json()["document"]
    assert after["hay"]["price_per_ton"] == 131
    assert "bales_on_hand" not in after["hay"]
    assert after | {"hay": before["hay"]} == before
    assert answer.json()["made_by"] == "patch"


def test_a_patch_may_come_in_an_envelope_with_a_remark(keeping):
    scenario = keeping.stored()
    sent = {"document": {"hay": {"price_per_ton": 131}}, "remark": "Dearer."}
    answer = _change(keeping, scenario, sent).json()
    assert answer["remark"] == "Dearer."
    assert answer["document"]["hay"]["price_per_ton"] == 131


def test_a_patch_that_removes_the_baseline_is_refused_and_names_it(keeping):
    scenario = keeping.stored()
    baseline = small_document()["baseline"]
    answer = _change(keeping, scenario, {"systems": {baseline: None}})
    assert answer.status_code == 422
    error = next(one for one in answer.json()["errors"] if one["input"] == "baseline")
    assert baseline in error["detail"]
    assert error["pointer"] == "/baseline"
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


def test_a_patch_that_makes_the_document_faulty_points_into_the_patch(keeping):
    scenario = keeping.stored()
    sent = {"document": {"herd": {"cows": {"head": "many"}}}}
    error = _change(keeping, scenario, sent).json()["errors"][0]
    assert error["pointer"] == "/document/herd/cows/head"
    assert error["input"] == "herd.cows.head"


def test_a_repeat_of_a_change_that_stands_already_makes_no_revision(keeping):
    scenario = keeping.stored()
    document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    document["hay"]["price_per_ton"] = 131
    for _ in range(2):
        answer = keeping(
            "PUT", f"/v1/scenarios/{scenario}", "write", json=document, headers={"If-Match": '"1"'}
        )
        assert (answer.status_code, answer.json()["revision"]) == (200, 2)
        assert answer.headers["etag"] == '"2"'
    again = _change(keeping, scenario, {"hay": {"price_per_ton": 131}})
    assert (again.status_code, again.json()["revision"]) == (200, 2)


def test_an_external_id_is_taken_once_in_an_office_and_freely_in_another(keeping):
    first = keeping.stored(external_id="0417")
    answer = keeping("POST", "/v1/scenarios", "write", json=small_document(external_id="0417"))
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/external-id-taken"
    assert answer.json()["errors"][0]["suggestion"] == first
    elsewhere = keeping("POST", "/v1/scenarios", keeping.keys_elsewhere["write"],
                        json=small_document(external_id="0417"))  # fmt: skip
    assert elsewhere.status_code == 201
    other = keeping.stored()
    assert _change(keeping, other, {"external_id": "0417"}).status_code == 409


def test_a_scenario_in_the_bin_is_not_found_until_it_is_taken_out(keeping):
    scenario = keeping.stored(external_id="0417")
    address = f"/v1/scenarios/{scenario}"
    answer = keeping("DELETE", address, "write", headers={"If-Match": '"1"'})
    assert (answer.status_code, answer.content) == (204, b"")
    gone = keeping.get(address)
    assert (gone.status_code, gone.json()["type"]) == (404, "/problems/binned-scenario")
    again = keeping("DELETE", address, "write", headers={"If-Match": "*"})
    assert again.json()["type"] == "/problems/binned-scenario"
    assert keeping.get("/v1/scenarios").json()["items"] == []
    (binned,) = keeping.get("/v1/scenarios?binned=true").json()["items"]
    assert binned["id"] == scenario
    assert binned["binned_at"] == timestamp(START)
    taken = keeping("POST", "/v1/scenarios", "write", json=small_document(external_id="0417"))
    assert "in the bin" in taken.json()["detail"]
    back = keeping("POST", f"{address}/restore", "write")
    assert (back.status_code, back.json()["revision"]) == (200, 1)
    assert keeping.get(address).status_code == 200
    twice = keeping("POST", f"{address}/restore", "write")
    assert (twice.status_code, twice.json()["type"]) == (409, "/problems/not-binned")


def test_the_bin_is_listed_for_admin_keys_alone(keeping):
    assert keeping.get("/v1/scenarios?binned=true", "write").status_code == 403


def test_a_restore_takes_no_body(keeping):
    answer = keeping("POST", f"/v1/scenarios/{UNKNOWN}/restore", "write", json={"a": 1})
    assert answer.status_code == 422


def test_a_copy_has_its_settings_and_tells_where_it_is_from(keeping):
    scenario = keeping.stored(external_id="0417")
    _change(keeping, scenario, {"hay": {"price_per_ton": 140}})
    sent = {"revision": 1, "set": {"herd.cows.head": 70, "hay.bales_on_hand": None}}
    answer = keeping("POST", f"/v1/scenarios/{scenario}/copies", "write", json=sent)
    assert answer.status_code == 201, answer.text
    copy = answer.json()
    assert copy["id"] != scenario
    assert copy["origin"] == {"scenario": scenario, "revision": 1}
    assert copy["external_id"] is None
    assert copy["name"].endswith("(copy)")
    assert copy["made_by"] == "copy"
    assert copy["document"]["herd"]["cows"]["head"] == 70
    assert copy["document"]["hay"]["price_per_ton"] == small_document()["hay"]["price_per_ton"]
    assert answer.headers["location"] == f"/v1/scenarios/{copy['id']}"


def test_a_copy_needs_no_body_and_takes_a_name(keeping):
    scenario = keeping.stored()
    copies = f"/v1/scenarios/{scenario}/copies"
    assert keeping("POST", copies, "write").status_code == 201
    named = keeping("POST", copies, "write", json={"name": "Seventy cows", "external_id": "70"})
    assert named.json()["name"] == "Seventy cows"
    assert named.json()["external_id"] == "70"


@pytest.mark.parametrize(
    ("sent", "pointer"),
    [
        ({"set": {"herd.cow.head": 70}}, "/set/herd.cow.head"),
        ({"set": {"herd.cows.head": "70"}}, "/set/herd.cows.head"),
        ({"set": {"winter.last_day": "04-25"}}, ""),
        ({"set": {f"assumptions.hay_waste.kind_{n}": 0 for n in range(61)}}, "/set"),
        ({"set": []}, "/set"),
        ({"sett": {}}, "/sett"),
        ({"revision": "1"}, "/revision"),
        ({"name": 7}, "/name"),
        ([], ""),
    ],
)
def test_what_is_wrong_with_a_copy_is_said_where_it_stands(keeping, sent, pointer):
    scenario = keeping.stored()
    answer = keeping("POST", f"/v1/scenarios/{scenario}/copies", "write", json=sent)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_a_number_of_a_copy_that_nobody_can_compute_with_is_refused(keeping):
    answer = keeping(
        "POST",
        f"/v1/scenarios/{keeping.stored()}/copies",
        "write",
        content='{"set": {"hay.price_per_ton": NaN}}',
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/set/hay.price_per_ton"


@pytest.mark.parametrize("revision", [2, 10**6])
def test_a_copy_of_a_revision_that_is_not_there_is_404(keeping, revision):
    copies = f"/v1/scenarios/{keeping.stored()}/copies"
    answer = keeping("POST", copies, "write", json={"revision": revision})
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-part")


def test_erasing_says_what_went_and_what_is_left(keeping):
    scenario = keeping.stored()
    _change(keeping, scenario, {"hay": {"price_per_ton": 140}})
    keeping.get(f"/v1/scenarios/{scenario}/costing")
    copy = keeping("POST", f"/v1/scenarios/{scenario}/copies", "write").json()["id"]
    answer = keeping("POST", f"/v1/scenarios/{scenario}/erasure")
    assert answer.status_code == 200, answer.text
    assert answer.json() == {
        "scenario": scenario,
        "erased_at": timestamp(START),
        "revisions": 2,
        "costings": 1,
        "notes": 0,
        "links": 0,
        "winters": 0,
        "copies": [copy],
        "erased_copies": [],
        "gone_from_files": True,
        "backups_forget_on": (START + timedelta(days=35)).date().isoformat(),
    }
    assert keeping.get(f"/v1/scenarios/{scenario}").status_code == 404
    assert keeping.get(f"/v1/scenarios/{copy}").status_code == 200


def test_erasing_takes_the_copies_along_if_asked(keeping):
    scenario = keeping.stored()
    copy = keeping("POST", f"/v1/scenarios/{scenario}/copies", "write").json()["id"]
    answer = keeping("POST", f"/v1/scenarios/{scenario}/erasure", json={"copies": True})
    assert answer.json()["erased_copies"] == [copy]
    assert keeping.get(f"/v1/scenarios/{copy}").status_code == 404


@pytest.mark.parametrize("sent", [{"copies": 1}, {"copy": True}, []])
def test_what_is_no_erasure_erases_nothing(keeping, sent):
    scenario = keeping.stored()
    assert keeping("POST", f"/v1/scenarios/{scenario}/erasure", json=sent).status_code == 422
    assert keeping.get(f"/v1/scenarios/{scenario}").status_code == 200
