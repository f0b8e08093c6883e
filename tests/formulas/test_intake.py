"""What animals eat and need, held against extension tables and worked examples.

A source marked "arithmetic only" proves a sum, not a figure.
"""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.formulas.intake import (
    by_hours,
    cold_need,
    eaten_factor,
    eaten_per_day,
    energy_short,
    intake_by_stage,
    mean_of_stages,
    supplement_by_stage,
    supplement_fed,
)
from service.costing.formulas.manure import hay_as_fed
from service.costing.formulas.stages import (
    day_before,
    day_of_year,
    days_from_to,
    stage_shares,
    stages_of_groups,
)
from tests.formulas.axes import by_group, by_stage, only
from tests.formulas.precision import (
    EXACT,
    FRACTION_IN_WHOLE_PERCENT,
    ONE_DECIMAL,
    PERCENT_TO_ONE_DECIMAL,
    TWO_DECIMALS,
    WHOLE,
)

NO_LIMIT = 10.0
"""A limit on extra intake that is never reached."""

INTAKE = [
    (1200, 0.023, 28, WHOLE),  # Rasby, Nebraska, lactating cow on average hay
    (1200, 0.020, 24, WHOLE),  # Selk, Oklahoma State, pregnant cow
    (1200, 0.020, 24, WHOLE),  # Mayo and Thomas 2024, Univ. of Florida
    (1200, 0.025, 30, WHOLE),  # Garcia 2019, SDSU, lactating cow
    (1100, 0.020, 22, WHOLE),  # Mullenix 2022, Auburn, lactating cow
    (700, 0.030, 21, WHOLE),  # Mullenix 2022, Auburn, growing steer
    (1000, 0.018, 18, WHOLE),  # Neel, Univ. of Tennessee, mature dry cow, low
    (1000, 0.020, 20, WHOLE),  # Neel, Univ. of Tennessee, mature dry cow, high
    (1000, 0.014, 14, WHOLE),  # Neel, Univ. of Tennessee, poor hay, low
    (1000, 0.016, 16, WHOLE),  # Neel, Univ. of Tennessee, poor hay, high
    (1250, 0.025, 31, WHOLE),  # Brackenrich and Santangelo, Penn State, low
    (1250, 0.030, 38, WHOLE),  # Brackenrich and Santangelo, Penn State, high
    (125, 0.025, 3.1, ONE_DECIMAL),  # Univ. of Maine, sheep table
    (125, 0.030, 3.75, TWO_DECIMALS),  # Univ. of Maine, sheep table
    (125, 0.035, 4.4, ONE_DECIMAL),  # Univ. of Maine, sheep table
    (250, 0.025, 6.25, TWO_DECIMALS),  # Univ. of Maine, sheep table
    (250, 0.030, 7.5, ONE_DECIMAL),  # Univ. of Maine, sheep table
    (250, 0.035, 8.75, TWO_DECIMALS),  # Univ. of Maine, sheep table
]

EWES = [  # NRC 1985, Nutrient Requirements of Sheep, table 1 p. 45: lb, % of weight, lb DM
    (110, 2.0, 2.2), (132, 1.8, 2.4), (154, 1.7, 2.6), (176, 1.6, 2.9), (198, 1.5, 3.1),
    (110, 3.2, 3.5), (132, 2.8, 3.7), (154, 2.6, 4.0), (176, 2.4, 4.2), (198, 2.2, 4.4),
    (110, 2.4, 2.6), (132, 2.2, 2.9), (154, 2.0, 3.1),
]  # fmt: skip

COLD = [  # critical and effective temperature, rise per degree, printed rise
    (32, 22, 0.01, 0.10),  # Cottonwood Connections, Jan 2025, dry coat: 12.0 to 13.2 lb TDN
    (59, 22, 0.02, 0.74),  # Cottonwood Connections, Jan 2025, wet coat: 74 %
    (32, -9, 0.011, 0.45),  # K-State tables as a vendor quotes them, arithmetic only
    (32, 2, 0.011, 0.33),  # the same behind a windbreak, arithmetic only
    (32, 20 - 15, 0.01, 0.27),  # Penn State, goats, 20 °F and 15 mph
]

DAYS = [
    ("11-25", "01-06", 42),  # Madison County, Kentucky, stockpile demonstration, days printed
    ("01-01", "12-31", 364),  # common practice, no source: a year of 365 days
    ("12-31", "01-01", 1),  # common practice, no source
]
MONTH_DAYS = st.dates(date(2026, 1, 1), date(2026, 12, 31)).map(lambda day: day.strftime("%m-%d"))


@pytest.mark.parametrize(("weight", "fraction", "printed", "tolerance"), INTAKE)
def test_intake_is_the_printed_one(weight, fraction, printed, tolerance):
    assert intake_by_stage(weight, fraction) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(("weight", "percent", "printed"), EWES)
def test_intake_of_ewes_is_that_of_the_requirement_table(weight, percent, printed):
    near = ONE_DECIMAL + weight * PERCENT_TO_ONE_DECIMAL
    assert intake_by_stage(weight, percent / 100) == pytest.approx(printed, abs=near)


@pytest.mark.parametrize(
    ("head", "printed"),
    [(20, 720), (30, 1_080), (45, 1_620)],  # Ohio handout 2010, 1,200 lb cows at 3 %
)
def test_a_herd_eats_what_the_handout_prints(head, printed):
    daily = eaten_per_day(head, intake_by_stage(1200, 0.03), eaten_factor(0.0, NO_LIMIT))
    assert daily == pytest.approx(printed, abs=WHOLE)


@pytest.mark.parametrize(("critical", "effective", "rise", "printed"), COLD)
def test_cold_raises_the_need_as_printed(critical, effective, rise, printed):
    need = cold_need(effective, critical, rise)
    assert need == pytest.approx(printed, abs=FRACTION_IN_WHOLE_PERCENT)


def test_a_cow_in_the_cold_needs_what_north_dakota_prints():
    base, tdn = 12.7, 0.56  # NDSU, lower critical temperature: 1,300 lb cow, forage at 56 % TDN
    printed_tdn, printed_more, printed_forage = 14.48, 1.78, 3.2  # NDSU, at 4 °F below 18 °F
    factor = eaten_factor(cold_need(4, 18, 0.01), NO_LIMIT)
    assert base * factor == pytest.approx(printed_tdn, abs=TWO_DECIMALS)
    assert base * factor - base == pytest.approx(printed_more, abs=TWO_DECIMALS)
    forage = base / tdn
    more = eaten_per_day(1, forage, factor) - forage
    assert more == pytest.approx(printed_forage, abs=ONE_DECIMAL)


@pytest.mark.parametrize(
    ("tdn_needed", "printed"),
    [(16.3, 1.5), (17.0, 2.8), (17.8, 4.3)],  # SDSU: 1,400 lb cow, base 15.5 lb, hay 54 % TDN
)
def test_energy_for_cold_is_that_much_more_hay(tdn_needed, printed):
    base, tdn = 15.5, 0.54  # SDSU, cold temperatures impact forage intake
    hay = base / tdn
    more = eaten_per_day(1, hay, eaten_factor(tdn_needed / base - 1, NO_LIMIT)) - hay
    assert more == pytest.approx(printed, abs=ONE_DECIMAL)


def test_more_hay_for_cold_as_it_is_fed():
    more = (17.0 - 15.5) / 0.54  # SDSU, at 0 °F
    printed = 3.2  # SDSU, hay of 88 % dry matter
    assert hay_as_fed(more, 0.88) == pytest.approx(printed, abs=ONE_DECIMAL)


@pytest.mark.parametrize(
    ("intake", "hay_protein", "needed", "printed"),
    [
        (28, 0.08, 2.7, 2.24),  # Rasby, Nebraska: 28 lb of 8 % hay hold 2.24 lb, short of 2.7
        (24, 0.062, 24 * 0.062 + 1, 1.49),  # NDSU Dickinson: 24 lb at 6.2 % hold 1.49 lb
    ],
)
def test_protein_lacking_is_the_need_less_what_hay_holds(intake, hay_protein, needed, printed):
    short = supplement_by_stage(intake, 0, 0.5, 1, needed / intake, hay_protein, 1)
    assert needed - short == pytest.approx(printed, abs=TWO_DECIMALS)


def test_energy_lacking_is_the_need_less_what_hay_holds():
    intake, tdn, needed = 30, 0.58, 17.6  # Garcia 2019, SDSU, lactating cow
    printed = 17.4  # Garcia 2019, SDSU: TDN in the hay
    short = supplement_by_stage(intake, needed / intake, tdn, 1, 0, 0.1, 1)
    assert needed - short == pytest.approx(printed, abs=ONE_DECIMAL)


def test_supplement_of_a_ewe_is_what_wales_prints():
    intake = intake_by_stage(75, 0.015)  # Hybu Cig Cymru, 75 kg ewe, kg DM
    assert intake == pytest.approx(1.13, abs=TWO_DECIMALS)  # Hybu Cig Cymru
    assert intake * 8.5 == pytest.approx(9.6, abs=ONE_DECIMAL)  # Hybu Cig Cymru, MJ in hay
    concentrate = supplement_by_stage(intake, 19 / intake, 8.5, 12.5, 0, 0.1, 1)
    printed = 0.9  # Hybu Cig Cymru, kg a day as fed at 86 % dry matter
    assert hay_as_fed(concentrate, 0.86) == pytest.approx(printed, abs=ONE_DECIMAL)


def test_the_larger_of_two_lacks_sets_the_supplement():
    energy = supplement_by_stage(20, 0.60, 0.50, 0.80, 0, 0.10, 0.30)
    protein = supplement_by_stage(20, 0, 0.50, 0.80, 0.13, 0.10, 0.30)
    both = supplement_by_stage(20, 0.60, 0.50, 0.80, 0.13, 0.10, 0.30)
    assert energy == pytest.approx(20 * 0.10 / 0.80, rel=EXACT)
    assert protein == pytest.approx(20 * 0.03 / 0.30, rel=EXACT)
    assert both == max(energy, protein)
    served = by_group(10, 4) * np.ones((2, 4, 1, 1))
    fed = supplement_fed(served, by_group(5, 3), by_group(both, 1))
    assert only(fed) == pytest.approx(4 * (10 * 5 * both + 4 * 3 * 1), rel=EXACT)


@pytest.mark.parametrize(("start", "end", "printed"), DAYS)
def test_days_between_two_dates_are_the_printed_ones(start, end, printed):
    assert days_from_to(start, end) == printed


@given(MONTH_DAYS)
def test_the_day_before_is_the_calendars(month_day):
    month, day = map(int, month_day.split("-"))
    before = date(2026, month, day) - timedelta(days=1)
    assert day_before(month_day) == before.strftime("%m-%d")
    assert days_from_to(day_before(month_day), month_day) == 1
    assert day_of_year(month_day) == date(2026, month, day).timetuple().tm_yday


@given(
    st.tuples(MONTH_DAYS, MONTH_DAYS, MONTH_DAYS),
    st.integers(1, 120),
    st.integers(0, 250),
    st.integers(0, 100),
)
def test_stages_share_out_every_day(dates, season, lactation, late):
    shares = stage_shares(*dates, season, lactation, late, 283)
    assert shares.sum() == pytest.approx(1, rel=EXACT)
    assert shares.min() >= 0


@pytest.mark.parametrize(
    ("first", "last", "lactation", "late", "mid"),
    [
        # Births on 1 April alone: day by day on the calendar, by the definition of the stages
        ("01-01", "03-31", 0, 60, 30),  # 90 days before the birth: 60 late, 30 mid gestation
        ("04-01", "04-10", 10, 0, 0),  # the day of birth and nine after
        ("03-22", "04-10", 10, 10, 0),  # half before, half after
    ],
)
def test_stages_follow_the_calendar(first, last, lactation, late, mid):
    shares = stage_shares(first, last, "04-01", 1, 200, 60, 283)
    days = lactation + late + mid
    expected = [lactation / days, late / days, mid / days, 0, 0]
    np.testing.assert_allclose(shares.reshape(-1), expected, rtol=EXACT)


def test_a_season_of_births_is_the_mean_of_its_days():
    one_by_one = [stage_shares("12-01", "04-10", f"03-{day:02}", 1, 200, 60, 283) for day in (1, 2)]
    together = stage_shares("12-01", "04-10", "03-01", 2, 200, 60, 283)
    np.testing.assert_allclose(together, np.mean(one_by_one, axis=0), rtol=EXACT)


def test_a_winter_of_two_stages_eats_their_mean():
    shares = stages_of_groups(by_stage(0.25, 0.75, 0, 0, 0), by_stage(0, 0, 1, 0, 0))
    amounts = np.arange(10.0).reshape(5, 2, 1, 1, 1)
    expected = [0.25 * 0 + 0.75 * 2, 5]
    np.testing.assert_allclose(mean_of_stages(shares, amounts)[:, 0, 0, 0], expected, rtol=EXACT)


@given(st.floats(-40, 80), st.floats(0, 60), st.floats(0, 0.03))
def test_no_cold_is_counted_above_the_critical_temperature_or_unknown(warmer, critical, rise):
    assert cold_need(critical + abs(warmer), critical, rise) == 0
    assert cold_need(np.nan, critical, rise) == 0


@given(st.floats(0, 24), st.floats(0, 1), st.floats(0, 1))
def test_a_day_in_two_places_lies_between_them(hours, on_method, at_rest):
    mean = by_hours(hours, on_method, at_rest)
    assert min(on_method, at_rest) - 1e-12 <= mean <= max(on_method, at_rest) + 1e-12
    assert by_hours(24, on_method, at_rest) == on_method


@given(st.floats(0, 2), st.floats(0, 0.5), st.floats(1, 150), st.floats(0.3, 0.8))
def test_what_is_not_eaten_of_the_need_is_short(need, limit, days, tdn):
    factor = eaten_factor(need, limit)
    short = energy_short(by_group(days), by_group(2), 20.0, need, factor, tdn)
    eaten_more = 20 * 2 * days * (factor - 1) * tdn
    assert only(short) + eaten_more == pytest.approx(20 * 2 * days * need * tdn, rel=1e-9)
    assert factor <= 1 + limit


def test_a_year_holds_each_stage_for_its_days():
    # A ewe that lambs on one day carries 147 days, 42 of them late, and milks 60 or 90: what is
    # left of 365 days is maintenance. The lengths are any that fit.
    milking = np.array([[60.0], [90.0]])
    shares = stage_shares("01-01", "12-31", "03-01", 1, milking, 42, 147)
    days = [[60, 90], [42, 42], [105, 105], [158, 128], [0, 0]]
    np.testing.assert_allclose(shares[..., 0] * 365, days, rtol=1e-9)
