"""The plan over HTTP: its forms, who may have it, and the farmer's page that leads to it."""

import csv
import io
from datetime import date, timedelta

import pytest
import vobject

from service.demo import demo_document
from service.season.plan.document import PLAN_TABLES
from service.web.app import create_app
from tests.support.recorded_weather import SEASONS, farm_with, record_request
from tests.web.keeping import Keeping

SYSTEM = "by_the_ground"


@pytest.fixture(scope="module")
def kept():
    return Keeping(create_app())


@pytest.fixture(scope="module")
def demo(kept):
    return kept.stored(demo_document())


def _plan(kept, demo, more="", suffix="", by="read", **headers):
    address = f"/v1/scenarios/{demo}/plan{suffix}?system={SYSTEM}&season=2026-27{more}"
    return kept.get(address, by, **headers)


def test_a_plan_names_the_revision_the_system_and_the_winter(kept, demo):
    body = _plan(kept, demo).json()
    assert (body["scenario"], body["revision"], body["system"]) == (demo, 1, SYSTEM)
    assert body["season"] == {
        "name": "2026-27",
        "first_day": "2026-12-01",
        "last_day": "2027-04-10",
    }
    days = [task["day"] for task in body["tasks"]]
    assert days == sorted(days)
    # by the scenario: shut on 12 August
    assert {task["key"]: task["day"] for task in body["tasks"]}["shut_fields"] == "2026-08-12"


def test_without_a_season_it_is_the_winter_that_runs_or_comes_next(kept, demo):
    today = kept.desk.now().date()
    season = kept.get(f"/v1/scenarios/{demo}/plan", "read").json()["season"]
    first, last = (date.fromisoformat(season[name]) for name in ("first_day", "last_day"))
    assert today <= last
    assert first - today < timedelta(days=366)


def test_dates_move_with_the_scenario(kept):
    document = demo_document()
    document["winter"] |= {"first_day": "12-11", "last_day": "04-20"}
    moved = kept.stored(document | {"external_id": "later"})
    tasks = {task["key"]: task["day"] for task in _plan(kept, moved).json()["tasks"]}
    # 61 days before 11 December: 11 + 30 + 20 back into October
    assert tasks["buy_hay"] == "2026-10-11"
    assert tasks["end_feeding"] == "2027-04-20"


@pytest.mark.parametrize(
    ("form", "accept", "media_type"),
    [
        ("json", "application/json", "application/json"),
        ("csv", "text/csv", "text/csv"),
        ("ics", "text/calendar", "text/calendar"),
        ("html", "text/html", "text/html"),
    ],
)
def test_a_form_goes_by_suffix_then_parameter_then_accept(kept, demo, form, accept, media_type):
    by_suffix = _plan(kept, demo, suffix=f".{form}", Accept="application/json")
    by_parameter = _plan(kept, demo, f"&format={form}", Accept="application/json")
    by_accept = _plan(kept, demo, Accept=accept)
    for answer in (by_suffix, by_parameter, by_accept):
        assert answer.status_code == 200
        assert answer.headers["content-type"].partition(";")[0] == media_type
    assert by_suffix.content == by_parameter.content == by_accept.content


@pytest.mark.parametrize("table", PLAN_TABLES)
def test_each_table_has_its_columns_and_a_row_for_each_item(kept, demo, table):
    body = _plan(kept, demo).json()
    items = body["hay"]["checkpoints"] if table == "checkpoints" else body[table]
    text = _plan(kept, demo, f"&table={table}", ".csv").text
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == PLAN_TABLES[table]
    assert [row["key"] for row in rows] == [item["key"] for item in items]


def test_the_european_dialect_has_commas_in_its_numbers(kept, demo):
    text = _plan(kept, demo, "&table=materials&dialect=excel-eu", ".csv").content.decode(
        "utf-8-sig"
    )
    row = next(row for row in csv.DictReader(io.StringIO(text), delimiter=";"))
    assert (row["key"], row["price"]) == ("hay", "51,45")  # 98 a ton, 1,050 lb a bale


def test_a_phone_subscribes_by_the_token_of_a_read_link(kept, demo):
    token = kept.link(demo)
    answer = kept.get(f"/v1/scenarios/{demo}/plan.ics?system={SYSTEM}&token={token}", None)
    assert answer.status_code == 200
    assert token not in answer.text
    events = vobject.readOne(answer.text).vevent_list
    days = {event.summary.value: event.dtstart.value for event in events}
    plan = kept.get(f"/v1/scenarios/{demo}/plan?system={SYSTEM}").json()
    shut = next(task for task in plan["tasks"] if task["key"] == "shut_fields")
    assert days[shut["title"]].isoformat() == shut["day"]


def test_a_phone_that_has_the_calendar_is_told_so(kept, demo):
    first = _plan(kept, demo, suffix=".ics")
    again = _plan(kept, demo, suffix=".ics", **{"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert _plan(kept, demo, suffix=".ics").content == first.content


def test_an_edit_link_in_the_address_of_a_calendar_is_refused(kept, demo):
    token = kept.link(demo, "edit")
    answer = kept.get(f"/v1/scenarios/{demo}/plan.ics?token={token}", None)
    assert answer.status_code == 404
    assert token not in answer.text


@pytest.mark.parametrize(
    ("query", "named", "suggestion"),
    [
        ("system=by_the_groud", "system", SYSTEM),
        ("season=2026", "season", "2026-27"),
        ("season=2026-28", "season", "2026-27"),
        ("season=next", "season", None),
        ("table=task", "table", None),
    ],
)
def test_what_cannot_be_meant_is_told_with_what_could_be(kept, demo, query, named, suggestion):
    answer = kept.get(f"/v1/scenarios/{demo}/plan?{query}", "read")
    assert answer.status_code == 422
    error = answer.json()["errors"][0]
    assert error["input"] == named
    assert error.get("suggestion") == suggestion


def test_the_card_is_one_page_that_runs_nothing(kept, demo):
    answer = kept.get(f"/v1/scenarios/{demo}/card.html?system={SYSTEM}", "read")
    assert answer.status_code == 200
    assert "<script" not in answer.text
    assert "script-src" not in answer.headers["content-security-policy"]
    assert "prints deeper than 2 in at the gate" in answer.text


def test_the_farmers_page_leads_to_plan_card_and_calendar_without_a_token_in_it(kept, demo):
    token = kept.link(demo)
    page = kept.get(f"/s/{token}", None).text
    assert token not in page
    for view, kind in (("plan", "text/html"), ("card", "text/html"), ("calendar", "text/calendar")):
        assert f"?show={view}&amp;system=" in page
        shown = kept.get(f"/s/{token}?show={view}&system={SYSTEM}", None)
        assert shown.status_code == 200
        assert shown.headers["content-type"].startswith(kind)
        assert token not in shown.text
    plan = kept.get(f"/s/{token}?show=plan&system={SYSTEM}", None).text
    assert "Shut 22 acres" in plan


def test_a_system_that_is_not_there_is_told_on_the_farmers_page(kept, demo):
    token = kept.link(demo)
    answer = kept.get(f"/s/{token}?show=plan&system=no_such", None, Accept="text/html")
    assert answer.status_code == 422
    assert "There is no system" in answer.text


def test_a_farm_with_a_weather_record_has_a_plan_and_reviews_of_its_winters(kept):
    record = kept("POST", "/v1/weather-records", "write", json=record_request()).json()
    scenario = kept.stored(farm_with(record["id"]))
    plan = kept.get(f"/v1/scenarios/{scenario}/plan").json()
    costing = kept.get(f"/v1/scenarios/{scenario}/costing").json()
    best = next(one for one in costing["systems"] if one["system"] == plan["system"])
    assert plan["hay"]["bales_needed"] == best["quantities"]["bales"]["needed_mean"]
    season = SEASONS[-1]
    kept("PUT", f"/v1/scenarios/{scenario}/winters/{season}", json={"bales_fed": 40})
    review = kept.get(f"/v1/scenarios/{scenario}/winters/{season}/review").json()
    assert review["weather_from"] == "scenario"
