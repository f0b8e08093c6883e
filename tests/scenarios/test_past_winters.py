"""Winters as they were: recorded, changed, and nothing lost."""

import json
from dataclasses import replace

import pytest

from service.costing.errors import InputError
from service.scenarios import errors
from service.scenarios.costings import costing_now
from service.scenarios.erasure import erase
from service.scenarios.keeping import copy, patch, put_in_bin, take_from_bin
from service.scenarios.past_winters import (
    MOST_WINTERS,
    SeasonError,
    facts_as_sent,
    record_winter,
    winter,
    winters,
)
from service.scenarios.records import PastWinter
from service.scenarios.tokens import new_token
from tests.support.desks import (
    ADMIN,
    READER,
    STRANGER,
    WRITER,
    done,
    holder,
    kept,
    opened_desk,
)
from tests.support.fake_store import FakeStore
from tests.support.offices import START, keep, past_winter

SEASON = "2025-26"
"""The farm's winter runs from 20 November to 5 April: 11 + 31 + 31 + 28 + 31 + 5 = 137 days."""


@pytest.fixture
def desk():
    return opened_desk()


@pytest.fixture
def scenario(desk):
    """Return a scenario of two revisions."""
    made = kept(desk)
    patch(desk, WRITER, made.head.id, 1, {"hay": {"price_per_ton": 131}})
    return made.head.id


def recorded(desk, scenario, facts, expected=None, who=WRITER, season=SEASON):
    return record_winter(desk, who, scenario, season, facts, expected)


def of(desk, scenario, who=READER, season=SEASON):
    with desk.store.reading() as session:
        return winter(session, who, scenario, season)


def every(desk, scenario, who=READER):
    with desk.store.reading() as session:
        return winters(session, who, scenario)


def test_a_winter_is_recorded_with_its_plan_and_author(desk, scenario):
    friend = holder(desk, scenario, "edit")
    made = recorded(desk, scenario, {"bales_fed": 300.0, "remark": "Wet.\nVery."}, who=friend)
    assert made == PastWinter(
        scenario_id=scenario,
        season=SEASON,
        version=1,
        planned_revision=2,
        system=costing_now(desk, WRITER, scenario, 2).best_system,
        facts='{"bales_fed":300,"remark":"Wet.\\nVery."}',
        author_id=friend.credential_id,
        author_label="edit link",
        created_at=START,
        updated_at=START,
    )
    assert of(desk, scenario) == made
    assert done(desk)[-1] == ("winter.record", scenario, 2)


def test_nothing_known_may_be_recorded(desk, scenario):
    assert recorded(desk, scenario, {}).facts == "{}"


def test_what_is_said_to_be_nothing_is_not_kept(desk, scenario):
    facts = {"bales_fed": None, "prices": {"hay_per_ton": None}, "fuel_gallon": 90}
    made = recorded(desk, scenario, facts)
    assert json.loads(made.facts) == {"prices": {}, "fuel_gallon": 90}


def test_a_system_and_a_plan_that_are_named_are_kept_beside_the_facts(desk, scenario):
    made = recorded(desk, scenario, {"system": "barn", "planned_revision": 1, "bedding_ton": 40})
    assert (made.system, made.planned_revision) == ("barn", 1)
    assert facts_as_sent(made) == {"bedding_ton": 40}


def test_a_change_takes_the_place_of_all_facts_and_keeps_the_plan(desk, scenario):
    first = recorded(desk, scenario, {"system": "barn", "planned_revision": 1, "bedding_ton": 40})
    patch(desk, WRITER, scenario, 2, {"hay": {"price_per_ton": 140}})
    later = desk.now.forward(days=3)
    second = recorded(desk, scenario, {"fuel_gallon": 90}, 1, ADMIN)
    assert second == replace(
        first,
        version=2,
        facts='{"fuel_gallon":90}',
        author_id=ADMIN.credential_id,
        author_label=ADMIN.label,
        updated_at=later,
    )
    assert of(desk, scenario) == second
    assert done(desk)[-1] == ("winter.change", scenario, 1)


@pytest.mark.parametrize("expected", [2, 0, "new"])
def test_a_stale_version_is_refused_and_says_what_stands(desk, scenario, expected):
    stands = recorded(desk, scenario, {"bales_fed": 300, "fuel_gallon": 90})
    with pytest.raises(errors.StaleWinterError) as refusal:
        recorded(desk, scenario, {"bales_fed": 310, "system": "barn"}, expected)
    assert (refusal.value.current, refusal.value.season) == (1, SEASON)
    assert sorted(refusal.value.differing) == [
        ("bales_fed", 300, 310),
        ("fuel_gallon", 90, None),
        ("system", stands.system, "barn"),
    ]
    assert of(desk, scenario) == stands


def test_whoever_has_read_nothing_changes_nothing(desk, scenario):
    stands = recorded(desk, scenario, {"bales_fed": 300})
    with pytest.raises(errors.UnreadWinterError) as refusal:
        recorded(desk, scenario, {"bales_fed": 310})
    assert refusal.value.current == 1
    assert of(desk, scenario) == stands


def test_a_version_of_a_winter_that_is_not_recorded_is_stale(desk, scenario):
    with pytest.raises(errors.StaleWinterError) as refusal:
        recorded(desk, scenario, {"bales_fed": 300}, 1)
    assert refusal.value.current is None
    assert every(desk, scenario) == []


def test_the_repeat_of_a_record_changes_nothing_whatever_was_read(desk, scenario):
    facts = {"bales_fed": 300, "prices": {"hay_per_ton": 95}}
    recorded(desk, scenario, facts)
    stands = recorded(desk, scenario, {**facts, "fuel_gallon": 90}, 1)
    audit, desk_written = done(desk), desk.store.written
    desk.now.forward(hours=1)
    again = {"fuel_gallon": 90.0, "prices": {"hay_per_ton": 95}, "bales_fed": 300}
    for expected in (None, 1, 2, 7):
        assert recorded(desk, scenario, again, expected) == stands
    assert (done(desk), desk.store.written) == (audit, desk_written)
    with pytest.raises(errors.StaleWinterError):
        recorded(desk, scenario, again, "new")


def test_then_is_called_before_the_commit_and_for_a_repeat(desk, scenario):
    told = []

    def then(session, made):
        told.append((session.past_winters.get(scenario, SEASON), made))

    for _ in range(2):
        record_winter(desk, WRITER, scenario, SEASON, {"bales_fed": 1}, None, then)
    stands = of(desk, scenario)
    assert told == [(stands, stands)] * 2


def test_what_then_refuses_is_not_recorded(desk, scenario):
    def then(_session, _made):
        raise errors.KeyInFlightError

    with pytest.raises(errors.KeyInFlightError):
        record_winter(desk, WRITER, scenario, SEASON, {"bales_fed": 1}, None, then)
    assert every(desk, scenario) == []


class Interrupted(FakeStore):
    """Lets somebody in between the reading and the writing of a session."""

    def __init__(self):
        super().__init__()
        self.meanwhile = None

    def writing(self):
        """Let whoever waits write first."""
        act, self.meanwhile = self.meanwhile, None
        if act is not None:
            act()
        return super().writing()


@pytest.mark.parametrize("stands_before", [False, True])
def test_what_another_records_meanwhile_is_not_written_over(stands_before):
    store = Interrupted()
    desk = opened_desk(store=store)
    scenario = kept(desk).head.id
    expected = recorded(desk, scenario, {"system": "barn"}).version if stands_before else None
    facts = {"system": "barn", "fuel_gallon": 90}
    store.meanwhile = lambda: recorded(desk, scenario, facts, expected)
    error = errors.StaleWinterError if stands_before else errors.UnreadWinterError
    with pytest.raises(error):
        recorded(desk, scenario, {"system": "barn", "fuel_gallon": 80}, expected)
    assert facts_as_sent(of(desk, scenario)) == {"fuel_gallon": 90}


def test_two_who_record_the_same_at_once_are_answered_alike():
    store = Interrupted()
    desk = opened_desk(store=store)
    scenario = kept(desk).head.id
    facts = {"system": "barn", "fuel_gallon": 90}
    store.meanwhile = lambda: recorded(desk, scenario, facts)
    assert recorded(desk, scenario, facts) == of(desk, scenario)
    assert of(desk, scenario).version == 1


def faults_of(desk, scenario, facts, **more):
    with pytest.raises(InputError) as refusal:
        recorded(desk, scenario, facts, **more)
    return {fault.input: fault for fault in refusal.value.faults}


def test_every_fault_is_told_at_once_and_nothing_is_kept(desk, scenario):
    faults = faults_of(
        desk,
        scenario,
        {
            "bales_fet": 1,
            "fuel_gallon": -1,
            "planned_revision": 3,
            "bales_fed": 99_000,
            "ground_days": {"wet": 100},
            "animals_lost": {"cow": 1},
            "remark": f"It is at /s/{new_token('read_link')}",
            "worst_weeks": "a bell \x07",
        },
    )
    assert set(faults) == {
        "bales_fet",
        "fuel_gallon",
        "planned_revision",
        "bales_fed",
        "ground_days",
        "animals_lost.cow",
        "remark",
        "worst_weeks",
    }
    assert faults["bales_fet"].suggestion == "bales_fed"
    assert faults["animals_lost.cow"].suggestion == "cows"
    assert every(desk, scenario) == []


def test_a_fault_in_a_part_does_not_cast_doubt_on_others(desk, scenario):
    faults = faults_of(
        desk, scenario, {"ground_days": {"wet": 400, "firm": 3}, "bales_fed": 99_000}
    )
    assert set(faults) == {"ground_days.wet", "bales_fed"}


def test_steps_are_not_held_against_a_system_that_cannot_be_read(desk, scenario):
    faults = faults_of(desk, scenario, {"system": "The Barn", "days_by_method": {"barn": 3}})
    assert set(faults) == {"system"}


def test_a_system_is_one_of_the_plan(desk, scenario):
    [(path, fault)] = faults_of(desk, scenario, {"system": "bern"}).items()
    assert (path, fault.suggestion) == ("system", "barn")


@pytest.mark.parametrize("name", ["2025", "2025-27", "25-26", "", "2025-26 ", "\0", "1800-01"])
def test_a_season_is_called_by_its_years(desk, scenario, name):
    with pytest.raises(SeasonError) as refusal:
        recorded(desk, scenario, {}, season=name)
    assert [fault.input for fault in refusal.value.faults] == ["season"]
    assert every(desk, scenario) == []


@pytest.mark.parametrize("facts", [[], None, 3, "x"])
def test_what_are_no_facts_is_refused(desk, scenario, facts):
    assert set(faults_of(desk, scenario, facts)) == {""}


def test_a_plan_that_the_engine_of_now_cannot_read_is_not_planned_with(desk, scenario):
    def forgetful(_document):
        raise InputError([])

    later = replace(desk, read=forgetful)
    assert set(faults_of(later, scenario, {"bales_fed": 1})) == {"planned_revision"}


def test_winters_are_listed_by_season(desk, scenario):
    made = [
        recorded(desk, scenario, {}, season=season) for season in ("2025-26", "1999-00", "2014-15")
    ]
    recorded(desk, kept(desk).head.id, {}, season="2001-02")
    assert every(desk, scenario) == [made[1], made[2], made[0]]


def test_a_scenario_has_at_most_200_winters(desk, scenario):
    with desk.store.writing() as session:
        for year in range(1900, 1900 + MOST_WINTERS):
            keep(session, replace(past_winter(str(year)), scenario_id=scenario, system="barn"))
    with pytest.raises(errors.TooManyWintersError):
        recorded(desk, scenario, {})
    assert len(every(desk, scenario)) == MOST_WINTERS


def test_winters_are_recorded_by_whoever_may_change_the_scenario(desk, scenario):
    for who, error in (
        (READER, errors.TooLittleAccessError),
        (holder(desk, scenario, "read"), errors.TooLittleAccessError),
        (STRANGER, errors.UnknownScenarioError),
        (holder(desk, kept(desk).head.id, "edit"), errors.UnknownScenarioError),
    ):
        with pytest.raises(error):
            recorded(desk, scenario, {}, who=who)
    recorded(desk, scenario, {})
    assert of(desk, scenario, holder(desk, scenario, "read")).version == 1
    with pytest.raises(errors.UnknownScenarioError):
        of(desk, scenario, STRANGER)
    with pytest.raises(errors.UnknownScenarioError):
        every(desk, scenario, STRANGER)


@pytest.mark.parametrize("season", ["2024-25", "x", "\0", "\ud800"])
def test_a_winter_that_is_not_recorded_is_an_unknown_part(desk, scenario, season):
    with pytest.raises(errors.UnknownPartError):
        of(desk, scenario, season=season)


def test_the_bin_hides_winters_and_gives_them_back(desk, scenario):
    made = recorded(desk, scenario, {"fuel_gallon": 90})
    put_in_bin(desk, WRITER, scenario, 2)
    with pytest.raises(errors.BinnedError):
        of(desk, scenario)
    with pytest.raises(errors.BinnedError):
        every(desk, scenario)
    with pytest.raises(errors.BinnedError):
        recorded(desk, scenario, {}, 1)
    take_from_bin(desk, WRITER, scenario)
    assert every(desk, scenario) == [made]


def test_an_erasure_takes_winters_along_and_counts_them(desk, scenario):
    for season in ("2024-25", "2025-26"):
        recorded(desk, scenario, {"remark": "Marjoram Bottom"}, season=season)
    assert erase(desk, ADMIN, scenario).counts.winters == 2
    assert desk.store.tables.past_winters == {}


def test_a_copy_takes_no_winters_along(desk, scenario):
    recorded(desk, scenario, {})
    other = copy(desk, WRITER, scenario, None, {}, None, None).head.id
    assert every(desk, other) == []
    assert len(every(desk, scenario)) == 1
