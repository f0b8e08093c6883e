"""Share links: made, listed, revoked, and what they open."""

import pytest

from service.web.answer_models import LinkList, NewLink
from tests.web.keeping import Keeping, without_request_id

READ = {"access": "read", "label": "farmer's phone", "expires_in_days": 90}
UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture
def scenario(kept):
    return kept.stored()


def _links(scenario):
    return f"/v1/scenarios/{scenario}/links"


def _made(kept, scenario, **changes):
    answer = kept("POST", _links(scenario), "write", json=READ | changes)
    assert answer.status_code == 201, answer.text
    return answer.json()


def test_a_read_link_is_made_with_the_address_of_its_page(kept, scenario):
    answer = kept("POST", _links(scenario), "write", json=READ)
    assert answer.status_code == 201
    NewLink.model_validate_json(answer.content)
    made = answer.json()
    assert made["url"] == f"http://winterground/s/{made['token']}"
    assert made["token"].startswith("wfr_")
    assert (made["scenario"], made["access"]) == (scenario, "read")
    assert made["expires_at"] == "2026-05-04T07:30:00.125Z"
    assert answer.headers["cache-control"] == "no-store"
    assert kept.get(f"/v1/scenarios/{scenario}", made["token"]).status_code == 200


def test_the_address_is_the_operators_where_one_is_set(kept, scenario):
    kept.app.state.public_url = "https://costs.example.org/"
    try:
        made = _made(kept, scenario)
    finally:
        kept.app.state.public_url = None
    assert made["url"] == f"https://costs.example.org/s/{made['token']}"


def test_an_edit_link_is_made_with_an_address_that_does_not_send_its_token(kept, scenario):
    made = _made(kept, scenario, access="edit")
    assert made["token"].startswith("wfe_")
    # RFC 3986, section 3.5: a fragment is not part of what is asked of a server.
    assert made["url"] == f"http://winterground/winter#{made['token']}"


def test_a_link_opens_its_scenario_and_no_other(kept, scenario):
    other = kept.stored()
    for access in ("read", "edit"):
        token = kept.link(scenario, access)
        assert kept.get(f"/v1/scenarios/{scenario}", token).status_code == 200
        refused = kept.get(f"/v1/scenarios/{other}", token)
        unknown = kept.get(f"/v1/scenarios/{UNKNOWN}", token)
        assert refused.status_code == 404
        assert without_request_id(refused) == without_request_id(unknown)


def test_links_are_listed_without_their_tokens(kept, scenario):
    made = [_made(kept, scenario, label=f"phone {number}") for number in range(5)]
    paged, address = [], f"{_links(scenario)}?limit=2"
    while address:
        page = kept.get(address, "write")
        LinkList.model_validate_json(page.content)
        assert not any(link["token"] in page.text for link in made)
        paged += page.json()["items"]
        address = page.json()["next"]
    assert [link["id"] for link in paged] == [link["id"] for link in made]
    assert {link["revoked_at"] for link in paged} == {None}


def test_a_revoked_link_opens_nothing(kept, scenario):
    made = _made(kept, scenario)
    address = f"{_links(scenario)}/{made['id']}"
    for _ in range(2):  # a second time changes nothing
        assert kept("DELETE", address, "write").status_code == 204
    assert kept.get(f"/v1/scenarios/{scenario}", made["token"]).status_code == 401
    assert kept.get(f"/v1/scenarios/{scenario}?token={made['token']}", None).status_code == 404
    (listed,) = kept.get(_links(scenario)).json()["items"]
    assert listed["revoked_at"]
    assert ("revoke", made["id"]) in kept.desk.journal.entries()


def test_there_are_at_most_twenty_live_links(kept, scenario):
    made = [_made(kept, scenario) for _ in range(20)]
    answer = kept("POST", _links(scenario), "write", json=READ)
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/too-many-links"
    assert "20" in answer.json()["detail"]
    assert kept("DELETE", f"{_links(scenario)}/{made[3]['id']}", "write").status_code == 204
    _made(kept, scenario)


@pytest.mark.parametrize(
    ("method", "address"),
    [("GET", ""), ("POST", ""), ("DELETE", "/ln_01JD4Q8Z3V9W7K2M5N6P8R0S1T")],
)
def test_links_are_made_and_seen_by_keys_that_write(kept, scenario, method, address):
    body = {"json": READ} if method == "POST" else {}
    shown = ("read", kept.link(scenario), kept.link(scenario, "edit"))
    for token in shown:
        answer = kept(method, _links(scenario) + address, token, **body)
        assert answer.status_code == 403, answer.text
    assert kept(method, _links(scenario) + address, None, **body).status_code == 401


@pytest.mark.parametrize(
    ("method", "address"),
    [("GET", ""), ("POST", ""), ("DELETE", "/ln_01JD4Q8Z3V9W7K2M5N6P8R0S1T")],
)
def test_a_scenario_of_another_office_is_as_unknown_as_none(kept, scenario, method, address):
    body = {"json": READ} if method == "POST" else {}
    theirs = kept.keys_elsewhere["admin"]
    foreign = kept(method, _links(scenario) + address, theirs, **body)
    unknown = kept(method, _links(UNKNOWN) + address, theirs, **body)
    assert foreign.status_code == 404
    assert foreign.json()["type"] == "/problems/unknown-scenario"
    assert without_request_id(foreign) == without_request_id(unknown)
    odd = kept(method, _links("a%00b") + address, theirs, **body)
    assert without_request_id(odd) == without_request_id(unknown)


def test_a_link_is_revoked_at_its_own_scenario_alone(kept, scenario):
    other = kept.stored()
    made = _made(kept, scenario)
    answer = kept("DELETE", f"{_links(other)}/{made['id']}", "write")
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/unknown-part"
    assert kept.get(f"/v1/scenarios/{scenario}", made["token"]).status_code == 200


def test_all_that_is_wrong_with_a_link_is_said_at_once(kept, scenario):
    wish = {"access": "admin", "label": "x" * 81, "expires_in_days": 0, "lable": "y"}
    answer = kept("POST", _links(scenario), "write", json=wish)
    assert answer.status_code == 422
    errors = {error["input"]: error for error in answer.json()["errors"]}
    assert set(errors) == {"access", "label", "expires_in_days", "lable"}
    assert errors["access"]["allowed"] == "read, edit"


def test_the_token_of_a_link_is_not_shown_a_second_time(kept, scenario):
    again = {"headers": {"Idempotency-Key": "phone-1"}, "json": READ}
    made = kept("POST", _links(scenario), "write", **again)
    repeated = kept("POST", _links(scenario), "write", **again)
    assert made.status_code == 201
    assert repeated.status_code == 409
    assert repeated.json()["type"] == "/problems/secret-shown-once"
    assert made.json()["id"] in repeated.json()["detail"]
    assert len(kept.get(_links(scenario)).json()["items"]) == 1


def test_a_link_to_what_lies_in_the_bin_opens_nothing(kept, scenario):
    token = kept.link(scenario)
    binned = kept("DELETE", f"/v1/scenarios/{scenario}", "write", headers={"If-Match": '"1"'})
    assert binned.status_code == 204
    unknown = kept.get(f"/v1/scenarios/{UNKNOWN}", token)
    assert without_request_id(kept.get(f"/v1/scenarios/{scenario}", token)) == (
        without_request_id(unknown)
    )


def test_the_use_of_a_link_is_one_entry_a_day(kept, scenario):
    token = kept.link(scenario)
    for _ in range(3):
        kept.get(f"/v1/scenarios/{scenario}", token)
    actions = [entry["action"] for entry in kept.get("/v1/audit").json()["items"]]
    assert actions.count("link.read") == 1
    kept.clock.forward(days=1)
    kept.get(f"/v1/scenarios/{scenario}", token)
    actions = [entry["action"] for entry in kept.get("/v1/audit").json()["items"]]
    assert actions.count("link.read") == 2
