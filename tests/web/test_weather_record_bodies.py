"""Bodies of weather records: all that is wrong with one is told at once, in words and by place."""

import json

import pytest

from service.web.middleware import LARGEST_BODY
from tests.support.recorded_weather import DAYS, record_request

RECORDS = "/v1/weather-records"
UNKNOWN = f"{RECORDS}/wr_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


def _posted(keeping, **changes):
    return keeping("POST", RECORDS, "write", json=record_request(**changes))


def _faults(answer):
    assert answer.status_code == 422, answer.text
    return {error.get("input", ""): error for error in answer.json()["errors"]}


def test_faults_of_the_settings_and_of_the_file_are_told_at_once(keeping):
    lines = DAYS.splitlines()
    lines[13] = "2015-07-13,warm,1.0,0.0"
    found = _faults(
        _posted(
            keeping,
            label=" ",
            csv="\n".join(lines),
            drainage="moderat",
            window={"first_day": "11-31", "last_day": "04-05"},
            thresholds={"frozen_index": 0, "mud_deficit_mm": 40},
        )
    )
    # RFC 6901: the pointer leads to a member of the body as it was sent.
    assert {name: error["pointer"] for name, error in found.items()} == {
        "label": "/label",
        "csv.line 14": "/csv",
        "drainage": "/drainage",
        "window.first_day": "/window/first_day",
        "thresholds.frozen_index": "/thresholds/frozen_index",
        "thresholds.mud_deficit_mm": "/thresholds/mud_deficit_mm",
    }
    assert found["drainage"]["suggestion"] == "moderate"
    assert found["thresholds.frozen_index"]["unit"] == "°C day"
    assert keeping.get(RECORDS).json()["items"] == []


def test_what_is_no_such_body_is_told_together_with_the_rest(keeping):
    sent = {
        "label": 3,
        "format": "plane",
        "csv": DAYS,
        "latitude": "north",
        "drainige": "well",
        "window": {"first_day": None, "last_day": 5},
        "thresholds": [56],
        "drainage": "bad",
    }
    found = _faults(keeping("POST", RECORDS, "write", json=sent))
    assert set(found) == {
        "label",
        "format",
        "latitude",
        "drainige",
        "window.last_day",
        "thresholds",
        "drainage",
    }
    assert found["drainige"]["suggestion"] == "drainage"
    assert found["format"]["suggestion"] == "plain"
    assert found["window.last_day"]["detail"] == "window.last_day must be text, not 5."
    assert found["latitude"]["detail"] == "latitude must be a number, not the text 'north'."


@pytest.mark.parametrize(
    ("sent", "places"),
    [
        ("[]", {""}),
        ("{}", {"/label", "/format", "/csv"}),
        ('{"label":"a","label":"b","format":"plain","csv":"x","latitude":1}', {"/csv", "/label"}),
        ('{"label":"a","format":"plain","csv":"","latitude":NaN}', {"/csv", "/latitude"}),
        ('{"label":"a","format":"plain","csv":"","latitude":true}', {"/csv", "/latitude"}),
    ],
)
def test_an_odd_body_is_refused_in_words(keeping, sent, places):
    headers = {"Content-Type": "application/json"}
    answer = keeping("POST", RECORDS, "write", content=sent, headers=headers)
    assert {error["pointer"] for error in _faults(answer).values()} == places


def test_degrees_fahrenheit_sent_as_metric_are_refused_with_the_reason(keeping):
    lines = ["STATION,DATE,TMAX,TMIN,PRCP"]
    for line in DAYS.splitlines()[1:]:
        day, most, least, rain = line.split(",")
        warm, cold = (f"{float(value) * 9 / 5 + 32:.0f}" for value in (most, least))
        lines.append(f"XXC00440017,{day},{warm},{cold},{rain}")
    answer = _posted(keeping, format="order_metric", csv="\n".join(lines))
    assert "°F" in json.dumps(_faults(answer), ensure_ascii=False)
    assert {error["pointer"] for error in answer.json()["errors"]} <= {"/csv", "/format"}


def test_a_file_that_does_not_tell_where_it_is_from_needs_a_latitude(keeping):
    sent = record_request()
    del sent["latitude"]
    found = _faults(keeping("POST", RECORDS, "write", json=sent))
    assert found["latitude"]["pointer"] == "/latitude"
    assert found["latitude"]["unit"] == "degree"


def test_a_record_of_decades_may_be_larger_than_other_bodies(keeping):
    large = record_request(csv=DAYS + "\n" * (LARGEST_BODY + 1))
    assert keeping("POST", RECORDS, "write", json=large).status_code != 413
    too_large = record_request(csv="\n" * (10 * LARGEST_BODY))
    assert keeping("POST", RECORDS, "write", json=too_large).status_code == 413
    assert keeping("PATCH", UNKNOWN, "write", json=large).status_code == 413


def test_faults_of_new_settings_are_told_at_once(keeping):
    record = _posted(keeping).json()
    address = f"{RECORDS}/{record['id']}"
    sent = {"window": {"first_day": "13-01", "last_day": 4}, "thresholds": {"frozen_index": 900}}
    found = _faults(keeping("PATCH", address, "write", json=sent))
    assert set(found) == {"window.first_day", "window.last_day", "thresholds.frozen_index"}
    long = {"window": {"first_day": "04-05", "last_day": "04-04"}}
    found = _faults(keeping("PATCH", address, "write", json=long))
    assert found["window.last_day"]["pointer"] == "/window/last_day"
    assert keeping.get(address).json() == record
