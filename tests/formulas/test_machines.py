"""Machine costs, held against figures that extension services and the trade press have published.

The coefficients of ASABE D497 are from memory, unverified; that the published figures come out of
them is the evidence for both the coefficients and the form of the equations.
"""

import json
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.machines import (
    accumulated_repairs,
    age_when_sold,
    fuel_per_hour,
    hours_per_year_of_life,
    hours_when_sold,
    lubrication_per_hour,
    machine_recovery_per_year,
    operating_per_hour,
    ownership_per_hour,
    remaining_value,
    repairs_per_year,
    taxes_insurance_housing,
)
from service.costing.formulas.time_value import capital_recovery_factor, real_rate
from tests.formulas.precision import (
    CENT,
    EXACT,
    FIVE_DECIMALS,
    FOUR_DECIMALS,
    FRACTION_IN_WHOLE_PERCENT,
    SIX_FIGURES,
    TWO_DECIMALS,
    WHOLE,
)

WORKED_FARMS = Path(__file__).parents[1] / "data" / "worked_farms"

VALUE_UNDER_80 = (0.981, 0.093, 0.0058)  # ASABE D497, tractor under 80 hp, from memory
VALUE_80_TO_149 = (0.942, 0.100, 0.0008)  # ASABE D497, tractor 80 to 149 hp, from memory
VALUE_150_UP = (0.976, 0.119, 0.0019)  # ASABE D497, tractor of 150 hp and more, from memory
MOWER = (0.756, 0.067, 0.0)  # ASABE D497, mowers, from memory
TRACTOR_REPAIRS = (0.007, 2.0)  # ASABE D497.7 table 3, tractor 2WD, from memory

LIFETIME_REPAIRS = [  # ASABE D497.7 table 3, from memory: RF1, RF2, life in hours, percent of list
    pytest.param(0.007, 2.0, 12_000, 100, id="tractor 2WD"),
    pytest.param(0.003, 2.0, 16_000, 80, id="tractor 4WD"),
    pytest.param(0.18, 1.7, 2_000, 60, id="disk"),
    pytest.param(0.27, 1.4, 2_000, 70, id="field cultivator"),
    pytest.param(0.32, 2.1, 1_500, 75, id="grain drill"),
    pytest.param(0.46, 1.7, 2_000, 150, id="mower, cutterbar"),
    pytest.param(0.44, 2.0, 2_000, 175, id="mower, rotary"),
    pytest.param(0.16, 2.0, 2_500, 100, id="mower-conditioner"),
    pytest.param(0.17, 1.4, 2_500, 60, id="rake"),
    pytest.param(0.23, 1.8, 2_000, 80, id="baler, small rectangular"),
    pytest.param(0.10, 1.8, 3_000, 75, id="baler, large rectangular"),
    pytest.param(0.43, 1.8, 1_500, 90, id="baler, large round"),
    pytest.param(0.63, 1.3, 1_200, 80, id="spreader"),
    pytest.param(0.19, 1.3, 3_000, 80, id="wagon"),
    pytest.param(0.16, 1.6, 2_000, 50, id="forage wagon"),
    pytest.param(0.41, 1.3, 1_500, 70, id="sprayer"),
]
POINTS_FROM_TWO_DIGIT_FACTORS = 0.035
"""The factors are printed in two digits, so they give the lifetime to a few points of list."""

TRACTOR_TABLE = [  # Univ. Illinois farmdoc, table of tractor costs: hp, total, overhead, fuel
    (65, 33.55, 14.00, 4.70),
    (95, 41.55, 20.20, 6.50),
    (105, 44.15, 21.70, 7.60),
    (115, 46.85, 23.70, 8.30),
    (140, 55.25, 30.30, 10.10),
    (155, 58.55, 32.50, 11.20),
    (170, 68.15, 41.40, 11.90),
    (190, 72.55, 44.00, 13.70),
    (215, 78.95, 48.60, 15.50),
    (235, 84.65, 52.80, 17.00),
    (255, 90.15, 56.90, 18.40),
    (280, 82.05, 47.00, 20.20),
    (325, 91.55, 53.50, 23.20),
]

RECOVERY = [  # price, salvage value and years kept; rate; yearly amount
    # techwhiff 72677, machines A and B, factors of four decimals, arithmetic only
    ((15_000, 3_000, 2), 0.10, 7_214.4, 15_000 * FOUR_DECIMALS),
    ((25_000, 6_000, 10), 0.10, 3_691.3, 25_000 * FOUR_DECIMALS),
    # scribd 377819245, capital recovery notes, factors of four decimals
    ((10_000, 1_000, 4), 0.10, 2_939.5, 10_000 * FOUR_DECIMALS),
    # transtutors 5001602, factors of five decimals, arithmetic only
    ((100_000, 20_000, 15), 0.10, 12_517.60, 80_000 * FIVE_DECIMALS),
    # Iowa State University Extension, machinery cost sheet: 68,200 over 15 years, no interest
    ((93_500, 25_300, 15), 0.0, 68_200 / 15, WHOLE / 15),
    # Maryland Extension: 30,000 resold at 10,000 after 10 years, no interest
    ((30_000, 10_000, 10), 0.0, 2_000, WHOLE),
]


@pytest.mark.parametrize(
    ("coefficients", "years", "hours", "printed"),
    [
        (VALUE_150_UP, 15, 400, 0.23),  # Iowa State University Extension, 180 hp (two editions)
        (VALUE_80_TO_149, 10, 400, 0.37),  # agricultural-tractors.com, 105 hp, after Iowa State
    ],
)
def test_remaining_value_is_the_share_of_list_that_is_published(
    coefficients, years, hours, printed
):
    c1, c2, c3 = coefficients
    value = remaining_value(1, c1, c2, c3, years, hours)
    assert value == pytest.approx(printed, abs=FRACTION_IN_WHOLE_PERCENT)


def test_salvage_value_is_that_of_the_published_tractor():
    printed = 25_300  # Iowa State University Extension, list 110,000, 180 hp, 15 years
    salvage = remaining_value(110_000, *VALUE_150_UP, 15, 400)
    assert salvage == pytest.approx(printed, abs=110_000 * FRACTION_IN_WHOLE_PERCENT)


def test_an_older_curve_of_value_lies_between_two_classes():
    printed = 0.36  # Univ. Illinois farmdoc 2008, 10 years, 300 hours a year
    older_curve = 0.67 * 0.94**10  # ASAE D497 of the 1990s, from memory
    assert older_curve == pytest.approx(printed, abs=FRACTION_IN_WHOLE_PERCENT)
    larger = remaining_value(1, *VALUE_150_UP, 10, 300)
    smaller = remaining_value(1, *VALUE_80_TO_149, 10, 300)
    assert larger < printed < smaller


@given(
    st.sampled_from([VALUE_UNDER_80, VALUE_80_TO_149, VALUE_150_UP, MOWER]),
    st.floats(0, 200),
    st.floats(0, 3_000),
    st.floats(0, 50),
)
def test_remaining_value_never_rises_with_age_or_use(coefficients, years, hours, more):
    c1, c2, c3 = coefficients
    value = remaining_value(60_000, c1, c2, c3, years, hours)
    assert 0 <= value <= 60_000 * c1**2
    assert remaining_value(60_000, c1, c2, c3, years + more, hours) <= value
    assert remaining_value(60_000, c1, c2, c3, years, hours + more) <= value


def test_a_worn_out_machine_is_worth_nothing():
    assert remaining_value(60_000, *VALUE_UNDER_80, 150, 400) == 0


@pytest.mark.parametrize(("rf1", "rf2", "life", "percent"), LIFETIME_REPAIRS)
def test_lifetime_repairs_are_the_share_of_list_that_is_printed(rf1, rf2, life, percent):
    repairs = accumulated_repairs(1, rf1, rf2, life)
    assert repairs == pytest.approx(percent / 100, abs=POINTS_FROM_TWO_DIGIT_FACTORS)


@pytest.mark.parametrize(
    ("hours", "printed"),
    [
        (6_000, 0.25),  # growingproduce.com, tractor costs part 2, after Iowa State
        (10_000, 0.70),  # Iowa State University Extension, machinery cost sheet, end of its figure
    ],
)
def test_accumulated_repairs_are_the_share_of_list_that_is_published(hours, printed):
    repairs = accumulated_repairs(1, *TRACTOR_REPAIRS, hours)
    assert repairs == pytest.approx(printed, abs=FRACTION_IN_WHOLE_PERCENT)


def test_repairs_for_an_hour_are_those_of_the_published_tractor():
    printed_total, printed_per_hour = 20_000, 3.33  # growingproduce.com part 2, list 80,000
    rounding = 80_000 * FRACTION_IN_WHOLE_PERCENT
    total = accumulated_repairs(80_000, *TRACTOR_REPAIRS, 6_000)
    assert total == pytest.approx(printed_total, abs=rounding)
    per_year = repairs_per_year(total, 0, 10)
    per_hour = operating_per_hour(per_year, 600, 0, 0)
    assert per_hour == pytest.approx(printed_per_hour, abs=rounding / 6_000)


@given(st.floats(1.1, 2.2), st.floats(100, 8_000), st.floats(100, 4_000))
def test_a_used_machine_costs_more_repairs_than_its_average_from_new(rf2, hours_so_far, hours):
    before = accumulated_repairs(1, 0.007, rf2, hours_so_far)
    after = accumulated_repairs(1, 0.007, rf2, hours_so_far + hours)
    assert repairs_per_year(after, before, hours) > after / (hours_so_far + hours)


@given(st.lists(st.floats(0, 5_000), min_size=3, max_size=6))
def test_repairs_between_ages_add_up(stretches):
    hours = np.cumsum(stretches)
    repairs = np.asarray(accumulated_repairs(58_000, *TRACTOR_REPAIRS, hours))
    parts = [repairs_per_year(later, sooner, 1) for sooner, later in pairwise(repairs)]
    assert sum(parts) == pytest.approx(repairs[-1] - repairs[0], rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(("asset", "rate", "printed", "tolerance"), RECOVERY)
def test_recovery_is_the_published_one_by_three_routes(asset, rate, printed, tolerance):
    price, salvage, years = asset
    recovery = capital_recovery_factor(rate, years)
    sinking_fund = recovery - rate
    yearly = machine_recovery_per_year(price, salvage, recovery, rate)
    assert yearly == pytest.approx(printed, abs=tolerance)
    assert yearly == pytest.approx(price * recovery - salvage * sinking_fund, rel=EXACT)
    assert yearly == pytest.approx((price - salvage) * sinking_fund + price * rate, rel=EXACT)


@given(st.floats(1, 1e6), st.floats(0.001, 0.3), st.integers(1, 40))
def test_a_machine_that_keeps_its_value_costs_its_interest(price, rate, years):
    recovery = capital_recovery_factor(rate, years)
    assert machine_recovery_per_year(price, price, recovery, rate) == pytest.approx(price * rate)


@pytest.mark.parametrize(
    ("fuel_use", "pto_hp", "diesel_price", "printed"),
    [
        (0.044, 180, 1.00, 7.92),  # Iowa State University Extension, machinery cost sheet
        (0.044, 105, 1.00, 4.62),  # growingproduce.com, tractor costs part 2: gallons an hour
        (0.044, 105, 3.40, 15.71),  # growingproduce.com, tractor costs part 2
    ],
)
def test_fuel_is_the_published_one(fuel_use, pto_hp, diesel_price, printed):
    assert fuel_per_hour(fuel_use, pto_hp, diesel_price) == pytest.approx(printed, abs=CENT)


def test_lubrication_is_the_published_one():
    printed = 2.36  # growingproduce.com, tractor costs part 2: 15 % of fuel at 15.71
    assert lubrication_per_hour(15.71, 0.15) == pytest.approx(printed, abs=TWO_DECIMALS)


@pytest.mark.parametrize(
    ("price", "fraction", "printed"),
    [
        (25_000, 0.03, 750),  # Univ. Georgia, Economics of farm storage buildings: tax, insurance
        (100, 0.0100 + 0.0075 + 0.0025, 2.00),  # ASAE EP496.3, its three shares, from memory
    ],
)
def test_taxes_insurance_and_housing_are_a_share_of_price(price, fraction, printed):
    assert taxes_insurance_housing(price, fraction) == pytest.approx(printed, abs=CENT)


@pytest.mark.parametrize(("pto_hp", "total", "overhead", "fuel"), TRACTOR_TABLE)
def test_hourly_costs_add_up_to_the_published_total(pto_hp, total, overhead, fuel):
    hours = 300  # Univ. Illinois farmdoc 2008, hours a year
    labor = 13.50 * 1.10  # Univ. Illinois farmdoc, wage and 10 % more time than the machine
    owning = ownership_per_hour(overhead * hours, 0, hours)
    running = operating_per_hour(0, hours, fuel, 0)
    assert owning + running + labor == pytest.approx(total, abs=CENT)
    gallons_per_hp_hour = fuel / 1.10 / pto_hp
    # Iowa State's average of a whole year, and half as much again for field work
    assert 0.044 < gallons_per_hp_hour < 1.5 * 0.0445


def hourly_rate(machine, assumed, rate, diesel_price):
    """Work the rate of one machine, ownership and operating apart."""
    kept, hours = machine["years_kept"], machine["hours_per_year"]
    age = age_when_sold(machine["age_years"], kept)
    hours_at_end = hours_when_sold(machine["hours_so_far"], kept, hours)
    value, repair = (f"machine.{name}.{machine['class']}" for name in ("remaining_value", "repair"))
    salvage = remaining_value(
        machine["list_price"],
        assumed[f"{value}.c1"],
        assumed[f"{value}.c2"],
        assumed[f"{value}.c3"],
        age,
        hours_per_year_of_life(hours_at_end, age),
    )
    recovery = machine_recovery_per_year(
        machine["price"], salvage, capital_recovery_factor(rate, kept), rate
    )
    share = assumed["machine.taxes_insurance_housing_fraction"]
    owned = taxes_insurance_housing(machine["price"], share)
    so_far, at_end = (
        accumulated_repairs(
            machine["list_price"], assumed[f"{repair}.rf1"], assumed[f"{repair}.rf2"], total
        )
        for total in (machine["hours_so_far"], hours_at_end)
    )
    fuel = fuel_per_hour(
        assumed["machine.fuel_gallon_per_pto_hp_hour"], machine["pto_hp"], diesel_price
    )
    lubrication = lubrication_per_hour(fuel, assumed["machine.lubrication_fraction"])
    repairs = repairs_per_year(at_end, so_far, kept)
    return (
        ownership_per_hour(recovery, owned, hours),
        operating_per_hour(repairs, hours, fuel, lubrication),
    )


def test_hourly_rate_is_that_of_the_worked_farm():
    farm = json.loads((WORKED_FARMS / "worked_farm_rows.json").read_text())
    result = json.loads((WORKED_FARMS / "worked_farm_rows_result.json").read_text())
    worked = result["workings"]["machine_rate_per_hour"]["tractor"]
    finance = farm["finance"]
    ownership, paid = hourly_rate(
        farm["machines"]["tractor"],
        farm["assumptions"],
        real_rate(finance["nominal_rate"], finance["inflation"]),
        farm["prices"]["diesel_per_gallon"],
    )
    assert ownership == pytest.approx(worked["ownership"], rel=SIX_FIGURES)
    assert paid == pytest.approx(worked["paid"], rel=SIX_FIGURES)


def test_formulas_take_arrays_as_they_take_floats():
    years, hours = np.array([[5.0], [15.0]]), np.array([100.0, 400.0, 900.0])
    values = remaining_value(80_000, *VALUE_UNDER_80, years, hours)
    one_by_one = [
        [float(remaining_value(80_000, *VALUE_UNDER_80, n, h)) for h in hours] for n in years[:, 0]
    ]
    np.testing.assert_allclose(values, one_by_one, rtol=EXACT)
    repairs = accumulated_repairs(80_000, *TRACTOR_REPAIRS, hours)
    one_by_one = [float(accumulated_repairs(80_000, *TRACTOR_REPAIRS, h)) for h in hours]
    np.testing.assert_allclose(repairs, one_by_one, rtol=EXACT)
