"""What a system needs at hand: the demo farm by hand, and against what the costing charges."""

from copy import deepcopy
from datetime import date
from functools import cache
from itertools import pairwise

import pytest

from service.demo import demo_document
from service.season.figures import figure_of
from service.season.plan.materials import materials_of
from service.season.plan.planned import planned as plan_of
from service.season.planning import planned, practice_standards
from tests.season.plan.chosen import demo_subject, subject_of

FIRST_DAY = date(2026, 12, 1)
SYSTEMS = tuple(demo_document()["systems"])


@cache
def demo_materials(system):
    return {one.key: one for one in materials_of(demo_subject(system))}


def materials(document, system):
    return {one.key: one for one in materials_of(subject_of(document, system))}


def line(system, name):
    lines = demo_subject(system).result["lines"]
    return next(one for one in lines if one["line"] == name)["annual_equivalent"]


# The demo farm by hand: its figures are those of the invented scenario.


def test_nitrogen_is_acres_times_pounds_and_is_spread_on_every_acre():
    found = demo_materials("grass_first")
    # 24 acres of Long Bench and 20 of Ridge at 46 lb: 44 x 46 = 2,024 lb, at 0.62 = 1,254.88
    nitrogen, spreading = found["nitrogen"], found["nitrogen_spreading"]
    assert (nitrogen.quantity, nitrogen.unit, nitrogen.price) == (2024, "lb", 0.62)
    assert nitrogen.cost == pytest.approx(1254.88)
    assert nitrogen.for_what == "Long Bench and Ridge"
    # 44 acres at the farm's own 7.00 = 308
    assert (spreading.quantity, spreading.unit, spreading.cost) == (44, "acre", 308)
    assert (nitrogen.price_origin, spreading.price_origin) == ("given", "given")


def test_an_enlarged_pad_takes_rock_and_fabric_for_the_addition_alone():
    found = demo_materials("rock_pad")
    # 8,400 sq ft in all less 1,800 that are there: 6,600, quoted at 19,600
    pad = found["structures.pad"]
    assert (pad.quantity, pad.unit, pad.cost) == (6600, "sq ft", 19_600)
    assert (pad.price_origin, pad.quote_date) == ("quote", "2026-02-18")
    # 6,600 x 70 lb / 2,000 = 231 tons; 6,600 / 9 = 733 1/3 sq yd
    rock, fabric = found["structures.pad.rock"], found["structures.pad.fabric"]
    assert (rock.quantity, rock.unit) == (pytest.approx(231), "ton")
    assert (fabric.quantity, fabric.unit) == (pytest.approx(733 + 1 / 3), "sq yd")
    assert {one.price for one in (rock, fabric)} == {None}
    assert {one.cost for one in (rock, fabric)} == {None}


def test_a_rebuilt_pad_takes_them_for_all_of_it():
    found = demo_materials("by_the_ground")
    # 5,400 sq ft: x 70 / 2,000 = 189 tons; / 9 = 600 sq yd
    assert found["structures.pad"].quantity == 5400
    assert found["structures.pad.rock"].quantity == pytest.approx(189)
    assert found["structures.pad.fabric"].quantity == pytest.approx(600)


def test_concrete_is_poured_6_inches_deep():
    # 4,900 sq ft x 6 / 12 ft = 2,450 cu ft; / 27 = 90.74 cu yd
    concrete = demo_materials("roofed_pad")["structures.pad.concrete"]
    assert (round(concrete.quantity, 2), concrete.unit) == (90.74, "cu yd")


def test_rock_weighs_what_crushed_stone_weighs():
    # From memory: quarries reckon about 1.4 tons to a cubic yard of crushed stone, loose;
    # 8 in deep: 1.4 x 2,000 / 27 x 8 / 12 = 69 lb a sq ft.
    assert planned("rock").usual == pytest.approx(1.4 * 2000 / 27 * 8 / 12, rel=0.03)


def test_hay_is_bought_in_whole_bales_at_the_price_of_a_bale():
    hay = demo_materials("lot_open_rings")["hay"]
    bales = demo_subject("lot_open_rings").result["quantities"]["bales"]
    assert 0 <= hay.quantity - (bales["needed_mean"] - 355) < 1
    assert hay.quantity.is_integer()
    # 98 a ton x 1,050 lb / 2,000 = 51.45 a bale
    assert hay.price == pytest.approx(51.45)
    assert f"{bales['to_buy_worst']:.0f} in the worst" in hay.note
    # 61 days before 1 December: 30 of November and 31 of October
    assert hay.needed_by == date(2026, 10, 1)


def test_a_price_by_the_bale_is_taken_as_it_is():
    document = demo_document()
    del document["hay"]["price_per_ton"]
    document["hay"]["price_per_bale"] = 40
    assert materials(document, "lot_open_rings")["hay"].price == 40


def test_bought_feeders_and_pipe_have_their_number_and_price():
    found = demo_materials("grass_first")
    rings, pipe = found["structures.rings"], found["structures.pipe"]
    assert (rings.quantity, rings.unit, rings.price, rings.cost) == (6, "piece", 1100, 6600)
    assert (pipe.quantity, pipe.unit, pipe.cost) == (900, "ft", 5200)


# Against the costing: what is charged there is bought here.


@pytest.mark.parametrize("system", ["by_the_ground", "rock_pad", "roofed_pad", "pack_barn"])
def test_bedding_costs_what_the_costing_charges(system):
    bedding = demo_materials(system)["bedding"]
    assert bedding.price == 78
    assert bedding.cost == pytest.approx(line(system, "bedding"))


@pytest.mark.parametrize("system", ["grass_first", "by_the_ground"])
def test_nitrogen_and_late_summer_hay_cost_what_the_costing_charges(system):
    found = demo_materials(system)
    fertilizer = found["nitrogen"].cost + found["nitrogen_spreading"].cost
    assert fertilizer == pytest.approx(line(system, "stockpile_fertilizer"))
    late = demo_subject(system).result["quantities"]["late_summer_hay_ton"]
    # 1,050 lb a bale
    assert 0 <= found["late_summer_hay"].quantity - late * 2000 / 1050 < 1


def test_repair_costs_what_the_costing_charges_but_for_specks_of_ground():
    found = demo_materials("by_the_ground")
    repaired = [one for key, one in found.items() if key.startswith("repair_")]
    assert [one.price for one in repaired] == [30, 95, 215]
    assert sum(one.cost for one in repaired) == pytest.approx(
        line("by_the_ground", "ground_restoration")
    )
    least = figure_of("least.acres").usual
    damaged = demo_subject("rock_pad").result["quantities"]["acres_damaged"]
    assert damaged["light"] < least < damaged["severe"]
    assert "repair_light" not in demo_materials("rock_pad")
    assert "repair_severe" in demo_materials("rock_pad")


@pytest.mark.parametrize("system", SYSTEMS)
def test_new_structures_cost_their_first_cost_and_what_is_there_costs_nothing(system):
    found = demo_materials(system)
    given = demo_document()["systems"][system]["structures"]
    new = {key for key, one in given.items() if not one.get("existing")}
    listed = {
        key.split(".")[1] for key in found if key.startswith("structures.") and key.count(".") == 1
    }
    assert listed == new
    for key in new:
        assert found[f"structures.{key}"].cost == given[key]["price"]


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_cost_is_quantity_times_price(system):
    found = demo_materials(system).values()
    assert found
    for one in found:
        assert one.quantity > 0
        assert (one.price is None) == (one.cost is None) == (one.price_origin == "none")
        if one.price is not None:
            assert one.cost == pytest.approx(one.quantity * one.price)
        assert one.note
        assert (one.quote_date is not None) == (one.price_origin == "quote")


# Nothing that is not bought.


def test_a_system_that_builds_and_shuts_nothing_buys_hay_and_seed_alone():
    assert set(demo_materials("lot_open_rings")) == {"hay", "repair_moderate", "repair_severe"}


def test_no_hay_is_bought_where_enough_is_on_hand():
    document = demo_document()
    document["hay"]["bales_on_hand"] = 700
    assert "hay" not in materials(document, "lot_open_rings")


def test_own_hay_that_nobody_counted_is_spoken_of():
    document = demo_document()
    document["hay"]["bales_on_hand"] = 0
    assert "No bales on hand were given" in materials(document, "lot_open_rings")["hay"].note


def test_no_nitrogen_is_bought_for_grass_that_gets_none():
    document = demo_document()
    for step in document["systems"]["grass_first"]["plan"]:
        step.pop("nitrogen_lb_per_acre", None)
    found = materials(document, "grass_first")
    assert not {"nitrogen", "nitrogen_spreading"} & set(found)


def test_nothing_is_built_where_the_pad_there_now_is_large_enough():
    document = demo_document()
    pad = document["systems"]["rock_pad"]["structures"]["pad"]
    pad.update(existing_area_sqft=8400)
    for name in ("area_sqft", "price", "quote_date", "tie_in_cost"):
        pad.pop(name)
    assert not [key for key in materials(document, "rock_pad") if "pad." in f"{key}."]


# Prices by other words than a quote.


def built_without_quotes():
    document = demo_document()
    structures = document["systems"]["rock_pad"]["structures"]
    for one in structures.values():
        one.pop("price", None)
        one.pop("quote_date", None)
    structures["pad"]["tie_in_cost"] = 500
    structures["strip"].update(price=2400, contingency_fraction=0.1, permit_cost=90)
    document["assumptions"]["structure.gravel_pad.unit_cost"] = 2
    return document


def test_without_a_quote_the_tables_price_the_works():
    document = built_without_quotes()
    subject = subject_of(document, "rock_pad")
    found = {one.key: one for one in materials_of(subject)}
    first_costs = {one["key"]: one["cost"] for one in subject.result["structures"]}
    for key in ("mounds", "pad_drinker", "hay_floor", "rings"):
        assert found[f"structures.{key}"].cost == pytest.approx(first_costs[key])
        assert found[f"structures.{key}"].price_origin == "reference"
        assert "assumption" in found[f"structures.{key}"].note


def test_an_addition_is_priced_by_its_size_and_the_tie_in():
    # 6,600 sq ft x the scenario's own 2.00 + 500 for the tie-in = 13,700
    pad = materials(built_without_quotes(), "rock_pad")["structures.pad"]
    assert (pad.cost, pad.price_origin) == (13_700, "given")


def test_a_price_without_a_date_is_no_quote_and_extras_are_not_in_it():
    strip = materials(built_without_quotes(), "rock_pad")["structures.strip"]
    assert (strip.cost, strip.price_origin, strip.quote_date) == (2400, "given", None)
    assert "Not in it: contingency and permits." in strip.note


def test_wire_of_no_known_length_is_one_piece():
    document = demo_document()
    del document["systems"]["grass_first"]["structures"]["wire"]["length_ft"]
    wire = materials(document, "grass_first")["structures.wire"]
    assert (wire.quantity, wire.unit, wire.price, wire.cost) == (1, "piece", 1900, 1900)


def test_a_supplement_is_bought_as_fed():
    document = demo_document()
    document["supplement"] = {
        "title": "Range cubes",
        "price_per_ton": 300,
        "dry_matter_fraction": 0.9,
        "tdn_fraction": 0.75,
        "crude_protein_fraction": 0.2,
    }
    subject = subject_of(document, "lot_open_rings")
    found = {one.key: one for one in materials_of(subject)}["supplement"]
    dry = subject.result["quantities"]["supplement_ton_dm"]
    assert dry > 0
    assert (found.title, found.unit, found.price) == ("Range cubes", "ton", 300)
    assert found.quantity == pytest.approx(dry / 0.9)


# The days by which things are needed.


def test_fields_shut_on_two_days_get_their_nitrogen_on_two():
    document = demo_document()
    steps = {step["key"]: step for step in document["systems"]["grass_first"]["plan"]}
    steps["ridge_grass"]["closing_date"] = "08-26"
    found = materials(document, "grass_first")
    assert found["nitrogen"].quantity == 24 * 46
    assert found["nitrogen_2"].quantity == 20 * 46
    assert found["nitrogen_spreading"].needed_by == date(2026, 8, 12)
    assert found["nitrogen_spreading_2"].needed_by == date(2026, 8, 26)


LEADS = {
    ("lot_open_rings", "hay"): ("lead.buy_hay", FIRST_DAY),
    ("rock_pad", "bedding"): ("lead.order_bedding", FIRST_DAY),
    ("rock_pad", "structures.rings"): ("lead.buy_feeders", FIRST_DAY),
    ("grass_first", "structures.wire"): ("lead.buy_feeders", FIRST_DAY),
    ("rock_pad", "structures.pad"): ("lead.finish_building", FIRST_DAY),
    ("rock_pad", "structures.pad.rock"): ("lead.finish_building", FIRST_DAY),
    ("roofed_pad", "structures.pad"): ("finish.concrete_pad", FIRST_DAY),
    ("grass_first", "nitrogen"): ("lead.order_nitrogen", date(2026, 8, 12)),
    ("grass_first", "repair_severe"): ("lead.seed", date(2027, 11, 15)),
}


@pytest.mark.parametrize(("system", "key"), LEADS)
def test_each_is_needed_by_the_lead_of_its_task(system, key):
    lead, day = LEADS[system, key]
    assert (day - demo_materials(system)[key].needed_by).days == figure_of(lead).usual


def test_seed_is_counted_back_from_the_next_winter_where_no_end_of_growth_is_known():
    document = demo_document()
    document["systems"] = {"lot_open_rings": document["systems"]["lot_open_rings"]}
    seed = materials(document, "lot_open_rings")["repair_severe"]
    before = (date(2027, 12, 1) - seed.needed_by).days
    assert before == figure_of("lead.seed_before_winter").usual


def test_days_move_with_the_winter():
    document = deepcopy(demo_document())
    document["winter"].update(first_day="12-11", last_day="04-20")
    early, late = demo_materials("rock_pad"), materials(document, "rock_pad")
    moved = {key: (late[key].needed_by - one.needed_by).days for key, one in early.items()}
    seeded = moved.pop("repair_severe")
    assert set(moved.values()) == {10}
    assert seeded == 0  # by the end of growth, which has not moved


TASKS = {
    "hay": "buy_hay",
    "late_summer_hay": "late_summer_hay",
    "bedding": "order_bedding",
    "nitrogen": "order_nitrogen",
    "nitrogen_spreading": "spread_nitrogen",
    "repair_light": "repair_ground",
    "repair_moderate": "repair_ground",
    "repair_severe": "seed_perennials",
}


@pytest.mark.parametrize("system", SYSTEMS)
def test_each_is_needed_on_the_day_of_its_task(system):
    days = {task.key: task.day for task in plan_of(demo_subject(system)).tasks}
    for key, one in demo_materials(system).items():
        name = key.removeprefix("structures.").split(".")[0]
        task = "buy_feeders" if name in {"rings", "wire"} else f"finished_{name}"
        assert one.needed_by == days[TASKS.get(key, task)]


# Practice standards: USDA NRCS, National Handbook of Conservation Practices, from memory.

STANDARDS = {
    ("rock_pad", "structures.pad"): ("561 Heavy Use Area Protection",),
    ("rock_pad", "structures.pad_drinker"): ("614 Watering Facility",),
    ("rock_pad", "structures.strip"): ("635 Vegetated Treatment Area",),
    ("grass_first", "structures.pipe"): ("516 Livestock Pipeline",),
    ("grass_first", "structures.wire"): ("382 Fence",),
    ("grass_first", "nitrogen"): ("590 Nutrient Management",),
    ("grass_first", "repair_severe"): ("512 Pasture and Hay Planting",),
    ("roofed_pad", "structures.roof"): ("367 Roofs and Covers", "558 Roof Runoff Structure"),
    ("roofed_pad", "structures.storage"): ("313 Waste Storage Facility",),
    ("pack_barn", "structures.barn"): (
        "313 Waste Storage Facility",
        "317 Composting Facility",
        "367 Roofs and Covers",
        "558 Roof Runoff Structure",
    ),
    ("rock_pad", "hay"): (),
    ("rock_pad", "structures.rings"): (),
}


@pytest.mark.parametrize(("system", "key"), STANDARDS)
def test_a_material_names_its_practice_standard(system, key):
    assert demo_materials(system)[key].practices == STANDARDS[system, key]


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_practice_is_on_the_list_and_cited_as_from_memory(system):
    names = practice_standards().names
    on_the_list = {f"{number} {name}" for number, name in names.items()}
    for one in demo_materials(system).values():
        assert set(one.practices) <= on_the_list
        assert ("from memory" in one.practice_source) == bool(one.practices)
        assert ("National Handbook" in one.practice_source) == bool(one.practices)


def test_every_number_in_use_has_a_name_and_every_name_a_use():
    standards = practice_standards()
    used = {number for numbers in standards.used_for.values() for number in numbers}
    assert used == set(standards.names)
    assert {len(number) for number in standards.names} == {3}
    assert all(first < second for first, second in pairwise(standards.names))
