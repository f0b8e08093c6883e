"""Questions of a scenario that takes its winters from a weather record."""

import pytest

from tests.support.recorded_weather import SEASONS, farm_with, record_request

RECORDS = "/v1/weather-records"
QUESTIONS = {
    "winter_types": {},
    "risk": {"draws": 300, "seed": 3, "vary": {}},
    "break_even": {
        "input": "hay.price_per_ton",
        "low": 40,
        "high": 400,
        "systems": ["rings", "bales_and_pad"],
    },
    "herd_size": {
        "system": "rings",
        "head": {"input": "herd.cows.head", "values": [20, 30]},
        "return_per_head": 1150,
        "other_costs_per_head": 520,
    },
}


@pytest.fixture
def record(keeping):
    return keeping("POST", RECORDS, "write", json=record_request()).json()


@pytest.fixture
def address(keeping, record):
    return f"/v1/scenarios/{keeping.stored(farm_with(record['id']))}"


def ask(keeping, address, question, **more):
    asked = {"question": question, **QUESTIONS[question], **more}
    return keeping("POST", f"{address}/analyses", "write", json=asked)


def test_the_winters_of_the_record_are_asked_about(keeping, address, record):
    types = ask(keeping, address, "winter_types").json()["result"]["winters"]
    wet = {row["season"]: row["ground_days"]["wet"] for row in record["rows"]}
    assert {one["season"] for one in types} <= set(SEASONS)
    by_type = {one["type"]: one["ground_days"]["wet"] for one in types}
    assert by_type["driest"] == min(wet.values())
    assert by_type["wettest"] == max(wet.values())
    # The rain of each autumn is known from the record alone.
    autumn = next(one for one in types if one["type"] == "driest_autumn")
    rain = {season: one["autumn_rain_in"] for season, one in record["winters"].items()}
    assert autumn["season"] == min(rain, key=lambda season: rain[season])
    drawn = ask(keeping, address, "risk").json()["result"]["winters"]
    assert [one["season"] for one in drawn] == SEASONS
    assert sum(one["draws"] for one in drawn) == 300


@pytest.mark.parametrize("question", QUESTIONS)
def test_counting_the_winters_anew_changes_no_answer_of_a_revision(
    keeping, address, record, question
):
    first = ask(keeping, address, question)
    assert first.status_code == 201, first.text
    changed = {"thresholds": {"mud_deficit_mm": 10}}
    keeping("PATCH", f"{RECORDS}/{record['id']}", "write", json=changed)
    again = ask(keeping, address, question)
    assert (again.status_code, again.json()) == (200, first.json())
    newest = ask(keeping, address, question, set={"winter.weather_classifier": None})
    assert newest.status_code == 201, newest.text
    assert newest.json()["content_key"] != first.json()["content_key"]


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_document_that_names_a_record_needs_a_key_of_its_office(keeping, record, question):
    body = {"document": farm_with(record["id"]), "question": question, **QUESTIONS[question]}
    assert keeping("POST", "/v1/analyses", "read", json=body).status_code == 200
    for by in (None, keeping.keys_elsewhere["admin"]):
        answer = keeping("POST", "/v1/analyses", by, json=body)
        assert answer.status_code == 422, answer.text
        (error,) = answer.json()["errors"]
        assert error["pointer"] == "/document/winter/weather_record"
