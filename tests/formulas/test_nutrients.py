"""Nutrients in hay and what they are worth, held against extension tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.nutrients import (
    nitrogen_of,
    nutrient_worth,
    nutrients_dropped,
    nutrients_in_hay,
    nutrients_kept,
    nutrients_kept_from_floor,
)
from tests.formulas.axes import by_nutrient, only
from tests.formulas.precision import CENT, EXACT, ONE_DECIMAL, WHOLE

ALL = by_nutrient(1, 1, 1)

NITROGEN_IN_HAY = [
    (0.06, 0.90, 17),  # WVU, hay feeding on meadows and pastures, table 2, lb a ton as fed
    (0.08, 0.90, 23),  # WVU, table 2
    (0.10, 0.90, 29),  # WVU, table 2
    (0.12, 0.90, 35),  # WVU, table 2
]

WORTH = [  # lb of N, P2O5 and K2O, their prices, printed money
    ((400, 92, 345), (0.71, 0.73, 0.61), 561.61),  # Southern Ag Today 2023, an acre of hay
    ((100, 23, 86.25), (0.71, 0.73, 0.61), 140.40),  # Southern Ag Today 2023, a ton of it
    ((60, 13.8, 51.75), (0.71, 0.73, 0.61), 84.24),  # the same, a 1,200 lb bale, misprinted 54.24
    ((40, 13, 50), (0.45, 0.57, 0.39), 44.91),  # Ohio handout 2010, a ton of grass hay
    ((19, 0, 0), (0.70, 0.65, 0.50), 13.30),  # Berger, Nebraska, nitrogen in a ton of alfalfa
]
SHARES = st.floats(0, 1)


@pytest.mark.parametrize(("protein", "dry_matter", "printed"), NITROGEN_IN_HAY)
def test_nitrogen_in_a_ton_of_hay_is_the_printed_one(protein, dry_matter, printed):
    content = nutrients_in_hay(protein, 0, 0)
    assert 2000 * dry_matter * content[0].item() == pytest.approx(printed, abs=WHOLE)


@pytest.mark.parametrize(
    ("eaten", "printed", "usable", "tolerance"),
    [
        (100 * 30, 81.6, 28.6, ONE_DECIMAL),  # Berger, On Pasture 2022: 100 cows a day, 17 %
        (2000, 54.4, 19, WHOLE),  # Berger, Nebraska: a ton of alfalfa, 17 %
    ],
)
def test_nitrogen_fed_and_what_plants_get_of_it_are_the_printed_ones(
    eaten, printed, usable, tolerance
):
    fed = nutrients_dropped(eaten, 1, ALL, 0, nutrients_in_hay(0.17, 0, 0))
    assert only(nitrogen_of(fed)) == pytest.approx(printed, abs=ONE_DECIMAL)
    kept = nutrients_kept(fed, by_nutrient(0.35, 1, 1))  # Berger, Nebraska, 35 % of the nitrogen
    assert only(nitrogen_of(kept)) == pytest.approx(usable, abs=tolerance)


@pytest.mark.parametrize(("pounds", "prices", "printed"), WORTH)
def test_nutrients_are_worth_what_is_printed(pounds, prices, printed):
    worth = nutrient_worth(by_nutrient(*pounds), ALL, by_nutrient(*prices), ALL)
    assert only(worth) == pytest.approx(printed, abs=CENT)


def test_phosphate_and_potash_come_as_pounds_a_ton():
    content = nutrients_in_hay(0.10, 13, 50)  # Ohio handout 2010, cool-season grass hay
    assert 2000 * content[1].item() == pytest.approx(13, rel=EXACT)
    assert 2000 * content[2].item() == pytest.approx(50, rel=EXACT)


@given(SHARES, SHARES, SHARES, SHARES)
def test_no_more_is_kept_than_falls(collected, kept, open_lot, hours):
    fallen = nutrients_dropped(1000, hours, ALL, 100, nutrients_in_hay(0.12, 11, 40))
    on_land = nutrients_kept(fallen, by_nutrient(kept, 0, 1))
    on_floor = nutrients_kept_from_floor(
        fallen, collected, by_nutrient(kept, 0, 1), by_nutrient(open_lot, 1, 0)
    )
    for amount in (on_land, on_floor):
        assert (amount <= fallen * (1 + EXACT)).all()
        assert (amount >= 0).all()


@given(SHARES, SHARES)
def test_a_floor_cleaned_whole_keeps_as_stored_and_an_uncleaned_one_as_a_lot(stored, lot):
    fallen = by_nutrient(100, 50, 20)
    stored, lot = stored * ALL, lot * ALL
    whole = nutrients_kept_from_floor(fallen, 1, stored, lot)
    none = nutrients_kept_from_floor(fallen, 0, stored, lot)
    assert (whole == nutrients_kept(fallen, stored)).all()
    assert (none == nutrients_kept(fallen, lot)).all()


@given(st.floats(0, 24))
def test_what_is_eaten_falls_where_the_hours_are_spent(hours):
    content, excreted = nutrients_in_hay(0.12, 11, 40), by_nutrient(0.9, 0.8, 0.95)
    here = nutrients_dropped(1000, hours / 24, excreted, 100, content)
    there = nutrients_dropped(1000, 1 - hours / 24, excreted, 0, content)
    in_one_place = nutrients_dropped(1000, 1, excreted, 100, content)
    assert here + there == pytest.approx(in_one_place, rel=1e-9)


def test_what_does_not_count_is_worth_nothing():
    pounds, prices = by_nutrient(400, 92, 345), by_nutrient(0.71, 0.73, 0.61)
    only_nitrogen = nutrient_worth(pounds, ALL, prices, by_nutrient(1, 0, 0))
    assert only(only_nitrogen) == pytest.approx(400 * 0.71, rel=EXACT)
    assert only(nutrient_worth(pounds, ALL, prices, 0 * ALL)) == 0


def test_what_plants_cannot_use_is_worth_nothing_worked_by_hand():
    # 400 lb of nitrogen, half of it usable, at $0.70: $140; 100 lb of potash, all of it, at $0.60
    usable, prices = by_nutrient(0.5, 0, 1), by_nutrient(0.70, 0.70, 0.60)
    worth = nutrient_worth(by_nutrient(400, 92, 100), usable, prices, ALL)
    assert only(worth) == pytest.approx(140 + 60, rel=EXACT)
