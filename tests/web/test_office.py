"""What a key may do, and the office's keys."""

import pytest

from service.web.answer_models import KeyList, Me, NewKey
from tests.web.conftest import Caller
from tests.web.keeping import Keeping, without_request_id

NEW = {"access": "read", "label": "spreadsheet"}


@pytest.fixture
def kept(app):
    return Keeping(app)


def _ids(kept):
    return {key["label"]: key["id"] for key in kept.get("/v1/keys").json()["items"]}


@pytest.mark.parametrize("access", ["read", "write", "admin"])
def test_a_key_is_told_what_it_may_do(kept, access):
    answer = kept.get("/v1/me", access)
    assert answer.status_code == 200
    Me.model_validate_json(answer.content)
    assert answer.json() == {
        "office": "Tansy",
        "kind": "key",
        "access": access,
        "label": f"{access} key",
        "expires_at": "2027-02-03T07:30:00.125Z",
        "scenario": None,
    }
    assert answer.headers["cache-control"] == "no-store"


def test_a_link_is_told_its_scenario(kept):
    scenario = kept.stored()
    token = kept.link(scenario)
    told = kept.get(f"/v1/me?token={token}", None).json()
    assert (told["kind"], told["access"], told["scenario"]) == ("link", "read", scenario)
    assert kept.get("/v1/me", kept.link(scenario, "edit")).json()["access"] == "edit"


def test_the_last_days_of_a_key_are_announced(kept):
    assert "token-expires" not in kept.get("/v1/me", "write").headers
    kept.clock.forward(days=336)
    assert kept.get("/v1/me", "write").headers["token-expires"] == "2027-02-03T07:30:00Z"


def test_nobody_is_told_anything(kept):
    answer = kept.get("/v1/me", None)
    assert answer.status_code == 401
    assert answer.json()["type"] == "/problems/no-token"
    assert answer.headers["www-authenticate"].startswith("Bearer")


def test_a_new_key_works_and_its_token_is_shown_once(kept):
    answer = kept("POST", "/v1/keys", json=NEW)
    assert answer.status_code == 201, answer.text
    NewKey.model_validate_json(answer.content)
    made = answer.json()
    assert kept.get("/v1/me", made["token"]).json()["label"] == "spreadsheet"
    assert made["hint"] == made["token"][:8]
    assert made["expires_at"].startswith("2027-02-03")
    assert made["created_by"] == _ids(kept)["admin key"]
    listed = kept.get("/v1/keys")
    assert made["token"] not in listed.text
    shown = {name: value for name, value in made.items() if name != "token"}
    assert shown | {"last_used_on": "2026-02-03"} in listed.json()["items"]


def test_keys_are_listed_page_by_page(kept):
    for number in range(5):
        kept("POST", "/v1/keys", json=NEW | {"label": f"laptop {number}"})
    labels = []
    address = "/v1/keys?limit=3"
    while address:
        page = kept.get(address)
        KeyList.model_validate_json(page.content)
        labels += [key["label"] for key in page.json()["items"]]
        address = page.json()["next"]
    assert sorted(labels) == sorted(
        ["read key", "write key", "admin key", *(f"laptop {number}" for number in range(5))]
    )


def test_a_revoked_key_opens_nothing_and_stays_listed(kept):
    made = kept("POST", "/v1/keys", json=NEW).json()
    for _ in range(2):  # a second time changes nothing
        gone = kept("DELETE", f"/v1/keys/{made['id']}")
        assert gone.status_code == 204
        assert not gone.content
    assert kept.get("/v1/me", made["token"]).status_code == 401
    listed = {key["id"]: key for key in kept.get("/v1/keys").json()["items"]}
    assert listed[made["id"]]["revoked_at"] == "2026-02-03T07:30:00.125Z"
    assert ("revoke", made["id"]) in kept.desk.journal.entries()


def test_the_last_admin_key_stays(kept):
    answer = kept("DELETE", f"/v1/keys/{_ids(kept)['admin key']}")
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/last-admin-key"
    second = kept("POST", "/v1/keys", json=NEW | {"access": "admin"}).json()
    assert kept("DELETE", f"/v1/keys/{_ids(kept)['admin key']}").status_code == 204
    assert kept.get("/v1/keys", second["token"]).status_code == 200


@pytest.mark.parametrize("access", ["read", "write"])
@pytest.mark.parametrize(
    ("method", "path"),
    [("GET", "/v1/keys"), ("POST", "/v1/keys"), ("DELETE", "/v1/keys/{id}"), ("GET", "/v1/audit")],
)
def test_keys_and_audit_are_for_admin_keys(kept, access, method, path):
    address = path.format(id=_ids(kept)["read key"])
    answer = kept(method, address, access, **({"json": NEW} if method == "POST" else {}))
    assert answer.status_code == 403
    assert answer.json()["type"] == "/problems/too-little-access"
    assert "admin" in answer.json()["detail"]


def test_a_key_of_another_office_is_as_unknown_as_none(kept):
    theirs = kept.get("/v1/keys", kept.keys_elsewhere["admin"]).json()["items"][0]["id"]
    unknown = kept("DELETE", "/v1/keys/ky_01JD4Q8Z3V9W7K2M5N6P8R0S1T")
    assert unknown.status_code == 404
    for odd in (theirs, "x", "a%00b", "ky_" + "0" * 200):
        found = kept("DELETE", f"/v1/keys/{odd}")
        assert without_request_id(found) == without_request_id(unknown)
    assert kept.get("/v1/me", kept.keys_elsewhere["admin"]).status_code == 200


def test_a_link_is_no_key_to_be_revoked_here(kept):
    scenario = kept.stored()
    kept.link(scenario)
    link = kept.get(f"/v1/scenarios/{scenario}/links").json()["items"][0]["id"]
    assert kept("DELETE", f"/v1/keys/{link}").status_code == 404


def test_all_that_is_wrong_with_a_wish_is_said_at_once(kept):
    wish = {"access": "wrte", "label": "x" * 81, "expires_in_days": 401, "labl": 1}
    answer = kept("POST", "/v1/keys", json=wish)
    assert answer.status_code == 422
    errors = {error["input"]: error for error in answer.json()["errors"]}
    assert set(errors) == {"access", "label", "expires_in_days", "labl"}
    assert errors["access"]["suggestion"] == "write"
    assert errors["access"]["allowed"] == "read, write, admin"
    assert errors["labl"]["suggestion"] == "label"
    assert errors["label"]["pointer"] == "/label"
    assert "80" in errors["label"]["detail"]
    assert errors["expires_in_days"]["allowed"] == "1 to 400"


@pytest.mark.parametrize(
    ("body", "input_"),
    [
        ('{"access": "read"}', "label"),
        ('{"access": "read", "label": ""}', "label"),
        ('{"access": "read", "label": "   "}', "label"),
        ('{"access": "read", "label": "a\\u0000b"}', "label"),
        ('{"access": "read", "label": "two\\nlines"}', "label"),
        ('{"access": "read", "label": NaN}', "label"),
        ('{"access": "read", "label": 7}', "label"),
        ('{"access": "edit", "label": "x"}', "access"),
        ('{"access": null, "label": "x"}', "access"),
        ('{"access": "read", "label": "x", "expires_in_days": 0}', "expires_in_days"),
        ('{"access": "read", "label": "x", "expires_in_days": 1.5}', "expires_in_days"),
        ('{"access": "read", "label": "x", "expires_in_days": "9"}', "expires_in_days"),
        ('{"access": "read", "label": "x", "expires_in_days": true}', "expires_in_days"),
        ('{"access": "read", "label": "x", "expires_in_days": 1e400}', "expires_in_days"),
        ('{"access": "read", "label": "x", "label": "y"}', "label"),
        ("[]", None),
        ("7", None),
    ],
)
def test_bad_wishes_are_refused_in_words(kept, body, input_):
    answer = kept("POST", "/v1/keys", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422, answer.text
    (error,) = answer.json()["errors"]
    assert error.get("input") == input_
    assert error["detail"].endswith(".")
    assert len(_ids(kept)) == 3


def test_a_whole_number_may_be_written_with_a_point(kept):
    body = '{"access": "read", "label": "x", "expires_in_days": 30.0}'
    headers = {"Content-Type": "application/json"}
    answer = kept("POST", "/v1/keys", content=body, headers=headers)
    assert answer.json()["expires_at"] == "2026-03-05T07:30:00.125Z"


def test_a_token_is_not_shown_a_second_time(kept):
    again = {"headers": {"Idempotency-Key": "first-key"}, "json": NEW}
    made = kept("POST", "/v1/keys", **again)
    repeated = kept("POST", "/v1/keys", **again)
    assert repeated.status_code == 409
    assert repeated.json()["type"] == "/problems/secret-shown-once"
    assert made.json()["id"] in repeated.json()["detail"]
    assert made.json()["token"] not in repeated.text
    assert list(_ids(kept)).count("spreadsheet") == 1
    other = kept("POST", "/v1/keys", headers=again["headers"], json=NEW | {"label": "other"})
    assert other.status_code == 422
    assert other.json()["type"] == "/problems/idempotency-key-reused"


def test_without_a_database_nothing_is_kept(app):
    app.state.desk = None
    for path in ("/v1/me", "/v1/keys", "/v1/audit"):
        answer = Caller(app).get(path)
        assert answer.status_code == 503
        assert answer.json()["type"] == "/problems/no-database"
