"""The three guesses that could change the answer, each held against a costing of its own."""

import pytest

from service.costing.engine import cost
from service.costing.overrides import with_settings
from service.costing.swings import by_rank, scores_by_draw
from service.quick_start import filled, three_guesses
from service.quick_start.ends import at_end
from service.web.reading import scenario_of
from tests.quick_start.answering import WHETSTONE

FARMS = {
    "nothing": {},
    "some": {"animals": {"cows": 40}, "land": {"fields": [{"acres": 40, "drains": "well"}]}},
    "all": WHETSTONE,
}


def scores(document, order):
    """Return what each system is ranked by."""
    return scores_by_draw(cost(scenario_of(document)), order, 1)[:, 0].tolist()


@pytest.fixture(params=FARMS, name="found")
def _found(request):
    quick_start = filled(FARMS[request.param], scenario_of)
    return quick_start, three_guesses(quick_start, scenario_of)


def test_three_are_named_with_a_way_to_find_out(found):
    _, three = found
    assert len(three) == 3
    assert all(row["find_out"] for row in three)
    assert all(row["low"] != row["high"] for row in three)


def test_those_that_change_the_first_place_come_first_then_the_largest_lead(found):
    _, three = found
    weights = [
        (not row["changes_best"], -abs(row["lead_at_high"] - row["lead_at_low"])) for row in three
    ]
    assert weights == sorted(weights)


def test_what_a_guess_does_is_what_a_costing_with_it_says(found):
    quick_start, three = found
    document = quick_start.document
    systems = list(document["systems"])
    start = scores(document, systems)
    order = [systems[number] for number in by_rank(start, systems)]
    for row in three:
        guess = next((one for one in quick_start.guessed if one["input"] == row["input"]), None)
        for end in ("low", "high"):
            if guess is None:
                changed = with_settings(document, {row["input"]: row[end]})
            else:
                changed = at_end(document, guess, end)
            at = scores(changed, order)
            assert order[at.index(min(at))] == row[f"best_at_{end}"]
            assert min(at[1:]) - at[0] == pytest.approx(row[f"lead_at_{end}"], abs=0.01)


def test_days_of_one_ground_state_come_from_the_others():
    quick_start = filled({}, scenario_of)
    before = quick_start.document["winter"]["ground_days"]
    wet = next(row for row in quick_start.guessed if row["input"] == "winter.ground_days.wet")
    after = at_end(quick_start.document, wet, "high")["winter"]["ground_days"]
    assert after["wet"] == wet["high"]
    assert sum(after.values()) == pytest.approx(sum(before.values()))
    assert after["firm"] / after["frozen"] == pytest.approx(before["firm"] / before["frozen"])


def test_a_longer_winter_has_its_days_spread_over_all_states():
    # 1 November to 10 April, both counted: 30 + 31 + 31 + 28 + 31 + 10 = 161 days.
    quick_start = filled({}, scenario_of)
    first = next(row for row in quick_start.guessed if row["input"] == "winter.first_day")
    after = at_end(quick_start.document, first, "low")["winter"]
    assert after["first_day"] == "11-01"
    assert sum(after["ground_days"].values()) == pytest.approx(161)


def test_what_was_given_is_no_guess(found):
    quick_start, three = found
    given = {path for path, origin in quick_start.origins.items() if origin == "given"}
    assert not given & {row["input"] for row in three}


def test_a_system_that_is_todays_by_another_title_does_not_hide_the_guesses():
    answers = {
        "animals": {"ewes": 34, "cows": 0},
        "hay": {"kept": "barn"},
        "damage": {"sheep_racks": 3},
    }
    quick_start = filled(answers, scenario_of)
    today, better = (quick_start.document["systems"][key] for key in ("today", "better_feeders"))
    assert {**today, "title": ""} == {**better, "title": ""}
    assert len(three_guesses(quick_start, scenario_of)) == 3
