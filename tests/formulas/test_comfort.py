"""Days that are hard on animals and what they cost, held against a trial and by properties."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.comfort import (
    condition_worth,
    days_in_cold_rain,
    days_in_mud,
    days_of_states,
    foot_cost,
    young_worth,
)
from service.costing.formulas.intake import condition_not_held, energy_short
from tests.formulas.axes import by_group, by_state, only
from tests.formulas.precision import EXACT

SERVED = np.array([[10, 0, 20, 30], [5, 5, 5, 5]], float)[:, :, None, None]
WET = by_state(0, 0, 0, 1)


def test_energy_that_mud_takes_costs_the_weight_that_was_measured():
    days, energy = 56, 3.9  # Nickles 2020, Ohio State: Mcal a day more for late-gestation cows
    measured = 37.4 / 0.45359237  # Nickles 2020, Ohio State, lb after 56 days in mud
    a_score, score = 207, 75  # Rasby 2011, Nebraska, Mcal; Michigan beef cow notes, lb
    # Counted in Mcal in place of lb TDN: a cow that eats none of what she needs more.
    short = energy_short(by_group(days), by_group(1), energy, 1.0, 1.0, 1.0)
    lost = only(condition_not_held(short, a_score / score))
    assert lost == pytest.approx(measured, rel=0.05)


@given(st.floats(0, 1e5), st.floats(0.5, 5))
def test_weight_not_held_holds_the_energy_that_is_short(energy, a_pound):
    assert condition_not_held(energy, a_pound) * a_pound == pytest.approx(energy)


@given(st.floats(0, 1))
def test_days_in_mud_are_the_share_of_the_hours_spent_there(share):
    days = days_in_mud(SERVED, WET * share).reshape(-1)
    np.testing.assert_allclose(days, [30 * share, 5 * share], rtol=EXACT)


def test_days_count_in_the_states_that_count():
    everywhere = days_of_states(SERVED, np.ones_like(SERVED)).reshape(-1)
    assert everywhere.tolist() == [60, 20]
    assert days_of_states(SERVED, WET).reshape(-1).tolist() == [30, 5]


@pytest.mark.parametrize(
    ("temperature", "days"),
    [
        (58, [30, 5]),  # K-State, Ames: a wet coat is cold below 59 °F
        (59, [0, 0]),  # K-State, Ames
        (np.nan, [0, 0]),  # not known: none is counted
    ],
)
def test_rain_is_cold_below_the_critical_temperature_of_a_wet_coat(temperature, days):
    in_rain = days_in_cold_rain(SERVED, WET, temperature, 59)
    assert in_rain.reshape(-1).tolist() == days


@given(st.floats(0, 50), st.floats(0, 0.05), st.floats(0, 2000), st.floats(0, 20))
def test_losses_grow_with_head_days_and_price(days, lost, value, feet):
    herd, in_mud = by_group(60, 20), by_group(days, days)
    young = young_worth(herd, in_mud, by_group(lost, lost), by_group(value, value))
    assert only(young) == pytest.approx(80 * days * lost * value)
    assert only(foot_cost(herd, in_mud, by_group(feet, 0))) == pytest.approx(60 * days * feet)
    assert only(condition_worth(in_mud, by_group(feet, feet))) == pytest.approx(2 * days * feet)
