"""Bodies that store a scenario: what is wrong with them, and where it stands."""

import json

import pytest

from tests.support.offices import small_document

MERGE_PATCH = {"Content-Type": "application/merge-patch+json"}


@pytest.mark.parametrize(
    ("sent", "pointer", "words"),
    [
        ([], "", "must be a scenario"),
        ({"document": []}, "/document", "must be an object"),
        ({"document": None}, "/document", "must be an object"),
        ({"document": {}, "remark": 7}, "/remark", "must be text"),
        ({"document": {}, "remarks": "x"}, "/remarks", "did you mean remark?"),
        ({"document": {}, "a/b": 1}, "/a~1b", "known: document, remark"),
    ],
)
def test_what_is_no_body_of_a_scenario_is_refused_in_words(keeping, sent, pointer, words):
    answer = keeping("POST", "/v1/scenarios", "write", json=sent)
    assert answer.status_code == 422
    assert any(
        error["pointer"] == pointer and words in error["detail"]
        for error in answer.json()["errors"]
    ), answer.text


@pytest.mark.parametrize("enveloped", [False, True])
def test_a_fault_points_to_its_place_in_the_body_as_sent(keeping, enveloped):
    document = small_document()
    document["herd"]["cows"]["hed"] = 64
    document["systems"]["rings"]["plan"][0]["field"] = "nowhere"
    sent = {"document": document, "remark": "x" * 501} if enveloped else document
    errors = keeping("POST", "/v1/scenarios", "write", json=sent).json()["errors"]
    places = {error["pointer"] for error in errors}
    before = "/document" if enveloped else ""
    assert f"{before}/herd/cows/hed" in places
    assert f"{before}/systems/rings/plan/0/field" in places
    assert ("/remark" in places) is enveloped


@pytest.mark.parametrize("method", ["POST", "PUT"])
@pytest.mark.parametrize("number", ["NaN", "1e400", "-Infinity"])
def test_a_number_that_nobody_can_compute_with_is_refused_as_in_costings(keeping, method, number):
    text = json.dumps(small_document(name=1)).replace('"name": 1', '"name": "x"', 1)
    body = text.replace('"price_per_ton": ', f'"price_per_ton": {number}, "was": ', 1)
    path = "/v1/scenarios" if method == "POST" else f"/v1/scenarios/{keeping.stored()}"
    headers = {"Content-Type": "application/json", "If-Match": '"1"'}
    answer = keeping(method, path, "write", content=body, headers=headers)
    costing = keeping(
        "POST", "/v1/costings", None, content=f'{{"document": {body}}}', headers=headers
    )
    assert answer.status_code == costing.status_code == 422
    assert [error["detail"] for error in answer.json()["errors"]] == [
        error["detail"] for error in costing.json()["errors"]
    ]
    assert number in answer.text


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH"])
@pytest.mark.parametrize("before", ["", '{"document": '])
def test_a_name_given_twice_is_refused(keeping, method, before):
    body = json.dumps(small_document())
    body = body.replace('"hay": {', '"hay": {"storage": "barn", "storage": "barn", ', 1)
    path = "/v1/scenarios" if method == "POST" else f"/v1/scenarios/{keeping.stored()}"
    answer = keeping(
        method,
        path,
        "write",
        content=before + body + ("}" if before else ""),
        headers={"Content-Type": "application/json", "If-Match": '"1"'},
    )
    assert answer.status_code == 422
    error = next(one for one in answer.json()["errors"] if "more than once" in one["detail"])
    assert error["input"] == "hay.storage"
    assert error["pointer"] == ("/document" if before else "") + "/hay/storage"


def test_a_member_of_the_envelope_given_twice_is_refused(keeping):
    body = f'{{"document": {json.dumps(small_document())}, "remark": "a", "remark": "b"}}'
    headers = {"Content-Type": "application/json"}
    answer = keeping("POST", "/v1/scenarios", "write", content=body, headers=headers)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/remark"


def test_a_number_in_a_patch_is_refused_where_it_stands(keeping):
    scenario = keeping.stored()
    answer = keeping(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        content='{"hay": {"price_per_ton": NaN}, "limits": {"minutes_weekday": 1e999}}',
        headers=MERGE_PATCH | {"If-Match": '"1"'},
    )
    assert answer.status_code == 422
    assert {error["pointer"] for error in answer.json()["errors"]} == {
        "/hay/price_per_ton",
        "/limits/minutes_weekday",
    }


def test_a_body_that_is_nested_too_deeply_is_refused(keeping):
    body = '{"name": ' + "[" * 400 + "]" * 400 + "}"
    headers = {"Content-Type": "application/json"}
    answer = keeping("POST", "/v1/scenarios", "write", content=body, headers=headers)
    assert answer.status_code in {400, 422}


@pytest.mark.parametrize(
    ("body", "media_type", "status"),
    [
        ("{", "application/json", 400),
        ("{}", "text/plain", 415),
        ("{}", "application/merge-patch+json", 415),
    ],
)
def test_a_body_that_is_not_json_is_refused(keeping, body, media_type, status):
    headers = {"Content-Type": media_type}
    assert keeping("POST", "/v1/scenarios", content=body, headers=headers).status_code == status


@pytest.mark.parametrize(
    "name", ["\u0000", "\u202egnp", "<script>", "\U0001f404", "=1+1", "x" * 200, "\n"]
)
def test_whatever_a_farm_is_called_is_kept_as_it_is_or_refused(keeping, name):
    answer = keeping("POST", "/v1/scenarios", "write", json=small_document(name=name))
    if answer.status_code == 201:
        assert answer.json()["document"]["name"] == name
    else:
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == "/name"
