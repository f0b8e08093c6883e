"""Sweeps: what is asked for, what comes of it, and nobody else's.

On the store in memory and on SQLite; chunks are of a few rows, so that there are several.
"""

import pytest

from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.costing.result import costing_document
from service.scenarios import analyses, sweeps
from service.scenarios.errors import (
    TooLittleAccessError,
    TooManyJobsError,
    UnknownScenarioError,
    UnknownSweepError,
)
from service.scenarios.sweeps import start_sweep
from service.scenarios.working import work_on_next
from service.sweeps.records import FarmRow
from tests.support.asked_sweeps import (
    PATH,
    Watched,
    asked,
    farms,
    rows,
    small_chunks,
    standing,
    text,
)
from tests.support.databases import opened
from tests.support.desks import READER, STRANGER, WRITER, done, holder, kept, opened_desk
from tests.support.made_up_work import ASKED, made_up
from tests.support.offices import read, small_document


@pytest.fixture(params=["fake", "sqlite"])
def desk(request, tmp_path, monkeypatch):
    small_chunks(monkeypatch)
    if request.param == "fake":
        yield opened_desk()
        return
    with opened("sqlite", request, tmp_path) as database:
        yield opened_desk(store=database)


@pytest.fixture
def watched(monkeypatch):
    return Watched(monkeypatch)


def test_a_sweep_waits_and_is_worked_on_to_its_end(desk, watched):
    sweep = start_sweep(desk, WRITER, asked())
    assert (sweep.state, sweep.done, sweep.total) == ("queued", 0, 3)
    assert sweep.id.startswith("sw_")
    assert work_on_next(desk, "A")
    found = standing(desk, sweep)
    assert (found.state, found.done, found.failed_rows) == ("done", 3, 0)
    assert (found.attempts, found.worker, found.lease_until) == (1, None, None)
    assert found.finished_at == desk.now()
    assert watched.ran == [1, 2, 3]
    assert not work_on_next(desk, "A")


def test_each_row_is_the_costing_of_its_farm(desk):
    sweep = start_sweep(desk, WRITER, asked())
    work_on_next(desk, "A")
    table = rows(desk, sweep)
    document = small_document()
    assert len(table) == 7 * len(document["systems"]) == standing(desk, sweep).result_rows
    for number in (1, 4, 7):
        settings = {PATH: 60 + number}
        costing = costing_document(cost(read(with_settings(document, settings))))
        expected = {one["system"]: one["annual_equivalent_cost"] for one in costing["systems"]}
        own = [row for row in table if row["row"] == str(number)]
        assert {row["external_id"] for row in own} == {f"{number:04d}"}
        told = {row["system"]: float(row["annual_equivalent_cost"]) for row in own}
        assert told == pytest.approx(expected, rel=1e-9)


def test_what_is_small_is_done_at_once(desk):
    sweep = start_sweep(desk, WRITER, asked(2))
    assert (sweep.state, sweep.done, sweep.total) == ("done", 1, 1)
    assert standing(desk, sweep) == sweep
    assert len(rows(desk, sweep)) == sweep.result_rows > 0
    assert not work_on_next(desk, "A")


def test_without_farms_there_is_nothing_to_do(desk):
    sweep = start_sweep(desk, WRITER, asked(0))
    assert (sweep.state, sweep.total, sweep.result_rows) == ("done", 0, 0)
    assert text(desk, sweep) == ""


def test_the_rows_are_the_same_bytes_whether_done_at_once_or_by_a_worker(desk, monkeypatch):
    waited = start_sweep(desk, WRITER, asked())
    work_on_next(desk, "A")
    monkeypatch.setattr(sweeps, "QUICK_COSTINGS", 100)
    at_once = start_sweep(desk, WRITER, asked())
    assert at_once.state == "done"
    assert text(desk, at_once) == text(desk, waited)
    assert at_once.request_key == waited.request_key


def test_a_stored_scenario_is_the_base_at_the_revision_of_now(desk):
    scenario = kept(desk).head.id
    sweep = start_sweep(desk, WRITER, asked(2, document={}, scenario_id=scenario))
    assert (sweep.scenario_id, sweep.revision) == (scenario, 1)
    own = start_sweep(desk, WRITER, asked(2))
    assert text(desk, sweep) == text(desk, own)
    with desk.store.reading() as session:
        # A sweep is no question of the scenario.
        assert analyses.analyses(session, WRITER, scenario, None, 9) == []
        assert session.jobs.get(scenario, sweep.id) is None


def test_a_farm_that_cannot_be_costed_is_a_row_and_all_its_faults_are_told(desk):
    faulty = FarmRow("bad", {PATH: -5, "herd.cows.head": "many"})
    mixed = (*farms(3), faulty, *farms(2), faulty)
    sweep = start_sweep(desk, WRITER, asked(farms=mixed))
    work_on_next(desk, "A")
    found = standing(desk, sweep)
    assert (found.state, found.failed_rows) == ("done", 2)
    refused = [row for row in rows(desk, sweep) if row["status"] != "ok"]
    assert [(row["row"], row["status"], row["system"]) for row in refused] == [
        ("4", "refused", ""),
        ("7", "refused", ""),
    ]
    with desk.store.reading() as session:
        told = sweeps.problems(session, WRITER, sweep.id, 0, 9)
        assert [one["row"] for one in told] == [4, 7]
        assert {fault["input"] for fault in told[0]["faults"]} >= {PATH, "herd.cows.head"}
        assert refused[0]["problem"] == told[0]["faults"][0]["detail"]
        assert [one["row"] for one in sweeps.problems(session, WRITER, sweep.id, 0, 1)] == [4]
        assert [one["row"] for one in sweeps.problems(session, WRITER, sweep.id, 4, 9)] == [7]
        assert sweeps.problems(session, WRITER, sweep.id, 7, 9) == []


def test_everything_that_is_wrong_with_the_whole_is_told_at_once(desk):
    spoiled = small_document()
    spoiled["herd"]["cows"]["head"] = -1
    spoiled["hay"]["price_per_ton"] = "cheap"
    sent = asked(
        document=spoiled,
        farms=(FarmRow("x" * 101, {PATH: 80, "herd.cow.head": 3}),),
        vary={"hay.bale_wieght_lb": (1000,), "winter.weather_record": ("wr_1",)},
        figures=("anual_equivalent_cost",),
    )
    with pytest.raises(InputError) as refused:
        start_sweep(desk, WRITER, sent)
    told = {fault.input: fault for fault in refused.value.faults}
    assert told["herd.cow.head"].suggestion == "herd.cows.head"
    assert told["vary.hay.bale_wieght_lb"].suggestion == "hay.bale_weight_lb"
    assert told["figures"].suggestion == "annual_equivalent_cost"
    assert told["farms.1.external_id"].allowed == "1 to 100 characters"
    assert "the same for all farms" in told["vary.winter.weather_record"].detail
    assert "document.herd.cows.head" in told
    # Each farm gives its own price, so that what the base says of it does not matter.
    assert f"document.{PATH}" not in told
    assert done(desk) == []


def test_a_record_that_is_not_there_is_told_of_the_base(desk):
    unknown = small_document()
    unknown["winter"] = {"first_day": "12-01", "last_day": "04-10", "weather_record": "wr_9"}
    with pytest.raises(InputError) as refused:
        start_sweep(desk, WRITER, asked(document=unknown))
    assert refused.value.faults[0].input == "document.winter.weather_record"


def test_only_a_key_that_may_write_starts_one_and_links_see_none(desk):
    scenario = kept(desk).head.id
    sweep = start_sweep(desk, WRITER, asked(document={}, scenario_id=scenario))
    for who in (READER, holder(desk, scenario, "edit"), holder(desk, scenario, "read")):
        with pytest.raises(TooLittleAccessError):
            start_sweep(desk, who, asked())
        with pytest.raises(TooLittleAccessError):
            sweeps.cancel_sweep(desk, who, sweep.id)
        with pytest.raises(TooLittleAccessError):
            sweeps.forget_sweep(desk, who, sweep.id)
    with desk.store.reading() as session:
        assert sweeps.sweep_of(session, READER, sweep.id) == sweep
        with pytest.raises(TooLittleAccessError):
            sweeps.sweep_of(session, holder(desk, scenario, "edit"), sweep.id)


def test_another_office_finds_nothing(desk):
    sweep = start_sweep(desk, WRITER, asked())
    with desk.store.reading() as session:
        assert sweeps.sweeps_of(session, STRANGER, None, 9) == []
        with pytest.raises(UnknownSweepError):
            sweeps.sweep_of(session, STRANGER, sweep.id)
        with pytest.raises(UnknownSweepError):
            sweeps.problems(session, STRANGER, sweep.id, 0, 9)
    for act in (sweeps.cancel_sweep, sweeps.forget_sweep):
        with pytest.raises(UnknownSweepError):
            act(desk, STRANGER, sweep.id)
    with pytest.raises(UnknownScenarioError):
        start_sweep(desk, STRANGER, asked(document={}, scenario_id=kept(desk).head.id))
    assert standing(desk, sweep) == sweep


def test_too_much_of_an_office_does_not_wait(desk, monkeypatch):
    monkeypatch.setattr(sweeps, "MOST_WAITING", 2)
    start_sweep(desk, WRITER, asked())
    start_sweep(desk, WRITER, asked())
    with pytest.raises(TooManyJobsError):
        start_sweep(desk, WRITER, asked())
    assert start_sweep(desk, WRITER, asked(1)).state == "done"


def test_what_is_done_to_sweeps_is_written_down(desk):
    first, second = (start_sweep(desk, WRITER, asked()) for _ in range(2))
    sweeps.cancel_sweep(desk, WRITER, first.id)
    sweeps.forget_sweep(desk, WRITER, second.id)
    assert done(desk) == [
        ("sweep.create", first.id, None),
        ("sweep.create", second.id, None),
        ("sweep.cancel", first.id, None),
        ("sweep.delete", second.id, None),
    ]


def test_questions_and_sweeps_stand_in_one_queue(desk, monkeypatch):
    made_up(monkeypatch, total=5)
    scenario = kept(desk).head.id
    order = []
    first = start_sweep(desk, WRITER, asked())
    desk.now.forward(seconds=1)
    question, _ = analyses.ask(desk, WRITER, scenario, ASKED)
    desk.now.forward(seconds=1)
    second = start_sweep(desk, WRITER, asked())

    def states():
        with desk.store.reading() as session:
            asked_one = session.jobs.get(scenario, question.id)
        return [one.state for one in (standing(desk, first), asked_one, standing(desk, second))]

    for _ in range(3):
        assert work_on_next(desk, "A")
        order.append(states())
    assert order == [
        ["done", "queued", "queued"],
        ["done", "done", "queued"],
        ["done", "done", "done"],
    ]
