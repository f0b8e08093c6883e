"""Water in the topsoil, held against days worked by hand."""

import math

import numpy as np
import pytest

from service.weather.parameters import parameters
from service.weather.water import topsoil_of

NUMBERS = parameters().numbers
DRAINAGE = parameters().drainage


def topsoil(water, drying, drainage="moderate", frozen=None):
    flags = np.zeros(len(water), dtype=bool) if frozen is None else np.array(frozen)
    return topsoil_of(
        np.array(water, float), np.array(drying, float), flags, DRAINAGE[drainage], NUMBERS
    )


@pytest.mark.parametrize(
    ("drainage", "deficits"),
    [
        # 25 mm of rain, then two dry days, nothing evaporates: worked by hand from the rates
        ("well", [0.0, 0.0, 0.0]),
        ("moderate", [-10.0, -5.0, 0.0]),
        ("poor", [-10.0, -9.5, -9.0]),
    ],
)
def test_a_soaking_drains_at_the_rate_of_the_class(drainage, deficits):
    assert topsoil([25, 0, 0], [0, 0, 0], drainage).deficit_mm.tolist() == deficits


def test_drying_is_even_while_water_is_at_hand_and_then_slows():
    # FAO-56, equation 74, at 1 mm a day: 1 to 9 mm, then 20 - 11 (10/11)^k, worked by hand
    days = 40
    deficit = topsoil([0] * days, [1] * days).deficit_mm
    even = [float(day) for day in range(1, 10)]
    slowing = [20 - 11 * (10 / 11) ** k for k in range(1, days - 8)]
    assert deficit.tolist() == pytest.approx(even + slowing, rel=1e-12)


def test_wet_ground_is_told_before_water_runs_off():
    assert topsoil([25], [0], "well").before_runoff_mm.tolist() == [-25.0]


def test_deep_frozen_ground_neither_takes_up_nor_loses_water():
    soil = topsoil([0, 7, 0, 0], [3, 3, 3, 3], frozen=[False, True, True, False])
    assert soil.deficit_mm.tolist() == [3.0, 3.0, 3.0, 6.0]
    assert soil.before_runoff_mm.tolist() == [3.0, -4.0, 3.0, 6.0]


def test_poor_soil_drains_twenty_days_from_saturation():
    # FAO document y4690e04: badly structured soil drains for several weeks; 20 days, own choice
    deficit = topsoil([30] + [0] * 20, [0] * 21, "poor").deficit_mm
    assert deficit[19] < 0
    assert deficit[20] == 0


def test_no_drought_takes_more_than_can_evaporate():
    deficit = topsoil([0] * 400, [8] * 400).deficit_mm
    assert deficit.max() <= 20
    assert math.isclose(deficit[-1], 20, rel_tol=1e-9)
