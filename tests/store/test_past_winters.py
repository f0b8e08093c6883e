"""Winters as they were, on every store."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.scenarios.errors import UnknownScenarioError
from tests.support.changing import together
from tests.support.databases import DATABASES, opened
from tests.support.offices import (
    START,
    advanced,
    furnish,
    head,
    keep,
    numbered,
    past_winter,
    revision,
)

WRITERS = 8


def test_a_winter_comes_back_as_it_was_kept(office_store):
    kept = past_winter(
        version=3,
        planned_revision=7,
        facts='{"remark":"牧 \N{SNOWFLAKE} \\u0000"}',
        author_label="phone · 牧",
        updated_at=START + timedelta(milliseconds=1),
    )
    with office_store.writing() as session:
        assert session.past_winters.add(kept)
    with office_store.reading() as session:
        assert session.past_winters.get(head().id, kept.season) == kept


def test_a_winter_is_found_by_its_scenario_and_season_alone(office_store):
    with office_store.writing() as session:
        keep(session, head(2), past_winter())
    with office_store.reading() as session:
        assert session.past_winters.get(head(2).id, past_winter().season) is None
        assert session.past_winters.get(head().id, "2024-25") is None
        assert session.past_winters.get(head().id, "x" * 500) is None


def test_winters_are_listed_by_season_the_oldest_first(office_store):
    # A season within one year stands before the one that begins in the same year.
    seasons = ["1999-00", "2024-25", "2025", "2025-26", "2026"]
    with office_store.writing() as session:
        keep(session, head(2), past_winter("2020-21", head(2)))
        keep(session, *(past_winter(season) for season in reversed(seasons)))
    with office_store.reading() as session:
        assert [one.season for one in session.past_winters.every(head().id)] == seasons
        assert session.past_winters.count(head().id) == len(seasons)
        assert session.past_winters.count(head(2).id) == 1
        assert list(session.past_winters.every(head(3).id)) == []
        assert session.past_winters.count(head(3).id) == 0


def test_a_season_is_added_once(office_store):
    with office_store.writing() as session:
        assert session.past_winters.add(past_winter())
        assert not session.past_winters.add(past_winter(facts='{"bales_fed":9}'))
    with office_store.writing() as session:
        assert not session.past_winters.add(past_winter(facts='{"bales_fed":9}'))
    with office_store.reading() as session:
        assert session.past_winters.get(head().id, past_winter().season) == past_winter()


def test_a_version_takes_the_place_of_the_one_before(office_store):
    later = START + timedelta(days=1)
    second = past_winter(
        version=2,
        planned_revision=4,
        system="barn",
        facts="{}",
        author_id=numbered("ky", 2),
        author_label="phone",
        created_at=later,
        updated_at=later,
    )
    with office_store.writing() as session:
        keep(session, past_winter(), past_winter("2024-25"))
        assert session.past_winters.change(second)
        assert not session.past_winters.change(second)
    with office_store.reading() as session:
        kept = session.past_winters.get(head().id, second.season)
        assert kept == replace(second, created_at=START)
        assert session.past_winters.get(head().id, "2024-25") == past_winter("2024-25")


@pytest.mark.parametrize("version", [1, 3])
def test_only_the_next_version_takes_the_place(office_store, version):
    with office_store.writing() as session:
        keep(session, past_winter())
        assert not session.past_winters.change(past_winter(version=version, facts="{}"))
        assert not session.past_winters.change(past_winter("2024-25", version=2))
    with office_store.reading() as session:
        assert list(session.past_winters.every(head().id)) == [past_winter()]


def test_a_winter_belongs_to_a_scenario_that_there_is(office_store):
    with pytest.raises(UnknownScenarioError), office_store.writing() as session:
        session.past_winters.add(past_winter(of=head(9)))


def test_winters_go_with_their_scenario_and_are_counted(office_store):
    with office_store.writing() as session:
        keep(session, head(2), past_winter("2026", head(2)))
        keep(session, past_winter("2024-25"), past_winter("2025-26"))
    with office_store.writing() as session:
        assert session.scenarios.erase(head().id).winters == 2
    with office_store.reading() as session:
        assert list(session.past_winters.every(head().id)) == []
        assert session.past_winters.count(head(2).id) == 1


def test_winters_stay_with_their_plan_when_the_scenario_moves_on(office_store):
    second = advanced(head())
    with office_store.writing() as session:
        keep(session, past_winter())
        assert session.scenarios.advance(second, revision(second))
    with office_store.reading() as session:
        assert session.past_winters.get(head().id, "2025-26") == past_winter()


@pytest.fixture(params=DATABASES)
def wide(request, tmp_path):
    """Return a furnished database with a connection for each writer."""
    with opened(request.param, request, tmp_path, threads=WRITERS) as database:
        furnish(database)
        yield database


def test_of_many_who_record_or_change_a_winter_at_once_one_does(wide):
    def written(act):
        with wide.writing() as session:
            return act(session.past_winters)

    for act in (
        lambda number: lambda winters: winters.add(past_winter(system=f"by_{number}")),
        lambda number: (
            lambda winters: winters.change(past_winter(version=2, system=f"by_{number}"))
        ),
    ):
        acts = [lambda number=number, act=act: written(act(number)) for number in range(WRITERS)]
        assert sorted(together(acts)) == [False] * (WRITERS - 1) + [True]


def test_whoever_counts_in_order_to_add_waits_for_the_one_before(wide):
    def one(number):
        with wide.writing() as session:
            if session.past_winters.count(head().id) < 3:
                session.past_winters.add(past_winter(f"20{number:02d}"))

    together([lambda number=number: one(number) for number in range(WRITERS)])
    with wide.reading() as session:
        assert session.past_winters.count(head().id) == 3
