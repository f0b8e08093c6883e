"""Scenarios that take their winters from a weather record, from storing to the shared page."""

import json

import pytest

from tests.support.recorded_weather import SEASONS, WINDOW, farm_in, farm_with, record_request
from tests.web.keeping import unpacked

RECORDS = "/v1/weather-records"
STAR = {"If-Match": "*"}


@pytest.fixture
def record(keeping):
    return keeping("POST", RECORDS, "write", json=record_request()).json()


@pytest.fixture
def address(keeping, record):
    return f"/v1/scenarios/{keeping.stored(farm_with(record['id']))}"


def _counted(keeping, record, **settings):
    answer = keeping("PATCH", f"{RECORDS}/{record['id']}", "write", json=settings)
    assert answer.status_code == 200, answer.text
    return answer.json()


def _patched(keeping, address, **changes):
    return keeping("PATCH", address, "write", json=changes, headers=STAR)


def _costs(costing):
    return {
        system["system"]: (system["annual_equivalent_cost"], system["by_winter"])
        for system in costing["systems"]
    }


def _faults(answer):
    assert answer.status_code == 422, answer.text
    return {error["input"]: error for error in answer.json()["errors"]}


def test_the_newest_count_is_pinned_when_a_scenario_is_stored(keeping, record, address):
    winter = keeping.get(address).json()["document"]["winter"]
    assert winter == WINDOW | {
        "weather_record": record["id"],
        "weather_classifier": record["classifier"],
    }


def test_the_costing_names_the_record_and_uses_its_winters(keeping, record, address):
    costing = keeping.get(f"{address}/costing").json()
    assert costing["winter"]["weather_record"] == record["id"]
    assert costing["winter"]["weather_classifier"] == record["classifier"]
    assert costing["winter"]["winters"] == len(SEASONS)
    rows = costing["inputs_used"]["winter"]["rows"]
    assert [row["ground_days"] for row in rows] == [row["ground_days"] for row in record["rows"]]
    assert [one["season"] for one in costing["systems"][0]["by_winter"]] == SEASONS
    origins = {
        origin
        for path, origin in costing["origins"].items()
        if path.startswith("winter.rows.") and ".spells." in path
    }
    assert origins == {"worked"}


def test_it_costs_what_the_same_rows_written_out_cost(keeping, record, address):
    written_out = farm_in(WINDOW | {"rows": record["rows"]})
    costing = keeping.get(f"{address}/costing").json()
    other = keeping("POST", "/v1/costings", None, json={"document": written_out}).json()
    assert other["content_key"] == costing["content_key"]
    assert _costs(other) == _costs(costing)
    origins = {
        origin
        for path, origin in other["origins"].items()
        if path.startswith("winter.rows.") and ".ground_days." in path
    }
    assert origins == {"given"}


def test_what_was_used_posted_back_gives_the_same_key_and_numbers(keeping, address):
    costing = keeping.get(f"{address}/costing").json()
    sent = {"document": costing["inputs_used"]}
    again = keeping("POST", "/v1/costings", None, json=sent).json()
    assert again["content_key"] == costing["content_key"]
    assert _costs(again) == _costs(costing)


def test_counting_anew_leaves_what_was_costed_as_it_was(keeping, record, address):
    before = keeping.get(f"{address}/costing")
    newer = _counted(keeping, record, drainage="poor")
    assert newer["rows"] != record["rows"]
    assert keeping.get(f"{address}/costing").content == before.content
    assert keeping.get(before.headers["content-location"]).content == before.content
    assert (
        keeping.get(address).json()["document"]["winter"]["weather_classifier"]
        == (record["classifier"])
    )
    other = _patched(keeping, address, hay={"price_per_ton": 131}).json()
    assert other["document"]["winter"]["weather_classifier"] == record["classifier"]
    stored = keeping.get(f"{address}/costing?revision=1").json()
    assert stored["winter"]["weather_classifier"] == record["classifier"]


def test_null_takes_the_newest_count(keeping, record, address):
    newer = _counted(keeping, record, drainage="poor")
    patched = _patched(keeping, address, winter={"weather_classifier": None}).json()
    assert patched["revision"] == 2
    assert patched["document"]["winter"]["weather_classifier"] == newer["classifier"]
    told = keeping.get(f"{address}/revisions/{patched['revision']}/changes").json()["sentence"]
    assert told.startswith("Winters of the weather record counted by other settings")
    costing = keeping.get(f"{address}/costing").json()
    wet = [row["ground_days"]["wet"] for row in newer["rows"]]
    assert [row["ground_days"]["wet"] for row in costing["inputs_used"]["winter"]["rows"]] == wet
    again = _patched(keeping, address, winter={"weather_classifier": None}).json()
    assert again["revision"] == 2


def test_an_earlier_count_may_be_named(keeping, record):
    newer = _counted(keeping, record, drainage="poor")
    for classifier in (record["classifier"], newer["classifier"]):
        kept = keeping.stored(farm_with(record["id"], classifier, external_id=None))
        costing = keeping.get(f"/v1/scenarios/{kept}/costing").json()
        assert costing["winter"]["weather_classifier"] == classifier


def test_a_count_that_there_never_was_is_refused(keeping, record):
    answer = keeping("POST", "/v1/scenarios", "write", json=farm_with(record["id"], "1-aaaa"))
    fault = _faults(answer)["winter.weather_classifier"]
    assert fault["pointer"] == "/winter/weather_classifier"
    assert record["classifier"] in fault["allowed"]


@pytest.mark.parametrize("day", ["first_day", "last_day"])
def test_another_window_is_refused_with_both(keeping, record, day):
    document = farm_with(record["id"])
    document["winter"][day] = "12-03" if day == "first_day" else "04-01"
    document["hay"]["price_per_ton"] = -1
    found = _faults(keeping("POST", "/v1/scenarios", "write", json=document))
    fault = found[f"winter.{day}"]
    winter = document["winter"]
    for said in (*WINDOW.values(), winter["first_day"], winter["last_day"]):
        assert said in fault["detail"]
    assert (fault["received"], fault["allowed"]) == (winter[day], WINDOW[day])
    assert set(found) == {f"winter.{day}", "hay.price_per_ton"}


def test_a_fault_elsewhere_does_not_make_the_record_unknown(keeping, record, address):
    document = farm_with(record["id"])
    document["hay"]["price_per_ton"] = -1
    document["hay"]["dry_matter_fracion"] = 0.8
    wrong = {"hay.price_per_ton", "hay.dry_matter_fracion"}
    stored = keeping("POST", "/v1/scenarios", "write", json=document)
    assert set(_faults(stored)) == wrong
    costed = keeping("POST", "/v1/costings", "read", json={"document": document})
    assert set(_faults(costed)) == wrong
    what_if = keeping.get(f"{address}/costing?set.hay.price_per_ton=-1")
    assert set(_faults(what_if)) == {"hay.price_per_ton"}


def test_an_unknown_record_is_told_with_the_other_faults(keeping):
    document = farm_with("wr_01JD4Q8Z3V9W7K2M5N6P8R0S1T")
    document["hay"]["price_per_ton"] = -1
    for body, path in ((document, "/v1/scenarios"), ({"document": document}, "/v1/costings")):
        answer = keeping("POST", path, "write", json=body)
        assert set(_faults(answer)) == {"winter.weather_record", "hay.price_per_ton"}


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("weather_record", 5),
        ("weather_record", "a\x00b"),
        ("weather_record", "x" * 41),
        ("weather_classifier", 5),
        ("weather_classifier", "1-\x00"),
        ("weather_classifier", {}),
        ("weather_classifier", ""),
    ],
)
def test_what_names_no_record_or_count_is_refused_in_words(keeping, record, name, value):
    document = farm_with(record["id"])
    document["winter"][name] = value
    found = _faults(keeping("POST", "/v1/scenarios", "write", json=document))
    assert f"winter.{name}" in found


def test_a_name_given_twice_is_seen_beside_a_record(keeping, record):
    text = json.dumps(farm_with(record["id"]))
    twice = {
        "name": text.replace("{", '{"name": "x", ', 1),
        "winter.rain_in": text.replace('"winter": {', '"winter": {"rain_in": 1, "rain_in": 2, '),
    }
    for path, sent in twice.items():
        headers = {"Content-Type": "application/json"}
        answer = keeping("POST", "/v1/scenarios", "write", content=sent, headers=headers)
        assert "more than once" in _faults(answer)[path]["detail"]


def test_days_beside_a_record_are_refused(keeping, address):
    answer = _patched(keeping, address, winter={"ground_days": {"firm": 137}})
    assert set(_faults(answer)) == {"winter.weather_record"}
    instead = {"ground_days": {"firm": 137}, "rain_in": 13, "weather_record": None}
    both_off = instead | {"weather_classifier": None}
    alone = _patched(keeping, address, winter=instead)
    assert set(_faults(alone)) == {"winter.weather_classifier"}
    assert _patched(keeping, address, winter=both_off).status_code == 200


def test_a_document_is_costed_with_a_record_for_a_key_of_its_office_alone(keeping, record):
    body = {"document": farm_with(record["id"])}
    answer = keeping("POST", "/v1/costings", "read", json=body)
    assert answer.status_code == 200
    assert answer.json()["winter"]["weather_record"] == record["id"]
    assert answer.json()["winter"]["weather_classifier"] == record["classifier"]
    unknown = keeping("POST", "/v1/costings", "read", json={"document": farm_with("wr_none")})
    for token in (None, keeping.keys_elsewhere["admin"]):
        refused = keeping("POST", "/v1/costings", token, json=body)
        assert set(_faults(refused)) == {"winter.weather_record"}
        assert refused.json()["errors"][0]["pointer"] == "/document/winter/weather_record"
        assert refused.json()["detail"] == unknown.json()["detail"]
    elsewhere = keeping(
        "POST", "/v1/scenarios", keeping.keys_elsewhere["write"], json=body["document"]
    )
    assert set(_faults(elsewhere)) == {"winter.weather_record"}


def test_inputs_are_changed_for_one_answer(keeping, record, address):
    newer = _counted(keeping, record, drainage="poor")
    dear = keeping.get(f"{address}/costing?set.hay.price_per_ton=300").json()
    assert dear["winter"]["weather_classifier"] == record["classifier"]
    stored = keeping.get(f"{address}/costing").json()
    assert dear["systems"][0]["annual_equivalent_cost"] > max(
        cost for cost, _ in _costs(stored).values()
    )
    query = f"set.winter.weather_classifier={newer['classifier']}"
    poor = keeping.get(f"{address}/costing?{query}").json()
    assert poor["winter"]["weather_classifier"] == newer["classifier"]
    newest = keeping.get(f"{address}/costing?set.winter.weather_classifier=default").json()
    assert newest["winter"]["weather_classifier"] == newer["classifier"]
    assert _costs(newest) == _costs(poor) != _costs(stored)
    sent = {"scenario": address.rpartition("/")[2], "set": {"winter.weather_classifier": None}}
    assert _costs(keeping("POST", "/v1/costings", "read", json=sent).json()) == _costs(poor)


def test_a_record_may_be_set_in_the_place_of_rows(keeping, record):
    document = farm_in(WINDOW | {"rows": record["rows"]})
    given = {"winter.weather_record": record["id"]}
    both = keeping("POST", "/v1/costings", "read", json={"document": document, "set": given})
    assert both.json()["errors"][0]["pointer"] == "/set/winter.weather_record"
    bare = farm_in(WINDOW)
    answer = keeping("POST", "/v1/costings", "read", json={"document": bare, "set": given})
    assert answer.status_code == 200, answer.text
    assert answer.json()["winter"]["weather_record"] == record["id"]


def test_the_workings_lead_to_the_winters(keeping, address):
    workings = keeping.get(f"{address}/costing/workings?system=best").json()
    named: set[str] = set()
    for figure in workings["figures"]:
        sources = figure.get("sources", ())
        named.update([sources] if isinstance(sources, str) else map(str, sources))
    assert any(f"winter.rows.{SEASONS[0]}.ground_days" in source for source in named)


def test_changes_and_comparisons_tell_of_another_count(keeping, record, address):
    newer = _counted(keeping, record, drainage="poor")
    _patched(keeping, address, winter={"weather_classifier": None})
    changes = keeping.get(f"{address}/revisions/2/changes").json()
    assert [one["input"] for one in changes["changes"]] == ["winter.weather_classifier"]
    assert changes["effect"]["systems"]
    scenario = address.rpartition("/")[2]
    compared = keeping.get(f"/v1/comparisons?scenarios={scenario}@1,{scenario}").json()
    assert [one["values"] for one in compared["differences"]] == [
        [record["classifier"], newer["classifier"]]
    ]
    restored = keeping("POST", f"{address}/revisions/1/restore", "write", headers=STAR).json()
    assert restored["document"]["winter"]["weather_classifier"] == record["classifier"]


def test_a_copy_keeps_the_record_and_the_count(keeping, record, address):
    _counted(keeping, record, drainage="poor")
    copied = keeping("POST", f"{address}/copies", "write", json={"set": {"hay.price_per_ton": 90}})
    assert copied.json()["document"]["winter"]["weather_classifier"] == record["classifier"]
    keeping("POST", f"{address}/erasure")
    answer = keeping("DELETE", f"{RECORDS}/{record['id']}", "write")
    assert [error["received"] for error in answer.json()["errors"]] == [copied.json()["id"]]


def test_links_open_a_scenario_with_its_winters(keeping, record, address):
    scenario = address.rpartition("/")[2]
    read, edit = keeping.link(scenario), keeping.link(scenario, "edit")
    assert keeping.get(f"{address}/costing", read).status_code == 200
    assert keeping.get(f"{address}/costing?set.hay.price_per_ton=90", read).status_code == 200
    page = keeping.get(f"/s/{read}", None, Accept="text/html")
    assert page.status_code == 200
    assert "3 winters" in page.text
    changed = keeping("PATCH", address, edit, json={"hay": {"price_per_ton": 90}}, headers=STAR)
    assert changed.status_code == 200
    assert changed.json()["document"]["winter"]["weather_record"] == record["id"]


def test_a_stored_costing_holds_the_rows_and_no_record(keeping, address):
    # What was costed can be costed again by whoever has the answer, without the record.
    keeping.get(f"{address}/costing")
    with keeping.desk.store.reading() as session:
        (summary,) = session.costings.page(address.rpartition("/")[2], None, None, 5)
        stored = session.costings.get(address.rpartition("/")[2], summary.id)
    winter = unpacked(stored.result)["inputs_used"]["winter"]
    assert [row["season"] for row in winter["rows"]] == SEASONS
    assert "weather_record" not in winter
