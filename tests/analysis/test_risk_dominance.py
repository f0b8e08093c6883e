"""Stochastic dominance of costs against cases worked by hand and against its own definition.

Degrees: Hardaker, Huirne, Anderson and Lien, Coping with Risk in Agriculture (from memory).
"""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.analysis.dominance import degree_of, dominances


def ordered(*costs):
    return np.sort(np.array(costs, float))


@pytest.mark.parametrize(
    ("better", "worse", "degree"),
    [
        ((1, 2, 3), (2, 3, 4), 1),
        ((1, 2, 3), (1, 2, 4), 1),
        ((3, 1, 2), (2, 1, 3), None),  # the same costs
        ((2, 2), (1, 3), 2),  # the same mean, spread less
        ((1, 3), (2, 2), None),
        ((2, 3), (1, 5), 2),  # a lower mean too
        ((1, 6), (3, 5), None),  # a lower mean, a dearer worst draw
        ((4, 4, 4), (1, 4, 6), None),  # a higher mean
    ],
)
def test_cases_that_are_seen_at_a_glance(better, worse, degree):
    assert degree_of(ordered(*better), ordered(*worse)) == degree


def chance_of_more(costs, amount):
    return Fraction(sum(cost > amount for cost in costs), len(costs))


def integral_above(costs, amount):
    """Return the integral of the chance of more, from an amount upwards: the second degree."""
    return sum((Fraction(max(cost - amount, 0)) for cost in costs), Fraction(0)) / len(costs)


def degree_by_definition(better, worse):
    amounts = sorted({*better, *worse})
    for degree, measure in ((1, chance_of_more), (2, integral_above)):
        pairs = [
            (measure(better, amount), measure(worse, amount))
            for amount in [amounts[0] - 1, *amounts]
        ]
        if all(one <= other for one, other in pairs) and any(one < other for one, other in pairs):
            return degree
    return None


COSTS = st.integers(1, 6).flatmap(
    lambda size: st.tuples(
        *[st.lists(st.integers(-5, 5), min_size=size, max_size=size) for _ in range(2)]
    )
)


@given(COSTS)
def test_degrees_are_those_of_the_definition(pair):
    """Exact fractions; the chance of more and its integral at every cost that there is."""
    better, worse = pair
    assert degree_of(ordered(*better), ordered(*worse)) == degree_by_definition(better, worse)


def test_a_pair_of_the_first_degree_is_told_once():
    table = np.array([[1.0, 2.0], [2.0, 3.0], [2.5, 2.5]])
    assert dominances(["low", "high", "level"], table, [True] * 3) == [
        {"better": "low", "worse": "high", "order": 1},
        {"better": "low", "worse": "level", "order": 1},
        {"better": "level", "worse": "high", "order": 2},
    ]


def test_a_system_that_leaves_animals_unfed_dominates_none():
    table = np.array([[1.0, 2.0], [2.0, 3.0]])
    assert dominances(["starved", "fed"], table, [False, True]) == []


def test_costs_that_differ_by_rounding_alone_are_the_same():
    costs = ordered(30_000.0, 41_000.0)
    assert degree_of(costs, costs + 1e-11) is None
