"""That every reference value is graded once, and that what is shown is what is worked now.

Figures of the tables that the hand sum uses are named in it; it rests on no publication.
"""

from typing import Any

import pytest

from service.costing.reference.ranges import load_ranges
from service.costing.reference.table import load_edition, newest_edition
from service.trust.review_records import (
    DOUBTFUL,
    GRADES,
    TEN,
    Review,
    reference_review,
    ten_values,
    to_json,
)
from tests.validation.reference_review import farm_documents, grade_of, review, thing_of

NO_WAY_IN_THE_EDITION = {"energy.extra_intake_limit"}
"""The paragraph alone tells how to come near it: it takes two weeks and a scale."""


@pytest.fixture(scope="module")
def now() -> Review:
    return review()


def leaves(row: Any, path: str = "") -> dict[str, Any]:
    """Return what a JSON document holds, by path."""
    if isinstance(row, dict):
        inside = row.items()
    elif isinstance(row, list | tuple):
        inside = enumerate(row)
    else:
        return {path: row}
    found = {f"{path}/": type(row) is dict}
    for name, member in inside:
        found |= leaves(member, f"{path}/{name}")
    return found


def test_what_is_shown_is_what_is_worked_now(now):
    worked, shown = leaves(to_json(now)), leaves(to_json(reference_review()))

    assert worked.keys() == shown.keys()
    for path, value in worked.items():
        if isinstance(value, float) and not path.startswith("/values/"):
            assert value == pytest.approx(shown[path], rel=1e-6, abs=1e-9), path
        else:
            assert value == shown[path], path


def test_each_value_of_the_edition_is_in_the_list_once():
    edition = load_edition(newest_edition())
    shown = reference_review()
    keys = [value.key for value in shown.values]

    assert shown.edition == edition.name
    assert len(keys) == len(set(keys))
    assert set(keys) == set(edition.rows)
    for value in shown.values:
        row = edition.rows[value.key]
        assert (value.unit, value.low, value.usual, value.high, value.find_out) == (
            row.unit,
            row.low,
            row.usual,
            row.high,
            row.find_out,
        )
        assert value.source == edition.sources[row.source].in_words
        assert value.grade == grade_of(edition.sources[row.source], seen=row.seen)


def test_each_range_of_a_given_figure_is_in_the_list_once():
    paths = [figure.path for figure in reference_review().own_figures]

    assert sorted(paths) == sorted(load_ranges(newest_edition()).rows)


def test_what_the_tables_call_unverified_is_graded_from_memory():
    rows = load_edition(newest_edition()).rows

    for value in reference_review().values:
        assert (value.grade == "from_memory") == rows[value.key].unverified


def test_grades_go_from_the_best_to_the_worst_and_all_are_used():
    shown = reference_review()

    assert list(GRADES)[-3:] == list(DOUBTFUL)
    assert all(shown.count(grade) for grade in GRADES)
    assert sum(shown.count(grade) for grade in GRADES) == len(shown.values)


def test_each_doubtful_value_is_moved_or_said_why_not():
    shown = reference_review()
    moved = [move.what for move in shown.moves]
    listed = [*moved, *shown.without_room, *shown.unused]
    doubtful = [value.key for value in shown.values if value.grade in DOUBTFUL]

    assert sorted(listed) == sorted(doubtful)
    assert sorted(key for thing in shown.things for key in thing.values) == sorted(moved)
    for value in shown.values:
        if value.grade in DOUBTFUL:
            assert value.has_room != (value.key in shown.without_room)


def test_those_that_move_a_farm_most_stand_first():
    shown = reference_review()

    for moves in (shown.moves, shown.own_moves, [thing.move for thing in shown.things]):
        sizes = [move.largest for move in moves]
        assert sizes == sorted(sizes, reverse=True)
    assert {farm.key for farm in shown.farms} == set(farm_documents())


def test_the_ten_have_a_paragraph_each_and_nothing_else_has():
    shown = reference_review()

    assert {thing.move.what for thing in shown.ten} == set(ten_values())
    assert len(shown.ten) == TEN
    assert len({said.title for said in ten_values().values()}) == TEN
    for said in ten_values().values():
        assert all((said.known, said.range, said.settled_by, said.measure))


def test_the_edition_too_tells_how_a_farm_measures_the_ten():
    values = {value.key: value for value in reference_review().values}
    silent = {
        thing.move.what
        for thing in reference_review().ten
        if not any(values[key].find_out for key in thing.values)
    }

    assert silent == NO_WAY_IN_THE_EDITION


@pytest.mark.parametrize(
    ("key", "thing"),
    [
        ("work.sacrifice_lot.look_round.person_minutes", "work.*.look_round.*"),
        ("work.sacrifice_lot.look_round.per", "work.*.look_round.*"),
        ("trampling.severity.bale_grazing.poor.wet", "trampling.severity.bale_grazing.*.*"),
        ("hay_waste.ring_open", "hay_waste.ring_open"),
        ("hay_waste_added.ring_open.wet", "hay_waste_added.ring_open.*"),
        ("nutrient.in_hay_lb_per_ton_dm.k2o", "nutrient.in_hay_lb_per_ton_dm.*"),
        ("space.gravel_pad.ewe", "space.gravel_pad.*"),
        ("structure.gravel_pad.life_years", "structure.gravel_pad.life_years"),
    ],
)
def test_what_one_look_would_settle_is_one_thing(key, thing):
    assert thing_of(key) == thing


def test_a_round_that_is_longer_moves_the_flock_by_its_wages():
    # Thimble Creek keeps its ewes on the lot for all 137 days, its other system never. A round is
    # 8 to 40 minutes by the tables, an hour is worth 18: 137 x 32 / 60 x 18 = 1,315 a year.
    shown = reference_review()
    flock = next(farm for farm in shown.farms if farm.key == "thimble_creek_flock")
    key = "work.sacrifice_lot.look_round.person_minutes"
    move = next(move for move in shown.moves if move.what == key)

    assert move.shares["thimble_creek_flock"] * flock.cost == pytest.approx(1315.2)
    # Longer by 20 minutes it is dearer by 822, and the lead of the lot is less than that.
    assert flock.lead < 137 * 20 / 60 * 18
    assert "thimble_creek_flock" in move.turns


def test_rounds_that_are_all_off_alike_move_nothing():
    # Each system of the flock has one round a day, so the same minutes more in both cancel.
    rounds = next(
        thing for thing in reference_review().ten if thing.move.what == "work.*.look_round.*"
    )

    assert rounds.together["thimble_creek_flock"] == pytest.approx(0, abs=1e-9)
    assert rounds.move.shares["thimble_creek_flock"] > 0.1


def test_what_a_farm_gives_itself_is_not_moved_there():
    given = farm_documents()["whetstone_hollow"]["assumptions"]

    for move in reference_review().moves:
        if move.what in given:
            assert "whetstone_hollow" not in move.shares


def test_an_end_that_leaves_animals_unfed_does_not_count():
    # The flock's pad is 700 sq ft; at the high of 40 sq ft a ewe it would take 1,360.
    room = next(move for move in reference_review().moves if move.what == "space.gravel_pad.ewe")

    assert 34 * 40 > 700
    assert room.unfed == ("thimble_creek_flock",)
