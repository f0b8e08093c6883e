"""Where a difference is nought, on functions whose roots are known by how they are made."""

import math

import numpy as np
import pytest

from service.analysis.crossings import Crossings, crossings_of, crossings_on, line_of

SIZE = 10.0
"""Size of what differs: nearness to nought is judged against it."""


def found(function, low, high, points=129, **more) -> Crossings:
    def difference(values):
        differences = np.asarray(function(values), float)
        return differences, np.full_like(differences, SIZE)

    line = line_of(difference, np.linspace(low, high, points))
    return crossings_of(difference, line, **more)


def values(crossings):
    return [root.value for root in crossings]


@pytest.mark.parametrize(
    "roots",
    [
        (math.pi,),
        (0.1, 7.7),
        (1.0001, 1.0002, 9.3),
        (2.0, 2.05, 5.0, 5.05),
        (0.013, 0.019),
        (9.981, 9.987),
    ],
)
def test_every_root_of_a_polynomial_is_found(roots):
    # by construction: the product of (x - root) is nought at each root and nowhere else
    crossings = found(lambda x: np.prod([x - root for root in roots], axis=0), 0, 10)
    assert values(crossings.roots) == pytest.approx(roots, abs=1e-7)
    assert crossings.jumps == []
    assert crossings.equal == []
    signs = [(root.below, root.above) for root in crossings.roots]
    last = (-1, 1)
    expected = [last if n % 2 == 0 else last[::-1] for n in range(len(roots))]
    assert signs == expected[::-1]


def test_roots_on_points_of_the_grid_are_found_once():
    crossings = found(lambda x: (x - 2) * (x - 5), 0, 10, points=11)
    assert values(crossings.roots) == [2, 5]
    assert [(root.below, root.above) for root in crossings.roots] == [(1, -1), (-1, 1)]


def test_roots_at_the_ends_have_nothing_beyond_them():
    crossings = found(lambda x: (x - 0) * (x - 10), 0, 10)
    assert [(root.value, root.below, root.above) for root in crossings.roots] == [
        (0, 0, -1),
        (10, -1, 0),
    ]


@pytest.mark.parametrize("at", [math.e, 0.02, 9.97, 5.0])
def test_a_root_that_only_touches_nought_is_found_and_does_not_cross(at):
    # by construction: a parabola with its lowest point at nought
    crossings = found(lambda x: (x - at) ** 2, 0, 10)
    assert values(crossings.roots) == pytest.approx([at], abs=1e-4)
    assert [(root.below, root.above) for root in crossings.roots] == [(1, 1)]


def test_a_dip_that_stops_short_of_nought_is_no_root():
    # by construction: never below 1e-5, ten times what still counts as the same
    assert found(lambda x: (x - math.e) ** 2 + 1e-7, 0, 10).roots == []


def test_the_tip_of_a_wedge_between_two_points_gives_two_roots():
    # by construction: |x - e| - 0.001 is nought at e - 0.001 and e + 0.001
    crossings = found(lambda x: np.abs(x - math.e) - 0.001, 0, 10)
    assert values(crossings.roots) == pytest.approx([math.e - 0.001, math.e + 0.001], rel=1e-9)


def test_a_jump_across_nought_is_no_root():
    crossings = found(lambda x: np.where(x < math.pi, -1.0, 2.0), 0, 10)
    assert crossings.roots == []
    [jump] = crossings.jumps
    assert jump.value == pytest.approx(math.pi, rel=1e-9)
    assert (jump.below, jump.above) == (-1, 1)


def test_a_stretch_of_nought_is_told_from_end_to_end():
    # by construction: nought from 2.1 to 7.3, sloping away on both sides
    crossings = found(lambda x: np.maximum(x - 7.3, 0) + np.minimum(x - 2.1, 0), 0, 10)
    assert crossings.roots == []
    [stretch] = crossings.equal
    assert (stretch.low, stretch.high) == pytest.approx((2.1, 7.3), abs=1e-7)
    assert (stretch.below, stretch.above) == (-1, 1)


def test_nought_throughout_is_one_stretch():
    crossings = found(lambda x: 0 * x, 0, 10)
    assert [(stretch.low, stretch.high) for stretch in crossings.equal] == [(0, 10)]


def test_float_noise_is_nought():
    noise = np.random.default_rng(3)
    crossings = found(lambda x: noise.uniform(-1, 1, x.shape) * 1e-13 * SIZE, 0, 10)
    assert crossings.roots == []
    assert len(crossings.equal) == 1


def test_no_root_of_a_difference_that_keeps_its_sign():
    assert found(lambda x: 1 + x, 0, 10) == Crossings()


def test_a_line_that_cannot_be_split_has_jumps_where_its_sign_changes():
    whole = np.arange(1.0, 11.0)
    line = line_of(lambda x: (x - 4.5, np.full_like(x, SIZE)), whole)
    [jump] = crossings_on(line).jumps
    assert (jump.value, jump.below, jump.above) == (5, -1, 1)
    line = line_of(lambda x: (x - 4.0, np.full_like(x, SIZE)), whole)
    assert values(crossings_on(line).roots) == [4]
    assert crossings_on(line).jumps == []
