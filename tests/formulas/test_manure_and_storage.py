"""Manure, bedding, rain and storage, held against handbooks and extension tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.manure import (
    animal_unit_days,
    bedding,
    bedding_cost,
    days_in_use,
    hay_as_fed,
    loads,
    manure,
    rain_on_floor,
    scrapings,
    storage_volume,
    to_handle,
    volume_of_floor,
)
from service.costing.formulas.work import tons_of
from tests.formulas.axes import by_group, by_state, only
from tests.formulas.precision import EXACT, ONE_DECIMAL, TWO_DECIMALS, WHOLE

SQ_FT_PER_ACRE = 43_560
GALLONS_PER_CUBIC_FOOT = 1728 / 231
DENSITY = 62.0
"""Any density: it cancels where a source gives volume a day."""

MANURE = [  # days, lb live weight, lb a day for each 1,000 lb, printed lb
    (1, 1375, 108, 148),  # NRCS handbook text with Purdue AY-277, lactating cow
    (1, 1200, 104, 125),  # ASAE D384.2, beef cow of 1,200 lb, from memory
    (1, 100, 40, 4),  # Sheep 201, lamb of 100 lb
    (1, 125, 40, 5),  # Univ. of Rhode Island (SCS handbook), lamb of 125 lb
    (365, 125, 40, 1_825),  # Univ. of Rhode Island (SCS handbook), its year
    (1, 1250, 60, 75),  # Univ. of Wisconsin A3601, beef of 1,250 lb
]

TONS_A_YEAR = [
    (1000, 63, 11.5),  # NRCS manure nutrient data, 1,000 lb unit; Univ. of Rhode Island
    (1250, 60, 13.7),  # Univ. of Wisconsin A3601, beef of 1,250 lb at 75 lb a day
]

HANDBOOK_POND = [  # NRCS AWMFH ch. 10, worksheet 10A-2: animal units, printed cu ft in 180 days
    (500, 1400, 163_800),  # AWMFH 10A-2, milkers, 700 AU
    (150, 1400, 49_140),  # AWMFH 10A-2, dry cows, 210 AU
    (150, 1000, 35_100),  # AWMFH 10A-2, heifers, 150 AU
]
VOLUME_A_DAY = 1.30  # AWMFH 10A-2, cu ft an animal unit and day
STORED = 180  # AWMFH 10A-2, days


def fallen(days, head, weight, a_day):
    return only(manure(by_group(days), 1, by_group(head), by_group(weight), by_group(a_day)))


def volume_of(pounds, *, inflow=0.0):
    return volume_of_floor(pounds, 0, 0, 1, inflow, DENSITY, 1, 0.5)


@pytest.mark.parametrize(("days", "weight", "a_day", "printed"), MANURE)
def test_manure_is_the_printed_one(days, weight, a_day, printed):
    assert fallen(days, 1, weight, a_day) == pytest.approx(printed, abs=WHOLE)


@pytest.mark.parametrize(("weight", "a_day", "printed"), TONS_A_YEAR)
def test_tons_a_year_are_the_printed_ones(weight, a_day, printed):
    tons = tons_of(fallen(365, 1, weight, a_day))
    assert tons == pytest.approx(printed, abs=ONE_DECIMAL)


def test_manure_of_a_herd_and_what_is_collected_are_the_printed_tons():
    a_cow = 21.9  # Univ. of Wisconsin A3601, ton a dairy cow and year
    herd = to_handle(50 * a_cow * 2000, 0, 0, 1, 0)
    confined = to_handle(50 * a_cow * 2000, 0, 0, 0.83, 0)
    assert herd == pytest.approx(1_095, abs=WHOLE)  # Univ. of Wisconsin A3601, 50 cows
    assert confined == pytest.approx(909, abs=WHOLE)  # Univ. of Wisconsin A3601, 83 % confined


@pytest.mark.parametrize(("head", "weight", "printed"), HANDBOOK_POND)
def test_manure_to_store_is_the_handbooks(head, weight, printed):
    pounds = fallen(STORED, head, weight, VOLUME_A_DAY * DENSITY)
    stored = storage_volume(STORED, STORED, volume_of(pounds))
    assert stored == pytest.approx(printed, abs=WHOLE)


def test_storage_is_the_handbooks():
    printed = 323_640  # AWMFH 10A-2, manure and wastewater, cu ft
    wastewater = 0.6 * 700 * STORED  # AWMFH 10A-2, cu ft an animal unit of the milkers
    assert wastewater == pytest.approx(75_600, abs=WHOLE)  # AWMFH 10A-2
    pounds = sum(
        fallen(STORED, head, weight, VOLUME_A_DAY * DENSITY) for head, weight, _ in HANDBOOK_POND
    )
    volume = volume_of(pounds, inflow=wastewater)
    assert storage_volume(STORED, STORED, volume) == pytest.approx(printed, abs=WHOLE)


def test_lamb_manure_takes_the_printed_room():
    printed = 0.65  # Sheep 201, cu ft a day for 1,000 lb
    density = 40 / printed
    volume = volume_of_floor(fallen(1, 10, 100, 40), 0, 0, 1, 0, density, 1, 0.5)
    assert volume == pytest.approx(printed, abs=TWO_DECIMALS)
    one = volume_of_floor(fallen(1, 1, 100, 40), 0, 0, 1, 0, density, 1, 0.5)
    assert one == pytest.approx(0.06, abs=TWO_DECIMALS + 1e-12)  # Sheep 201, a 100 lb lamb


def test_animal_units_are_head_times_weight():
    printed = 700  # AWMFH 10A-2, 500 milkers
    units = animal_unit_days(by_group(1), 1, by_group(500), by_group(1400))
    assert only(units) == pytest.approx(printed, abs=WHOLE)


@pytest.mark.parametrize(
    ("area", "gallons"),
    [
        (6 * 6, 22),  # Round bale storage tips (agproud.com 34255): an inch on a 6 by 6 ft bale
        (SQ_FT_PER_ACRE, 27_154),  # USGS, an inch on an acre, from memory
    ],
)
def test_an_inch_of_rain_is_the_printed_gallons(area, gallons):
    volume = rain_on_floor(1, area, 1, 1)
    assert volume * GALLONS_PER_CUBIC_FOOT == pytest.approx(gallons, abs=WHOLE)


def test_lot_runoff_is_the_printed_one():
    printed = 0.62  # Montana State, lot runoff, acre-feet: (2.2 in - 0.5 in) on 4.36 acres
    volume = rain_on_floor(2.2, 4.36 * SQ_FT_PER_ACRE, (2.2 - 0.5) / 2.2, 1)
    assert volume / SQ_FT_PER_ACRE == pytest.approx(printed, abs=TWO_DECIMALS)


def test_rain_weighs_what_water_weighs():
    printed = 113  # USGS, tons of water in an inch of rain on an acre, from memory
    rain = rain_on_floor(1, SQ_FT_PER_ACRE, 1, 1)
    assert to_handle(0, 0, 0, 1, rain) == pytest.approx(printed, abs=WHOLE)


def test_a_cows_bedding_for_a_winter_lies_in_the_printed_range():
    # Hoppe 2017, NDSU: 5 to 7 lb a head and day, 150 days; on a cow of 1,250 lb
    low, high = (
        only(bedding(by_group(150), 1, by_group(1), by_group(1250), by_state(each / 1250)))
        for each in (5, 7)
    )
    assert low == pytest.approx(150 * 5, abs=WHOLE)
    assert high == pytest.approx(150 * 7, abs=WHOLE)
    round_bale = 1_000  # Alberta Agriculture, bale of 5 by 4 ft, lb
    assert low < round_bale < high  # Hoppe 2017, NDSU: about one round bale a cow


@given(st.floats(0, 200), st.floats(1, 200), st.floats(1, 30))
def test_scrapings_and_loads_are_days_and_tons_over_their_size(days, tons, size):
    assert scrapings(days, size) * size == pytest.approx(days)
    assert loads(tons, size) * size == pytest.approx(tons)


@given(st.lists(st.floats(0, 200), min_size=1, max_size=4), st.floats(1, 200))
def test_a_floor_is_in_use_no_longer_than_the_winter(runs, winter):
    assert days_in_use(*runs, days=winter) == min(sum(runs), winter)


@given(st.floats(0, 400), st.floats(1, 300), st.floats(0, 1e6))
def test_storage_never_holds_more_than_the_winter_brings(storage, winter, volume):
    held = storage_volume(storage, winter, volume)
    assert held <= volume
    if storage >= winter:
        assert held == volume


@given(st.floats(0, 1), st.floats(0, 1e5), st.floats(0, 1e5), st.floats(0, 1e5))
def test_what_is_hauled_and_stored_grows_with_what_is_collected(share, dung, straw, hay):
    all_of_it = to_handle(dung, straw, hay, 1, 0)
    assert to_handle(dung, straw, hay, share, 0) == pytest.approx(share * all_of_it, abs=1e-9)
    volume = volume_of_floor(dung, straw, hay, share, 0, 60, 6, 0.5)
    loose = dung / 60 + 0.5 * (straw + hay) / 6
    assert volume == pytest.approx(share * loose, abs=1e-9)


@given(st.floats(0, 40), st.floats(1, 1e5), st.floats(0, 1))
def test_a_pad_that_is_never_used_gives_no_rain_to_haul(rain, area, kept):
    assert rain_on_floor(rain, area, kept, 0) == 0
    whole = rain / 12 * area
    assert rain_on_floor(rain, area, kept, 5) == pytest.approx(whole * kept, rel=1e-9, abs=1e-9)


def test_manure_and_bedding_add_up_over_groups_states_and_places():
    served = np.arange(8.0).reshape(2, 4, 1, 1)
    head, weight, a_day = by_group(60, 20), by_group(1250, 160), by_group(104, 40)
    together = only(manure(served, 1, head, weight, a_day))
    apart = sum(
        fallen(served[group].sum(), head.flat[group], weight.flat[group], a_day.flat[group])
        for group in (0, 1)
    )
    assert together == pytest.approx(apart, rel=EXACT)
    by_day = only(manure(served, 0.4, head, weight, a_day))
    by_night = only(manure(served, 0.6, head, weight, a_day))
    assert by_day + by_night == pytest.approx(together, rel=EXACT)
    units = animal_unit_days(served, 1, head, weight)
    straw = only(bedding(served, 1, head, weight, by_state(0.004, 0.004, 0.004, 0.004)))
    assert straw == pytest.approx(units.sum() * 1000 * 0.004, rel=EXACT)
    assert bedding_cost(straw, 80) == pytest.approx(straw / 2000 * 80, rel=EXACT)
    assert hay_as_fed(straw, 1) == straw


def test_half_of_the_hours_leave_half_of_it_worked_by_hand():
    # 10 days, half of each, 100 head of 1,200 lb: 10 x 0.5 x 100 x 1.2 animal units
    place = (by_group(10), by_group(0.5), by_group(100), by_group(1200))
    assert only(animal_unit_days(*place)) == pytest.approx(600, rel=EXACT)
    # 10 x 0.5 x 100 x 1,200 lb x 0.004 of the live weight
    assert only(bedding(*place, by_group(0.004))) == pytest.approx(2_400, rel=EXACT)


def test_bedding_and_waste_are_hauled_with_the_manure_worked_by_hand():
    # half of 1,000 + 600 + 400 lb, and 100 cu ft of rain at 62.4 lb: 1,000 + 6,240 lb
    assert to_handle(1_000, 600, 400, 0.5, 100) == pytest.approx(7_240 / 2_000, rel=EXACT)


def test_a_store_for_half_of_the_winter_holds_half_of_it():
    assert storage_volume(90, 180, 1_000) == pytest.approx(500, rel=EXACT)
