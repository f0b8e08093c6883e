"""Winters of a record in the place of its id: which, for whom, and what if they do not fit."""

from dataclasses import replace
from functools import partial

import pytest

from service.costing.errors import InputError
from service.scenarios.changing import Change, changed
from service.scenarios.costings import body_of, costing_now
from service.scenarios.errors import RecordInUseError
from service.scenarios.history import restore
from service.scenarios.keeping import copy, create, patch
from service.scenarios.weather_records import add_record, delete_record, reclassify
from service.scenarios.winters import Recorded, opened, pinned, record_of, recorded, winter_row_of
from service.weather.settings import WeatherSettings
from tests.support.desks import READER, STRANGER, WRITER, now_of, opened_desk
from tests.support.offices import numbered, small_document
from tests.support.recorded_weather import SEASONS, WINDOW, farm_in, farm_with, new_record

HERE, ELSEWHERE = numbered("of", 1), numbered("of", 2)
POOR = WeatherSettings(**WINDOW, drainage="poor")


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def record(desk):
    return add_record(desk, WRITER, new_record())[0]


def _faults(read):
    with pytest.raises(InputError) as caught:
        read()
    return {fault.input: fault for fault in caught.value.faults}


def _winter(desk, scenario_id):
    return now_of(desk, scenario_id).document["winter"]


def _used(desk, scenario_id, revision=None):
    body = body_of(costing_now(desk, READER, scenario_id, revision))
    return body["inputs_used"]["winter"]["rows"]


def test_a_document_without_a_record_is_left_as_it_is(desk):
    document = small_document()
    found = recorded(desk, HERE, document)
    assert found == Recorded(document)
    assert found.document is document
    assert pinned(document, found) is document


@pytest.mark.parametrize("document", [{}, {"winter": None}, {"winter": []}, {"winter": {}}])
def test_an_odd_winter_names_no_record(desk, document):
    assert record_of(document) is None
    assert recorded(desk, HERE, document).document is document


def test_the_rows_stand_in_the_place_of_the_record(desk, record):
    document = farm_with(record.record.id)
    found = recorded(desk, HERE, document)
    assert found.document["winter"] == WINDOW | {
        "rows": [winter_row_of(winter) for winter in record.winters]
    }
    assert (found.record_id, found.classifier) == (
        record.record.id,
        record.classification.classifier,
    )
    assert list(found.autumn_rain_in) == SEASONS
    assert document == farm_with(record.record.id)
    assert pinned(document, found)["winter"]["weather_classifier"] == found.classifier


def test_another_office_has_no_such_record(desk, record):
    found = _faults(lambda: recorded(desk, ELSEWHERE, farm_with(record.record.id)))
    assert set(found) == {"winter.weather_record"}
    never = _faults(lambda: recorded(desk, HERE, farm_with("wr_none")))
    assert found["winter.weather_record"].detail == never["winter.weather_record"].detail
    assert "winter.weather_record" in _faults(
        lambda: create(desk, STRANGER, farm_with(record.record.id))
    )


def test_the_window_must_be_that_of_the_document(desk, record):
    document = farm_with(record.record.id)
    document["winter"]["last_day"] = "04-01"
    fault = _faults(lambda: recorded(desk, HERE, document))["winter.last_day"]
    assert (fault.received, fault.allowed) == ("04-01", WINDOW["last_day"])
    assert "11-20 to 04-05" in fault.detail
    assert "11-20 to 04-01" in fault.detail


def test_a_record_without_a_whole_winter_says_so(desk):
    short, _ = add_record(desk, WRITER, new_record(csv=_days_to("2016-04-04")))
    assert short.winters == []
    found = _faults(lambda: recorded(desk, HERE, farm_with(short.record.id)))
    assert "No winter" in found["winter.weather_record"].detail


def _days_to(last):
    lines = new_record().csv.splitlines()
    return "\n".join(line for line in lines if line[:1] == "d" or line[:10] <= last)


def test_faults_of_the_document_and_of_the_record_are_told_together(desk, record):
    document = farm_with("wr_none")
    document["hay"]["price_per_ton"] = -1
    find = partial(recorded, desk, HERE)
    found = _faults(lambda: opened(desk.read, document, find))
    assert set(found) == {"winter.weather_record", "hay.price_per_ton"}
    known = farm_with(record.record.id)
    known["hay"]["price_per_ton"] = -1
    assert set(_faults(lambda: opened(desk.read, known, find))) == {"hay.price_per_ton"}
    known["winter"]["first_day"] = None
    found = _faults(lambda: opened(desk.read, known, find))
    assert set(found) == {"winter.first_day", "hay.price_per_ton"}


@pytest.mark.parametrize("document", [None, 3, [], "x"])
def test_what_is_no_document_is_refused_by_the_reader(desk, document):
    _faults(lambda: opened(desk.read, document, partial(recorded, desk, HERE)))


def test_a_revision_keeps_the_winters_that_it_was_stored_with(desk, record):
    scenario = create(desk, WRITER, farm_with(record.record.id)).head.id
    before = costing_now(desk, READER, scenario)
    poor = reclassify(desk, WRITER, record.record.id, POOR)
    assert costing_now(desk, READER, scenario) == before
    patch(desk, WRITER, scenario, 1, {"hay": {"price_per_ton": 131}})
    assert _winter(desk, scenario)["weather_classifier"] == record.classification.classifier
    assert _used(desk, scenario) == _used(desk, scenario, 1)
    newest = patch(desk, WRITER, scenario, 2, {"winter": {"weather_classifier": None}})
    assert newest.document["winter"]["weather_classifier"] == poor.classification.classifier
    wet = [row["ground_days"]["wet"] for row in _used(desk, scenario)]
    assert wet == [winter.wet for winter in poor.winters]
    back = restore(desk, WRITER, scenario, 3, 1)
    assert back.document["winter"] == now_of(desk, scenario).document["winter"]
    assert back.document["winter"]["weather_classifier"] == record.classification.classifier


def test_a_new_engine_costs_a_revision_with_the_winters_it_was_stored_with(desk, record):
    scenario = create(desk, WRITER, farm_with(record.record.id)).head.id
    rows = _used(desk, scenario)
    reclassify(desk, WRITER, record.record.id, POOR)
    later = replace(desk, engine_version="99.0.0")
    again = costing_now(later, READER, scenario)
    assert again.engine_version == "99.0.0"
    assert body_of(again)["inputs_used"]["winter"]["rows"] == rows


def test_a_copy_uses_the_record_too(desk, record):
    scenario = create(desk, WRITER, farm_with(record.record.id)).head.id
    reclassify(desk, WRITER, record.record.id, POOR)
    copied = copy(desk, WRITER, scenario, None, {}, None, None)
    assert copied.document["winter"] == _winter(desk, scenario)
    with desk.store.reading() as session:
        assert session.weather_records.users(record.record.id, 5) == [scenario, copied.head.id]


def test_a_scenario_that_used_a_record_once_holds_it(desk, record):
    # An earlier revision can be costed again, so its winters stay.
    scenario = create(desk, WRITER, farm_with(record.record.id)).head.id
    own = farm_in(WINDOW | {"ground_days": {"firm": 137}, "rain_in": 13})
    changed(desk, WRITER, Change(scenario, 1, "put"), lambda *_: own)
    with pytest.raises(RecordInUseError):
        delete_record(desk, WRITER, record.record.id)
    assert len(_used(desk, scenario, 1)) == len(SEASONS)
