"""A winter told on a phone: what an edit link opens, what is kept, and what is never shown."""

import base64
import hashlib
import re
from datetime import UTC, datetime

import pytest

from service.costing.engine import cost
from service.costing.errors import Fault, InputError
from service.demo import demo_document
from service.scenarios.errors import StoreBusyError
from service.season.as_it_was import planned_winter
from service.season.dates import season_called
from service.season.review.reviewed import reviewed
from service.web.facts_reading import facts_of
from service.web.pages_winter import looking_back, saving
from service.web.pages_winter.form_fields import last_seasons
from service.web.pages_winter.reading import typed_number
from service.web.reading import scenario_of
from tests.web.form_read import FORM, FormPage
from tests.web.winter_told import SEASON, WAY, Phone, filled, standing

CONTROL = ("code", "what", "season", "version", "revision")


@pytest.fixture
def phone(app):
    return Phone(app)


def test_the_page_asks_for_the_link_and_runs_its_own_script_alone(phone):
    answer = phone.kept.get("/winter", None)
    page = FormPage(answer.text)
    assert answer.status_code == 200
    assert page.all_of("form", method="post", action="/winter")
    assert page.labels["code"].strip()
    assert "key of an office is not taken here" in page.text
    policy = answer.headers["content-security-policy"]
    for element in ("style", "script"):
        (text,) = re.findall(rf"<{element}>(.*?)</{element}>", answer.text, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        # CSP level 3: inline style and script by their digests, a form to its own host alone.
        assert f"{element}-src 'sha256-{digest}'" in policy
    for rule in ("default-src 'none'", "form-action 'self'", "frame-ancestors 'none'"):
        assert rule in policy
    assert "unsafe" not in policy
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert "set-cookie" not in answer.headers


def test_where_nothing_is_kept_there_is_no_form(call):
    for answer in (call.get("/winter"), call("POST", "/winter", content="code=x", headers=FORM)):
        assert answer.status_code == 503
        assert "No farms are kept here" in answer.text
        assert not FormPage(answer.text).all_of("form")


def test_a_link_its_code_or_a_pasted_address_opens_the_last_winter(phone):
    made = phone.kept(
        "POST",
        f"/v1/scenarios/{phone.scenario}/links",
        "write",
        json={"access": "edit", "label": "phone", "expires_in_days": 9},
    ).json()
    for code in (made["token"], made["url"], f"  {made['url']} "):
        answer = phone.open(code)
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "no-store"
        page = FormPage(answer.text)
        assert f"Winter {SEASON} as it was" in page.text
        assert "Whetstone Hollow" in page.text
    assert [found["value"] for found in page.all_of("button", name="season")] == [
        "2025-26",
        "2024-25",
    ]


@pytest.mark.parametrize(
    ("today", "newest"),
    [((2027, 5, 20), "2026-27"), ((2026, 12, 1), "2026-27"), ((2026, 11, 30), "2025-26")],
)
def test_the_winter_is_the_one_that_runs_or_ended_last(today, newest):
    # Winter of the demo farm runs from 1 December to 10 April.
    names = last_seasons(demo_document(), datetime(*today, tzinfo=UTC).date())
    assert names[0] == newest
    assert len(names) == 3


def test_the_form_has_the_farms_own_ways_steps_and_groups(phone):
    page = phone.form()
    document = demo_document()
    for key, system in document["systems"].items():
        (radio,) = page.all_of("input", name="system", value=key)
        assert system["title"] in page.labels[radio["id"]]
        for step in system["plan"]:
            assert page.all_of("input", name=f"days.{key}.{step['key']}")
    assert "Bale grazing, Ridge" in page.labels["f-days-by_the_ground-bales"]
    for key, group in document["herd"].items():
        assert group["title"] in page.labels[f"f-animals_lost-{key}"]
    assert "USD" in page.labels["f-prices-hay_per_ton"]
    assert "131 days" in page.text


def test_every_field_has_a_label_and_what_describes_it_is_there(phone):
    # HTML, section 4.10.4; WAI-ARIA 1.2, aria-describedby.
    opened = phone.open()
    spoiled = phone.save(bales_fed="many", ground_days__wet="400", would_do_again="perhaps")
    for answer in (opened, spoiled):
        page = FormPage(answer.text)
        for field in page.unlabelled:
            assert page.labels[field].strip()
        for found in page.all_of("textarea"):
            assert page.labels[found["id"]].strip()
        ids = [found["id"] for _, found in page.elements if "id" in found]
        assert len(set(ids)) == len(ids)
        for _, found in page.elements:
            for name in (found.get("aria-describedby") or "").split():
                assert page.by_id[name].strip()
        assert page.tags.count("legend") == page.tags.count("fieldset")
        for link in page.all_of("a"):
            assert link["href"].removeprefix("#") in ids


def test_numbers_bring_the_number_keyboard(phone):
    page = phone.form()
    for name in ("bales_fed", "ground_days.wet", "days.by_the_ground.pad", "animals_lost.cows"):
        assert page.all_of("input", name=name)[0]["inputmode"] == "decimal"
    assert page.all_of("input", name="turnout_date")[0]["type"] == "date"


def test_what_is_typed_is_kept_as_facts_that_the_interface_answers(phone):
    answer = phone.save(
        system=WAY,
        days__by_the_ground__bales="41",
        days__by_the_ground__pad="about 40",
        days__lot_open_rings__cattle="77",
        turnout_date="2027-04-14",
        ground_days__frozen="20",
        ground_days__snow_covered="9",
        ground_days__firm="30",
        ground_days__wet="76",
        bales_on_hand="180",
        bales_bought="1,200",
        bales_fed="402",
        bale_weight_lb="1.100,5",
        labor_hours="",
        minutes_per_day="95",
        acres_by_severity__moderate="2 1/2",
        animals_lost__ewes="2",
        prices__hay_per_bale="$51.50",
        worst_weeks="End of January:\r\nrain on snow",
        would_do_again="with_changes",
    )
    assert answer.status_code == 422
    page = FormPage(answer.text)
    assert "one thing is to be put right" in page.text
    answer = phone.save(page, bale_weight_lb="1,100")
    assert answer.status_code == 200, answer.text
    (kept,) = phone.recorded()
    assert (kept["season"], kept["version"], kept["system"]) == (SEASON, 1, WAY)
    assert kept["planned_revision"] == 1
    assert kept["facts"] == {
        "days_by_method": {"bales": 41, "pad": 40},
        "turnout_date": "2027-04-14",
        "ground_days": {"frozen": 20, "snow_covered": 9, "firm": 30, "wet": 76},
        "bales_on_hand": 180,
        "bales_bought": 1200,
        "bales_fed": 402,
        "bale_weight_lb": 1100,
        "minutes_per_day": 95,
        "acres_by_severity": {"moderate": 2.5},
        "animals_lost": {"ewes": 2},
        "prices": {"hay_per_bale": 51.5},
        "worst_weeks": "End of January:\nrain on snow",
        "would_do_again": "with_changes",
    }


def test_the_page_after_saving_says_what_was_kept_and_how_the_winter_was(phone):
    texts = {"bales_fed": "402", "acres_to_fix": "1", "turnout_date": "2027-04-14"}
    answer = phone.save(system=WAY, would_do_again="yes", remark="Wet.", **texts)
    page = FormPage(answer.text)
    assert f"Winter {SEASON} is kept" in page.text
    for words in (
        "Feed where the ground will carry it",
        "402 bales",
        "1 acre",
        "14 April 2027",
        "Yes",
        "Wet.",
    ):
        assert words in page.text
    plan = cost(scenario_of(demo_document()))
    season = season_called(SEASON, "12-01", "04-10")
    facts = {"bales_fed": 402, "acres_to_fix": 1, "turnout_date": "2027-04-14"}
    review = reviewed(planned_winter(plan, WAY, season), facts_of(facts))
    for sentence in review.sentences:
        assert " ".join(sentence.split()) in page.text
    (section,) = page.all_of("section")
    assert section["class"] == "answer"


def test_what_stands_is_shown_when_the_form_is_opened_again(phone):
    first = {
        "system": WAY,
        "days.by_the_ground.bales": "41",
        "turnout_date": "2027-04-12",
        "bales_fed": "402.5",
        "acres_to_fix": "3",
        "animals_lost.cows": "1",
        "prices.hay_per_ton": "95",
        "would_do_again": "no",
        "worst_weeks": "March & <mud>",
        "remark": "line one\nline two",
    }
    assert phone.post(filled(phone.form(), first)).status_code == 200
    again = standing(phone.form())
    assert {name: again[name] for name in first} == first
    assert again["version"] == "1"
    assert {text for name, text in again.items() if name not in {*first, *CONTROL}} == {""}


def test_a_days_by_method_is_shown_at_its_only_step(phone):
    assert phone.put({"system": WAY, "days_by_method": {"bale_grazing": 33}}).status_code == 201
    assert standing(phone.form())["days.by_the_ground.bales"] == "33"


def test_facts_that_the_form_does_not_ask_stay_as_they_were(phone):
    facts = {"system": WAY, "supplement_ton": 3.5, "prices": {"diesel_per_gallon": 3.1}}
    assert phone.put(facts).status_code == 201
    assert phone.save(bales_fed="300").status_code == 200
    kept = phone.facts()
    assert kept["supplement_ton"] == 3.5
    assert kept["prices"] == {"diesel_per_gallon": 3.1}
    assert kept["bales_fed"] == 300


def test_what_is_emptied_is_not_known_any_more(phone):
    phone.save(system=WAY, bales_fed="300", acres_by_severity__light="2", remark="x")
    phone.save(bales_fed="", acres_by_severity__light=" ", remark="")
    assert not {"bales_fed", "acres_by_severity", "remark"} & phone.facts().keys()


def test_an_empty_form_is_kept_with_the_way_that_costs_least(phone):
    assert phone.save().status_code == 200
    (kept,) = phone.recorded()
    costing = phone.kept.get(f"/v1/scenarios/{phone.scenario}/costing").json()
    assert kept["system"] == costing["best_system"]


def test_another_winter_has_a_record_of_its_own(phone):
    phone.save(system=WAY, bales_fed="300")
    page = phone.form(season="2025-26")
    assert standing(page)["bales_fed"] == ""
    assert "2026-27, written down" in page.text
    assert phone.post(filled(page, {"bales_fed": "310"})).status_code == 200
    assert [(one["season"], one["facts"]["bales_fed"]) for one in phone.recorded()] == [
        ("2025-26", 310),
        ("2026-27", 300),
    ]


@pytest.mark.parametrize("season", ["2026", "winter", "1", "2026-28", "\x00"])
def test_a_winter_of_no_such_name_is_refused(phone, season):
    answer = phone.open(season=season)
    assert answer.status_code == 422
    assert "no winter of that name" in answer.text


def test_faults_stand_beside_their_fields_and_all_that_was_typed_stays(phone):
    texts = {
        "system": WAY,
        "days.by_the_ground.bales": "700",
        "turnout_date": "14 April",
        "bales_fed": "many",
        "bale_weight_lb": "2",
        "acres_by_severity.light": "-1",
        "animals_lost.cows": "63",
        "prices.hay_per_ton": "90",
        "prices.hay_per_bale": "50",
        "worst_weeks": "In March.",
        "would_do_again": "no",
    }
    answer = phone.post(filled(phone.form(), texts))
    assert answer.status_code == 422
    assert phone.recorded() == []
    page = FormPage(answer.text)
    again = standing(page)
    assert {name: again[name] for name in texts} == texts
    for name, words in (
        ("days.by_the_ground.bales", "700"),
        ("turnout_date", "14 April"),
        ("bales_fed", "must be a number"),
        ("bale_weight_lb", "15"),
        ("acres_by_severity.light", "0"),
    ):
        (field,) = page.all_of("input", name=name)
        assert field["aria-invalid"] == "true"
        assert any(words in page.by_id[one] for one in field["aria-describedby"].split())
        assert page.all_of("a", href=f"#{field['id']}")
    assert page.all_of("div", role="alert")
    assert "".join(page.texts["title"]).startswith("To put right:")


def test_faults_between_facts_are_told_with_the_words_of_the_form(phone):
    page = phone.faulty(
        system=WAY,
        ground_days__frozen="20",
        ground_days__wet="20",
        bales_on_hand="10",
        bales_bought="10",
        bales_fed="300",
        acres_to_fix="9",
        acres_by_severity__light="1",
    )
    assert "add up to 40" in page.by_id["e-q-ground_days"]
    assert "Grass took over on" in page.by_id["e-q-ground_days"]
    assert "there were 20" in page.by_id["e-f-bales_fed"]
    assert "add up to 1" in page.by_id["e-f-acres_to_fix"]
    assert "turnout_date" not in page.text


def test_a_way_that_is_none_of_the_plan_is_told(phone):
    page = FormPage(phone.save(system="by_the_grond").text)
    assert "by_the_ground" in page.by_id["e-q-system"]


def test_who_comes_second_sees_what_stands_and_may_save_over_it(phone):
    mine = phone.form()
    assert phone.put({"system": "grass_first", "bales_fed": 280, "remark": "Ours."}).is_success
    typed = {"system": WAY, "bales_fed": "402", "labor_hours": "200"}
    answer = phone.post(filled(mine, typed))
    assert answer.status_code == 412
    page = FormPage(answer.text)
    again = standing(page)
    assert {name: again[name] for name in typed} == typed
    assert again["version"] == "1"
    assert "Somebody saved this winter meanwhile" in page.text
    assert "write key" in page.text
    for place, words in (
        ("s-f-bales_fed", "280"),
        ("s-f-labor_hours", "nothing"),
        ("s-f-remark", "Ours."),
        ("s-q-system", "Shut 44 acres"),
    ):
        assert words in page.by_id[place]
    assert phone.facts()["bales_fed"] == 280
    assert phone.post(again).status_code == 200
    (kept,) = phone.recorded()
    assert (kept["version"], kept["system"], kept["facts"]["bales_fed"]) == (2, WAY, 402)
    assert "remark" not in kept["facts"]


def test_the_same_form_sent_twice_is_kept_once(phone):
    pairs = filled(phone.form(), {"system": WAY, "bales_fed": "402"})
    assert [phone.post(pairs).status_code for _ in range(2)] == [200, 200]
    assert [one["version"] for one in phone.recorded()] == [1]


def test_what_was_typed_stays_where_the_store_is_busy(phone, monkeypatch):
    def busy(*_, **__):
        raise StoreBusyError

    pairs = filled(phone.form(), {"bales_fed": "402"})
    monkeypatch.setattr(saving, "record_winter", busy)
    answer = phone.post(pairs)
    assert answer.status_code == 503
    page = FormPage(answer.text)
    assert "Not saved" in page.text
    assert standing(page) == pairs


def test_a_winter_that_the_plan_does_not_feed_is_kept_all_the_same(phone, monkeypatch):
    def refuse(*_, **__):
        raise InputError([Fault("systems", "The plan leaves days open.")])

    monkeypatch.setattr(looking_back, "review_of", refuse)
    answer = phone.save(bales_fed="402")
    assert answer.status_code == 200
    assert "The plan leaves days open." in FormPage(answer.text).text
    assert phone.facts()["bales_fed"] == 402


def test_a_winter_is_held_against_the_plan_that_was_shown(phone):
    page = phone.form()
    path = f"/v1/scenarios/{phone.scenario}"
    document = demo_document()
    document["systems"][WAY]["plan"][1]["key"] = "new_bales"
    changed = phone.kept("PUT", path, "write", json=document, headers={"If-Match": '"1"'})
    assert changed.status_code == 200
    saved = phone.post(filled(page, {"system": WAY, "days.by_the_ground.bales": "41"}))
    assert saved.status_code == 200, saved.text
    (kept,) = phone.recorded()
    assert kept["planned_revision"] == 1
    assert standing(phone.form())["days.by_the_ground.bales"] == "41"
    assert phone.form(season="2025-26").all_of("input", name="days.by_the_ground.new_bales")


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("402", 402),
        ("1,250", 1250),
        ("1.5", 1.5),
        ("1,5", 1.5),
        ("1 1/2", 1.5),
        ("1½", 1.5),
        ("3/4", 0.75),
        ("about 40", 40),
        ("about 40?", 40),
        ("~40", 40),
        ("$51", 51),
        ("-3", -3),
        ("", None),
        ("?", None),
        ("not sure", None),
        ("Don't know", None),
        ("many", "many"),
        ("12 000", "12 000"),
        ("1e5", "1e5"),
        ("nan", "nan"),
        ("1/0", "1/0"),
        ("9" * 61, "9" * 61),
    ],
)
def test_numbers_are_read_as_people_write_them(text, number):
    assert typed_number(text) == number
