"""Who may do what with scenarios: without a token nothing, with another office's nothing known."""

import pytest

from service.scenarios.tokens import new_token
from tests.support.offices import small_document
from tests.web.keeping import without_request_id

UNKNOWN = "sc_01JD4Q8Z3V9W7K2M5N6P8R0S1T"
PATCH = {"hay": {"price_per_ton": 131}}
COSTING = "ct_01JD4Q8Z3V9W7K2M5N6P8R0S1T"
MATCH = {"If-Match": '"1"'}

ROUTES = [
    # method, path below the scenario, body, least access that a key needs
    ("GET", "", None, "read"),
    ("GET", ".json", None, "read"),
    ("PUT", "", small_document(), "write"),
    ("PATCH", "", PATCH, "write"),
    ("DELETE", "", None, "write"),
    ("POST", "/restore", None, "write"),
    ("POST", "/copies", {}, "write"),
    ("POST", "/erasure", None, "admin"),
    ("GET", "/revisions", None, "read"),
    ("GET", "/revisions/1", None, "read"),
    ("GET", "/revisions/1/changes", None, "read"),
    ("POST", "/revisions/1/restore", None, "write"),
    ("GET", "/costing", None, "read"),
    ("GET", "/costing.json", None, "read"),
    ("GET", "/costing?set.hay.price_per_ton=140", None, "read"),
    ("GET", "/costing/workings", None, "read"),
    ("GET", "/costings", None, "read"),
    ("GET", f"/costings/{COSTING}", None, "read"),
    ("GET", f"/costings/{COSTING}?against=now", None, "read"),
]
OFFICE_ROUTES = [
    ("GET", "/v1/scenarios", None, "read"),
    ("POST", "/v1/scenarios", small_document(), "write"),
]
EDIT_LINKS_OPEN = {("PUT", ""), ("PATCH", ""), ("POST", "/revisions/1/restore")}


def _ask(keeping, scenario, route, token, **headers):
    method, path, sent, _ = route
    return keeping(
        method, f"/v1/scenarios/{scenario}{path}", token, json=sent, headers=MATCH | headers
    )


def _costed(keeping):
    scenario = keeping.stored()
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()["id"]
    return scenario, costing


BAD_TOKENS = [
    (None, "no-token"),
    ("Basic eDp5", "no-token"),
    ("Bearer", "no-token"),
    ("Bearer x", "unknown-token"),
    ("Bearer wfk_" + "0" * 38, "unknown-token"),
    (f"Bearer {new_token('key')}", "unknown-token"),
]


@pytest.mark.parametrize("route", [*ROUTES, *OFFICE_ROUTES])
def test_without_a_good_token_all_is_401(keeping, route):
    scenario = keeping.stored()
    method, path, sent, _ = route
    address = path if path.startswith("/v1") else f"/v1/scenarios/{scenario}{path}"
    for header, name in BAD_TOKENS:
        headers = MATCH | ({"Authorization": header} if header else {})
        answer = keeping(method, address, None, json=sent, headers=headers)
        assert (answer.status_code, answer.json()["type"]) == (401, f"/problems/{name}")
        assert answer.headers["www-authenticate"].startswith("Bearer")
        assert scenario not in answer.text


@pytest.mark.parametrize("route", [*ROUTES, *OFFICE_ROUTES])
def test_an_expired_key_opens_nothing(keeping, route):
    token = keeping.key("admin", days=1)
    scenario = keeping.stored()
    keeping.clock.forward(days=1)
    method, path, sent, _ = route
    address = path if path.startswith("/v1") else f"/v1/scenarios/{scenario}{path}"
    assert keeping(method, address, token, json=sent, headers=MATCH).status_code == 401


@pytest.mark.parametrize("route", ROUTES)
def test_another_offices_scenario_is_answered_word_for_word_as_an_unknown_one(keeping, route):
    scenario, _ = _costed(keeping)
    elsewhere = keeping.keys_elsewhere["admin"]
    known = _ask(keeping, scenario, route, elsewhere)
    unknown = _ask(keeping, UNKNOWN, route, elsewhere)
    formless = _ask(keeping, "x%00", route, elsewhere)
    assert known.status_code == 404
    assert known.json()["type"] == "/problems/unknown-scenario"
    assert without_request_id(known) == without_request_id(unknown) == without_request_id(formless)
    head = keeping.get(f"/v1/scenarios/{scenario}")
    assert head.json()["revision"] == 1


def test_another_offices_costing_is_not_found_even_by_its_id(keeping):
    scenario, costing = _costed(keeping)
    elsewhere = keeping.keys_elsewhere["admin"]
    answer = keeping.get(f"/v1/scenarios/{scenario}/costings/{costing}", elsewhere)
    assert answer.json()["type"] == "/problems/unknown-scenario"


def test_the_lists_of_two_offices_are_apart(keeping):
    keeping.stored()
    assert keeping.get("/v1/scenarios", keeping.keys_elsewhere["admin"]).json()["items"] == []


@pytest.mark.parametrize("route", [*ROUTES, *OFFICE_ROUTES])
def test_a_key_with_too_little_access_is_403_and_told_what_is_needed(keeping, route):
    scenario, costing = _costed(keeping)
    method, path, sent, least = route
    order = ["read", "write", "admin"]
    address = path if path.startswith("/v1") else f"/v1/scenarios/{scenario}{path}"
    address = address.replace(COSTING, costing)
    for access in order[: order.index(least)]:
        answer = keeping(method, address, access, json=sent, headers=MATCH)
        assert (answer.status_code, answer.json()["type"]) == (403, "/problems/too-little-access")
        assert "needs" in answer.json()["detail"]
    answer = keeping(method, address, least, json=sent, headers=MATCH)
    assert answer.status_code in ({409} if path == "/restore" else {200, 201, 204}), answer.text


@pytest.mark.parametrize("route", ROUTES)
def test_a_link_reads_its_scenario_and_an_edit_link_changes_it(keeping, route):
    scenario, costing = _costed(keeping)
    method, path, sent, _ = route
    address = f"/v1/scenarios/{scenario}{path}".replace(COSTING, costing)
    reads = method == "GET"
    before = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
    for access, opened in (("read", reads), ("edit", reads or (method, path) in EDIT_LINKS_OPEN)):
        answer = keeping(method, address, keeping.link(scenario, access), json=sent, headers=MATCH)
        assert answer.status_code == (200 if opened else 403), answer.text
        document = keeping.get(f"/v1/scenarios/{scenario}").json()["document"]
        assert opened or document == before


@pytest.mark.parametrize("route", ROUTES)
def test_a_link_opens_no_other_scenario_of_its_office(keeping, route):
    scenario, other = keeping.stored(), keeping.stored(name="Other")
    link = keeping.link(scenario, "edit")
    assert without_request_id(_ask(keeping, other, route, link)) == without_request_id(
        _ask(keeping, UNKNOWN, route, link)
    )


@pytest.mark.parametrize(("method", "path", "sent", "_least"), OFFICE_ROUTES)
def test_a_link_does_not_speak_for_the_office(keeping, method, path, sent, _least):
    link = keeping.link(keeping.stored(), "edit")
    assert keeping(method, path, link, json=sent).status_code == 403


@pytest.mark.parametrize("route", [route for route in ROUTES if route[0] == "GET"])
def test_a_read_link_may_stand_in_the_address_of_a_get(keeping, route):
    scenario, costing = _costed(keeping)
    _, path, _, _ = route
    address = f"/v1/scenarios/{scenario}{path}".replace(COSTING, costing)
    token = keeping.link(scenario)
    sign = "&" if "?" in address else "?"
    for method in ("GET", "HEAD"):
        answer = keeping(method, f"{address}{sign}token={token}", None)
        assert answer.status_code == 200, answer.text
        assert token not in answer.text
        assert not any(token in value for value in answer.headers.values())


@pytest.mark.parametrize("kind", ["key", "edit link", "mistyped", "expired"])
def test_whatever_else_stands_in_an_address_is_404(keeping, kind):
    scenario = keeping.stored()
    token = {
        "key": keeping.keys["admin"],
        "edit link": keeping.link(scenario, "edit"),
        "mistyped": "wfr_" + "0" * 38,
        "expired": keeping.link(scenario, days=1),
    }[kind]
    if kind == "expired":
        keeping.clock.forward(days=1)
    answer = keeping.get(f"/v1/scenarios/{scenario}?token={token}", None)
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-link")
    assert token not in answer.text
    mistyped = "mistyped or cut off" in answer.json()["detail"]
    assert mistyped is (kind == "mistyped")


@pytest.mark.parametrize("route", [route for route in ROUTES if route[0] != "GET"])
def test_a_token_in_an_address_changes_nothing(keeping, route):
    scenario = keeping.stored()
    token = keeping.link(scenario)
    method, path, sent, _ = route
    answer = keeping(
        method, f"/v1/scenarios/{scenario}{path}?token={token}", None, json=sent, headers=MATCH
    )
    assert answer.status_code == 404
    assert answer.json()["type"] == "/problems/unknown-link"
    assert keeping.get(f"/v1/scenarios/{scenario}").json()["revision"] == 1


def test_a_key_that_expires_soon_is_told_so(keeping):
    token = keeping.key("read", days=30)
    assert "token-expires" not in keeping.get("/v1/scenarios", "read").headers
    keeping.clock.forward(hours=1)
    assert keeping.get("/v1/scenarios", token).headers["token-expires"] == "2026-03-05T07:30:00Z"
