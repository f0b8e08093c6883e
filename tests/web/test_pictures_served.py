"""Pictures of a stored costing over HTTP."""

import copy
import re
from xml.etree import ElementTree as ET

import pytest

from service.reports.pictures import PICTURES
from tests.support.offices import small_document
from tests.support.recorded_weather import SEASONS, farm_with, record_request

SVG = "{http://www.w3.org/2000/svg}"
ONE_SYSTEM = ("bale_flow", "cash_by_year", "swings")
POUNDS_PER_TON = 2000
"""A short ton (NIST Handbook 44, Appendix C)."""


@pytest.fixture
def scenario(keeping):
    """Return a farm that takes reference values from the tables, so that they have ranges."""
    return keeping.stored(_farm())


def _farm(**changes):
    document = small_document(**changes)
    del document["reference_edition"]
    return document


def _picture(keeping, scenario, name, query="", by="read", **headers):
    return keeping.get(f"/v1/scenarios/{scenario}/costing/charts/{name}.svg{query}", by, **headers)


def _told(answer):
    """Return what a picture says that it shows."""
    return ET.fromstring(answer.content).findtext(f"{SVG}desc") or ""  # noqa: S314 - our own


@pytest.mark.parametrize("name", PICTURES)
def test_every_picture_is_drawn_of_the_costing(keeping, scenario, name):
    answer = _picture(keeping, scenario, name)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "image/svg+xml"
    root = ET.fromstring(answer.content)  # noqa: S314 - our own
    assert root.tag == f"{SVG}svg"
    assert root.findtext(f"{SVG}title") == PICTURES[name].title
    assert re.search(r"\d", _told(answer))


def test_the_numbers_of_a_picture_are_those_of_the_costing(keeping, scenario):
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    told = _told(_picture(keeping, scenario, "cost_by_group"))
    for system in costing["systems"]:
        assert f"{round(system['annual_equivalent_cost'], -2):,.0f}" in told


@pytest.mark.parametrize("name", PICTURES)
def test_what_the_caller_has_is_not_drawn_again(keeping, scenario, name, monkeypatch):
    first = _picture(keeping, scenario, name)
    assert first.headers["cache-control"] == "private, no-cache"
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()["id"]
    assert costing in first.headers["etag"]

    def never(*_more):
        raise AssertionError

    monkeypatch.setattr("service.web.routes.pictures._drawn", never)
    again = _picture(keeping, scenario, name, **{"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_each_picture_of_each_revision_and_system_has_its_tag(keeping, scenario):
    tags = {_picture(keeping, scenario, name).headers["etag"] for name in PICTURES}
    assert len(tags) == len(PICTURES)
    before = _picture(keeping, scenario, "winters")
    keeping("PATCH", f"/v1/scenarios/{scenario}", json={"hay": {"price_per_ton": 140}},
            headers={"If-Match": "*"})  # fmt: skip
    now, first = (_picture(keeping, scenario, "winters", query) for query in ("", "?revision=1"))
    assert first.headers["etag"] == before.headers["etag"]
    assert first.content == before.content
    assert now.headers["etag"] != before.headers["etag"]


@pytest.mark.parametrize("name", ONE_SYSTEM)
def test_a_picture_of_one_system_shows_the_one_that_is_named(keeping, scenario, name):
    costing = keeping.get(f"/v1/scenarios/{scenario}/costing").json()
    titles = {system["system"]: system["title"] for system in costing["systems"]}
    for key, title in titles.items():
        answer = _picture(keeping, scenario, name, f"?system={key}")
        assert _told(answer).startswith(title), answer.text
    for word, key in (
        ("best", costing["best_system"]),
        ("baseline", costing["comparison"]["baseline"]),
    ):
        by_word = _picture(keeping, scenario, name, f"?system={word}")
        by_key = _picture(keeping, scenario, name, f"?system={key}")
        assert by_word.content == by_key.content
        assert by_word.headers["etag"] == by_key.headers["etag"]


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("?system=bes", "did you mean best?"),
        ("?system=%00%F0%9F%90%84", "there are best, baseline"),
        ("?sytem=best", "did you mean system?"),
        ("?revision=0", "revision"),
    ],
)
def test_a_parameter_that_is_not_understood_is_named(keeping, scenario, query, words):
    answer = _picture(keeping, scenario, "cash_by_year", query)
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-parameter")
    assert words in answer.json()["detail"]


def test_a_system_is_refused_where_all_are_shown(keeping, scenario):
    for name in set(PICTURES) - set(ONE_SYSTEM):
        answer = _picture(keeping, scenario, name, "?system=best")
        assert answer.status_code == 422
        assert "leave out system" in answer.json()["detail"]


def test_a_picture_that_there_is_not_names_the_nearest(keeping, scenario):
    answer = _picture(keeping, scenario, "winter")
    assert (answer.status_code, answer.json()["type"]) == (404, "/problems/unknown-part")
    (error,) = answer.json()["errors"]
    assert error["suggestion"] == "winters"
    assert _picture(keeping, scenario, "%00").status_code == 404
    assert keeping.get(f"/v1/scenarios/{scenario}/costing/charts/winters.png").status_code == 404


def test_the_swings_are_those_of_the_question(keeping, scenario):
    sent = {"scenario": scenario, "question": "sensitivity"}
    asked = keeping("POST", "/v1/analyses", "read", json=sent).json()["result"]
    told = _told(_picture(keeping, scenario, "swings"))
    assert f"{round(asked['base'], -2):,.0f} USD a year as things stand" in told
    for row in asked["rows"][:8]:
        assert row["meaning"].rstrip(".") in told
        assert f"{round(row['at_low'], -2):,.0f} to {round(row['at_high'], -2):,.0f}." in told


def test_hay_priced_by_the_bale_is_drawn_by_the_ton(keeping, farm):
    by_ton = copy.deepcopy(farm)
    by_bale = copy.deepcopy(farm)
    hay = by_bale["hay"]
    hay["price_per_bale"] = hay.pop("price_per_ton") * hay["bale_weight_lb"] / POUNDS_PER_TON
    one, other = (
        _told(_picture(keeping, keeping.stored(document | {"external_id": name}),
                       "cost_against_hay_price"))
        for name, document in (("a", by_ton), ("b", by_bale))
    )  # fmt: skip
    assert one == other
    assert "a ton" in one


def test_hay_without_worth_has_no_such_picture(keeping, farm):
    farm["hay"]["price_per_ton"] = 0
    scenario = keeping.stored(farm)
    answer = _picture(keeping, scenario, "cost_against_hay_price")
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-input")
    assert "no price" in answer.json()["detail"]
    assert _picture(keeping, scenario, "cost_by_group").status_code == 200


def test_swings_need_values_with_a_range(keeping, farm):
    scenario = keeping.stored(farm | {"reference_edition": "none"})
    answer = _picture(keeping, scenario, "swings")
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/invalid-input")
    assert "no range" in answer.json()["detail"]


def test_winters_of_a_record_are_drawn_too(keeping):
    record = keeping("POST", "/v1/weather-records", json=record_request()).json()["id"]
    scenario = keeping.stored(farm_with(record))
    told = _told(_picture(keeping, scenario, "winters"))
    assert any(season in told for season in SEASONS), told
    for name in ("cost_against_hay_price", "swings"):
        assert _picture(keeping, scenario, name).status_code == 200


def test_a_read_link_in_the_address_opens_the_pictures(keeping, scenario):
    token = keeping.link(scenario)
    answer = _picture(keeping, scenario, "winters", f"?token={token}", None)
    assert answer.status_code == 200
    assert token not in answer.text
    other = keeping.stored(name="Other")
    assert _picture(keeping, other, "winters", f"?token={token}", None).status_code == 404


def test_head_stores_nothing(keeping, scenario):
    keeping.get("/v1/scenarios", "read")
    written = keeping.desk.store.written
    path = f"/v1/scenarios/{scenario}/costing/charts/winters.svg"
    head = keeping("HEAD", path, "read")
    assert (head.status_code, head.content) == (200, b"")
    assert keeping.desk.store.written == written
    assert keeping.get(f"/v1/scenarios/{scenario}/costings").json()["items"] == []


def test_hostile_titles_stay_text(keeping):
    farm = _farm()
    titles = ("<script>alert(1)</script>", "=1+1", "\u202egnp.mrof", "n" * 200)
    for system, title in zip(farm["systems"].values(), titles, strict=False):
        system["title"] = title
    scenario = keeping.stored(farm)
    for name in PICTURES:
        answer = _picture(keeping, scenario, name)
        assert answer.status_code == 200, answer.text
        root = ET.fromstring(answer.content)  # noqa: S314 - our own
        assert not list(root.iter(f"{SVG}script"))
