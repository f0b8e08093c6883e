"""Stored costings: made on first reading, one for each revision, engine and edition."""

import gzip
import json
from dataclasses import replace

import numpy as np
import pytest

from service.costing.document import content_key
from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.costing.result import ENGINE_VERSION
from service.scenarios.costings import (
    body_of,
    costing_now,
    costings,
    moved,
    note_opened,
    opened,
    packed,
)
from service.scenarios.errors import BinnedError, UnknownPartError, UnknownScenarioError
from service.scenarios.keeping import put_in_bin
from tests.scenarios.kept_farms import NAMES, TOKENS, costed, farm, kept_with, opened_desk, stranger
from tests.support import offices

ANOTHER_ENGINE = "99.0.0"


@pytest.fixture
def front():
    """Return a desk, a caller and the id of a scenario with two revisions."""
    desk, caller = opened_desk()
    first = farm("worked_farm")
    second = with_settings(first, {"prices.labor_per_hour": 40})
    return desk, caller, kept_with(desk, caller, first, second)


def kept_costings(desk, caller, scenario, revision=None):
    with desk.store.reading() as session:
        return costings(session, caller, scenario, revision, None, 50)


@pytest.mark.parametrize("name", ["demo", *NAMES])
def test_the_body_is_the_answer_to_the_document_with_the_id_of_what_is_stored(name):
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, farm(name))
    costing = costing_now(desk, caller, scenario)
    with desk.store.reading() as session:
        document = json.loads(session.scenarios.revision(scenario, 1).document)
    expected = costed(document) | {"id": costing.id}
    assert body_of(costing) == expected
    best = next(s for s in expected["systems"] if s["system"] == expected["best_system"])
    assert costing.id.startswith("ct_")
    assert costing.scenario_id == scenario
    assert costing.content_key == expected["content_key"]
    assert costing.best_system == expected["best_system"]
    assert costing.annual_equivalent_cost == best["annual_equivalent_cost"]
    assert costing.currency == expected["currency"]
    assert costing.engine_version == ENGINE_VERSION
    assert costing.reference_edition == expected["reference_edition"]


def test_a_costing_is_made_once_and_read_from_then_on(front):
    desk, caller, scenario = front
    reads = []
    counting = replace(desk, read=lambda document: reads.append(1) or desk.read(document))
    first = costing_now(counting, caller, scenario)
    assert costing_now(counting, caller, scenario) == first
    assert len(reads) == 1
    assert [one.id for one in kept_costings(desk, caller, scenario)] == [first.id]


def test_each_revision_has_its_own_and_the_newest_is_the_usual_one(front):
    desk, caller, scenario = front
    newest, first = costing_now(desk, caller, scenario), costing_now(desk, caller, scenario, 1)
    assert (newest.revision, first.revision) == (2, 1)
    assert costing_now(desk, caller, scenario, 2) == newest
    assert newest.annual_equivalent_cost > first.annual_equivalent_cost  # dearer labor
    assert [one.id for one in kept_costings(desk, caller, scenario, 1)] == [first.id]


def test_one_that_is_not_to_be_kept_leaves_no_trace(front):
    desk, caller, scenario = front
    costing = costing_now(desk, caller, scenario, keep=False)
    assert costing.id == ""
    assert body_of(costing)["id"] is None
    assert kept_costings(desk, caller, scenario) == []
    kept = costing_now(desk, caller, scenario)
    assert costing_now(desk, caller, scenario, keep=False) == kept


def test_another_engine_makes_another_costing_and_the_older_one_stands(front):
    desk, caller, scenario = front
    older = costing_now(desk, caller, scenario)
    newer_desk = replace(desk, engine_version=ANOTHER_ENGINE)
    newer = costing_now(newer_desk, caller, scenario)
    assert newer.id != older.id
    body = body_of(newer)
    assert body["engine_version"] == newer.engine_version == ANOTHER_ENGINE
    assert body["content_key"] == content_key(body["inputs_used"], ANOTHER_ENGINE)
    assert body["content_key"] != older.content_key
    with desk.store.reading() as session:
        assert opened(session, desk, TOKENS[1], scenario, older.id)[1] == older
    assert len(kept_costings(desk, caller, scenario)) == 2


def test_it_says_what_has_moved(front):
    desk, caller, scenario = front
    costing = replace(costing_now(desk, caller, scenario), reference_edition="2026.1")
    assert moved(replace(desk, newest_edition=lambda: "2026.1"), costing) == {}
    later = replace(desk, engine_version=ANOTHER_ENGINE, newest_edition=lambda: "2027.1")
    assert moved(later, costing) == {
        "engine_version": {"then": ENGINE_VERSION, "now": ANOTHER_ENGINE},
        "reference_edition": {"then": "2026.1", "now": "2027.1"},
    }


def test_a_farm_that_takes_nothing_from_the_editions_is_not_touched_by_a_new_one(front):
    desk, caller, scenario = front
    costing = costing_now(desk, caller, scenario)
    assert costing.reference_edition == "none"
    assert moved(replace(desk, newest_edition=lambda: "2027.1"), costing) == {}


def test_of_two_made_at_once_the_first_is_kept(front):
    desk, caller, scenario = front
    costing_now(desk, caller, scenario)
    late = []

    def read(document):
        """Let somebody else be quicker while this one is at work."""
        if not late:
            late.append(1)
            late.append(costing_now(replace(desk, engine_version="2"), caller, scenario))
        return desk.read(document)

    mine = costing_now(replace(desk, engine_version="2", read=read), caller, scenario)
    assert mine == late[1]
    assert len(kept_costings(desk, caller, scenario)) == 2


def test_the_day_of_opening_is_noted_once_a_day(front):
    desk, caller, scenario = front

    def opened_on():
        [one] = kept_costings(desk, caller, scenario)
        return one.opened_on

    first = costing_now(desk, caller, scenario)
    assert opened_on() == offices.DAY
    desk.now.forward(days=2)
    assert costing_now(desk, caller, scenario, keep=False) == first
    assert opened_on() == offices.DAY
    costing_now(desk, caller, scenario)
    assert opened_on() == desk.now().date()
    writes = []
    watched = replace(desk, store=Watched(desk.store, writes))
    note_opened(watched, costing_now(watched, caller, scenario))
    assert writes == []


class Watched:
    """A store that notes when it is written to."""

    def __init__(self, store, writes):
        self.reading = store.reading
        self.store = store
        self.writes = writes

    def writing(self):
        """Note it, and open what writes."""
        self.writes.append(1)
        return self.store.writing()


def test_a_revision_that_cannot_be_costed_is_refused_and_nothing_is_kept():
    desk, caller = opened_desk()
    crowded = with_settings(farm("demo"), {"herd.cows.head": 90})
    scenario = kept_with(desk, caller, crowded)
    with pytest.raises(InputError, match="nowhere to feed"):
        costing_now(desk, caller, scenario)
    assert kept_costings(desk, caller, scenario) == []


def test_what_is_not_there_or_not_seen_is_not_costed(front):
    desk, caller, scenario = front
    costing = costing_now(desk, caller, scenario)
    with desk.store.reading() as session:
        with pytest.raises(UnknownPartError):
            opened(session, desk, TOKENS[1], scenario, "ct_0")
        with pytest.raises(UnknownScenarioError):
            opened(session, desk, TOKENS[2], scenario, costing.id)
        with pytest.raises(UnknownScenarioError):
            costings(session, stranger(), scenario, None, None, 50)
    with pytest.raises(UnknownScenarioError):
        costing_now(desk, stranger(), scenario)
    for number in (0, 3):
        with pytest.raises(UnknownPartError):
            costing_now(desk, caller, scenario, number)
    put_in_bin(desk, caller, scenario, 2)
    with pytest.raises(BinnedError):
        costing_now(desk, caller, scenario)


def test_a_costing_of_another_scenario_is_not_found(front):
    desk, caller, scenario = front
    costing = costing_now(desk, caller, scenario)
    second = kept_with(desk, caller, farm("worked_farm_rows"))
    with desk.store.reading() as session, pytest.raises(UnknownPartError):
        opened(session, desk, TOKENS[1], second, costing.id)


def test_a_scenario_binned_while_it_is_costed_keeps_no_costing(front):
    desk, caller, scenario = front

    def read(document):
        put_in_bin(desk, caller, scenario, 2)
        return desk.read(document)

    with pytest.raises(BinnedError):
        costing_now(replace(desk, read=read), caller, scenario)


def test_pages_of_costings_come_newest_first(front):
    desk, caller, scenario = front
    made = []
    for number in (1, 2):
        made.append(costing_now(desk, caller, scenario, number).id)
        desk.now.forward(minutes=1)
    with desk.store.reading() as session:
        [newest] = costings(session, caller, scenario, None, None, 1)
        [oldest] = costings(session, caller, scenario, None, newest.id, 1)
    assert [oldest.id, newest.id] == made


def test_an_answer_is_packed_the_same_each_time_and_numbers_of_numpy_as_plain_ones():
    body = {"name": "Söll", "days": np.arange(3), "head": np.int64(7), "yes": np.bool_(True)}  # noqa: FBT003 - a value
    assert packed(body) == packed(dict(body))
    text = gzip.decompress(packed(body)).decode()
    assert text == '{"name":"Söll","days":[0,1,2],"head":7,"yes":true}'


def test_what_json_has_no_word_for_is_refused():
    with pytest.raises(ValueError, match="JSON"):
        packed({"cost": float("nan")})
    with pytest.raises(TypeError, match="set has no place"):
        packed({"cost": {1, 2}})
