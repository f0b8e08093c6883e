"""Faults of whole systems: names, numbers, baseline, herd changes and margins."""

import pytest

from service.costing.checks import faults_of
from tests.engine.test_checks import ONE_ROW, Case, assert_fault, both, put, scenario_of

SYSTEMS: list[Case] = [
    ("a baseline that is no system", ONE_ROW, put("baseline", "ring"), "baseline", ("rings",)),
    ("no system", ONE_ROW, put("systems", {}), "systems", ("at least one",)),
    ("no animals", ONE_ROW, put("herd", {}), "herd", ("at least one",)),
    (
        "a plan without steps",
        ONE_ROW,
        put("systems/rings/plan", []),
        "systems.rings.plan",
        ("at least one",),
    ),
    (
        "a system called best",
        ONE_ROW,
        lambda farm: farm["systems"].update(best=farm["systems"]["rings"]),
        "systems.best",
        ("'best'",),
    ),
    (
        "too many systems",
        ONE_ROW,
        lambda farm: farm["systems"].update(
            {f"copy_{number}": farm["systems"]["rings"] for number in range(40)}
        ),
        "systems",
        ("44", "at most 40"),
    ),
    (
        "too many steps",
        ONE_ROW,
        lambda farm: farm["systems"]["rings"].update(plan=[{"method": "unrolled_hay"}] * 41),
        "systems.rings.plan",
        ("41", "at most 40"),
    ),
    (
        "an edition that is not published",
        ONE_ROW,
        put("reference_edition", "2026.2"),
        "reference_edition",
        ("2026.1", "none"),
    ),
    (
        "a change of a group that there is not",
        ONE_ROW,
        put("systems/rings/herd_change/calves", {"head": -2, "price_per_head": 900}),
        "systems.rings.herd_change.calves",
        ("cows",),
    ),
    (
        "every animal sold",
        ONE_ROW,
        put("systems/rings/herd_change/cows", {"head": -64, "price_per_head": 900}),
        "systems.rings.herd_change.cows.head",
        ("more than -64", "head"),
    ),
    (
        "animals sold and no word of what they earn",
        ONE_ROW,
        put("systems/rings/herd_change/cows", {"head": -4, "price_per_head": 900}),
        "systems.rings.margin.cows",
        ("farm margin",),
    ),
    (
        "a margin of a group that there is not",
        ONE_ROW,
        put(
            "systems/rings/margin/cow",
            {"sold_per_head": 0.9, "weight_lb": 540, "price_per_lb": 3},
        ),
        "systems.rings.margin.cow",
        ("did you mean cows",),
    ),
]


@pytest.mark.parametrize("case", SYSTEMS, ids=[case[0] for case in SYSTEMS])
def test_a_scenario_cannot_have(case):
    assert_fault(case)


def test_one_margin_of_a_group_serves_all_systems():
    margin = {"sold_per_head": 0.9, "weight_lb": 540, "price_per_lb": 3}
    spoil = both(
        put("systems/rings/herd_change/cows", {"head": -4, "price_per_head": 900}),
        put("systems/barn/margin/cows", margin),
    )
    assert faults_of(scenario_of(ONE_ROW, spoil)) == []


def test_of_a_crowded_scenario_only_that_is_said_and_soon():
    # Each step is held against the others: all faults of 20,000 steps would take hours.
    plan = [{"method": "unrolled_hay"}] * 20_000
    (fault,) = faults_of(scenario_of(ONE_ROW, put("systems/rings/plan", plan)))
    assert fault.received == 20_000
