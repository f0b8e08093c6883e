"""Values that carry a unit, in the unit of the input.

Exact sizes: NIST Handbook 44, Appendix C, and NIST Special Publication 811, Appendix B (from
memory; the acre of 4,046.856 422 4 sq m was seen in the conversion table of The World Factbook,
appendix G). Rounded ones: US Census Bureau, Statistical Abstract of the United States 1999,
Appendix IV, seen.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.input_catalog import inputs
from service.costing.reference.table import load_edition, newest_edition
from service.reports.answer_sheet.carried_units import NotAMeasureError, measured, shown

SIX_DIGITS = 1e-6
TWO_DECIMALS = 0.005


@pytest.mark.parametrize(
    ("text", "own", "value"),
    [
        ("0.45359237 kg", "lb/head", 1),  # NIST Handbook 44, App. C: pound, exact
        ("590 kg", "lb/head", 590 / 0.45359237),
        ("453.59237 g", "lb/bale", 1),
        ("907.18474 kg", "ton", 1),  # SP 811, App. B: short ton of 2,000 lb
        ("1 t", "lb", 2204.6226),  # SP 811, App. B.9: 1 kg is 2.204 623 lb
        ("0.3048 m", "ft", 1),  # SP 811, App. B: foot, exact
        ("2.54 cm", "in", 1),  # SP 811, App. B: inch, exact
        ("1 yd", "ft", 3),
        ("4046.8564224 m2", "acre", 1),  # The World Factbook, app. G: acre to square meters
        ("1 acre", "sq ft", 43_560),  # NIST Handbook 44, App. C
        ("1 ha", "acre", 2.471054),  # Handbook 44, App. C: 2.471 acres
        ("1 m3", "cu ft", 35.314667),  # Handbook 44, App. C: 35.314 67 cu ft
        ("1 cu yd", "cu ft", 27),
        ("0.74569987 kW", "hp", 1),  # SP 811, App. B: horsepower (550 ft lbf/s), 745.6999 W
        ("0 °C", "°F", 32),  # SP 811, App. B: Fahrenheit scale
        ("-40 C", "°F", -40),
        ("25 F", "°F", 25),
        ("7 %", "fraction", 0.07),
        ("7 %", "fraction/year", 0.07),
        ("0.06 fraction", "percent", 6),
        ("2 weeks", "day", 14),
        ("1.5 h", "minute", 90),
        ("1 kg/ha", "lb/acre", 0.892179),  # SP 811, App. B: 1 lb/acre is 1.120 851 kg/ha
        ("4 t/ha", "ton DM/acre", 4 * 1.102311 / 2.471054),
        ("4 t DM per ha", "ton DM/acre", 4 * 1.102311 / 2.471054),
        ("1 USD/kg", "currency/lb", 0.45359237),
        ("0.264172 USD/l", "currency/gallon", 1),  # Handbook 44, App. C: 1 l is 0.264 172 gallon
        ("45 USD", "currency/bale", 45),
        ("1e2 lb", "lb/head", 100),
        ("62", "head", 62),
        ("3 none", "none", 3),
    ],
)
def test_a_unit_is_converted_as_the_handbooks_have_it(text, own, value):
    assert measured(text, own, "USD") == pytest.approx(value, rel=SIX_DIGITS)


@pytest.mark.parametrize(
    ("unit", "own", "factor"),
    [
        ("m", "ft", 3.28),  # Statistical Abstract 1999, App. IV, from here on
        ("m", "in", 39.37),
        ("kg", "lb", 2.20),
        ("t", "ton", 1.10),
        ("ha", "acre", 2.47),
        ("m3", "cu ft", 35.32),
        ("sq m", "sq ft", 10.76),
    ],
)
def test_a_printed_table_gives_the_same(unit, own, factor):
    assert measured(f"1 {unit}", own, "USD") == pytest.approx(factor, abs=0.01)


@pytest.mark.parametrize(
    ("text", "own"),
    [
        ("590 kg", "ft"),
        ("4 t/ha", "acre"),
        ("12 ha", "sq ft/AU/day"),
        ("12 EUR", "currency"),
        ("12 USD", "currency/ton"),
        ("3 months", "day"),
        ("1/2", "ft"),
        ("4 lb/head", "lb/bale"),
        ("5 kg TDN", "lb DM"),
        ("20 °C", "1/°F"),
        ("4 kg", "head"),
    ],
)
def test_a_unit_of_something_else_is_refused(text, own):
    with pytest.raises(NotAMeasureError, match="no unit of this"):
        measured(text, own, "USD")


@pytest.mark.parametrize("text", ["1,5", "1,500", "92,5 kg", "1.234,5"])
def test_a_decimal_comma_is_refused(text):
    with pytest.raises(NotAMeasureError, match="use a decimal point"):
        measured(text, "lb", "USD")


@pytest.mark.parametrize("text", ["", "kg", "about 5", "--1", "=5", "1" * 200])
def test_what_is_no_number_is_refused(text):
    with pytest.raises(NotAMeasureError, match="a number belongs here"):
        measured(text, "lb", "USD")


def test_every_unit_that_is_shown_is_understood():
    units = {one.unit for one in inputs()}
    units |= {row.unit for row in load_edition(newest_edition()).rows.values()}
    for unit in units - {"", "none", "word"}:
        assert measured(f"2.5 {shown(unit, 'CAD')}", unit, "CAD") == 2.5


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_keeps_all_its_digits(number):
    assert measured(repr(number), "lb", "USD") == number
