"""The ten questions: their words, what they fill, and what stands in where nobody is sure."""

import json
import re
from math import pi

import pytest

from service.costing.input_catalog import inputs
from service.costing.reference.table import ASSUMPTION, COMMON_PRACTICE, load_edition
from service.quick_start import questions
from service.quick_start.catalog import catalog, half_months
from service.quick_start.figures import stand_in, stand_ins

ASKED = [
    (
        "How many animals will you carry through the winter? Cows, heifers having a first calf,"
        " weaned calves you keep, bulls, ewes, rams. And is your usual cow small, middling or "
        "big?"
    ),
    "When does the first calf come, and when are most on the ground? And lambs?",
    "In an ordinary year, when do you start feeding hay and when does the grass take over?",
    (
        "Picture ten winter days where you feed. On how many is the ground frozen hard, under "
        "snow, firm, or too soft to drive across without leaving ruts?"
    ),
    (
        "Show me how you feed now. Pick the picture nearest: open ring on a lot; solid-bottom "
        "ring; ring with a cone; rolled out; set out and fenced; rack or bunk; pad; barn; "
        "grass. Same place each year?"
    ),
    (
        "What is your hay? Size of bale, about how many you have or will have, what one costs "
        "or would bring, and how it looked when cut: stemmy, ordinary, leafy. Kept in a barn, "
        "under a tarp, on rock, or on the grass?"
    ),
    (
        "Who feeds, with what, and how long on an ordinary winter day? How long on the worst "
        "kind of day?"
    ),
    (
        "Which ground could animals use in winter? For each: acres, drains well / middling / "
        "stays wet, yours or rented, and does it have water that does not freeze? Could you "
        "spare any of it from grazing from late summer on, and how many acres?"
    ),
    (
        "Last spring, how many acres had to be dragged, reseeded or stayed bare into May? And "
        "what is already built? Pad (paces by paces), barn, manure storage, waterers, feeders"
    ),
    (
        "What would make next winter better: less money, less time, drier animals, less mud on "
        "the farm, cleaner creek? And how much of your own or borrowed money would you put in? "
        "Would you still do it with no cost-share?"
    ),
]
"""The wording that was agreed on."""

BESIDE_THE_INPUTS = {"systems", "notes", "needs", "order"}
PLACEHOLDER = re.compile("<[a-z]+>")


def test_the_ten_questions_are_asked_in_the_words_agreed_on():
    assert [question["ask"] for question in questions()] == ASKED


def test_every_question_says_why_what_it_fills_and_what_is_taken_if_nobody_is_sure():
    for question in questions():
        assert question["why"].endswith(".")
        assert question["if_not_sure"][-1] in ".?"
        assert question["fills"]
        assert question["parts"]


def test_questions_are_ready_for_json():
    assert json.loads(json.dumps(questions())) == questions()


def parts():
    """Return every part with its question."""
    return [
        (f"{question.id}.{part.id}", part)
        for question in catalog().values()
        for part in (*question.parts, *(inner for outer in question.parts for inner in outer.parts))
    ]


EVERY_PART = pytest.mark.parametrize(
    "part", [part for _, part in parts()], ids=[name for name, _ in parts()]
)


@EVERY_PART
def test_what_a_part_fills_is_an_input_of_the_catalogue(part):
    known = ["[a-z_]+".join(map(re.escape, PLACEHOLDER.split(item.path))) for item in inputs()]
    for path in part.fills:
        concrete = PLACEHOLDER.sub("x", path)
        assert path in BESIDE_THE_INPUTS or any(re.fullmatch(one, concrete) for one in known), path


@EVERY_PART
def test_a_part_with_choices_has_words_for_each_and_a_number_has_a_unit(part):
    if part.kind in {"choice", "some", "yes_no", "half_month"}:
        assert len(set(part.keys)) == len(part.keys) > 1
        assert all(part.words.values())
    if part.kind in {"number", "days_of_ten"}:
        assert part.unit
        assert part.most is not None


def test_a_year_has_twenty_four_half_months():
    assert len(half_months()) == 24
    assert half_months()[4] == ("early_march", "early March")


@pytest.mark.parametrize("name", sorted(stand_ins()))
def test_what_stands_in_has_a_range_around_it_and_a_source_or_a_note(name):
    figure = stand_in(name)
    if figure.unit == "word":
        assert figure.said
    elif figure.unit == "date":
        assert figure.low != figure.usual != figure.high
    else:
        assert figure.low <= figure.usual <= figure.high
        assert figure.low < figure.high
    if figure.source in (ASSUMPTION, COMMON_PRACTICE):
        assert figure.note
    else:
        assert figure.source.author
        assert figure.where or figure.seen
    assert figure.meaning


def test_a_value_of_the_engine_is_not_written_down_a_second_time():
    edition = load_edition("2026.1")
    repeated = [figure for figure in stand_ins().values() if figure.name in edition.rows]
    assert repeated == []
    for figure in stand_ins().values():
        if figure.key is not None:
            assert figure.usual != edition.row(figure.key).usual


def test_the_days_of_ten_of_a_kind_of_winter_are_ten():
    for kind, _ in catalog()["ground"].part("type").choices:
        days = [stand_in(f"days_of_ten.{kind}.{part}").number for part in ("frozen", "snow")]
        days += [stand_in(f"days_of_ten.{kind}.{part}").number for part in ("firm", "soft")]
        assert sum(days) == pytest.approx(10)


@pytest.mark.parametrize(("size", "wide", "high"), [("4x4", 4, 4), ("4x5", 4, 5), ("5x6", 5, 6)])
def test_round_bales_weigh_as_their_volumes(size, wide, high):
    # Volume of a cylinder, pi / 4 x diameter squared x width; the 5x5 bale is the measure.
    volume = pi / 4 * high**2 * wide
    of_five = pi / 4 * 5**2 * 5
    weight = stand_in(f"bale_weight.round_{size}").number
    assert weight == pytest.approx(
        stand_in("bale_weight.round_5x5").number * volume / of_five, 0.01
    )


def test_the_wage_lies_between_those_of_the_states():
    # US Department of Labor, adverse effect wage rates of December 2024: 14.83 to 20.08.
    assert 14.83 <= stand_in("hour_worth").number <= 20.08


def test_the_price_of_hay_is_the_published_one_with_its_date():
    # USDA NASS, Agricultural Prices, January 2024, hay other than alfalfa: 171 a ton.
    figure = stand_in("hay_price")
    assert figure.usual == 171
    assert "2024" in figure.in_words
