"""Damaged ground: printed acres and repair costs, and properties of the caps and the scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.structures import works
from service.costing.formulas.trampling import (
    damage_scale,
    forage_lost,
    forage_years_lost,
    ground_trampled,
    over_severities,
    pad_edge,
    restoration,
    with_edges,
    within_ground,
)
from tests.formulas.axes import by_severity, by_state, only
from tests.formulas.precision import EXACT, ONE_DECIMAL, WHOLE

SQ_FT_PER_ACRE = 43_560
LOSSES = st.floats(0, 1)
ACRES = st.floats(0, 50)
TRAMPLED = st.lists(st.floats(0.1, 20), min_size=3, max_size=3)


def places(*rows):
    """Return acres of each place in each winter, shape (places, 1, winters)."""
    return np.array(rows, float)[:, None, :]


def test_a_season_of_rings_tramples_the_printed_acres():
    printed = 9.6  # Farm and Dairy on K-State: 2,800 sq ft a bale, a bale a day, 150 days
    acres = ground_trampled(by_state(150), by_state(2_800), 1)
    assert only(acres) == pytest.approx(printed, abs=ONE_DECIMAL)


@pytest.mark.parametrize(
    ("acres", "an_acre", "printed"),
    [
        (500, 57.13, 28_565),  # Mississippi watershed plan, 500 acres
        (1, 153, 153),  # Univ. of Nebraska, establishment an acre, seed to interest
        (1, 490, 490),  # state average costs 2003, critical area planting
    ],
)
def test_repair_costs_acres_times_the_printed_cost(acres, an_acre, printed):
    assert restoration(acres, an_acre) == pytest.approx(printed, abs=WHOLE)
    assert restoration(acres, an_acre) == works(0, an_acre, acres)


def test_the_ring_of_a_square_pad_is_the_larger_square_less_the_pad():
    # Geometry: a pad of 50 by 50 ft in a square of 80 by 80 ft
    ring = (80 * 80 - 50 * 50) / SQ_FT_PER_ACRE
    assert pad_edge(50 * 50, 15, 1) == pytest.approx(ring, rel=EXACT)
    assert pad_edge(50 * 50, 15, 0) == 0


@given(st.lists(ACRES, min_size=3, max_size=3), ACRES)
def test_ground_is_damaged_once_and_the_worst_comes_first(trampled, ground):
    acres = within_ground(by_severity(*trampled), ground).reshape(-1)
    assert (acres >= 0).all()
    assert (acres <= np.array(trampled) + 1e-9).all()
    assert acres.sum() == pytest.approx(min(sum(trampled), ground))
    left = ground
    for wanted, got in zip(trampled, acres, strict=True):
        assert got == pytest.approx(min(wanted, left), abs=1e-9)
        left -= got


@given(st.lists(ACRES, min_size=3, max_size=3), ACRES)
def test_edges_of_pads_are_severe_damage(trampled, edges):
    acres = with_edges(by_severity(*trampled), np.array([[edges]]))
    assert acres.reshape(-1).tolist() == [trampled[0] + edges, *trampled[1:]]
    assert only(over_severities(acres)) == pytest.approx(sum(trampled) + edges)


@given(LOSSES, LOSSES, LOSSES, st.floats(0, 0.3))
def test_later_losses_weigh_less(first, second, third, rate):
    lost = forage_years_lost(first, second, third, rate)
    assert lost <= forage_years_lost(first, second, third, 0) + 1e-12
    assert forage_years_lost(first, second, third, 0) == pytest.approx(first + second + third)
    assert lost >= first
    # closed form: the loss of each year at the end of it, seen from the first
    by_year = np.array([first, second, third]) * (1 + rate) ** -np.arange(3.0)
    assert lost == pytest.approx(by_year.sum(), rel=EXACT)


@given(ACRES, st.floats(0, 5), st.floats(0, 200), LOSSES)
def test_grass_lost_is_worth_its_yield(acres, grown, value, years):
    assert forage_lost(acres, grown, value, years) == pytest.approx(acres * grown * value * years)


def scale_for(memory, trampled, ground, acres, edges=0.0):
    """Return the scale for one field and equal winters."""
    winters = len(trampled[0])
    return only(
        damage_scale(
            memory,
            np.ones(winters),
            places(*trampled),
            places(*([each] * winters for each in ground)),
            np.ones((1, len(trampled))),
            places([acres] * winters),
            places([edges] * winters),
        )
    )


def damaged(scale, trampled, ground, acres, edges=0.0):
    """Work the mean damaged acres the long way, winter by winter."""
    winters = zip(*trampled, strict=True)
    each = [
        min(acres, edges + sum(min(scale * t, g) for t, g in zip(winter, ground, strict=True)))
        for winter in winters
    ]
    return sum(each) / len(each)


@given(TRAMPLED, TRAMPLED, st.floats(0.5, 30), st.floats(0.5, 40), st.floats(0.01, 60))
def test_the_scale_meets_the_memory_or_comes_nearest(first, second, ground, acres, memory):
    farm = ([first, second], [ground, ground / 2], acres, 0.2)
    scale = scale_for(memory, *farm)
    assert 0.4 <= scale <= 2.5 * (1 + 1e-9)
    least, most = damaged(0.4, *farm), damaged(2.5, *farm)
    reached = damaged(scale, *farm)
    wanted = min(max(memory, least), most)
    assert reached == pytest.approx(wanted, rel=1e-9)
    if scale > 0.4 * (1 + 1e-9):
        # the smallest such scale: any less damages less
        assert damaged(scale * (1 - 1e-6), *farm) < reached


@given(TRAMPLED)
def test_a_farm_that_remembers_what_the_tables_give_is_not_scaled(trampled):
    farm = ([trampled], [1e6], 1e6)
    assert scale_for(damaged(1, *farm), *farm) == pytest.approx(1, rel=1e-9)


def test_ground_of_each_severity_is_that_of_its_states_worked_by_hand():
    # An acre is 43,560 sq ft: 1,000 animal-unit days on 43.56 sq ft each are one acre, twice that
    # at twice the scale. Wet ground is severe, firm ground light; in the second draw half of both.
    days = by_state(1_000, 500) * np.array([[1.0], [0.5]]) * np.ones(3)
    square_feet = np.stack([by_state(43.56, 0), by_state(0, 0), by_state(0, 43.56)])
    acres = ground_trampled(days, square_feet, 2)
    expected = [[[2] * 3, [1] * 3], [[0] * 3] * 2, [[1] * 3, [0.5] * 3]]
    np.testing.assert_allclose(acres, expected, rtol=EXACT)


def test_ground_runs_out_in_each_draw_and_winter_apart():
    # 4 acres. Severe, moderate and light 1, 1, 1 and 3, 2, 4 acres; in the second draw the double.
    trampled = np.array([[1.0, 3.0], [1.0, 2.0], [1.0, 4.0]])[:, None, :] * np.array([[1.0], [2.0]])
    acres = within_ground(trampled, 4)
    assert acres.tolist() == [[[1, 3], [2, 4]], [[1, 1], [2, 0]], [[1, 0], [0, 0]]]


TWO_FIELDS = {
    # 10 acres trampled on a field of 5, so no more than 5 count from a scale of 1/2 on; beside it
    # 2 acres trampled with a pad's edge of 1 acre, and a corner of 1/2 acre trampled over and over.
    "trampled": [10.0, 2.0, 8.0],
    "ground": [100.0, 100.0, 0.5],
    "on_field": np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 1.0]]),
    "acres": [5.0, 50.0],
    "edges": [0.0, 1.0],
}


@pytest.mark.parametrize(
    ("memory", "scale"),
    [
        (10 * 0.45 + 2 * 0.45 + 1.5, 0.45),  # both fields still grow
        (5 + 2 * 1 + 1.5, 1),  # the first has run out
        (5 + 2 * 2 + 1.5, 2),
        (0, 0.4),  # less than the least scale gives: 0.4 to 2.5 by the definition of the model
        (100, 2.5),  # more than the most gives
    ],
)
def test_the_scale_of_two_fields_worked_by_hand(memory, scale):
    farm = {name: places(*([each] for each in TWO_FIELDS[name])) for name in ("trampled", "ground")}
    fields = {name: places(*([each] for each in TWO_FIELDS[name])) for name in ("acres", "edges")}
    on_field = TWO_FIELDS["on_field"]
    got = damage_scale(memory, np.ones(1), on_field=on_field, **farm, **fields)
    assert only(got) == pytest.approx(scale, rel=1e-9)


def test_a_winter_counts_by_its_weight_and_each_draw_has_its_scale():
    # 2 acres in the one winter, 6 in the other that weighs three times as much: 5 in the mean;
    # in the second draw half of that. A memory of 7.5 acres is a scale of 1.5, and of 3, so of 2.5.
    trampled = np.array([[2.0, 6.0]]) * np.array([[1.0], [0.5]])
    wide = np.full((1, 2, 2), 1e6)
    scale = damage_scale(
        7.5, np.array([1.0, 3.0]), trampled[None], wide, np.ones((1, 1)), wide, 0 * wide
    )
    np.testing.assert_allclose(scale, [[1.5], [2.5]], rtol=1e-9)


def test_acres_trampled_are_scaled_until_the_last_bend():
    # Places of 1, 1 and 1 acre of ground, trampled 2, 1 and 1/2: full at scales of 1/2, 1 and 2.
    farm = ([[2.0], [1.0], [0.5]], [1.0, 1.0, 1.0], 100.0)
    for scale in (0.45, 0.75, 1.5, 2.0):
        memory = min(1, 2 * scale) + min(1, scale) + min(1, scale / 2)
        assert scale_for(memory, *farm) == pytest.approx(scale, rel=1e-9)


def test_a_draw_whose_ground_is_full_waits_for_the_others():
    # 1 acre is full at the least scale and at every other; 10 of 100 acres reach 15 at 1.5.
    ground = np.array([[[1.0], [100.0]]])
    wide = np.full((1, 2, 1), 1e6)
    trampled = np.full((1, 2, 1), 10.0)
    scale = damage_scale(15, np.ones(1), trampled, ground, np.ones((1, 1)), wide, 0 * wide)
    assert scale.shape == (2, 1)
    assert scale.dtype == np.float64
    np.testing.assert_allclose(scale, [[0.4], [1.5]], rtol=1e-9)
