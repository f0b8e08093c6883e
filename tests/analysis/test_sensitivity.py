"""What each input does between its low and its high is what two costings say."""

import json
import math
from pathlib import Path

import pytest

from service.analysis.inputs import is_number, known_of
from service.analysis.questions import Sensitivity
from service.analysis.sensitivity import sensitivity
from service.costing.check_first import check_first_of
from service.costing.comparison import standings_of
from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.margin import farm_margin
from service.costing.reference.table import load_edition
from service.demo import demo_document
from tests.analysis.two_systems import (
    ACRES,
    HAY,
    STOCKPILE,
    annual_with,
    costed_with,
    subject_of,
    swings,
    two_systems,
)

SAME = 1e-9
PRICE = "hay.price_per_ton"
DEMO = demo_document()
WHOLE = swings(DEMO)
BY_INPUT = {row["input"]: row for row in WHOLE["rows"]}
FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
WORKED = {
    name: json.loads((FARMS / f"{name}.json").read_text("utf-8"))
    for name in ("worked_farm", "worked_farm_edges", "worked_farm_rows")
}


def refused(document, **asked):
    with pytest.raises(InputError) as error:
        sensitivity(subject_of(document), Sensitivity(**asked))
    return {fault.input: fault for fault in error.value.faults}


def best(costing):
    return min(standings_of(costing).items(), key=lambda item: item[1].rank)[0]


def test_the_base_is_the_costing():
    costing = cost(subject_of(DEMO).scenario)
    system = best(costing)
    assert (WHOLE["system"], WHOLE["best_system"]) == (system, system)
    assert WHOLE["base"] == costing.systems[system].account.annual_equivalent.value[0, 0]


@pytest.mark.parametrize("name", [None, *WORKED])
def test_inputs_that_stay_where_they_are_reproduce_the_costing(name):
    document = DEMO if name is None else WORKED[name]
    known = known_of(subject_of(document))
    paths = [path for path in sorted(known.read) if is_number(known.values.get(path))][::6]
    ranges = {path: (known.values[path],) * 2 for path in paths}
    asked = swings(document, inputs=tuple(paths), ranges=ranges)
    assert len(asked["rows"]) > 30
    for row in asked["rows"]:
        assert row["low"] == row["base"] == row["high"]
        assert row["at_low"] == pytest.approx(asked["base"], rel=SAME), row["input"]
        assert row["at_high"] == pytest.approx(asked["base"], rel=SAME), row["input"]
        assert row["swing"] == pytest.approx(0, abs=SAME * asked["base"])
        assert row["elasticity"] is None
        assert not row["changes_best"]


@pytest.mark.parametrize(
    "path",
    [
        PRICE,
        "hay.tdn_fraction",
        "winter.rain_in",
        "assumptions.hay_storage_loss.ground_uncovered",
        "assumptions.stockpile.tdn_fraction",
        "systems.pack_barn.structures.barn.price",
        "systems.lot_open_rings.structures.rings.remaining_life_years",
    ],
)
def test_a_row_is_two_costings_of_their_own(path):
    row = BY_INPUT[path]
    for end in ("low", "high"):
        costs = annual_with(DEMO, path, row[end])
        cheapest, next_to_it = sorted(costs.values())[:2]
        own = costs[WHOLE["best_system"]]
        lead = (next_to_it if own == cheapest else cheapest) - own
        assert row[f"at_{end}"] == pytest.approx(own, rel=SAME)
        assert row[f"best_at_{end}"] == min(costs, key=costs.__getitem__)
        assert row[f"lead_at_{end}"] == pytest.approx(lead, abs=1e-6)


def test_every_input_with_a_range_has_a_row_and_the_largest_swing_comes_first():
    assert len(WHOLE["rows"]) > 300
    keys = [(-row["swing"], row["input"]) for row in WHOLE["rows"]]
    assert keys == sorted(keys)


def test_the_first_place_changes_where_another_is_cheapest_at_an_end():
    for row in WHOLE["rows"]:
        ends = {row["best_at_low"], row["best_at_high"]}
        assert row["changes_best"] == (ends != {WHOLE["best_system"]})
    assert WHOLE["change_best"] == sorted(r["input"] for r in WHOLE["rows"] if r["changes_best"])


def test_elasticity_is_percent_by_percent():
    # textbook: (dy / y) / (dx / x); of a cost linear in x through the origin it is 1
    row = BY_INPUT[PRICE]
    rise = (row["at_high"] - row["at_low"]) / WHOLE["base"]
    assert row["elasticity"] == pytest.approx(rise / ((row["high"] - row["low"]) / row["base"]))
    # by hand: a cost F + v x has the elasticity v x / (F + v x)
    costs = {price: annual_with(DEMO, PRICE, price)[WHOLE["system"]] for price in (0, 98)}
    assert row["elasticity"] == pytest.approx((costs[98] - costs[0]) / costs[98], rel=SAME)


def test_there_is_no_elasticity_about_nought():
    path = "hay.home_grown_fraction"
    [row] = swings(
        two_systems({"hay": {path.rpartition(".")[2]: 0}}), inputs=(path,), ranges={path: (0, 0.5)}
    )["rows"]
    assert row["elasticity"] is None


def test_a_system_and_its_inputs_can_be_named():
    answer = swings(DEMO, system="pack_barn", inputs=(PRICE, "prices.bedding_per_ton"))
    assert answer["system"] == "pack_barn"
    assert {row["input"] for row in answer["rows"]} == {PRICE, "prices.bedding_per_ton"}
    for row in answer["rows"]:
        costs = annual_with(DEMO, row["input"], row["high"])
        assert row["at_high"] == pytest.approx(costs["pack_barn"], rel=SAME)


def test_a_range_of_ones_own_takes_the_place_of_the_published_one():
    [row] = swings(DEMO, inputs=(PRICE,), ranges={PRICE: (70, 130)})["rows"]
    assert (row["low"], row["high"], row["source"]) == (70, 130, None)
    assert row["at_low"] == pytest.approx(annual_with(DEMO, PRICE, 70)[WHOLE["system"]], rel=SAME)
    more = swings(two_systems(), ranges={ACRES: (10, 40)})
    assert ACRES in {row["input"] for row in more["rows"]}
    assert len(more["rows"]) > 1


def test_where_herds_differ_systems_are_ranked_by_margin_and_it_can_be_the_figure():
    margin = {"cows": {"sold_per_head": 0.9, "weight_lb": 520, "price_per_lb": 2}}
    document = two_systems(**{HAY: {"margin": margin}})
    document["systems"][STOCKPILE]["herd_change"] = {"cows": {"head": -8, "price_per_head": 1500}}
    path = f"systems.{HAY}.margin.cows.price_per_lb"
    answer = swings(document, figure="farm_margin", system=STOCKPILE, inputs=(path,))
    assert answer["ranked_by"] == "farm_margin"
    [row] = answer["rows"]
    for end in ("low", "base", "high"):
        margins = {
            key: farm_margin(costed_with(document, path, row[end]), key) for key in (HAY, STOCKPILE)
        }
        found = answer["base"] if end == "base" else row[f"at_{end}"]
        assert found == pytest.approx(margins[STOCKPILE], rel=SAME)
        if end != "base":
            assert row[f"best_at_{end}"] == max(margins, key=margins.__getitem__)
    assert "farm_margin" in refused(two_systems(), figure="farm_margin")["figure"].received


def test_what_leaves_animals_unfed_is_said():
    row = BY_INPUT["assumptions.space.pack_floor.beef_cow"]
    assert row["unfed_at_high"] == ["pack_barn"]
    assert row["unfed_at_low"] == []
    [warning] = [text for text in WHOLE["warnings"] if text.startswith("pack_barn leaves")]
    assert "assumptions.space.pack_floor.beef_cow at its high" in warning


def on_the_tables(document):
    """Return a farm with no reference value of its own."""
    return document | {"reference_edition": "2026.1", "assumptions": {}}


@pytest.mark.parametrize("name", [None, *WORKED])
def test_what_to_check_first_are_the_first_guesses_of_the_lead(name):
    document = DEMO if name is None else on_the_tables(WORKED[name])
    costing = cost(subject_of(document).scenario)
    edition = load_edition("2026.1")
    guesses = [
        row
        for row in swings(document)["rows"]
        if row["input"].startswith("assumptions.")
        and row["origin"] == "reference"
        and edition.rows[row["input"].removeprefix("assumptions.")].find_out
    ]
    guesses.sort(
        key=lambda row: (
            not row["changes_best"],
            -abs(row["lead_at_high"] - row["lead_at_low"]),
            row["input"],
        )
    )
    first = check_first_of(costing)
    assert len(first) == 3
    assert [guess["input"] for guess in first] == [row["input"] for row in guesses[:3]]
    for guess, row in zip(first, guesses, strict=False):
        assert guess["best_at_low"] == row["best_at_low"]
        assert guess["lead_at_high"] == pytest.approx(row["lead_at_high"], abs=1e-6)


def test_what_to_check_first_goes_by_margin_where_herds_differ():
    margin = {"cows": {"sold_per_head": 0.9, "weight_lb": 520, "price_per_lb": 2}}
    document = two_systems(**{HAY: {"margin": margin}})
    document["systems"][STOCKPILE]["herd_change"] = {"cows": {"head": -8, "price_per_head": 1500}}
    costing = cost(subject_of(document).scenario)
    for guess in check_first_of(costing):
        for end in ("low", "high"):
            other = costed_with(document, guess["input"], guess[end])
            margins = {key: farm_margin(other, key) for key in (HAY, STOCKPILE)}
            assert guess[f"best_at_{end}"] == max(margins, key=margins.__getitem__)


@pytest.mark.parametrize(
    ("asked", "member", "said"),
    [
        ({"system": "ringz"}, "system", "no system"),
        ({"figure": "annual_cost"}, "figure", "did you mean annual_equivalent_cost"),
        ({"inputs": ()}, "inputs", "empty"),
        ({"inputs": ("hay.pric_per_ton",)}, "inputs", "did you mean hay.price_per_ton"),
        ({"inputs": ("herd.cows.head",)}, "inputs", "give one under ranges"),
        ({"inputs": ("hay.storage",)}, "inputs", "no number"),
        ({"inputs": ("assumptions.hay_waste.ring_cone",)}, "inputs", "No system uses"),
        ({"ranges": {PRICE: (130, 70)}}, f"ranges.{PRICE}", "upside down"),
        ({"ranges": {PRICE: (-5, 70)}}, f"ranges.{PRICE}", "out of the range"),
        ({"ranges": {PRICE: (math.nan, 70)}}, f"ranges.{PRICE}", "finite"),
        ({"ranges": {"hay.storage": (0, 1)}}, "ranges.hay.storage", "no number"),
        ({"ranges": {ACRES: (1, 3000)}}, f"ranges.{ACRES}", "cannot be costed"),
        ({"ranges": {"supplement.price_per_ton": (1, 3)}}, "ranges.supplement.price_per_ton", ""),
        ({"inputs": (PRICE,), "ranges": {ACRES: (1, 2)}}, f"ranges.{ACRES}", "not among inputs"),
    ],
)
def test_what_cannot_be_asked_is_refused_where_it_stands(asked, member, said):
    assert said in refused(two_systems(), **asked)[member].detail


def test_a_scenario_without_tables_needs_ranges_of_its_own():
    farm = WORKED["worked_farm"]
    assert "under ranges" in refused(farm)["ranges"].detail
    assert len(swings(farm, ranges={PRICE: (50, 150)})["rows"]) == 1


def test_all_faults_are_told_at_once():
    faults = refused(two_systems(), system="a", figure="b", inputs=("c",), ranges={PRICE: (2, 1)})
    assert faults.keys() == {"system", "figure", "inputs", f"ranges.{PRICE}"}


def test_an_answer_is_plain_json_without_infinities():
    assert json.loads(json.dumps(WHOLE, allow_nan=False)) == WHOLE
