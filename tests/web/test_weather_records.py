"""Weather records over HTTP: kept, read, counted anew, deleted; and by what they are counted."""

import csv
import io

import pytest

from service.web.weather_models import (
    KeptWeatherRecord,
    WeatherRecordList,
    WeatherSettingsCatalog,
)
from tests.support.recorded_weather import (
    DAYS,
    SEASONS,
    WINDOW,
    farm_in,
    farm_with,
    record_request,
    sent_days,
)
from tests.web.keeping import without_request_id

RECORDS = "/v1/weather-records"
UNKNOWN = f"{RECORDS}/wr_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


def _posted(keeping, by="write", headers=None, **changes):
    return keeping("POST", RECORDS, by, json=record_request(**changes), headers=headers or {})


@pytest.fixture
def record(keeping):
    answer = _posted(keeping)
    assert answer.status_code == 201, answer.text
    return answer.json()


def _address(record):
    return f"{RECORDS}/{record['id']}"


def test_a_record_is_kept_and_its_winters_are_counted(keeping):
    answer = _posted(keeping)
    assert answer.status_code == 201
    KeptWeatherRecord.model_validate_json(answer.content)
    body = answer.json()
    assert answer.headers["location"] == _address(body)
    assert answer.headers["cache-control"] == "no-store"
    assert (body["label"], body["format"], body["latitude"]) == ("Tansy Vale", "plain", 44.5)
    assert (body["first_day"], body["last_day"]) == ("2015-07-01", "2018-06-29")
    assert (body["missing_days"], body["created_at"]) == (0, "2026-02-03T07:30:00.125Z")
    assert body["settings"] == {
        "drainage": "moderate",
        "window": WINDOW,
        "thresholds": {"frozen_index": 56, "mud_deficit_mm": 0},
    }
    assert [row["season"] for row in body["rows"]] == SEASONS == list(body["winters"])
    assert body["classifier"] == body["newest_classifier"]
    assert [one["classifier"] for one in body["classifications"]] == [body["classifier"]]
    assert keeping.get(_address(body)).json() == body


def test_every_day_of_a_winter_is_counted_once(record):
    # 20 November to 5 April are 137 days by the calendar, 138 with 29 February 2016.
    days = [sum(row["ground_days"].values()) for row in record["rows"]]
    assert days == [138, 137, 137]
    for row in record["rows"]:
        for state, lengths in row["spells"].items():
            assert sum(lengths) == row["ground_days"][state]
        assert record["winters"][row["season"]]["observed_snow_days"] == 0
        assert record["winters"][row["season"]]["missing_days"] == 0


def test_the_rows_are_taken_as_the_rows_of_a_scenario(keeping, record):
    document = farm_in(WINDOW | {"rows": record["rows"]})
    answer = keeping("POST", "/v1/scenarios", "write", json=document)
    assert answer.status_code == 201, answer.text


def test_each_threshold_is_shown_side_by_side_at_its_presets(record):
    by = {(one["setting"], one["value"]): one["mean_ground_days"] for one in record["side_by_side"]}
    assert list(by) == [
        ("mud_deficit_mm", 0),
        ("mud_deficit_mm", 3),
        ("mud_deficit_mm", 10),
        ("frozen_index", 20),
        ("frozen_index", 56),
        ("frozen_index", 83),
    ]
    wet = [by["mud_deficit_mm", value]["wet"] for value in (0, 3, 10)]
    assert wet == sorted(wet)
    assert by["mud_deficit_mm", 0] == by["frozen_index", 56]


def test_settings_that_are_not_sent_are_the_usual_ones(keeping):
    sent = {name: record_request()[name] for name in ("label", "format", "csv", "latitude")}
    body = keeping("POST", RECORDS, "write", json=sent | {"thresholds": {"mud_deficit_mm": 3}})
    usual = keeping.get("/v1/weather-settings", None).json()
    assert body.json()["settings"] == {
        "drainage": next(one["name"] for one in usual["drainage"] if one["usual"]),
        "window": {name: usual["window"][name] for name in WINDOW},
        "thresholds": {"frozen_index": 56, "mud_deficit_mm": 3},
    }


def test_the_same_days_are_kept_once_and_counted_as_sent(keeping, record):
    again = _posted(keeping, label="Another name", drainage="poor")
    assert again.status_code == 200
    # RFC 9110, section 8.7: what is answered stands at this address.
    assert again.headers["content-location"] == _address(record)
    assert "location" not in again.headers
    body = again.json()
    assert (body["id"], body["label"]) == (record["id"], "Tansy Vale")
    assert body["settings"]["drainage"] == "poor"
    assert [one["classifier"] for one in body["classifications"]] == [
        record["classifier"],
        body["classifier"],
    ]
    as_before = _posted(keeping).json()
    assert as_before["rows"] == record["rows"]
    assert as_before["newest_classifier"] == record["classifier"]
    assert len(as_before["classifications"]) == 2


def test_a_key_makes_a_post_act_once(keeping):
    key = {"Idempotency-Key": "record-1"}
    first, again = (_posted(keeping, headers=key) for _ in "ab")
    assert first.status_code == again.status_code == 201
    assert again.content == first.content
    assert again.headers["location"] == first.headers["location"]
    assert again.headers["idempotency-replayed"] == "true"
    assert _posted(keeping, headers=key, drainage="well").status_code == 422
    other = _posted(keeping, headers={"Idempotency-Key": "record-2"})
    assert other.status_code == 200


def test_a_warning_is_told_once(keeping, record):
    # The reader of a file and the counting of winters have a word each for what is not there.
    def names(body):
        return [one["warning"] for one in body["warnings"]]

    assert names(record) == ["few_winters", "modelled_snow"]
    dry = _posted(keeping, csv=sent_days(rain=False)).json()
    assert names(dry) == ["no_precipitation", "few_winters"]
    assert "modelled snow" in dry["warnings"][0]["sentence"]
    assert "rain_in" not in dry["rows"][0]


def test_records_are_listed_newest_first_a_page_at_a_time(keeping, record):
    keeping.clock.forward(seconds=1)
    newer = _posted(keeping, label="Sorrel Rise", csv=sent_days(seed=8)).json()
    first = keeping.get(f"{RECORDS}?limit=1", "read")
    WeatherRecordList.model_validate_json(first.content)
    item = first.json()["items"][0]
    assert item == {name: newer[name] for name in item}
    assert "rows" not in item
    rest = keeping.get(first.json()["next"], "read").json()
    assert [one["id"] for one in rest["items"]] == [record["id"]]
    assert rest["next"] is None


def test_the_winters_come_as_a_table(keeping, record):
    by_suffix = keeping.get(f"{_address(record)}.csv")
    assert by_suffix.headers["content-type"].startswith("text/csv")
    assert keeping.get(f"{_address(record)}?format=csv").content == by_suffix.content
    assert keeping.get(_address(record), Accept="text/csv").content == by_suffix.content
    assert keeping.get(f"{_address(record)}.json").json() == record
    rows = list(csv.DictReader(io.StringIO(by_suffix.text)))  # RFC 4180
    assert [row["season"] for row in rows] == SEASONS
    for row, told in zip(rows, record["rows"], strict=True):
        assert float(row["ground_days.wet"]) == told["ground_days"]["wet"]
        assert float(row["rain_in"]) == pytest.approx(told["rain_in"], rel=1e-12)
        assert [int(days) for days in row["spells.wet"].split()] == told["spells"]["wet"]
        assert row["autumn_rain_in"] != ""
        assert row["classifier"] == record["classifier"]
    tabs = keeping.get(f"{_address(record)}?dialect=tsv")
    assert tabs.text.splitlines()[0].split("\t")[0] == "season"


def test_the_days_come_back_as_they_were_sent(keeping, record):
    answer = keeping.get(f"{_address(record)}/days.csv", "read")
    assert answer.headers["content-type"].startswith("text/csv")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.text == f"{DAYS}\n"
    assert _posted(keeping, csv=answer.text).json()["id"] == record["id"]


def test_winters_are_counted_anew_and_stay_as_they_were(keeping, record):
    address = _address(record)
    answer = keeping("PATCH", address, "write", json={"drainage": "poor"})
    assert answer.status_code == 200
    KeptWeatherRecord.model_validate_json(answer.content)
    body = answer.json()
    assert body["settings"] == record["settings"] | {"drainage": "poor"}
    assert body["rows"] != record["rows"]
    assert [one["settings"]["drainage"] for one in body["classifications"]] == ["moderate", "poor"]
    earlier = keeping.get(f"{address}?classifier={record['classifier']}").json()
    assert earlier["rows"] == record["rows"]
    assert (earlier["classifier"], earlier["newest_classifier"]) == (
        record["classifier"],
        body["classifier"],
    )
    table = keeping.get(f"{address}.csv?classifier={record['classifier']}").text
    assert record["classifier"] in table
    third = keeping("PATCH", address, "write", json={"thresholds": {"frozen_index": 20}}).json()
    assert third["settings"]["drainage"] == "poor"
    assert third["settings"]["thresholds"] == {"frozen_index": 20, "mud_deficit_mm": 0}
    same = keeping("PATCH", address, "write", json={}).json()
    assert same == third


def test_a_count_that_there_never_was_is_told_with_those_that_there_are(keeping, record):
    answer = keeping.get(f"{_address(record)}?classifier=1-aaaa")
    assert answer.status_code == 422
    assert record["classifier"] in answer.json()["errors"][0]["detail"]


def test_a_record_that_no_scenario_uses_is_deleted(keeping, record):
    answer = keeping("DELETE", _address(record), "write")
    assert (answer.status_code, answer.content) == (204, b"")
    assert keeping.get(_address(record)).status_code == 404
    assert keeping("DELETE", _address(record), "write").status_code == 404
    assert _posted(keeping).status_code == 201


def test_a_record_that_a_scenario_uses_stays(keeping, record):
    scenario = keeping.stored(farm_with(record["id"]))
    answer = keeping("DELETE", _address(record), "write")
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/weather-record-in-use"
    assert [error["received"] for error in answer.json()["errors"]] == [scenario]
    keeping("POST", f"/v1/scenarios/{scenario}/erasure")
    assert keeping("DELETE", _address(record), "write").status_code == 204


@pytest.mark.parametrize(
    ("method", "path", "sent"),
    [
        ("POST", RECORDS, record_request()),
        ("PATCH", "{record}", {"drainage": "well"}),
        ("DELETE", "{record}", None),
    ],
)
def test_changing_needs_a_key_with_write_access(keeping, record, method, path, sent):
    scenario = keeping.stored(farm_with(record["id"]))
    for token in ("read", keeping.link(scenario), keeping.link(scenario, "edit")):
        for address in (_address(record), UNKNOWN):
            answer = keeping(method, path.format(record=address), token, json=sent)
            assert answer.status_code == 403


def test_a_link_does_not_open_the_records_of_its_office(keeping, record):
    scenario = keeping.stored(farm_with(record["id"]))
    for access in ("read", "edit"):
        token = keeping.link(scenario, access)
        for path in ("", "/days.csv"):
            real = keeping.get(_address(record) + path, token)
            assert real.status_code == 403
            assert without_request_id(real) == without_request_id(
                keeping.get(UNKNOWN + path, token)
            )
        assert keeping.get(RECORDS, token).status_code == 403


def test_what_is_done_to_a_record_is_written_down(keeping, record):
    keeping("PATCH", _address(record), "write", json={"drainage": "well"})
    keeping("DELETE", _address(record), "write")
    audit = keeping.get(f"/v1/audit?object={record['id']}").json()["items"]
    assert [one["action"] for one in audit] == [
        "weather_record.delete",
        "weather_record.classify",
        "weather_record.create",
    ]


def test_the_settings_are_open_with_presets_and_sources(call):
    answer = call.get("/v1/weather-settings")
    assert answer.status_code == 200
    WeatherSettingsCatalog.model_validate_json(answer.content)
    body = answer.json()
    presets = {
        one["input"]: [preset["value"] for preset in one["presets"]] for one in body["settings"]
    }
    assert presets == {
        "thresholds.frozen_index": [20, 56, 83],
        "thresholds.mud_deficit_mm": [0, 3, 10],
    }
    assert [one["name"] for one in body["drainage"]] == ["well", "moderate", "poor"]
    for part in ("drainage", "parameters"):
        for one in body[part]:
            assert one["meaning"]
            assert one["source"] or one["mark"] != "seen"
    formats = {one["name"]: one for one in body["formats"]}
    units = {column["column"]: column["unit"] for column in formats["order_us"]["columns"]}
    assert units == {"TMAX": "°F", "TMIN": "°F", "PRCP": "in", "SNWD": "in"}
    assert formats["ghcn_long"]["line_holds"] == "one value"
