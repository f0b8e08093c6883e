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
