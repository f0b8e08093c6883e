"""Ten answers make a scenario: each lands where it says, and what is open is filled and told."""

import re

import pytest

from service.costing.checks import faults_of
from service.costing.document import leaves
from service.costing.engine import cost
from service.costing.overrides import can_be_set
from service.costing.quantities import quantities_of
from service.demo import demo_document
from service.quick_start import filled
from service.quick_start.catalog import catalog
from service.web.reading import scenario_of
from tests.quick_start.answering import WHETSTONE

HERD = {"cows": 40, "first_calf_heifers": 4, "weaned_calves": 6, "bulls": 2, "ewes": 30, "rams": 1}
FIELDS = [
    {"name": "Lot", "acres": 6, "drains": "wet", "whose": "yours", "water": "yes"},
    {"name": "Hill", "acres": 40, "drains": "well", "whose": "yours", "water": "yes"},
]
BASE = {"animals": HERD, "land": {"fields": FIELDS}}

SAID = {
    "animals.cows": 55,
    "animals.first_calf_heifers": 9,
    "animals.weaned_calves": 11,
    "animals.bulls": 3,
    "animals.ewes": 70,
    "animals.rams": 4,
    "animals.cow_size": "big",
    "animals.cow_weight": 1190,
    "animals.ewe_weight": 175,
    "young.first_calf": "early_february",
    "young.most_calves": "late_may",
    "young.first_lamb": "late_january",
    "young.most_lambs": "late_may",
    "season.hay_starts": "11-20",
    "season.grass_takes_over": "04-25",
    "ground.frozen": 3,
    "ground.snow": 2,
    "ground.firm": 5,
    "ground.soft": 2,
    "ground.type": "mostly_soft",
    "feeding.picture": "rolled_out",
    "feeding.same_place": "yes",
    "hay.bale_size": "round_4x5",
    "hay.bale_weight": 1100,
    "hay.bales": 200,
    "hay.price_per_bale": 55,
    "hay.look": "leafy",
    "hay.kept": "rock",
    "work.who": "neighbor",
    "work.loader": "no",
    "work.minutes": 77,
    "work.worst_minutes": 120,
    "work.hour_worth": 25,
    "land.spare_acres": 15,
    "damage.acres_repaired": 3,
    "damage.pad_length": 20,
    "damage.pad_width": 12,
    "damage.barn_length": 30,
    "damage.barn_width": 15,
    "damage.manure_storage": "yes",
    "damage.waterers": 2,
    "damage.feeders": 5,
    "damage.sheep_racks": 3,
    "wishes.better": ["less_time", "less_mud"],
    "wishes.money": 30_000,
    "wishes.without_cost_share": "no",
    "wishes.barn": "no",
    "wishes.fewer": "yes",
}
"""An answer to every part but the fields."""

SAID_OTHERWISE = {
    "damage.manure_storage": "no",
    "damage.feeders": 0,
    "damage.sheep_racks": 0,
}
"""An answer that says there is none, which fills something else."""

ALONG = {
    "feeding.same_place": {"feeding": {"picture": "set_out"}},
    "damage.pad_length": {"damage": {"pad_width": 10}},
    "damage.pad_width": {"damage": {"pad_length": 10}},
    "damage.barn_length": {"damage": {"barn_width": 10}},
    "damage.barn_width": {"damage": {"barn_length": 10}},
    "wishes.fewer": {"land": {"fields": [{"acres": 30}]}},
}
"""What has to be answered too, for a part to mean anything."""


def quick(*answers):
    """Fill answers to single questions, one over the other."""
    merged = {}
    for one in answers:
        for question, parts in one.items():
            merged[question] = {**merged.get(question, {}), **parts}
    return filled(merged, scenario_of)


def values(document):
    """Return the value at each path."""
    return {path: value_at(document, path) for path in leaves(document)}


def value_at(document, path):
    """Return one value; a step is found by its key."""
    if path.startswith("assumptions."):
        return document["assumptions"][path.removeprefix("assumptions.")]
    node = document
    for name in path.split("."):
        node = next(s for s in node if s["key"] == name) if isinstance(node, list) else node[name]
    return node


def costed(quick_start):
    """Cost the document as it stands."""
    scenario = scenario_of(quick_start.document)
    assert faults_of(scenario) == []
    return cost(scenario)


def test_every_part_is_tried():
    told = {f"{q.id}.{part.id}" for q in catalog().values() for part in q.parts}
    assert told - set(SAID) == {"land.fields"}


@pytest.mark.parametrize("name", SAID)
def test_an_answer_lands_where_it_says(name):
    question, part_id = name.split(".")
    part = catalog()[question].part(part_id)
    before = quick(BASE, ALONG.get(name, {}))
    changed = set()
    for said in (SAID[name], SAID_OTHERWISE.get(name, SAID[name])):
        after = quick(BASE, ALONG.get(name, {}), {question: {part_id: said}})
        old, new = values(before.document), values(after.document)
        changed |= {path for path in old.keys() | new.keys() if old.get(path) != new.get(path)}
        changed |= {
            what
            for what in ("notes", "needs", "order", "systems")
            if getattr(before, what) != getattr(after, what)
        }
    for fill in part.fills:
        pattern = re.sub("<[a-z]+>", "[a-z0-9_.]+", fill.replace(".", r"\."))
        assert any(re.fullmatch(pattern, path) for path in changed), fill


@pytest.mark.parametrize(
    ("name", "value", "path", "expected"),
    [
        ("acres", 12.5, "acres", 12.5),
        ("drains", "well", "drainage", "well"),
        ("drains", "wet", "drainage", "poor"),
        ("whose", "rented", "tenure", "rented"),
        ("water", "hauled", "winter_water", "hauled"),
        ("water", "no", "winter_water", "walked_back"),
        ("name", "Far End", "title", "Far End"),
    ],
)
def test_what_is_said_of_a_field_lands_in_it(name, value, path, expected):
    found = quick(BASE, {"land": {"fields": [{"acres": 9, name: value}]}})
    [field] = found.document["land"]["fields"].values()
    assert field[path] == expected


def test_animals_are_fed_today_on_the_field_that_was_pointed_to():
    pointed = [FIELDS[0], {**FIELDS[1], "fed_here": "yes"}]
    found = quick(BASE, {"land": {"fields": pointed}})
    assert found.document["systems"]["today"]["plan"][0]["field"] == "hill"
    assert quick(BASE).document["systems"]["today"]["plan"][0]["field"] == "lot"


def test_a_pad_is_paced_off_in_feet():
    # common practice, no source: a pace is 3 ft, so 10 by 20 paces are 30 by 60 ft, 1,800 sq ft.
    found = quick(BASE, {"damage": {"pad_length": 20, "pad_width": 10}})
    path = "systems.rock_pad.structures.pad.existing_area_sqft"
    assert value_at(found.document, path) == 1_800
    assert found.origins[path] == "worked"
    assert found.how[path] == "20 by 10 paces of 3 ft: 1,800 sq ft."


def test_days_of_ten_become_days_of_the_winter():
    # 1 December to 9 April, both counted: 31 + 31 + 28 + 31 + 9 = 130 days; half of them firm.
    found = quick(
        BASE,
        {
            "season": {"hay_starts": "12-01", "grass_takes_over": "04-10"},
            "ground": {"frozen": 1, "snow": 0, "firm": 5, "soft": 4},
        },
    )
    winter = found.document["winter"]
    assert winter["last_day"] == "04-09"
    assert winter["ground_days"] == {"frozen": 13, "snow_covered": 0, "firm": 65, "wet": 52}


def test_the_days_that_are_open_are_what_is_left_of_ten():
    found = quick(BASE, {"ground": {"frozen": 2, "snow": 1, "firm": 4}})
    days = found.document["winter"]["ground_days"]
    assert days["wet"] == pytest.approx(sum(days.values()) * 0.3)


@pytest.mark.parametrize("who", ["me", "neighbor"])
@pytest.mark.parametrize("picture", catalog()["feeding"].part("picture").keys)
def test_the_minutes_told_are_those_of_an_ordinary_day_today(picture, who):
    found = quick(BASE, {"feeding": {"picture": picture}, "work": {"minutes": 66, "who": who}})
    costing = costed(found)
    minutes = quantities_of(costing, costing.systems["today"])["minutes"]
    assert minutes["ordinary_day"] == pytest.approx(66)
    tasks = [path for path in found.how if path.endswith("person_minutes")]
    assert tasks
    assert all(found.origins[path] == "worked" for path in tasks)


def test_the_demo_farm_comes_out_near_its_document():
    found = filled(WHETSTONE, scenario_of).document
    demo = demo_document()
    herd, other = found["herd"], demo["herd"]
    pairs = {
        "cows": "cows",
        "first_calf_heifers": "bred_heifers",
        "weaned_calves": "heifers",
        "bulls": "bulls",
        "ewes": "ewes",
        "rams": "rams",
    }
    for ours, theirs in pairs.items():
        assert herd[ours]["head"] == other[theirs]["head"]
        assert herd[ours]["body_weight_lb"] == pytest.approx(
            other[theirs]["body_weight_lb"], rel=0.04
        )
    assert found["winter"]["first_day"] == demo["winter"]["first_day"]
    assert found["winter"]["last_day"] == demo["winter"]["last_day"]
    rows = [row["ground_days"] for row in demo["winter"]["rows"]]
    for state, days in found["winter"]["ground_days"].items():
        assert days == pytest.approx(sum(row[state] for row in rows) / len(rows), abs=4)
    for name in ("bale_weight_lb", "bales_on_hand", "storage", "tdn_fraction"):
        assert found["hay"][name] == demo["hay"][name]
    assert found["hay"]["home_grown_fraction"] == pytest.approx(0.65, abs=0.08)
    a_ton = found["hay"]["price_per_bale"] * 2000 / found["hay"]["bale_weight_lb"]
    assert a_ton == pytest.approx(demo["hay"]["price_per_ton"], rel=0.02)
    for key in ("barn_lot", "ridge", "long_bench", "home_pasture"):
        for name in ("acres", "drainage"):
            assert found["land"]["fields"][key][name] == demo["land"]["fields"][key][name]
    assert found["limits"]["money_up_front"] == demo["limits"]["money_up_front"]
    assert found["prices"]["labor_per_hour"] == demo["prices"]["labor_per_hour"]
    now, then = found["systems"]["today"], demo["systems"]["lot_open_rings"]
    for step, same in zip(now["plan"], then["plan"], strict=True):
        assert {name: step[name] for name in ("method", "presentation", "field")} == {
            name: same[name] for name in ("method", "presentation", "field")
        }
    for key in ("rings", "racks", "drinker"):
        assert now["structures"][key]["count"] == then["structures"][key]["count"]
    shut = sum(s.get("acres", 0) for s in found["systems"]["grass_first"]["plan"])
    assert shut == sum(s.get("acres", 0) for s in demo["systems"]["grass_first"]["plan"])


def test_nothing_answered_makes_a_farm_that_can_be_costed():
    found = filled({}, scenario_of)
    costing = costed(found)
    assert set(costing.systems) >= {"today", "better_feeders", "rock_pad"}
    assert found.document["herd"]["cows"]["head"] == 30
    assert {row["input"] for row in found.guessed} >= {
        "hay.bale_weight_lb",
        "hay.price_per_ton",
        "winter.ground_days.wet",
    }
    assert "given" not in found.origins.values()


def test_null_is_not_sure():
    nothing = filled({}, scenario_of)
    nulls = {name: {part.id: None for part in q.parts} for name, q in catalog().items()}
    assert filled(nulls, scenario_of) == nothing
    assert filled(dict.fromkeys(catalog()), scenario_of) == nothing


@pytest.mark.parametrize("answers", [{}, BASE, WHETSTONE], ids=["nothing", "some", "all"])
def test_every_guess_has_a_range_a_source_and_a_place(answers):
    found = filled(answers, scenario_of)
    every = values(found.document)
    for row in found.guessed:
        assert row["source"]
        assert row["sentence"].endswith(".")
        assert row["question"] in catalog()
        for path in (row["input"], *row["also"]):
            assert every[path] == row["value"]
            assert can_be_set(path, found.document)
            assert found.origins[path] == "reference"
        if not isinstance(row["value"], str):
            assert row["low"] <= row["value"] <= row["high"]


@pytest.mark.parametrize("answers", [{}, BASE, WHETSTONE], ids=["nothing", "some", "all"])
def test_every_value_says_where_it_is_from(answers):
    found = filled(answers, scenario_of)
    assert set(found.origins) == set(leaves(found.document))
    assert set(found.origins.values()) <= {"given", "worked", "reference"}
    guessed = {path for row in found.guessed for path in (row["input"], *row["also"])}
    assert {path for path, origin in found.origins.items() if origin == "reference"} == guessed
    assert all(found.origins[path] in {"worked", "reference"} for path in found.how)


def test_no_guess_is_made_where_the_farm_told():
    found = filled(WHETSTONE, scenario_of)
    paths = {row["input"] for row in found.guessed}
    assert not paths & {"hay.bale_weight_lb", "hay.price_per_ton", "prices.labor_per_hour"}
    assert found.origins["hay.bale_weight_lb"] == "given"


def test_a_guess_is_said_as_people_say_it():
    said = {row["input"]: row["sentence"] for row in filled({}, scenario_of).guessed}
    assert said["winter.first_day"] == (
        "First day of feeding hay: we took 1 December; it may be 1 November to 1 January."
    )
    assert said["hay.bale_weight_lb"] == (
        "Weight of a 5x5 round bale: we took 1,000 lb a bale; it may be 850 to 1,150."
    )
    assert said["hay.price_per_ton"] == (
        "Of the price of hay no guess is made: the reference price of January 2024, 171 dollars "
        "a ton, stands in; it may be 90 to 250."
    )


def test_what_has_no_input_is_noted():
    found = quick(BASE, {"young": {"first_lamb": "none"}, "work": {"who": "hired"}})
    said = [note["note"] for note in found.notes]
    assert "Ewes have no young." in said
    assert "Hired help feeds." in said
    assert "birth_starts" not in found.document["herd"]["ewes"]


def test_the_worst_kind_of_day_is_told_in_hours():
    # 60 minutes more on each of 40 soft days are 40 hours.
    found = quick(
        BASE,
        {
            "season": {"hay_starts": "12-01", "grass_takes_over": "03-11"},
            "ground": {"frozen": 0, "snow": 0, "firm": 6, "soft": 4},
            "work": {"minutes": 60, "worst_minutes": 120},
        },
    )
    assert any("40 hours more" in note["note"] for note in found.notes)
