"""Every input that was used and may be off has its range, given or from the tables."""

import pytest

from service.analysis.ranges import GIVEN, REFERENCE, ranges_of
from service.costing.engine import cost
from service.costing.reference.table import load_edition
from service.demo import demo_document
from tests.analysis.two_systems import HAY, STOCKPILE, subject_of, two_systems
from tests.support.offices import small_document

DEMO = ranges_of(subject_of(demo_document()))
EDITION = load_edition("2026.1")


def test_low_is_below_high_and_all_is_said():
    assert len(DEMO) > 300
    for path, item in DEMO.items():
        assert item.path == path
        assert item.low < item.high
        assert item.unit
        assert item.meaning.endswith(".")
        assert item.source


def test_given_prices_weights_yields_and_quotes_are_there():
    for path in (
        "hay.price_per_ton",
        "hay.bale_weight_lb",
        "herd.cows.body_weight_lb",
        "prices.labor_per_hour",
        "land.fields.ridge.forage_yield_ton_dm_per_acre",
        "machines.spreader.custom_rate_per_hour",
        "systems.pack_barn.structures.barn.price",
        "winter.rain_in",
    ):
        item = DEMO[path]
        assert item.origin == GIVEN
        assert item.low < item.base < item.high


def test_what_is_counted_or_decided_is_not():
    assert "herd.cows.head" not in DEMO
    assert "systems.grass_first.plan.bench_grass.acres" not in DEMO


def test_every_reference_value_used_that_has_a_range_is_there_with_it():
    costing = cost(subject_of(demo_document()).scenario)
    rows = {key: EDITION.rows[key] for key in costing.case.used if key in EDITION.rows}
    ranged = {
        f"assumptions.{k}" for k, row in rows.items() if row.low is not None and row.low < row.high
    }
    assert ranged == {path for path in DEMO if path.startswith("assumptions.")}
    for path in ranged:
        row = rows[path.removeprefix("assumptions.")]
        assert (DEMO[path].low, DEMO[path].high, DEMO[path].unit) == (row.low, row.high, row.unit)


def test_an_override_is_the_base_and_keeps_the_range_of_the_tables():
    row = EDITION.rows["hay_storage_loss.barn"]
    document = two_systems({"assumptions": {"hay_storage_loss.barn": 0.3}})
    item = ranges_of(subject_of(document))["assumptions.hay_storage_loss.barn"]
    assert (item.low, item.base, item.high) == (row.low, 0.3, row.high)
    assert item.origin == GIVEN
    item = ranges_of(subject_of(two_systems()))["assumptions.hay_storage_loss.barn"]
    assert (item.base, item.origin) == (row.usual, REFERENCE)


def test_a_published_default_is_no_given_value():
    item = ranges_of(subject_of(two_systems()))["prices.own_labor_fraction"]
    assert (item.base, item.origin) == (0.8, REFERENCE)


def test_an_end_beyond_what_the_input_may_be_is_moved_to_what_it_may():
    document = two_systems({"hay": {"dry_matter_fraction": 0.99}})
    item = ranges_of(subject_of(document))["hay.dry_matter_fraction"]
    assert item.high == 1
    assert item.low == pytest.approx(0.99 * 0.95)


def test_whole_numbers_keep_whole_ends():
    document = two_systems()
    rings = {"kind": "feeder", "count": 3, "existing": True, "remaining_life_years": 3}
    document["systems"][HAY]["structures"]["rings"] = rings
    path = f"systems.{HAY}.structures.rings.remaining_life_years"
    item = ranges_of(subject_of(document))[path]
    assert (item.low, item.high) == (1, 5)


def test_what_no_system_reads_is_not_there():
    # with no animals on straw and no field closed, neither price is asked for
    document = small_document()
    item = ranges_of(subject_of(document))
    assert not any(path.startswith(f"systems.{STOCKPILE}") for path in item)
    assert "prices.bedding_per_ton" not in ranges_of(subject_of(two_systems()))


def test_an_assumption_says_why_and_a_publication_is_cited():
    assert DEMO["hay.bale_weight_lb"].source.startswith("Assumption. Few have weighed one")
    assert "University of Kentucky (2024)" in DEMO["machines.spreader.custom_rate_per_hour"].source
    assert not DEMO["machines.spreader.custom_rate_per_hour"].unverified


def test_without_tables_there_are_no_ranges():
    document = two_systems()
    used = cost(subject_of(document).scenario).case.used
    whole = document | {"reference_edition": "none", "assumptions": used}
    assert ranges_of(subject_of(whole)) == {}
