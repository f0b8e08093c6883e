"""How the days of a winter are shared out: printed floor areas, and properties of each formula."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.allocation import (
    area_by_rule,
    days_left,
    days_run,
    feed_wanted,
    largest,
    least,
    part_by_days,
    part_by_supply,
    served,
    share_with_room,
    wanted,
)
from service.costing.formulas.spells import switches, usable_share
from tests.formulas.axes import by_group, by_state, only
from tests.formulas.precision import EXACT, WHOLE

FLOORS = [  # head, sq ft each, printed sq ft
    (120, 50, 50 * 120),  # Honeyman 2005, Iowa State: hoop barn of 50 by 120 ft for 120 head
    (100, 40, 100 * 40),  # Drovers, monoslope 40 ft deep: a head for each ft of length
]
SPELLS = st.floats(1, 60)
DAYS = st.floats(0, 120)
SHARES = st.floats(0.01, 1)
AMOUNTS = st.just(0.0) | st.floats(1e-6, 1e6)
"""Less than a millionth is none: the engine never hands it on."""


def usable(spell, shortest):
    return only(usable_share(by_state(spell), shortest, by_state(1)))


@pytest.mark.parametrize(("head", "space", "printed"), FLOORS)
def test_a_floor_by_rule_is_the_printed_one(head, space, printed):
    area = only(area_by_rule(by_group(head), by_group(space), by_group(1)))
    assert area == pytest.approx(printed, abs=WHOLE)
    one = by_group(1)
    assert only(share_with_room(area, by_group(head), one, by_group(space), 0)) == 1
    assert only(share_with_room(area / 2, by_group(head), one, by_group(space), 0)) == 0.5


def test_tight_stocking_holds_what_the_iowa_barn_held():
    # Iowa State, Animal Industry Report 658: 40 in place of 50 sq ft a head, no worse gain
    area, tight = 50 * 120, 1 - 40 / 50
    held = share_with_room(area, by_group(150), by_group(1), by_group(50), tight)
    assert only(held) == pytest.approx(1, rel=EXACT)
    assert only(share_with_room(area, by_group(150), by_group(1), by_group(50), 0)) == 0.8


@given(SPELLS, st.integers(1, 40))
def test_usable_share_is_that_of_spells_ended_by_the_same_chance_each_day(spell, shortest):
    going_on = 1 - 1 / spell
    longest = int(60 * spell) + shortest
    length = np.arange(1, longest + 1)
    chance = going_on ** (length - 1.0) / spell
    days = (length * chance)[length >= shortest].sum()
    assert usable(spell, shortest) == pytest.approx(days / spell, abs=1e-9)


@given(SPELLS, st.integers(1, 20))
def test_asking_for_longer_spells_never_finds_more_days(spell, shortest):
    assert usable(spell, 1) == 1
    assert 0 <= usable(spell, shortest + 1) <= usable(spell, shortest)


def test_days_in_other_ground_states_are_not_usable():
    shares = usable_share(by_state(3, 3, 3, 3), 2, by_state(1, 0, 1, 0)).reshape(-1)
    assert (shares[[1, 3]] == 0).all()
    assert (shares[[0, 2]] > 0).all()


@given(DAYS, DAYS, SHARES, SHARES)
def test_a_step_wants_no_more_than_is_left(left, days, share, usable_part):
    days = max(left, days)
    want = only(wanted(by_group(left), share, by_state(days), usable_part, by_group(1)))
    assert want == min(left, share * days * usable_part)
    assert only(wanted(by_group(left), share, by_state(days), usable_part, by_group(0))) == 0


@given(DAYS, SHARES)
def test_what_is_served_and_what_is_left_are_the_days_there_were(left, part):
    done = served(by_group(left), part)
    rest = days_left(by_group(left), done)
    assert only(done) + only(rest) == pytest.approx(left, abs=2e-6)
    assert only(rest) >= 0


@given(AMOUNTS, AMOUNTS)
def test_a_supply_lasts_for_what_it_holds(supply, want):
    part = part_by_supply(supply, want)
    assert 0 <= part <= 1
    assert part * want == pytest.approx(min(supply, want), rel=1e-9, abs=1e-9)


@given(st.floats(0.1, 300), AMOUNTS)
def test_a_step_runs_no_longer_than_its_most_days(most, run):
    part = part_by_days(most, run)
    assert part * run == pytest.approx(min(most, run), rel=1e-9)


@given(st.tuples(SHARES, SHARES, SHARES))
def test_the_least_limit_counts(limits):
    assert least(*limits) == min(limits)


@given(st.tuples(SHARES, SHARES, SHARES))
def test_the_largest_share_on_a_floor_counts(shares):
    assert largest(*shares) == max(shares)


def test_days_run_follow_the_group_that_stays_longest():
    days = np.array([[10, 0, 5, 0], [8, 4, 5, 0]], float)[:, :, None, None]
    assert only(days_run(days, 1.0)) == 10 + 4 + 5
    assert only(days_run(days, 0.5)) == 2 * (10 + 4 + 5)
    eaten = np.full_like(days, 3.0)
    assert only(feed_wanted(days, eaten)) == 3 * days.sum()


def test_animals_come_once_for_each_spell_they_use():
    # 30 days in spells of 3 days: 10 spells; half of a day's chance ends each
    days, spell = by_state(30, 20), by_state(3, 2)
    everywhere = np.ones((1, 2, 1, 1))
    assert only(switches(everywhere, days, spell, 1, 1.0)) == pytest.approx(10 + 10)
    assert only(switches(everywhere, days, spell, 2, 1.0)) == pytest.approx(10 * 2 / 3 + 10 / 2)
    in_the_first = everywhere * by_state(1, 0)
    assert only(switches(in_the_first, days, spell, 1, 0.5)) == pytest.approx(5)


def test_a_floor_for_two_groups_has_room_for_both_worked_by_hand():
    # 60 cows at 50 sq ft, half of the herd: 1,500; 20 ewes at 16 sq ft, all of them: 320
    area = area_by_rule(by_group(60, 20), by_group(50, 16), by_group(0.5, 1))
    assert only(area) == 1_500 + 320


def test_only_who_is_on_the_step_needs_room_in_each_draw_worked_by_hand():
    # 60 cows at 50 or 100 sq ft, a fifth tighter: 2,400 or 4,800; the 100 ewes are elsewhere
    draws, winters = np.array([1.0, 2.0])[:, None], np.ones(3)
    space = by_group(50, 16) * draws * winters
    shares = share_with_room(1_200, by_group(60, 100), by_group(1, 0), space, 0.2)
    np.testing.assert_allclose(shares, [[0.5] * 3, [0.25] * 3], rtol=EXACT)
    room_for_all = share_with_room(9_600, by_group(60, 100), by_group(1, 0), space, 0.2)
    assert (room_for_all == 1).all()


def test_days_run_are_those_of_each_draw_and_winter():
    # Two groups, two states; in the second winter the second group stays longer.
    in_winters = np.array([[[4.0, 1.0]], [[6.0, 2.0]]]), np.array([[[3.0, 5.0]], [[1.0, 7.0]]])
    days = np.stack(in_winters)
    assert days_run(days, 0.5).tolist() == [[2 * (4 + 6), 2 * (5 + 7)]]


def test_a_step_of_half_a_day_is_shortened_too():
    # 6 hours allowed of 12: half of them
    assert part_by_days(0.25, 0.5) == 0.5


@pytest.mark.parametrize(("days", "counted"), [(9e-7, 0), (1e-6, 1e-6), (0.5, 0.5)])
def test_fewer_than_a_millionth_of_a_day_is_none(days, counted):
    # By the definition of the model: fewer than 1e-6 days are none.
    assert only(served(by_group(days), 1)) == counted
    assert only(days_left(by_group(days), 0)) == counted
