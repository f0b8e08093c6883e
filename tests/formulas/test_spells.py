"""Spells that a record tells one by one: counted by hand, and against the formula for the mean."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.spells import (
    switches,
    switches_recorded,
    usable_share,
    usable_share_recorded,
)

LENGTHS = np.array([[[[1.0, 2.0, 2.0, 7.0]]], [[[3.0, 0.0, 0.0, 0.0]]]])
ONCE = np.ones_like(LENGTHS)
ALLOWED = np.array([[[1.0]], [[0.0]]])
EVERYWHERE = np.ones((2, 1, 1))


def test_days_in_short_spells_are_left_out_counted_by_hand():
    # 12 days in spells of 1, 2, 2 and 7: 12, 11, 7 and 0 of them lie in spells of 1, 2, 3 and 8.
    for shortest, days in ((1, 12), (2, 11), (3, 7), (7, 7), (8, 0)):
        shares = usable_share_recorded(LENGTHS, ONCE, shortest, ALLOWED)
        assert shares[0, 0, 0] == pytest.approx(days / 12)
        assert shares[1, 0, 0] == 0


def test_animals_come_once_for_each_spell_that_is_long_enough():
    served = np.ones((1, 2, 1, 1))
    for shortest, times in ((1, 4 + 1), (2, 3 + 1), (3, 1 + 1), (4, 1)):
        counted = switches_recorded(served, LENGTHS, ONCE, shortest, 0.5)
        assert counted.item() == pytest.approx(times * 0.5)


def test_they_do_not_come_for_a_ground_state_that_is_not_served():
    served = np.array([[[[0.0]], [[2.0]]]])
    assert switches_recorded(served, LENGTHS, ONCE, 1, 1.0).item() == pytest.approx(1)


def test_a_state_without_spells_has_no_share_and_no_switch():
    none = np.zeros((2, 1, 1, 3))
    assert not usable_share_recorded(none, np.ones_like(none), 1, EVERYWHERE).any()
    assert switches_recorded(np.ones((1, 2, 1, 1)), none, np.ones_like(none), 1, 1.0).item() == 0


@given(st.lists(st.integers(1, 40), min_size=1, max_size=30))
def test_with_every_spell_used_both_ways_agree(spells):
    lengths = np.array(spells, float)[None, None, None, :]
    once = np.ones_like(lengths)
    one = np.ones((1, 1, 1))
    mean = np.full((1, 1, 1), np.mean(spells))
    days = np.full((1, 1, 1), float(sum(spells)))
    served = np.ones((1, 1, 1, 1))
    recorded = usable_share_recorded(lengths, once, 1, one)
    assert recorded.item() == pytest.approx(usable_share(mean, 1, one).item())
    assert switches_recorded(served, lengths, once, 1, 1.0).item() == pytest.approx(
        switches(served, days, mean, 1, 1.0).item()
    )


def test_spells_ended_by_the_same_chance_each_day_give_what_the_formula_for_the_mean_says():
    # A geometric sample: the closed form of the mean is its limit. numpy's generator is the source.
    spells = np.random.default_rng(7).geometric(1 / 4.0, size=200_000).astype(float)
    lengths = spells[None, None, None, :]
    one = np.ones((1, 1, 1))
    for shortest in (2, 3, 5):
        told = usable_share_recorded(lengths, np.ones_like(lengths), shortest, one).item()
        assert told == pytest.approx(usable_share(np.full((1, 1, 1), 4.0), shortest, one), rel=0.01)
