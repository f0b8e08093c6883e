"""Every range of a given value is lawful: a known input, its unit, an order, a source."""

import pytest

from service.costing.input_catalog import inputs
from service.costing.input_tree import NUMBER
from service.costing.reference.ranges import load_ranges
from service.costing.reference.table import ASSUMPTION, COMMON_PRACTICE, load_edition

RANGES = load_ranges("2026.1")
ROWS = RANGES.rows
CATALOG = {item.path: item for item in inputs()}

COVERED = (
    "hay.price_per_ton",
    "hay.bale_weight_lb",
    "hay.dry_matter_fraction",
    "hay.tdn_fraction",
    "herd.<group>.body_weight_lb",
    "prices.labor_per_hour",
    "prices.own_labor_fraction",
    "prices.diesel_per_gallon",
    "prices.bedding_per_ton",
    "prices.nitrogen_per_lb",
    "prices.p2o5_per_lb",
    "prices.k2o_per_lb",
    "land.forage_value_per_ton_dm",
    "land.fields.<field>.forage_yield_ton_dm_per_acre",
    "machines.<machine>.custom_rate_per_hour",
    "machines.<machine>.list_price",
    "machines.<machine>.hours_per_year",
    "finance.real_rate",
    "systems.<system>.structures.<structure>.price",
    "winter.rain_in",
)
COUNTED_OR_DECIDED = (
    "hay.home_grown_fraction",
    "hay.bales_on_hand",
    "herd.<group>.head",
    "systems.<system>.plan.<step>.acres",
    "systems.<system>.plan.<step>.bales_set_out",
)


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: row.path)
def test_a_range_is_of_a_number_of_the_catalogue_and_in_its_unit(row):
    item = CATALOG[row.path]
    assert item.sort == NUMBER
    assert row.unit == item.unit
    assert row.meaning.endswith(".")


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: row.path)
def test_a_range_has_either_shares_or_ends_and_they_are_in_order(row):
    shares, ends = (row.low_share, row.high_share), (row.low, row.high)
    assert (None in shares) != (None in ends)
    if None in ends:
        assert 0 < row.low_share < 1 < row.high_share
        assert row.around(100) == pytest.approx((100 * row.low_share, 100 * row.high_share))
    else:
        assert row.low < row.high
        assert row.around(100) == (row.low, row.high)


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: row.path)
def test_a_range_lies_inside_what_the_input_may_be(row):
    item = CATALOG[row.path]
    if row.low is not None:
        assert item.minimum is None or item.minimum <= row.low
        assert item.maximum is None or row.high <= item.maximum


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: row.path)
def test_a_range_has_a_source_and_an_assumption_says_why(row):
    assert row.source in RANGES.sources
    if row.source in {ASSUMPTION.key, COMMON_PRACTICE.key}:
        assert len(row.note) > 20
        assert not row.seen
    else:
        assert row.where
    assert row.find_out is None or row.find_out.endswith(".")


def test_sources_of_ranges_are_publications_and_all_are_used():
    own = set(RANGES.sources) - set(load_edition("2026.1").sources)
    used = {row.source for row in ROWS.values()}
    assert own <= used
    for key in own:
        source = RANGES.sources[key]
        assert source.kind in {"standard", "handbook", "paper", "extension", "government", "thesis"}
        assert source.author
        assert source.title


@pytest.mark.parametrize("path", COVERED)
def test_what_farms_know_only_roughly_has_a_range(path):
    assert path in ROWS


@pytest.mark.parametrize("path", COUNTED_OR_DECIDED)
def test_what_a_farm_counts_or_decides_has_none(path):
    assert path not in ROWS


def test_custom_rates_spread_as_the_survey_says():
    # University of Kentucky, custom machinery rates 2024: low 15 % below, high 30 % above average
    row = ROWS["machines.<machine>.custom_rate_per_hour"]
    assert row.around(100) == pytest.approx((85, 130))


def test_the_worth_of_grass_spreads_as_rents_do():
    # University of Missouri Extension G427, 2024: good pasture 40 an acre, quartiles 30 and 58
    row = ROWS["land.forage_value_per_ton_dm"]
    assert row.around(40) == pytest.approx((30, 58))


def test_the_real_rate_spans_the_two_base_cases_of_the_federal_circular():
    # OMB Circular A-94 of 1992, 7 %, and its revision of 2023, 2 %: from memory
    row = ROWS["finance.real_rate"]
    assert (row.low, row.high) == (0.02, 0.07)
    assert row.unverified


def test_the_nominal_rate_is_the_real_one_with_inflation():
    # Fisher's equation, (1 + real)(1 + inflation) - 1, at 2.5 % inflation, to half a point
    real, nominal = ROWS["finance.real_rate"], ROWS["finance.nominal_rate"]
    for end in ("low", "high"):
        expected = (1 + getattr(real, end)) * 1.025 - 1
        assert getattr(nominal, end) == pytest.approx(expected, abs=0.005)


def test_an_edition_without_tables_has_no_ranges():
    assert load_ranges("none").rows == {}
