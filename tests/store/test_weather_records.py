"""Weather records, the winters that were counted in them and who uses them, on every store."""

from dataclasses import fields, replace
from datetime import date, timedelta

import pytest

from service.scenarios.errors import (
    RecordInUseError,
    UnknownScenarioError,
    UnknownWeatherRecordError,
)
from service.scenarios.records import WeatherRecord
from tests.support.databases import DATABASE_ERRORS
from tests.support.offices import (
    START,
    classification,
    head,
    keep,
    numbered,
    office,
    weather_record,
    weather_winter,
)

SUMMARY = [field.name for field in fields(WeatherRecord)]


def of_summary(kept):
    return WeatherRecord(**{name: getattr(kept, name) for name in SUMMARY})


def test_a_record_comes_back_as_it_was_kept(office_store):
    kept = weather_record(
        label="Tansy Vale · 牧",
        latitude=-(0.1 + 0.2),
        first_day=date(1850, 1, 1),
        last_day=date(2026, 2, 28),
        told='[{"code":"few_winters"}]',
        created_at=START + timedelta(milliseconds=1),
        days=bytes(range(256)) * 1_600,
    )
    with office_store.writing() as session:
        assert session.weather_records.add(kept) == of_summary(kept)
    with office_store.reading() as session:
        assert session.weather_records.get(office().id, kept.id) == of_summary(kept)
        assert session.weather_records.days(kept.id) == kept.days


def test_a_record_is_got_through_its_office_alone(office_store):
    with office_store.writing() as session:
        keep(session, weather_record())
    with office_store.reading() as session:
        assert session.weather_records.get(office(2).id, weather_record().id) is None
        assert session.weather_records.get(office().id, numbered("wr", 9)) is None
        assert session.weather_records.days(numbered("wr", 9)) is None


def test_an_office_keeps_the_same_days_once_as_they_were_first_called(office_store):
    first = weather_record()
    again = weather_record(2, label="another name", sha256=first.sha256)
    elsewhere = weather_record(3, office_id=office(2).id, sha256=first.sha256)
    with office_store.writing() as session:
        keep(session, first)
    with office_store.writing() as session:
        assert session.weather_records.add(again) == of_summary(first)
        assert session.weather_records.add(elsewhere) == of_summary(elsewhere)
    with office_store.reading() as session:
        assert session.weather_records.get(office().id, again.id) is None
        assert list(session.weather_records.page(office().id, None, 9)) == [of_summary(first)]


def test_records_are_listed_newest_first_without_days_page_by_page(office_store):
    records = [weather_record(number) for number in (1, 2, 3)]
    with office_store.writing() as session:
        keep(session, *records, weather_record(4, office_id=office(2).id))
    newest_first = [of_summary(one) for one in reversed(records)]
    with office_store.reading() as session:
        page = session.weather_records.page
        assert list(page(office().id, None, 2)) == newest_first[:2]
        assert list(page(office().id, newest_first[1].id, 2)) == newest_first[2:]
        assert list(page(office().id, newest_first[2].id, 2)) == []
        assert list(page(numbered("of", 9), None, 2)) == []


def test_a_record_of_an_office_that_is_not_there_is_refused(store):
    with pytest.raises(UnknownScenarioError), store.writing() as session:
        session.weather_records.add(weather_record())


def test_winters_come_back_in_the_order_of_their_seasons(office_store):
    counted = classification()
    winters = [
        weather_winter(season=season, frozen=frozen, detail=f'{{"rain_in":{frozen}.25}}')
        for season, frozen in (("2016-17", 9), ("1999-00", 0), ("2015-16", 151))
    ]
    with office_store.writing() as session:
        session.weather_records.add(weather_record())
        assert session.weather_records.classify(counted, winters) == counted
    with office_store.reading() as session:
        found = list(session.weather_records.winters(counted.record_id, counted.classifier))
    assert found == [winters[1], winters[2], winters[0]]


def test_a_classification_without_winters_is_kept(office_store):
    counted = classification(told='{"dropped":[{"season":"2015-16"}]}', settings='{"a":"ü"}')
    with office_store.writing() as session:
        session.weather_records.add(weather_record())
        session.weather_records.classify(counted, [])
    with office_store.reading() as session:
        kept = session.weather_records
        assert kept.classification(counted.record_id, counted.classifier) == counted
        assert list(kept.winters(counted.record_id, counted.classifier)) == []


def test_a_new_classification_is_the_newest_and_old_winters_stay(office_store):
    first = classification()
    later = [replace(first, classifier=name) for name in ("1-cccc", "1-bbbb")]
    with office_store.writing() as session:
        keep(session, weather_record(), weather_record(2))
        for one in later:
            session.weather_records.classify(one, [weather_winter(one, wet=77)])
    with office_store.reading() as session:
        kept = session.weather_records
        assert list(kept.classifications(first.record_id)) == [first, *later]
        assert kept.get(office().id, first.record_id).classifier == "1-bbbb"
        assert kept.get(office().id, weather_record(2).id).classifier == first.classifier
        assert [one.wet for one in kept.winters(first.record_id, "1-aaaa")] == [20]
        assert [one.wet for one in kept.winters(first.record_id, "1-bbbb")] == [77]
        assert len(kept.classifications(weather_record(2).id)) == 1


def test_a_classification_that_is_kept_becomes_the_newest_again_as_it_was(office_store):
    first = classification()
    second = replace(first, classifier="1-bbbb", created_at=START + timedelta(days=1))
    again = replace(first, created_at=START + timedelta(days=2), told='{"other":1}')
    with office_store.writing() as session:
        keep(session, weather_record())
        session.weather_records.classify(second, [])
    with office_store.writing() as session:
        kept = session.weather_records
        assert kept.classify(again, [weather_winter(wet=99, season="2016-17")]) == first
    with office_store.reading() as session:
        kept = session.weather_records
        assert kept.get(office().id, first.record_id).classifier == first.classifier
        assert list(kept.classifications(first.record_id)) == [first, second]
        assert list(kept.winters(first.record_id, first.classifier)) == [weather_winter()]


def test_winters_of_a_record_that_is_gone_are_refused(office_store):
    with pytest.raises(UnknownWeatherRecordError), office_store.writing() as session:
        session.weather_records.classify(classification(), [weather_winter()])


def test_what_was_not_counted_is_not_found(office_store):
    with office_store.writing() as session:
        keep(session, weather_record())
    with office_store.reading() as session:
        kept = session.weather_records
        assert kept.classification(weather_record().id, "2-aaaa") is None
        assert kept.classification(weather_record(2).id, "1-aaaa") is None
        assert list(kept.winters(weather_record().id, "2-aaaa")) == []
        assert list(kept.classifications(weather_record(2).id)) == []


def test_scenarios_that_use_a_record_are_told_once_oldest_first(office_store):
    record = weather_record().id
    with office_store.writing() as session:
        keep(session, weather_record(), weather_record(2), head(2), head(3))
        for number in (3, 1, 3, 2):
            session.weather_records.use(record, head(number).id)
    with office_store.reading() as session:
        kept = session.weather_records
        assert list(kept.users(record, 9)) == [head(number).id for number in (1, 2, 3)]
        assert list(kept.users(record, 2)) == [head(number).id for number in (1, 2)]
        assert list(kept.users(weather_record(2).id, 9)) == []


def test_a_record_that_is_gone_cannot_be_used(office_store):
    with office_store.writing() as session:
        with pytest.raises(UnknownWeatherRecordError):
            session.weather_records.use(weather_record().id, head().id)
        keep(session, head(2))  # the transaction goes on
    with office_store.reading() as session:
        assert session.scenarios.head(office().id, head(2).id) == head(2)


def test_a_scenario_that_is_gone_uses_nothing(office_store):
    with office_store.writing() as session:
        keep(session, weather_record())
    with pytest.raises(UnknownScenarioError), office_store.writing() as session:
        session.weather_records.use(weather_record().id, numbered("sc", 9))


def test_a_record_goes_with_its_winters(office_store):
    record = weather_record()
    with office_store.writing() as session:
        keep(session, record, weather_record(2))
        session.weather_records.delete(record.id)
    with office_store.reading() as session:
        kept = session.weather_records
        assert kept.get(office().id, record.id) is None
        assert kept.days(record.id) is None
        assert list(kept.classifications(record.id)) == []
        assert list(kept.winters(record.id, record.classifier)) == []
        other = classification(weather_record(2))
        assert list(kept.winters(other.record_id, other.classifier)) == [weather_winter(other)]
    with office_store.writing() as session:
        session.weather_records.delete(record.id)  # gone already
        assert session.weather_records.add(record) == of_summary(record)


def test_a_record_in_use_stays_and_some_of_its_users_are_told(office_store):
    record = weather_record()
    with office_store.writing() as session:
        keep(session, record, *[head(number) for number in range(2, 30)])
        for number in range(1, 30):
            session.weather_records.use(record.id, head(number).id)
    with office_store.writing() as session:
        with pytest.raises(RecordInUseError) as caught:
            session.weather_records.delete(record.id)
        keep(session, weather_record(2))  # the transaction goes on
    assert list(caught.value.scenarios) == [head(number).id for number in range(1, 21)]
    with office_store.reading() as session:
        assert session.weather_records.get(office().id, record.id) == of_summary(record)
        assert session.weather_records.get(office().id, weather_record(2).id) is not None


def test_a_record_is_free_once_the_scenarios_that_used_it_are_erased(office_store):
    record = weather_record()
    with office_store.writing() as session:
        keep(session, record)
        session.weather_records.use(record.id, head().id)
    with office_store.writing() as session:
        session.scenarios.erase(head().id)
        assert list(session.weather_records.users(record.id, 9)) == []
        session.weather_records.delete(record.id)
    with office_store.reading() as session:
        assert session.weather_records.get(office().id, record.id) is None


def test_a_season_stands_once_in_a_classification(database):
    with database.writing() as session:
        session.weather_records.add(weather_record())
    twice = [weather_winter(), weather_winter()]
    with pytest.raises(DATABASE_ERRORS), database.writing() as session:
        session.weather_records.classify(classification(), twice)
