"""Every reference value is lawful: known key, unit, range, source, and complete families."""

import re
from itertools import product

import pytest

from service.costing.cautions import cautions_catalog
from service.costing.errors import UnknownEditionError, UnknownReferenceValueError
from service.costing.reference.keys import grammar, keys_of, template_of
from service.costing.reference.table import (
    ASSUMPTION,
    COMMON_PRACTICE,
    EDITIONS,
    Edition,
    load_edition,
)

EDITION = load_edition("2026.1")
ROWS = EDITION.rows
SETS = grammar().sets


def test_rows_are_in_order_and_inside_what_makes_sense():
    for row in ROWS.values():
        if row.words is not None:
            assert row.low is None
            assert isinstance(row.usual, str)
            assert not row.words or row.usual in row.words, row.key
            continue
        assert row.minimum <= row.low <= row.usual <= row.high <= row.maximum, row.key
        template = template_of(row.key)
        if template.whole:
            assert all(value % 1 == 0 for value in (row.low, row.usual, row.high)), row.key


def test_every_row_has_a_unit_and_a_meaning():
    assert all(row.unit and row.meaning.endswith(".") for row in ROWS.values())


def test_every_source_exists_and_is_used():
    used = {row.source for row in ROWS.values()}
    assert used <= set(EDITION.sources)
    published = set(EDITION.sources) - {ASSUMPTION.key, COMMON_PRACTICE.key}
    safety = {key for key in published if key not in used}
    assert safety <= {caution.source for caution in cautions_catalog()}


def test_an_assumption_and_a_common_practice_say_why():
    for row in ROWS.values():
        if row.source in {ASSUMPTION.key, COMMON_PRACTICE.key}:
            assert len(row.note) > 20, row.key


def test_money_says_of_which_currency_and_year():
    for row in ROWS.values():
        assert ("currency" in row.unit) == (row.currency is not None), row.key
        assert (row.currency is None) == (row.price_year is None), row.key


def test_sources_are_handbooks_papers_standards_or_extension_sheets():
    kinds = {"standard", "handbook", "paper", "extension", "government", "thesis"}
    for source in EDITION.sources.values():
        if source in {ASSUMPTION, COMMON_PRACTICE}:
            continue
        assert source.kind in kinds, source.key
        assert source.author
        assert source.title


def test_a_value_from_memory_is_marked_unverified():
    rows = [row for row in ROWS.values() if row.unverified]
    assert rows
    assert all(not row.seen for row in rows)
    assert {row.key for row in rows} >= {"machine.repair.tractor_under_80.rf1"}


CLASSES_WITH_YOUNG = ("beef_cow", "bred_heifer", "ewe")
GROWING = ("growing_heifer", "growing_calf", "growing_lamb")
GROWN = ("bull", "ram")


def stages_of(animal):
    if animal in CLASSES_WITH_YOUNG:
        return ("lactation", "late_gestation", "mid_gestation", "maintenance")
    return ("growing",) if animal in GROWING else ("maintenance",)


@pytest.mark.parametrize("animal", SETS["class"])
def test_every_class_has_all_that_the_engine_asks_of_it(animal):
    keys = [
        f"intake.{animal}.{stage}.{quality}"
        for stage, quality in product(stages_of(animal), SETS["quality"])
    ]
    keys += [
        f"requirement.{what}.{animal}.{stage}"
        for what, stage in product(("tdn_fraction", "crude_protein_fraction"), stages_of(animal))
    ]
    keys += [
        f"energy.{what}.{animal}.{coat}"
        for what, coat in product(
            ("lower_critical_temperature_f", "cold_fraction_per_degree_f"), SETS["coat"]
        )
    ]
    keys += [f"energy.tdn_lb_per_lb_of_weight.{animal}", f"manure.lb_per_au_day.{animal}"]
    keys += [f"space.{place}.{animal}" for place in (*SETS["floor"], "waterer", "feeder")]
    if animal in CLASSES_WITH_YOUNG:
        keys += [
            f"stage.{what}.{animal}"
            for what in ("lactation_days", "late_gestation_days", "gestation_days")
        ]
    assert [key for key in keys if key not in ROWS] == []


PARTLY = re.compile(r"<(class|stage|machine_class|task|owner|kind)>")


def test_every_shape_of_key_without_animals_or_tasks_is_complete():
    missing = [
        key
        for _, template in grammar().templates
        if not PARTLY.search(template.key)
        for key in keys_of(template)
        if key not in ROWS
    ]
    assert missing == []


@pytest.mark.parametrize("kind", SETS["kind"])
def test_every_kind_of_structure_has_cost_life_and_upkeep(kind):
    names = ("base_cost", "unit_cost", "life_years", "salvage_fraction", "upkeep_fraction")
    assert [name for name in names if f"structure.{kind}.{name}" not in ROWS] == []


@pytest.mark.parametrize("machine", SETS["machine_class"])
def test_every_machine_class_has_its_coefficients(machine):
    names = [f"remaining_value.{machine}.{c}" for c in ("c1", "c2", "c3")]
    names += [f"repair.{machine}.{rf}" for rf in ("rf1", "rf2")]
    assert [name for name in names if f"machine.{name}" not in ROWS] == []


def test_every_task_is_whole():
    tasks = {key.rpartition(".")[0] for key in ROWS if key.startswith("work.")}
    parts = ("per", "person_minutes", "machine_minutes", "machine")
    assert [
        f"{task}.{part}" for task in tasks for part in parts if f"{task}.{part}" not in ROWS
    ] == []
    for task in tasks:
        by_hand = ROWS[f"{task}.machine"].usual == "none"
        assert by_hand == (ROWS[f"{task}.machine_minutes"].usual == 0), task


def test_feeding_methods_and_floors_have_tasks():
    owners = {key.split(".")[1] for key in ROWS if key.startswith("work.")}
    for owner in (
        "bale_grazing",
        "bedded_pack",
        "feeding_pad",
        "sacrifice_lot",
        "stockpile_grazing",
        "unrolled_hay",
        *SETS["floor"],
        "water_hauled",
        "water_walked_back",
    ):
        assert owner in owners


def test_what_a_farm_can_find_out_is_said_in_a_sentence():
    ways = [row.find_out for row in ROWS.values() if row.find_out]
    assert len(ways) > 60
    assert all(way.endswith((".", "?")) for way in ways)


def test_an_edition_that_is_not_published_is_refused_by_name():
    with pytest.raises(UnknownEditionError, match="2026"):
        load_edition("1999.1")


def test_a_key_that_is_not_in_an_edition_is_refused_with_the_nearest():
    with pytest.raises(UnknownReferenceValueError, match=r"hay_waste\.ring_open"):
        EDITION.row("hay_waste.ring_opn")


def test_the_edition_none_is_empty():
    assert load_edition("none") == Edition("none")
    assert "none" not in EDITIONS
