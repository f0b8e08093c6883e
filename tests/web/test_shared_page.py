"""The page that a farmer opens: what it says, who it opens to, and what it cannot be made to do."""

import base64
import hashlib
import re
from dataclasses import replace

import pytest

from service.costing.errors import Fault, InputError
from service.demo import demo_document
from service.scenarios.tokens import new_token
from tests.support.offices import note, small_document
from tests.web.conftest import Caller
from tests.web.keeping import Keeping
from tests.web.page_read import Page

PROBLEM = "application/problem+json"


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture(scope="module")
def demo(app):
    """Return a service that keeps the demo farm, its id, link, page and costing."""
    kept = Keeping(app)
    scenario = kept.stored(demo_document())
    kept(
        "POST",
        f"/v1/scenarios/{scenario}/notes",
        "write",
        json={"text": "Weighed three bales.", "input": "hay.bale_weight_lb"},
    )
    token = kept.link(scenario)
    answer = kept.get(f"/s/{token}", None)
    costing = kept.get(f"/v1/scenarios/{scenario}/costing", "read").json()
    return kept, scenario, token, answer, costing


def _opened(kept, token, **headers):
    return kept.get(f"/s/{token}", None, **headers)


def test_the_page_is_html_that_nobody_keeps_or_finds(demo):
    answer = demo[3]
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-robots-tag"] == "noindex"


def test_the_page_loads_nothing_and_runs_its_own_script_alone(demo):
    page = Page(demo[3].text)
    assert set(page.tags).isdisjoint({"img", "iframe", "object", "base", "embed"})
    assert [value for name, value in page.attributes if name == "src"] == []
    places = {value for name, value in page.attributes if name == "href"}
    seasons = {f"?show={view}&system=by_the_ground" for view in ("plan", "card", "calendar")}
    assert places == {"data:,", "?show=workings", "/trust", *seasons}
    inside = {value for name, value in page.attributes if name == "xlink:href"}
    assert all(place.startswith("#") for place in inside)
    assert not [name for name, _ in page.attributes if name.startswith("on") or name == "style"]
    assert page.tags.count("script") == 1
    assert "url(http" not in demo[3].text
    assert "@import" not in page.texts["style"][0]


def test_no_token_stands_in_the_page(demo):
    assert demo[2] not in demo[3].text
    assert demo[2][8:40] not in demo[3].text


@pytest.mark.parametrize("kind", ["style", "script"])
def test_the_browser_is_told_which_style_and_script_are_ours(demo, kind):
    # CSP level 3, section 8.4: what stands inline is allowed by the digest of its text.
    (text,) = re.findall(rf"<{kind}>(.*?)</{kind}>", demo[3].text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
    policy = demo[3].headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert f"{kind}-src 'sha256-{digest}';" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_the_page_may_ask_and_send_forms_to_its_own_host_alone(demo):
    policy = demo[3].headers["content-security-policy"]
    assert "connect-src 'self'" in policy
    assert "form-action 'self'" in policy


def test_the_page_fits_a_phone_and_a_sheet_of_paper(demo):
    page = Page(demo[3].text)
    assert ("lang", "en") in page.attributes
    assert ("content", "width=device-width, initial-scale=1") in page.attributes
    (style,) = page.texts["style"]
    assert "@media print" in style
    assert "max-width" in style


def test_a_page_has_all_notes_the_newest_first(kept):
    scenario = kept.stored()
    owner = kept.get(f"/v1/scenarios/{scenario}").json()
    with kept.desk.store.writing() as session:
        for number in range(1, 204):
            made = note(number, scenario_id=owner["id"], body=f"Remark {number} of many.")
            session.notes.add(made)
    text = _opened(kept, kept.link(scenario)).text
    shown = [int(number) for number in re.findall(r"Remark (\d+) of many\.", text)]
    assert shown == list(range(203, 0, -1))


def test_the_page_shows_what_stands_now(kept):
    scenario = kept.stored()
    token = kept.link(scenario)
    first = Page(_opened(kept, token).text)
    kept(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json={"name": "Renamed", "hay": {"price_per_ton": 500}},
        headers={"If-Match": '"1"'},
    )
    now = Page(_opened(kept, token).text)
    assert "Winter feeding, Renamed" in now.text
    assert "revision 2" in now.text
    assert now.table != first.table


def test_what_was_costed_is_stored_and_a_look_at_the_headers_stores_nothing(kept):
    scenario = kept.stored()
    token = kept.link(scenario)
    address = f"/v1/scenarios/{scenario}/costings"
    head = kept("HEAD", f"/s/{token}", None)
    assert head.status_code == 200
    assert not head.content
    assert kept.get(address).json()["items"] == []
    _opened(kept, token)
    assert len(kept.get(address).json()["items"]) == 1


def test_a_farm_without_a_name_is_this_farm(kept):
    document = small_document()
    del document["name"]
    page = Page(_opened(kept, kept.link(kept.stored(document))).text)
    assert "".join(page.texts["title"]) == "Winter feeding, This farm"


HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</title></style><b>bold",
    "{{ 7 * 7 }}{% raw %}",
    "=1+1",
    "x" * 200,
    "\u202eesrever\u2066 \u05d0\u05d1",
    "&lt;i&gt; & <!-- ",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_names_and_notes_are_text_whatever_they_hold(kept, name):
    document = small_document(name=name)
    for system in document["systems"].values():
        system["title"] = name
    document["herd"] = {key: group | {"title": name} for key, group in document["herd"].items()}
    scenario = kept.stored(document)
    kept("POST", f"/v1/scenarios/{scenario}/notes", "write", json={"text": name + "x" * 3900})
    answer = _opened(kept, kept.link(scenario))
    page = Page(answer.text)
    assert page.tags.count("script") == 1
    assert set(page.tags).isdisjoint({"img", "b", "i"})
    assert not [found for found, _ in page.attributes if found.startswith("on")]
    assert page.texts["style"] == Page(_opened(kept, kept.link(kept.stored())).text).texts["style"]
    for turning in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069":
        assert turning not in answer.text
    plain = re.sub("[\u202e\u2066]", "", name)
    assert f"Winter feeding, {plain}" in "".join(page.shown)
    assert sum(plain in text for text in page.isolated) > len(document["systems"])
    policy = Page(_opened(kept, kept.link(kept.stored())).text)
    assert page.texts["script"] == policy.texts["script"]


def test_mistyped_links_are_told_without_asking_the_store(kept):
    class Closed:
        def __getattr__(self, name):
            message = f"the store was asked: {name}"
            raise AssertionError(message)

    token = kept.link(kept.stored())
    kept.app.state.desk = replace(kept.desk, store=Closed())
    other_letter = "B" if token[20] == "A" else "A"
    wrong = (token[:-1], token[:20] + other_letter + token[21:], "x", "", token + "/", token + ".")
    for mistyped in wrong:
        answer = _opened(kept, mistyped)
        assert answer.status_code == 404
        assert "mistyped or cut off" in Page(answer.text).text
        assert answer.headers["cache-control"] == "no-store"


def test_a_link_that_ended_says_so_in_a_sentence(kept):
    scenario = kept.stored()
    revoked, expired = kept.link(scenario), kept.link(scenario, days=1)
    link = kept.get(f"/v1/scenarios/{scenario}/links").json()["items"][0]["id"]
    kept("DELETE", f"/v1/scenarios/{scenario}/links/{link}", "write")
    kept.clock.forward(days=2)
    pages = [_opened(kept, token) for token in (revoked, expired, new_token("read_link"))]
    assert {page.status_code for page in pages} == {404}
    assert len({page.content for page in pages}) == 1
    assert "has expired or was revoked, or never was" in Page(pages[0].text).text


def test_a_link_to_what_lies_in_the_bin_has_ended_for_now(kept):
    scenario = kept.stored()
    token = kept.link(scenario)
    kept("DELETE", f"/v1/scenarios/{scenario}", "write", headers={"If-Match": "*"})
    unknown = _opened(kept, new_token("read_link"))
    assert _opened(kept, token).content == unknown.content
    kept("POST", f"/v1/scenarios/{scenario}/restore", "write")
    assert _opened(kept, token).status_code == 200


@pytest.mark.parametrize(
    "accept", ["application/json", PROBLEM, "application/json, text/html;q=0.5"]
)
def test_programs_get_a_problem(kept, accept):
    for token in (new_token("read_link"), "x"):
        answer = _opened(kept, token, Accept=accept)
        assert answer.status_code == 404
        assert answer.headers["content-type"] == PROBLEM
        assert answer.json()["type"] == "/problems/unknown-link"


@pytest.mark.parametrize(
    "accept", ["text/html", "*/*", "text/html,application/xhtml+xml,*/*;q=0.8"]
)
def test_browsers_get_a_page(kept, accept):
    answer = _opened(kept, new_token("read_link"), Accept=accept)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"


def test_keys_and_edit_links_open_no_page_and_are_known_to_have_been_seen(kept):
    scenario = kept.stored()
    edit = kept.link(scenario, "edit")
    for token in (edit, kept.keys["read"], kept.keys["admin"]):
        answer = _opened(kept, token)
        assert answer.status_code == 404
        assert "Only a read link opens a page" in Page(answer.text).text
        assert answer.content == _opened(kept, new_token("key")).content
        assert "revoke it" in _opened(kept, token, Accept="application/json").json()["detail"]
    (link,) = kept.get(f"/v1/scenarios/{scenario}/links").json()["items"]
    assert link["seen_in_url_at"] == "2026-02-03T07:30:00.125Z"
    seen = {key["label"]: key["seen_in_url_at"] for key in kept.get("/v1/keys").json()["items"]}
    assert [bool(seen[f"{access} key"]) for access in ("read", "write", "admin")] == [
        True,
        False,
        True,
    ]
    actions = [entry["action"] for entry in kept.get("/v1/audit").json()["items"]]
    assert actions.count("token.seen_in_url") == 6


def test_a_scenario_that_cannot_be_costed_says_why(kept):
    def refuse(document):
        del document
        raise InputError(
            [Fault("herd.cows.head", "The cows <b>must</b> be counted."), Fault("", "So it is.")]
        )

    token = kept.link(kept.stored())
    kept.app.state.desk = replace(kept.desk, read=refuse)
    answer = _opened(kept, token)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert "The cows <b>must</b> be counted." in page.text
    assert "herd.cows.head" in page.text
    assert "b" not in page.tags
    told = _opened(kept, token, Accept="application/json")
    assert [error["detail"] for error in told.json()["errors"]] == [
        "The cows <b>must</b> be counted.",
        "So it is.",
    ]


def test_without_a_database_the_page_says_so(app):
    app.state.desk = None
    answer = Caller(app).get(f"/s/{new_token('read_link')}")
    assert answer.status_code == 503
    assert Page(answer.text).texts["h1"] == ["Nothing is kept here"]


def test_the_reading_of_the_page_is_noted_once_a_day(kept):
    scenario = kept.stored()
    token = kept.link(scenario)
    for _ in range(3):
        _opened(kept, token)
    actions = [entry["action"] for entry in kept.get("/v1/audit").json()["items"]]
    assert actions.count("link.read") == 1
    (link,) = kept.get(f"/v1/scenarios/{scenario}/links").json()["items"]
    assert link["last_used_on"] == "2026-02-03"
