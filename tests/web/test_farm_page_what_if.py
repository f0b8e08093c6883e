"""What-ifs on the page, without scripts: costed as asked, nothing saved, faults said beside."""

import re
from urllib.parse import urlencode

import pytest

from service.demo import demo_document
from tests.support.offices import small_document
from tests.web.farm_page_read import is_nearest_hundred
from tests.web.keeping import Keeping
from tests.web.page_read import Page


@pytest.fixture
def kept(app):
    return Keeping(app)


@pytest.fixture
def demo(kept):
    """Return the id of the kept demo farm and a link to read it."""
    scenario = kept.stored(demo_document())
    return scenario, kept.link(scenario)


def _asked(kept, token, **query):
    return kept.get(f"/s/{token}?{urlencode(query)}", None)


def _fields(page):
    return {
        attributes["name"]: attributes["value"]
        for tag, attributes in page.elements
        if tag == "input"
    }


def test_the_form_holds_what_is_kept_and_every_field_has_a_label(kept, demo):
    page = Page(kept.get(f"/s/{demo[1]}", None).text)
    assert _fields(page) == {
        "set.hay.price_per_ton": "98",
        "set.prices.labor_per_hour": "20",
        "set.herd.cows.head": "62",
    }
    labelled = {attributes["for"] for tag, attributes in page.elements if tag == "label"}
    fields = {attributes["id"] for tag, attributes in page.elements if tag in {"input", "select"}}
    assert fields == labelled
    form = next(attributes for tag, attributes in page.elements if tag == "form")
    assert form["method"] == "get"
    assert "action" not in form


def test_a_what_if_shows_the_costing_with_it(kept, demo):
    scenario, token = demo
    page = Page(_asked(kept, token, **{"set.hay.price_per_ton": "131"}).text)
    costing = kept.get(f"/v1/scenarios/{scenario}/costing?set.hay.price_per_ton=131", "read").json()
    for system in costing["systems"]:
        if not system["lines"][12]["annual_equivalent"]:
            shown = page.table[system["title"]]["A year, all told"]
            assert is_nearest_hundred(shown, system["annual_equivalent_cost"])
    assert "What if: Hay price 131 USD a ton instead of 98. Nothing is saved." in page.text
    assert _fields(page)["set.hay.price_per_ton"] == "131"


def test_without_cost_share_nothing_is_hoped_for(kept, demo):
    scenario, token = demo
    kept_costing = kept.get(f"/v1/scenarios/{scenario}/costing", "read").json()
    page = Page(_asked(kept, token, cost_share="none").text)
    roof = next(one for one in kept_costing["systems"] if one["system"] == "roofed_pad")
    assert "hope for" not in page.text
    assert "no cost-share is ever paid" in page.text
    shown = page.table[roof["title"]]["A year, all told"]
    assert is_nearest_hundred(shown, roof["without_cost_share"])


def test_a_farm_without_cost_share_is_not_asked_for_it(kept):
    document = small_document()
    for system in document["systems"].values():
        for structure in system.get("structures", {}).values():
            structure.pop("cost_share", None)
    page = Page(kept.get(f"/s/{kept.link(kept.stored(document))}", None).text)
    assert "select" not in page.tags
    assert "form" in page.tags


def test_nothing_is_saved_by_a_what_if(kept, demo):
    scenario, token = demo
    kept.get(f"/s/{token}", None)
    before = kept.get(f"/v1/scenarios/{scenario}").json()
    costings = kept.get(f"/v1/scenarios/{scenario}/costings").json()
    _asked(kept, token, **{"set.hay.price_per_ton": "131", "cost_share": "none"})
    assert kept.get(f"/v1/scenarios/{scenario}").json() == before
    assert kept.get(f"/v1/scenarios/{scenario}/costings").json() == costings


def test_what_is_left_empty_or_as_it_was_is_no_what_if(kept, demo):
    token = demo[1]
    plain = Page(kept.get(f"/s/{token}", None).text)
    same = {
        "set.hay.price_per_ton": "98.0",
        "set.prices.labor_per_hour": "",
        "set.herd.cows.head": " 62 ",
        "cost_share": "as_kept",
        "from": "a messenger",
    }
    page = Page(_asked(kept, token, **same).text)
    assert page.table == plain.table
    assert "What if:" not in page.text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"set.hay.price_per_ton": "1,5"}, "use a decimal point"),
        ({"set.hay.price_per_ton": "-4"}, "must be at least 0"),
        ({"set.hay.prize_per_ton": "90"}, "did you mean hay.price_per_ton"),
        ({"set.herd.cows.head": "many"}, "head"),
    ],
)
def test_what_cannot_be_costed_is_said_beside_the_form(kept, demo, query, said):
    token = demo[1]
    plain = Page(kept.get(f"/s/{token}", None).text)
    answer = _asked(kept, token, **query)
    assert answer.status_code == 422
    page = Page(answer.text)
    assert said in page.text
    assert page.table == plain.table
    assert "What if:" not in page.text


@pytest.mark.parametrize(
    "name", ["set.hay.<script>alert(1)</script>", 'set."><img src=x>', "set.\u202eyah", "set.=1+1"]
)
def test_hostile_parameters_are_text(kept, demo, name):
    answer = _asked(kept, demo[1], **{name: "<b>x</b>\u202e"})
    page = Page(answer.text)
    assert answer.status_code == 422
    assert page.tags.count("script") == 1
    assert set(page.tags).isdisjoint({"img", "b"})
    assert "\u202e" not in answer.text


def test_many_or_long_parameters_do_no_harm(kept, demo):
    query = {f"set.a{number}": "1" for number in range(200)} | {"set.hay.price_per_ton": "9" * 4000}
    assert _asked(kept, demo[1], **query).status_code == 422


def test_the_link_leads_to_how_the_numbers_were_made(kept, demo):
    answer = kept.get(f"/s/{demo[1]}?show=workings", None)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert set(answer.json()["systems"]) == {"lot_better_feeders"}


def test_the_page_of_a_scenario_is_the_page_of_its_link(kept, demo):
    scenario, token = demo
    by_link = Page(kept.get(f"/s/{token}", None).text)
    for address, by in (
        (f"/v1/scenarios/{scenario}/page.html", "read"),
        (f"/v1/scenarios/{scenario}/page.html?token={token}", None),
    ):
        answer = kept.get(address, by)
        assert answer.status_code == 200
        assert answer.headers["content-type"] == "text/html; charset=utf-8"
        assert answer.headers["cache-control"] == "no-store"
        assert "script-src" not in answer.headers["content-security-policy"]
        page = Page(answer.text)
        assert page.table == by_link.table
        assert "form" not in page.tags
        assert token not in answer.text


def test_the_page_of_a_scenario_takes_settings_and_revisions(kept, demo):
    scenario = demo[0]
    kept(
        "PATCH",
        f"/v1/scenarios/{scenario}",
        "write",
        json={"name": "Renamed"},
        headers={"If-Match": '"1"'},
    )
    address = f"/v1/scenarios/{scenario}/page.html"
    page = Page(kept.get(f"{address}?revision=1&set.hay.price_per_ton=131", "read").text)
    assert "Whetstone Hollow Farm" in page.text
    assert "What if: hay.price_per_ton 131. Nothing is saved." in page.text
    assert "Renamed" in Page(kept.get(address, "read").text).text


def test_the_page_of_a_scenario_refuses_as_the_interface_does(kept, demo):
    address = f"/v1/scenarios/{demo[0]}/page.html"
    assert kept.get(address, None).status_code == 401
    assert kept.get(address, kept.keys_elsewhere["read"]).status_code == 404
    told = kept.get(f"{address}?set.hay.price_per_ton=-1", "read")
    assert told.status_code == 422
    assert told.headers["content-type"] == "application/problem+json"
    assert "page" in re.sub(r"\W", " ", str(kept.get(f"{address}?page=2", "read").json()))
