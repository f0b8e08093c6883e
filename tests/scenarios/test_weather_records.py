"""Weather records at the desk: kept once, counted as often as asked, deleted when unused."""

import json

import pytest

from service.costing.errors import InputError
from service.scenarios import weather_records as records
from service.scenarios.errors import (
    RecordInUseError,
    TooLittleAccessError,
    UnknownWeatherRecordError,
)
from service.scenarios.keeping import create
from service.weather.settings import WeatherSettings, classifier_of
from tests.support.desks import ADMIN, READER, STRANGER, WRITER, done, holder, kept, opened_desk
from tests.support.recorded_weather import DAYS, SEASONS, WINDOW, farm_with, new_record, sent_days

POOR = WeatherSettings(**WINDOW, drainage="poor")
WELL = WeatherSettings(**WINDOW, drainage="well")
UNKNOWN = "wr_01JD4Q8Z3V9W7K2M5N6P8R0S1T"


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def added(desk):
    shown, new = records.add_record(desk, WRITER, new_record())
    assert new
    return shown


def _shown(desk, record_id, classifier=None, who=READER):
    with desk.store.reading() as session:
        return records.shown(session, who, record_id, classifier)


def _listed(desk, who=READER):
    with desk.store.reading() as session:
        return [record.id for record in records.records(session, who, None, 50)]


def _rows(shown):
    return [json.loads(winter.detail)["row"] for winter in shown.winters]


def test_what_is_kept_comes_back(desk, added):
    assert [winter.season for winter in added.winters] == SEASONS
    assert _shown(desk, added.record.id) == added
    with desk.store.reading() as session:
        assert records.days_of(session, READER, added.record.id) == f"{DAYS}\n"
        settings = records.settings_now(session, READER, added.record.id)
    assert settings == WeatherSettings(**WINDOW)
    assert added.record.classifier == classifier_of(settings) == added.classification.classifier


def test_the_counts_of_a_winter_are_those_of_its_row(added):
    for winter, row in zip(added.winters, _rows(added), strict=True):
        counted = (winter.frozen, winter.snow_covered, winter.firm, winter.wet)
        assert counted == tuple(row["ground_days"].values())


def test_the_same_days_are_kept_once_by_each_office(desk, added):
    again, new = records.add_record(desk, ADMIN, new_record(label="Again"))
    assert (again.record, new) == (added.record, False)
    elsewhere, new = records.add_record(desk, STRANGER, new_record())
    assert new
    assert elsewhere.record.id != added.record.id
    assert _listed(desk) == [added.record.id]
    assert _listed(desk, STRANGER) == [elsewhere.record.id]


def test_another_day_or_place_is_another_record(desk, added):
    for changes in ({"csv": sent_days(seed=8)}, {"latitude": 44.6}):
        other, new = records.add_record(desk, WRITER, new_record(**changes))
        assert new
        assert other.record.id != added.record.id


def test_counting_anew_adds_and_changes_nothing(desk, added):
    poor = records.reclassify(desk, WRITER, added.record.id, POOR)
    assert _rows(poor) != _rows(added)
    assert [one.classifier for one in poor.classifications] == [
        added.classification.classifier,
        classifier_of(POOR),
    ]
    assert _shown(desk, added.record.id).classification == poor.classification
    before = _shown(desk, added.record.id, added.classification.classifier)
    assert (before.winters, before.classification) == (added.winters, added.classification)


def test_counting_anew_gives_what_the_first_count_would_have_given(desk, added):
    # The days are read again from what is kept: nothing is lost on the way.
    again = records.reclassify(desk, WRITER, added.record.id, POOR)
    first, _ = records.add_record(desk, STRANGER, new_record({"drainage": "poor"}))
    assert _rows(again) == _rows(first)
    assert again.classification.told == first.classification.told


def test_an_earlier_count_becomes_the_newest_again_as_it_was(desk, added):
    records.reclassify(desk, WRITER, added.record.id, POOR)
    desk.now.forward(hours=1)
    back = records.reclassify(desk, WRITER, added.record.id, WeatherSettings(**WINDOW))
    assert back.classification == added.classification
    assert back.record.classifier == added.classification.classifier
    assert len(back.classifications) == 2


def test_all_that_is_wrong_is_told_at_once(desk):
    lines = DAYS.splitlines()
    lines[13] = "2015-07-13,warm,1.0,0.0"
    sent = new_record({"drainage": "bad", "frozen_index": 0.0}, label="", csv="\n".join(lines))
    with pytest.raises(InputError) as caught:
        records.add_record(desk, WRITER, sent)
    assert {fault.input for fault in caught.value.faults} == {
        "label",
        "csv.line 14",
        "drainage",
        "thresholds.frozen_index",
    }
    assert _listed(desk) == []
    assert done(desk) == []


def test_a_latitude_that_nobody_tells_is_a_fault(desk):
    header, *lines = DAYS.splitlines()
    empty = "\n".join([f"{header},latitude", *(f"{line}," for line in lines)])
    for csv in (DAYS, empty):
        with pytest.raises(InputError) as caught:
            records.add_record(desk, WRITER, new_record(csv=csv, latitude=None))
        assert [fault.input for fault in caught.value.faults] == ["latitude"]


def test_settings_out_of_range_count_nothing(desk, added):
    with pytest.raises(InputError):
        records.reclassify(desk, WRITER, added.record.id, WeatherSettings(drainage="bad"))
    assert _shown(desk, added.record.id) == added


@pytest.mark.parametrize("who", [READER, "read", "edit"])
def test_changing_needs_write_access_of_the_office(desk, added, who):
    caller = holder(desk, kept(desk).head.id, who) if isinstance(who, str) else who
    for act in (
        lambda: records.add_record(desk, caller, new_record()),
        lambda: records.reclassify(desk, caller, added.record.id, POOR),
        lambda: records.delete_record(desk, caller, added.record.id),
    ):
        with pytest.raises(TooLittleAccessError):
            act()


def test_a_link_reads_no_record(desk, added):
    link = holder(desk, kept(desk).head.id, "edit")
    with desk.store.reading() as session:
        for act in (
            lambda: records.shown(session, link, added.record.id),
            lambda: records.records(session, link, None, 5),
            lambda: records.days_of(session, link, added.record.id),
        ):
            with pytest.raises(TooLittleAccessError):
                act()


def test_what_is_anothers_is_unknown(desk, added):
    for record_id, who in ((added.record.id, STRANGER), (UNKNOWN, WRITER)):
        with desk.store.reading() as session:
            for act in (records.shown, records.days_of, records.settings_now):
                with pytest.raises(UnknownWeatherRecordError):
                    act(session, who, record_id)
        with pytest.raises(UnknownWeatherRecordError):
            records.reclassify(desk, who, record_id, POOR)
        with pytest.raises(UnknownWeatherRecordError):
            records.delete_record(desk, who, record_id)
    with pytest.raises(UnknownWeatherRecordError):
        _shown(desk, added.record.id, "1-aaaa")


def test_a_record_in_use_stays(desk, added):
    scenario = create(desk, WRITER, farm_with(added.record.id))
    with pytest.raises(RecordInUseError) as caught:
        records.delete_record(desk, WRITER, added.record.id)
    assert caught.value.scenarios == [scenario.head.id]
    assert _listed(desk) == [added.record.id]


def test_acts_are_written_down(desk, added):
    records.add_record(desk, WRITER, new_record())
    records.reclassify(desk, WRITER, added.record.id, WELL)
    records.delete_record(desk, WRITER, added.record.id)
    acts = ("create", "classify", "classify", "delete")
    assert done(desk) == [(f"weather_record.{act}", added.record.id, None) for act in acts]


def test_what_comes_before_the_commit_is_undone_with_it(desk):
    def fails(_session, added):
        shown, new = added
        assert shown.winters
        assert new
        raise RuntimeError

    with pytest.raises(RuntimeError):
        records.add_record(desk, WRITER, new_record(), fails)
    assert _listed(desk) == []
    assert done(desk) == []
