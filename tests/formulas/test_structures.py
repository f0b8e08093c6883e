"""Structures, held against extension budgets and worked examples.

Extension budgets charge interest on half the first cost; the level annuity used here is right, and
a little higher: see differences.md. At a rate of zero both are the straight line, which is what is
compared. A source marked "arithmetic only" proves a sum, not a figure.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.accounts import annual_equivalents, present_values
from service.costing.formulas.allocation import area_by_rule
from service.costing.formulas.building import (
    building_flows,
    paid_in_year,
    salvage_value,
    shorter_of,
    top_up_cost,
    upkeep_flows,
    years_used,
)
from service.costing.formulas.structures import (
    cost_share_by_unit,
    cost_share_granted,
    first_cost,
    hay_storage_by_rule,
    larger_size,
    pieces_by_rule,
    size_added,
    strip_by_rule,
    works,
    works_of_addition,
)
from service.costing.formulas.sums import portion, total
from service.costing.formulas.time_value import capital_recovery_factor
from service.costing.units import YEARS_OF_NEVER
from tests.formulas.axes import by_group, only
from tests.formulas.precision import CENT, EXACT, FOUR_DECIMALS, WHOLE

BUILT_NOW, BY_UNUSED_LIFE, AS_AGREED = 0, 1, 0

FENCES = [  # life, upkeep; printed depreciation, interest, upkeep, total, a foot of 1,320 ft
    (20, 0.08, 99, 79, 159, 338, 0.26),  # Iowa State, Estimated costs for livestock fencing, woven
    (20, 0.08, 81, 65, 129, 274, 0.21),  # Iowa State fencing, barbed
    (25, 0.05, 59, 59, 74, 193, 0.15),  # Iowa State fencing, high-tensile
    (25, 0.05, 37, 37, 46, 121, 0.09),  # Iowa State fencing, high-tensile electric
]

RECOVERED = [  # price, salvage, years, rate, printed capital recovery
    (15_000, 3_000, 2, 0.10, 7_214.4),  # techwhiff 72677, machine A, arithmetic only
    (25_000, 6_000, 10, 0.10, 3_691.3),  # techwhiff 72677, machine B, arithmetic only
    (100_000, 20_000, 15, 0.10, 12_517.60),  # transtutors 5001602, arithmetic only
    (10_000, 1_000, 4, 0.10, 2_939.5),  # scribd 377819245, capital recovery notes
]

PRICED = [  # price of a unit, size, printed cost
    (20, 60 * 100, 120_000),  # CALT, Iowa State 2020, farm building
    (5.00, 50 * 100, 25_000),  # Worley and Lacy, Univ. of Georgia, shed
    (1.91, 8_000, 15_280),  # Mississippi watershed plan, livestock pipeline
    (1.04, 15_000, 15_600),  # Mississippi watershed plan, heavy use area
]
YEARS = st.integers(1, 40)
MONEY = st.floats(0, 1e6)
RATES = st.floats(0, 0.2)


def yearly(flows, rate):
    """Level yearly amount of money by year."""
    years = len(flows) - 1
    return only(
        annual_equivalents(present_values(flows, rate), capital_recovery_factor(rate, years))
    )


def bought(price, salvage, life, horizon):
    return building_flows(price, salvage, life, BUILT_NOW, horizon, BY_UNUSED_LIFE)


def kept_up(price, fraction, horizon):
    return upkeep_flows(price, fraction, 0, YEARS_OF_NEVER, 0, YEARS_OF_NEVER, horizon)


@pytest.mark.parametrize(("unit_cost", "size", "printed"), PRICED)
def test_works_cost_size_times_price(unit_cost, size, printed):
    assert works(0, unit_cost, size) == pytest.approx(printed, abs=CENT)


@pytest.mark.parametrize(
    ("life", "upkeep", "depreciation", "interest", "kept", "whole", "a_foot"), FENCES
)
def test_a_fence_costs_a_year_what_iowa_state_prints(
    life, upkeep, depreciation, interest, kept, whole, a_foot
):
    price = depreciation * life  # not printed: known to half a dollar a year
    near = WHOLE * life
    straight_line = yearly(bought(price, 0, life, life), 0)
    assert straight_line == pytest.approx(depreciation, abs=WHOLE)
    each_year = yearly(kept_up(price, upkeep, life), 0)
    assert each_year == pytest.approx(kept, abs=WHOLE + near * upkeep)
    on_half = 0.08 * price / 2  # Iowa State fencing: 8 % on half the first cost
    assert on_half == pytest.approx(interest, abs=WHOLE + near * 0.04)
    printed_parts = 2  # dollars: the parts are rounded before they are added
    assert straight_line + each_year + on_half == pytest.approx(whole, abs=printed_parts)
    assert whole / 1320 == pytest.approx(a_foot, abs=CENT)


def test_a_shed_costs_a_year_what_georgia_prints():
    price = works(0, 5.00, 5000)  # Worley and Lacy, Univ. of Georgia
    depreciation = yearly(bought(price, 0, 20, 20), 0)
    taxes = yearly(kept_up(price, 0.03, 20), 0)
    repairs = yearly(kept_up(price, 0.005, 20), 0)
    interest = 0.08 * price / 2
    assert depreciation == pytest.approx(1_250, abs=WHOLE)  # Worley and Lacy
    assert taxes == pytest.approx(750, abs=WHOLE)  # Worley and Lacy
    assert repairs == pytest.approx(125, abs=WHOLE)  # Worley and Lacy
    printed = 3_125  # Worley and Lacy, whole
    assert depreciation + taxes + repairs + interest == pytest.approx(printed, abs=WHOLE)
    # The annuity holds the interest that falls due, not that on half the price.
    assert yearly(bought(price, 0, 20, 20), 0.08) > depreciation + interest


@pytest.mark.parametrize(
    ("price", "printed", "with_upkeep"),
    [
        (800, 40, 48),  # Teagasc in Agriland: euro a head, 10 % upkeep and 10 % margin
        (400, 20, 24),  # Irish Farmers Journal: euro a square meter, the margin left out in words
    ],
)
def test_a_winter_place_costs_what_ireland_prints(price, printed, with_upkeep):
    place = yearly(bought(price, 0, 20, 20), 0)
    assert place == pytest.approx(printed, abs=WHOLE)
    share = (0.10 + 0.10) * printed / price
    assert place + yearly(kept_up(price, share, 20), 0) == pytest.approx(with_upkeep, abs=WHOLE)


def test_a_place_of_two_and_a_half_square_meters_costs_the_printed_sum():
    printed = 60  # Irish Farmers Journal, euro a head at 24 a square meter
    area = only(area_by_rule(by_group(1), by_group(2.5), by_group(1)))
    assert area * 24 == pytest.approx(printed, abs=WHOLE)


@pytest.mark.parametrize(("price", "salvage", "years", "rate", "printed"), RECOVERED)
def test_capital_is_recovered_as_printed(price, salvage, years, rate, printed):
    # The sources work with factors of four decimals.
    near = CENT * 10 + (price + salvage) * FOUR_DECIMALS
    flows = bought(price, salvage_value(price, salvage / price), years, years)
    assert yearly(flows, rate) == pytest.approx(printed, abs=near)


def test_a_pipeline_with_upkeep_costs_what_is_printed():
    flows = total(bought(7_500, 500, 10, 10), kept_up(7_500, 6_000 / 7_500, 10))
    cost = only(present_values(flows, 0.05))
    assert cost == pytest.approx(53_523.45, abs=CENT)  # techwhiff 109855, arithmetic only
    assert yearly(flows, 0.05) == pytest.approx(6_931.53, abs=CENT)  # techwhiff 109855


def test_present_cost_of_a_machine_is_the_printed_one():
    flows = total(bought(20_000, 5_000, 10, 10), kept_up(20_000, 1, 10))
    printed = 140_960.12  # scribd 602125832, 7.15, with factors of four decimals
    rounded_factors = 4  # dollars
    assert only(present_values(flows, 0.10)) == pytest.approx(printed, abs=rounded_factors)


@pytest.mark.parametrize(
    ("parts", "printed"),
    [
        ((95, 14, 40, 4), 153),  # Univ. of Nebraska, cropland to perennial grazing: establishment
        ((27, 10), 37),  # Univ. of Nebraska: first fertility and upkeep
        ((60, 30, 26), 116),  # Univ. of Nebraska: fence and water
        ((153, 37, 116), 306),  # Univ. of Nebraska: whole, dollars an acre
    ],
)
def test_parts_of_a_seeding_add_up(parts, printed):
    assert total(*parts) == printed


def test_a_renovation_adds_up_to_the_printed_sum():
    items = [  # Univ. of Florida bulletin, table 18: price and amount an acre
        (2.15, 2), (0.65, 10), (1.35, 2), (0.22, 15), (2.25, 5), (4.40, 1), (0.30, 5),
        (0.45, 1), (10.00, 1),
    ]  # fmt: skip
    printed = 44.40  # Univ. of Florida bulletin, table 18
    assert total(*(works(0, *item) for item in items)) == pytest.approx(printed, abs=CENT)


@pytest.mark.parametrize(
    ("per_unit", "size", "cap", "printed"),
    [
        (75, 10, 750, 750),  # NRCS Indiana 2011, access control: $75 an acre up to $750
        (75, 12, 750, 750),  # NRCS Indiana 2011, beyond the cap
        (75, 4, 750, 300),  # NRCS Indiana 2011, under it
        (7.03, 4_000, 22_000, 22_000),  # NRCS Indiana 2011, bin composting, $7.03 a cu ft
        (7.03, 1_000, 22_000, 7_030),  # NRCS Indiana 2011, under the cap
    ],
)
def test_cost_share_follows_the_printed_terms(per_unit, size, cap, printed):
    dearer_than_all = 1e6
    granted = cost_share_granted(dearer_than_all, cost_share_by_unit(per_unit, size), cap)
    assert granted == pytest.approx(printed, abs=CENT)


@given(MONEY, st.floats(0, 1), MONEY, MONEY)
def test_cost_share_is_never_more_than_any_of_its_terms(cost, rate, by_unit, cap):
    limits = (cost, portion(cost, rate), by_unit, cap)
    assert cost_share_granted(*limits) == min(limits)


@given(MONEY, st.floats(0, 1), YEARS, YEARS, RATES)
def test_what_is_built_costs_the_same_a_year_whatever_whole_lives_are_looked_at(
    price, salvage, life, times, rate
):
    salvage *= price
    times = min(times, 50 // life) or 1
    once = yearly(bought(price, salvage, life, life), rate)
    often = yearly(bought(price, salvage, life, life * times), rate)
    assert often == pytest.approx(once, rel=1e-9, abs=1e-6)


@given(MONEY, st.floats(0, 1), YEARS, YEARS)
def test_at_no_interest_building_costs_the_straight_line_over_any_horizon(
    price, salvage, life, horizon
):
    salvage *= price
    straight_line = (price - salvage) / life
    assert yearly(bought(price, salvage, life, horizon), 0) == pytest.approx(
        straight_line, rel=1e-9, abs=1e-6
    )


@given(MONEY, YEARS, YEARS, YEARS)
def test_what_exists_costs_nothing_until_it_is_rebuilt(price, life, remaining, horizon):
    flows = building_flows(price, 0, life, remaining, horizon, BY_UNUSED_LIFE).reshape(-1)
    assert (flows[: min(remaining, horizon + 1)] == 0).all()
    assert yearly(flows.reshape(-1, 1, 1, 1), 0) >= -1e-9
    if remaining < horizon:
        assert flows[remaining] == price
    else:
        assert (flows == 0).all()
    assert years_used(life, min(life, remaining)) == life - min(life, remaining)


@given(MONEY, MONEY, YEARS, YEARS)
def test_a_landlord_pays_what_was_agreed_whole(price, agreed, lease, horizon):
    life = shorter_of(20, lease)
    flows = building_flows(price, agreed, life, BUILT_NOW, horizon, AS_AGREED).reshape(-1)
    rebuilt = flows[horizon]
    assert rebuilt == pytest.approx(-agreed)


@pytest.mark.parametrize(
    ("age", "interval", "life", "horizon", "topped"),
    [
        # By the definition: age a multiple of the interval, not when rebuilt, before the horizon
        (0, 4, 12, 15, [4, 8]),
        (0, 4, 12, 20, [4, 8, 16]),
        (9, 4, 12, 10, [7]),
        (0, 5, 10, 10, [5]),
        (0, 4, 12, 4, []),
    ],
)
def test_rock_is_topped_up_by_its_age(age, interval, life, horizon, topped):
    flows = upkeep_flows(0, 0, 100, interval, age, life, horizon).reshape(-1)
    assert np.flatnonzero(flows).tolist() == topped
    assert top_up_cost(2000, 0.05) == pytest.approx(100, rel=EXACT)


@given(MONEY, st.floats(0, 1), YEARS)
def test_upkeep_is_the_same_each_year_after_the_first_building(price, fraction, horizon):
    flows = kept_up(price, fraction, horizon).reshape(-1)
    assert flows[0] == 0
    np.testing.assert_allclose(flows[1:], price * fraction, rtol=EXACT)


@given(MONEY, YEARS, st.data())
def test_a_payment_falls_in_its_year_alone(amount, horizon, data):
    year = data.draw(st.integers(0, horizon))
    flows = paid_in_year(amount, year, horizon).reshape(-1)
    assert flows[year] == amount
    assert flows.sum() == amount


@given(MONEY, MONEY, st.floats(0, 100), st.floats(0, 1e4), st.floats(0, 1e4))
def test_an_addition_has_no_base_cost_but_a_tie_in(base, tie_in, unit, old, new):
    whole = works(base, unit, old + new)
    parts = works(base, unit, old) + works_of_addition(unit, new, tie_in)
    assert parts - tie_in == pytest.approx(whole, rel=1e-9, abs=1e-6)


@given(MONEY, st.floats(0, 1), st.tuples(MONEY, MONEY, MONEY))
def test_extras_come_on_top_of_the_works(cost, contingency, extras):
    assert first_cost(cost, contingency, *extras) == pytest.approx(
        cost + cost * contingency + sum(extras), rel=1e-9
    )


@pytest.mark.parametrize(
    ("head", "per_piece", "pieces"),
    [
        (160, 20, 8),  # Buskirk 2003: 160 cows, 20 at a feeder
        (100, 10, 10),  # Schnakenberg, Missouri: about 10 cows a ring
        (101, 10, 11),  # one more takes a ring of its own
    ],
)
def test_feeders_are_whole_pieces(head, per_piece, pieces):
    assert only(pieces_by_rule(by_group(head), by_group(1 / per_piece))) == pieces


def test_pieces_are_rounded_up_once_for_all_groups():
    assert only(pieces_by_rule(by_group(45, 45), by_group(0.1, 0.1))) == 9


@given(st.floats(0, 1e4), st.floats(0, 10))
def test_floors_grow_with_what_they_serve(amount, each):
    assert hay_storage_by_rule(amount, each) == strip_by_rule(amount, each) == amount * each


def test_feeders_are_counted_in_each_draw_and_winter():
    # 90 cows at one for 20 or 10, and 30 ewes at one for 30: 5.5 and 10 pieces, rounded up
    each = np.stack([np.array([[0.05], [0.10]]), np.array([[1 / 30], [1 / 30]])])[:, None]
    pieces = pieces_by_rule(by_group(90, 30), each * np.ones(3))
    assert pieces.tolist() == [[6] * 3, [10] * 3]


@pytest.mark.parametrize(
    ("wanted", "there", "added", "larger"), [(500, 200, 300, 500), (200, 500, 0, 500)]
)
def test_what_is_there_is_not_built_again(wanted, there, added, larger):
    assert size_added(wanted, there) == added
    assert larger_size(wanted, there) == larger
