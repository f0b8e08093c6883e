"""Faults of the reference values that a scenario sets itself."""

import pytest

from service.costing.checks import faults_of
from tests.engine.test_checks import (
    ONE_ROW,
    Case,
    assert_fault,
    both,
    faults_at,
    put,
    scenario_of,
)

ASSUMPTIONS: list[Case] = [
    (
        "a key that there is not",
        ONE_ROW,
        put("assumptions/hay_waste.ring_opn", 0.2),
        "assumptions.hay_waste.ring_opn",
        ("did you mean hay_waste.ring_open",),
    ),
    (
        "a key whose first word is mistyped",
        ONE_ROW,
        put("assumptions/trampeling.pad_edge_width_ft", 5),
        "assumptions.trampeling.pad_edge_width_ft",
        ("did you mean trampling.pad_edge_width_ft",),
    ),
    (
        "a number out of range",
        ONE_ROW,
        put("assumptions/hay_waste.bunk", 1.5),
        "assumptions.hay_waste.bunk",
        ("at least 0, at most 0.9", "fraction", "1.5"),
    ),
    (
        "more nutrients kept than fell",
        ONE_ROW,
        put("assumptions/nutrient_kept.pack.n", 1.1),
        "assumptions.nutrient_kept.pack.n",
        ("at most 1",),
    ),
    (
        "a word for a number",
        ONE_ROW,
        put("assumptions/hay_waste.bunk", "none"),
        "assumptions.hay_waste.bunk",
        ("must be a number", "'none'"),
    ),
    (
        "a fraction of a year of life",
        ONE_ROW,
        put("assumptions/structure.feeder.life_years", 7.5),
        "assumptions.structure.feeder.life_years",
        ("a whole number", "year"),
    ),
    (
        "a word that is none of those allowed",
        ONE_ROW,
        put("assumptions/mud_level.pasture.wet", "shalow"),
        "assumptions.mud_level.pasture.wet",
        ("none, shallow and deep", "did you mean shallow"),
    ),
    (
        "a number for a word",
        ONE_ROW,
        put("assumptions/mud_level.pasture.wet", 2),
        "assumptions.mud_level.pasture.wet",
        ("2 was sent",),
    ),
    (
        "a number for a machine",
        ONE_ROW,
        put("assumptions/work.waterer.winterize.machine", 2),
        "assumptions.work.waterer.winterize.machine",
        ("the key of a machine",),
    ),
    (
        "a task that nothing counts",
        ONE_ROW,
        put("assumptions/work.bale_grazing.set_outt.person_minutes", 4),
        "assumptions.work.bale_grazing.set_outt.person_minutes",
        ("did you mean set_out", "per"),
    ),
    (
        "a task counted by what its owner has not",
        ONE_ROW,
        put("assumptions/work.waterer.winterize.per", "day"),
        "assumptions.work.waterer.winterize.per",
        ("winter",),
    ),
    (
        "waste that leaves no hay",
        ONE_ROW,
        both(
            put("assumptions/hay_waste.ring_open", 0.6),
            put("assumptions/hay_waste_added.ring_open.wet", 0.5),
        ),
        "assumptions.hay_waste_added.ring_open.wet",
        ("hay_waste.ring_open 0.6", "1.1", "less than 0.4"),
    ),
    (
        "weathering that leaves no grass",
        ONE_ROW,
        put("assumptions/stockpile.winter_loss", 1),
        "assumptions.stockpile.winter_loss",
        ("less than 1",),
    ),
]


@pytest.mark.parametrize("case", ASSUMPTIONS, ids=[case[0] for case in ASSUMPTIONS])
def test_an_assumption_cannot_be(case):
    assert_fault(case)


def test_waste_is_held_against_the_edition_where_the_scenario_sets_one_of_the_two():
    spoil = both(
        put("reference_edition", "2026.1"),
        put("assumptions", {"hay_waste.ring_open": 0.9, "hay_waste_added.ring_open.wet": 0.05}),
    )
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []
    spoil = both(spoil, put("assumptions/hay_waste_added.ring_open.wet", 0.1))
    assert len(faults_of(scenario_of(ONE_ROW, spoil))) == 1


def test_a_key_without_end_is_cut_in_the_sentence():
    key = "hay_waste." + "x" * 5_000
    (fault,) = faults_at(
        f"assumptions.{key}", faults_of(scenario_of(ONE_ROW, put(f"assumptions/{key}", 1)))
    )
    assert len(fault.detail) < 200
