"""The split of a difference among three causes, against published games and all six orders."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.season.review.shapley import shapley

CAUSES = range(3)
EXACT = 1e-12
games = st.lists(st.floats(-1e6, 1e6), min_size=8, max_size=8).map(
    lambda values: np.array(values).reshape(2, 2, 2)
)


def game_of(worth):
    """Return the worth of each set of players as an array."""
    values = np.zeros((2, 2, 2))
    for corner in product((0, 1), repeat=3):
        values[corner] = worth({player for player in CAUSES if corner[player]})
    return values


def mean_over_the_orders(values):
    """Return the mean of what each cause adds, order by order."""
    added = np.zeros(3)
    for order in permutations(CAUSES):
        corner = [0, 0, 0]
        for cause in order:
            before = values[tuple(corner)]
            corner[cause] = 1
            added[cause] += values[tuple(corner)] - before
    return added / 6


def test_one_right_glove_and_two_left_ones_are_worth_four_sixths_and_one_sixth_each():
    # The glove game of textbooks on cooperative games, after Shapley and Shubik (1969), On market
    # games, Journal of Economic Theory 1, 9-25 (from memory).
    pair = game_of(lambda players: float(0 in players and bool(players & {1, 2})))
    assert shapley(pair) == pytest.approx([4 / 6, 1 / 6, 1 / 6], rel=EXACT)


@pytest.mark.parametrize("costs", [(30.0, 60.0, 120.0), (5.0, 5.0, 8.0), (12.0, 20.0, 33.0)])
def test_each_pays_for_the_part_of_the_runway_that_it_uses(costs):
    # Littlechild, S. C. and Owen, G. (1973), A simple expression for the Shapley value in a special
    # case, Management Science 20, 370-372: every part of the runway is shared alike by those who
    # need it (from memory).
    small, middle, large = costs
    runway = game_of(lambda players: max((costs[player] for player in players), default=0.0))
    first, second = small / 3, (middle - small) / 2
    expected = [first, first + second, first + second + large - middle]
    assert shapley(runway) == pytest.approx(expected, rel=EXACT)


@given(games)
def test_the_shares_are_the_mean_over_the_six_orders(values):
    assert shapley(values) == pytest.approx(mean_over_the_orders(values), rel=1e-9, abs=1e-6)


@given(games)
def test_the_shares_add_up_to_the_whole_difference(values):
    whole = values[1, 1, 1] - values[0, 0, 0]
    assert shapley(values).sum() == pytest.approx(whole, rel=1e-9, abs=1e-6)


@given(games, st.permutations(list(CAUSES)))
def test_who_is_named_first_does_not_matter(values, order):
    shares = shapley(np.transpose(values, order))
    expected = [shapley(values)[cause] for cause in order]
    assert shares == pytest.approx(expected, rel=1e-9, abs=1e-6)


@given(games)
def test_a_cause_that_changes_nothing_has_no_share(values):
    values[:, 1] = values[:, 0]
    assert shapley(values)[1] == 0


def test_lines_are_split_each_by_itself():
    lines = np.stack([game_of(len), game_of(lambda players: 5.0 * (2 in players))], axis=-1)
    assert shapley(lines) == pytest.approx(np.array([[1, 0], [1, 0], [1, 5]]), abs=EXACT)
