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


def test_a_spell_that_counts_twice_gives_twice_its_days_counted_by_hand():
    # A spell of 2 days twice and one of 6 once: 6 of 10 days lie in spells of 3 or more.
    lengths, times = np.array([[[[2.0, 6.0]]]]), np.array([[[[2.0, 1.0]]]])
    assert usable_share_recorded(lengths, times, 3, np.ones((1, 1, 1))).item() == 0.6


def test_each_draw_and_winter_has_its_own_switches_counted_by_hand():
    # Two states; 30 or 15 days in spells of 3, 20 or 8 days in spells of 2: 10, 5, 10, 4 spells.
    days, spell = np.array([[[30.0, 15.0]], [[20.0, 8.0]]]), np.array([[[3.0]], [[2.0]]])
    served = np.ones((1, 2, 1, 2))
    counted = switches(served, days, spell, 1, np.array([[1.0], [0.5]]))
    np.testing.assert_allclose(counted, [[20, 9], [10, 4.5]], rtol=1e-12)
    # The same, told spell by spell: 2 and 1 in the first winter, none and 3 in the second.
    lengths = np.array([[[[4.0, 5.0], [0.0, 0.0]]], [[[6.0, 0.0], [7.0, 8.0]]]])
    times = np.array([[[[1.0, 1.0], [1.0, 1.0]]], [[[1.0, 1.0], [1.0, 2.0]]]])
    told = switches_recorded(served, lengths, times, 1, np.array([[1.0], [0.5]]))
    np.testing.assert_allclose(told, [[3, 3], [1.5, 1.5]], rtol=1e-12)


def test_spells_of_a_light_winter_have_shares_too_counted_by_hand():
    # Spells of 1 and 2 days that count a quarter each: 0.5 of 0.75 days lie in the longer one.
    lengths, times = np.array([[[[1.0, 2.0]]]]), np.full((1, 1, 1, 2), 0.25)
    share = usable_share_recorded(lengths, times, 2, np.ones((1, 1, 1)))
    assert share.item() == pytest.approx(2 / 3)


def test_what_is_no_spell_is_not_counted_even_if_every_spell_is_used():
    served = np.ones((1, 2, 1, 1))
    assert switches_recorded(served, LENGTHS, ONCE, 0, 1.0).item() == 4 + 1
