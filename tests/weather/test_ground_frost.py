"""The frozen-ground index and the snow, held against hand-worked days and the closed form."""

import numpy as np
import pytest

from service.weather.frozen_ground import frozen_index
from service.weather.parameters import parameters
from service.weather.snow import depth_of, snow_of
from tests.formulas.precision import ONE_DECIMAL, SEVEN_DECIMALS, WHOLE

NUMBERS = parameters().numbers
YEARS = 1_000


def steady_cold(celsius, days=YEARS):
    return frozen_index(np.full(days, celsius), np.zeros(days), NUMBERS)


def first_day_from(index, level):
    return int(np.argmax(index >= level)) + 1 if (index >= level).any() else None


def test_the_index_is_that_worked_by_hand():
    # Molnau and Bissell 1983, the equation, worked by hand: -5 °C bare, -5 °C under 10 cm, 3 °C
    # under 10 cm; 5 x 0.97 + 5 e^-0.32 = 8.4807452 and 8.4807452 x 0.97 - 3 e^-2 = 7.8203170
    index = frozen_index(np.array([-5.0, -5.0, 3.0]), np.array([0.0, 10.0, 10.0]), NUMBERS)
    assert index.tolist() == pytest.approx([5.0, 8.4807452, 7.8203170], abs=SEVEN_DECIMALS)


@pytest.mark.parametrize(
    ("celsius", "from_56", "from_83", "limit", "precision"),
    [
        # closed form of the equation of Molnau and Bissell 1983 for steady cold on bare ground:
        # F(n) = -T (1 - 0.97^n) / 0.03, worked by hand
        (-1.68, None, None, 56, WHOLE),
        (-2.49, 37, None, 83, WHOLE),
        (-5.0, 14, 23, 166.7, ONE_DECIMAL),
        (-10.0, 7, 10, 333.3, ONE_DECIMAL),
        (-15.0, 4, 6, 500, WHOLE),
        (-20.0, 3, 5, 666.7, ONE_DECIMAL),
    ],
)
def test_steady_cold_freezes_the_ground_by_the_day_of_the_closed_form(
    celsius, from_56, from_83, limit, precision
):
    index = steady_cold(celsius)
    assert first_day_from(index, 56) == from_56
    assert first_day_from(index, 83) == from_83
    assert index[-1] == pytest.approx(limit, abs=precision)
    days = np.arange(1, YEARS + 1)
    np.testing.assert_allclose(index, -celsius * (1 - 0.97**days) / 0.03, rtol=1e-9)


def test_warmth_never_takes_the_index_below_nothing():
    assert frozen_index(np.array([-1.0, 20.0]), np.zeros(2), NUMBERS).tolist() == [1.0, 0.0]


def test_snow_keeps_cold_out_and_warmth_out_more():
    cold_bare, cold_under = (
        frozen_index(np.array([-10.0]), np.array([depth]), NUMBERS)[0] for depth in (0.0, 20.0)
    )
    warm_bare, warm_under = (
        frozen_index(np.array([-50.0, 10.0]), np.array([0.0, depth]), NUMBERS)[1]
        for depth in (0.0, 20.0)
    )
    assert cold_under < cold_bare
    assert warm_under > warm_bare
    assert cold_bare / cold_under < (50 * 0.97 - warm_bare) / (50 * 0.97 - warm_under)


def test_snow_falls_lies_and_melts_as_worked_by_hand():
    # degree-day melt of 3 mm, rain above 1 °C, worked by hand
    snow = snow_of(np.array([-4.0, 1.0, 2.0, 6.0]), np.array([10.0, 5.0, 3.0, 0.0]), NUMBERS)
    assert snow.melt_mm.tolist() == [0.0, 3.0, 6.0, 6.0]
    assert snow.lying_mm.tolist() == [10.0, 12.0, 6.0, 0.0]
    assert snow.rain_mm.tolist() == [0.0, 0.0, 3.0, 0.0]


def test_snow_is_five_times_as_deep_as_its_water():
    # density 0.20, own choice: 10 mm of water are 5 cm of snow
    assert depth_of(np.array([10.0]), NUMBERS)[0] == pytest.approx(5.0)
