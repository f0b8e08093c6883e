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


def _page_of(kept, **changes):
    answer = _opened(kept, kept.link(kept.stored(**changes)))
    assert answer.status_code == 200, answer.text
    return Page(answer.text)


def _money(text):
    assert re.fullmatch(r"-?(0|[1-9]\d{0,2}(,\d{3})*)", text), text
    return int(text.replace(",", ""))


def _is_nearest_hundred(text, amount):
    shown = _money(text)
    return shown % 100 == 0 and abs(shown - amount) <= 50.000001


def test_the_page_is_html_that_nobody_keeps_or_finds(demo):
    answer = demo[3]
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["x-robots-tag"] == "noindex"


def test_the_page_runs_nothing_and_loads_nothing(demo):
    page = Page(demo[3].text)
    assert set(page.tags).isdisjoint({"script", "img", "iframe", "form", "object", "a", "base"})
    assert [value for name, value in page.attributes if name in {"src", "href"}] == ["data:,"]
    assert not [name for name, _ in page.attributes if name.startswith("on") or name == "style"]
    (style,) = page.texts["style"]
    assert "url(" not in style
    assert "@import" not in style


def test_the_browser_is_told_which_style_is_ours(demo):
    # CSP level 3, section 8.4: the source of an inline style is allowed by the digest of its text.
    (style,) = re.findall(r"<style>(.*?)</style>", demo[3].text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = demo[3].headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert f"style-src 'sha256-{digest}';" in policy
    assert "unsafe" not in policy


def test_the_page_fits_a_phone_and_a_sheet_of_paper(demo):
    page = Page(demo[3].text)
    assert ("lang", "en") in page.attributes
    assert ("content", "width=device-width, initial-scale=1") in page.attributes
    (style,) = page.texts["style"]
    assert "@media print" in style
    assert "max-width" in style


def test_the_page_is_called_by_the_farm_and_says_who_is_fed(demo):
    page = Page(demo[3].text)
    assert page.texts["title"] == page.texts["h1"] == ["Whetstone Hollow Farm"]
    assert "62 cows, 9 bred heifers, 13 replacement heifers, 3 bulls, 88 ewes" in page.text
    assert "131 days, 12 winters" in page.text


def test_the_numbers_are_those_of_the_costing(demo):
    table, costing = Page(demo[3].text).table, demo[4]
    assert list(table) == [
        system["title"] for system in sorted(costing["systems"], key=lambda one: one["rank"])
    ]
    for system in costing["systems"]:
        row, quantities = table[system["title"]], system["quantities"]
        cost, worst = row["Year, all told"].split(" worst winter ")
        assert _is_nearest_hundred(cost, system["annual_equivalent_cost"])
        assert _is_nearest_hundred(
            worst, max(winter["annual_equivalent_cost"] for winter in system["by_winter"])
        )
        assert _is_nearest_hundred(row["Out of pocket"], system["out_of_pocket"])
        assert _is_nearest_hundred(row["Up front"], system["first_cost"])
        needed, worst_bales, *rest = re.findall(r"\d+", row["Bales"])
        bales = quantities["bales"]
        assert abs(int(needed) - bales["needed_mean"]) <= 0.5
        assert abs(int(worst_bales) - bales["needed_worst"]) <= 0.5
        assert ("short" in row["Bales"]) is (bales["short_mean"] > 0)
        assert all(abs(int(short) - bales["short_mean"]) <= 0.5 for short in rest)
        assert abs(int(row["Hours a winter"]) - quantities["labor_hours"]) <= 0.5
        acres = sum(quantities["acres_damaged"].values())
        assert abs(float(row["Acres to fix"]) - acres) <= 0.0500001
        assert row["Cheapest in"] == f"{system['cheapest_in_winters']} of 12"


def test_one_sentence_says_which_is_cheapest_and_by_how_much(demo):
    page, costing = Page(demo[3].text), demo[4]
    by_key = {system["system"]: system for system in costing["systems"]}
    best, baseline = by_key[costing["best_system"]], by_key[costing["comparison"]["baseline"]]
    found = re.search(
        rf"{re.escape(best['title'])} is the cheapest on average: (\S+) USD a year, (\S+) less "
        rf"than {re.escape(baseline['title'])}\.",
        page.text,
    )
    assert found, page.text
    assert _is_nearest_hundred(found[1], best["annual_equivalent_cost"])
    saved = baseline["annual_equivalent_cost"] - best["annual_equivalent_cost"]
    assert _is_nearest_hundred(found[2], saved)


def test_ties_are_said_each_once(demo):
    page, costing = Page(demo[3].text), demo[4]
    titles = {system["system"]: system["title"] for system in costing["systems"]}
    pairs = {
        frozenset({system["system"], other})
        for system in costing["systems"]
        for other in system["tie_with"]
    }
    assert pairs
    assert page.text.count("Too close to call on money") == len(pairs)
    for pair in pairs:
        one, other = (re.escape(titles[key]) for key in pair)
        assert re.search(f"({one} / {other}|{other} / {one})\\.", page.text)


def test_a_tie_of_the_cheapest_stands_beside_the_answer(kept):
    document = small_document()
    twin = document["systems"][document["baseline"]] | {"title": "The same again"}
    document["systems"] = {document["baseline"]: document["systems"][document["baseline"]]}
    document["systems"]["twin"] = twin
    page = Page(_opened(kept, kept.link(kept.stored(document))).text)
    assert re.search(
        r"is the cheapest on average: .* Too close to call on money: .* and", page.text
    )
    assert "The same again" in page.text
    assert " 0 less than" not in page.text


def test_where_herds_differ_the_farm_margin_decides(kept):
    document = small_document()
    baseline = document["baseline"]
    group = next(iter(document["herd"]))
    earns = {"sold_per_head": 0.9, "weight_lb": 550, "price_per_lb": 2.5}
    document["systems"][baseline]["margin"] = {group: earns}
    document["systems"]["fewer"] = document["systems"][baseline] | {
        "title": "Fewer head",
        "herd_change": {group: {"head": -4, "price_per_head": 900}},
    }
    scenario = kept.stored(document)
    costing = kept.get(f"/v1/scenarios/{scenario}/costing", "read").json()
    assert costing["ranked_by"] == "farm_margin"
    page = Page(_opened(kept, kept.link(scenario)).text)
    best = next(
        system for system in costing["systems"] if system["system"] == costing["best_system"]
    )
    found = re.search(r"leaves the farm the most on average: (\S+) USD a year", page.text)
    assert found, page.text
    assert _is_nearest_hundred(found[1], best["farm_margin"])
    for system in costing["systems"]:
        shown = page.table[system["title"]]["Left to the farm"]
        assert _is_nearest_hundred(shown, system["farm_margin"])
    assert "The cheapest first" not in page.text
    assert "is the cheapest on average" not in page.text


def test_limits_are_spoken_of_where_some_are_stated(kept):
    document = small_document()
    document["limits"] = {}
    assert "limits stated" not in Page(_opened(kept, kept.link(kept.stored(document))).text).text
    document["limits"] = {"money_up_front": 0, "minutes_weekday": 1}
    document["external_id"] = "limited"
    page = Page(_opened(kept, kept.link(kept.stored(document))).text)
    assert "Within all the limits stated: none." in page.text


def test_what_else_the_costing_says_is_there(demo):
    page, costing = Page(demo[3].text), demo[4]
    for guess in costing["check_first"]:
        assert guess["find_out"] in page.text
    assert len(costing["check_first"]) == 3
    assert "Before you build or do" in page.texts["h2"]
    sentences = {
        caution["sentence"] for system in costing["systems"] for caution in system["cautions"]
    }
    for sentence in sentences:
        assert page.text.count(sentence) == 1
    assert "with the cost-share asked for (104,900)" in page.text
    assert "is paid before any comes back" in page.text
    assert "Planning figures from the answers given here; not an engineering design" in page.text
    assert "Revision 1, costed on 3 February 2026" in page.text
    assert f"engine {costing['engine_version']}, reference edition 2026.1" in page.text
    assert "This link works until 4 May 2026." in page.text


def test_notes_stand_with_author_day_and_input(demo):
    text = Page(demo[3].text).text
    assert "Weighed three bales." in text
    assert "write key , 3 February 2026, about hay.bale_weight_lb" in text.replace("key,", "key ,")


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
    assert now.texts["h1"] == ["Renamed"]
    assert "Revision 2" in now.text
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
    assert page.texts["title"] == ["This farm"]


HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</title></style><b>bold",
    "{{ 7 * 7 }}{% raw %}",
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
    assert set(page.tags).isdisjoint({"script", "img", "b", "i"})
    assert not [found for found, _ in page.attributes if found.startswith("on")]
    assert page.texts["style"] == Page(_opened(kept, kept.link(kept.stored())).text).texts["style"]
    for turning in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069":
        assert turning not in answer.text
    plain = re.sub("[\u202e\u2066]", "", name)
    assert page.texts["h1"] == [plain]
    assert sum(plain in text for text in page.isolated) > len(document["systems"])


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
