"""Changes to a farm that must not matter, or matter in one way only.

Nothing here is a published figure; each property follows from what a costing means.
"""

import copy
from itertools import chain

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.comparison import against_baseline, annual, lines_of, standings_of
from service.costing.lines import LINES
from service.costing.reference.table import load_edition
from tests.support import situations as of
from tests.support.currency import in_other_money
from tests.support.situations import cost_document, farm
from tests.support.strategies import amounts, farms, few

CLOSE = 1e-9
CENT = 0.01

NO_SUPPLY_LIMIT = ("lot", "barn", "unrolled")
EDITION = load_edition("2026.1")


def totals(costing):
    return {key: annual(system) for key, system in costing.systems.items()}


def by_line(costing):
    return {key: lines_of(system) for key, system in costing.systems.items()}


def same(left, right):
    """Hold two costs by system and line against each other."""
    assert left.keys() == right.keys()
    for key, lines in left.items():
        assert lines == pytest.approx(right[key], rel=CLOSE, abs=CENT / 100), key


@few
@given(farms(), st.sampled_from([0.5, 1.25, 2.0]))
def test_costs_go_with_the_currency(document, factor):
    usual = by_line(cost_document(document))
    dearer = by_line(cost_document(in_other_money(document, factor)))
    expected = {
        system: {line: value * factor for line, value in lines.items()}
        for system, lines in usual.items()
    }
    same(dearer, expected)


def alone(group, plan):
    """Return a farm with one group and nothing built."""
    document = farm({"only": {"plan": plan, "structures": {}}})
    document["herd"] = {group: document["herd"][group]}
    return document


@few
@given(farms("lot"))
def test_two_groups_that_share_nothing_cost_what_they_cost_apart(document):
    plan_of = {
        of.COWS: [of.step("unrolled_hay", field="long_meadow", groups=[of.COWS])],
        of.EWES: [of.on_lot(groups=[of.EWES])],
    }
    for steps in plan_of.values():
        for each in steps:
            each["presentation"] = {each["groups"][0]: each["presentation"][each["groups"][0]]}
    del document["land"]["fields"]["hill_field"]
    document["land"].pop("acres_repaired_last_spring", None)
    shared = {key: document[key] for key in ("winter", "land", "finance")}
    apart = []
    for group, plan in plan_of.items():
        one = alone(group, plan) | shared
        one["herd"] = {group: document["herd"][group]}
        apart.append(lines_of(cost_document(one).systems["only"]))
    document["systems"] = {"lot": {"plan": list(chain(*plan_of.values())), "structures": {}}}
    together = lines_of(cost_document(document).systems["lot"])
    expected = {line: sum(lines[line] for lines in apart) for line in LINES}
    same({"lot": together}, {"lot": expected})


@few
@given(farms(), st.randoms(use_true_random=False))
def test_the_order_of_systems_does_not_matter(document, random):
    first = cost_document(document)
    names = list(document["systems"])
    random.shuffle(names)
    document["systems"] = {name: document["systems"][name] for name in names}
    second = cost_document(document)
    assert by_line(first) == by_line(second)
    assert standings_of(first) == standings_of(second)


@few
@given(
    farms(*NO_SUPPLY_LIMIT), st.sampled_from(["ring_open", "bunk", "unrolled_daily"]), amounts(0, 3)
)
def test_more_waste_never_costs_less(document, feeder, more):
    # Where what is wasted is not worth money as fertilizer.
    document["prices"]["nutrient_value_counted"] = "none"
    usual = EDITION.row(f"hay_waste.{feeder}").usual
    before = totals(cost_document(document))
    document["assumptions"] = {f"hay_waste.{feeder}": min(0.5, usual + more / 10)}
    after = totals(cost_document(document))
    for name, cost in before.items():
        assert after[name] >= cost * (1 - CLOSE)


@few
@given(farms(*NO_SUPPLY_LIMIT), amounts(-40, 20), amounts(0, 20))
def test_a_colder_winter_never_takes_less_hay(document, temperature, colder):
    def hay_eaten(degrees):
        document["winter"] = of.winter(
            effective_temperature_f=of.days(degrees, degrees, degrees, degrees)
        )
        systems = cost_document(document).systems.values()
        return np.array([system.feed.hay_eaten.value[0, 0] for system in systems])

    warm, cold = hay_eaten(temperature), hay_eaten(temperature - colder)
    assert (cold >= warm * (1 - CLOSE)).all()


@few
@given(farms(*NO_SUPPLY_LIMIT), st.integers(2, 4))
def test_twice_the_herd_takes_twice_the_hay(document, times):
    one = cost_document(document)
    for group in document["herd"].values():
        group["head"] *= times
    many = cost_document(document)
    for name in document["systems"]:
        for quantity in ("hay_eaten", "hay_stored"):
            few_eat, many_eat = (
                getattr(costing.systems[name].feed, quantity).value for costing in (one, many)
            )
            np.testing.assert_allclose(many_eat, times * few_eat, rtol=CLOSE)


@few
@given(farms(), st.integers(0, 2))
def test_a_winter_split_into_halves_of_its_weight_changes_nothing(document, position):
    before = cost_document(document)
    rows = document["winter"]["rows"]
    half = rows[position % len(rows)]
    half["weight"] /= 2
    rows.append(half | {"season": "its other half"})
    after = cost_document(document)
    same(by_line(after), by_line(before))


@few
@given(farms())
def test_equal_winters_give_what_one_gives(document):
    rows = document["winter"]["rows"]
    del rows[1:]
    one = by_line(cost_document(document))
    rows += [rows[0] | {"season": "again", "weight": 0.7}, rows[0] | {"season": "and again"}]
    same(by_line(cost_document(document)), one)


@few
@given(farms())
def test_costing_twice_gives_the_same_numbers(document):
    first, second = cost_document(document), cost_document(copy.deepcopy(document))
    for key, system in first.systems.items():
        again = second.systems[key].account
        np.testing.assert_array_equal(system.account.by_year.value, again.by_year.value)
        np.testing.assert_array_equal(system.account.by_winter.value, again.by_winter.value)
    assert by_line(first) == by_line(cost_document(document, workings=True))


@few
@given(farms("lot", "mixed", "barn"))
def test_one_against_another_is_less_the_other_against_the_one(document):
    # Repairs remembered scale the damage of the baseline, so they make the two questions differ.
    document["land"].pop("acres_repaired_last_spring", None)
    forth = against_baseline(cost_document(document), "mixed")
    document["baseline"] = "mixed"
    back = against_baseline(cost_document(document), "lot")
    for name in ("annual_difference", "extra_investment", "net_present_value"):
        assert forth[name] == pytest.approx(-back[name], rel=CLOSE, abs=CENT)
    np.testing.assert_allclose(
        forth["flow_by_year"], -np.array(back["flow_by_year"]), rtol=CLOSE, atol=CENT
    )
    for line in LINES:
        assert forth["by_line"][line] == pytest.approx(-back["by_line"][line], abs=CENT)


@few
@given(farms(), amounts(10, 200), amounts(10, 200))
def test_cost_goes_in_a_straight_line_with_the_price_of_hay(document, low, high):
    def at(price):
        document["hay"]["price_per_ton"] = price
        return totals(cost_document(document))

    ends, middle = (at(low), at(high)), at((low + high) / 2)
    for name, cost in middle.items():
        mean = (ends[0][name] + ends[1][name]) / 2
        assert cost == pytest.approx(mean, rel=CLOSE, abs=CENT)


VARIED = {  # inputs and values for them, as a study of risk draws them
    "hay.price_per_ton": [60, 110, 190],
    "hay.bale_weight_lb": [700, 1_000, 1_300],
    "hay.home_grown_fraction": [0, 0.4, 1],
    "herd.cows.head": [20, 60, 180],
    "prices.labor_per_hour": [12, 20, 35],
    "land.fields.creek_lot.acres": [1, 6, 20],
    "finance.real_rate": [0, 0.045, 0.09],
    **{
        f"assumptions.{key}": [EDITION.row(key).low, EDITION.row(key).usual, EDITION.row(key).high]
        for key in (
            "energy.mud_fraction.deep",
            "hay_storage_loss.ground_uncovered",
            "hay_waste.ring_open",
            "intake.beef_cow.late_gestation.average",
            "manure.days_between_scrapings.gravel_pad",
            "nutrient_kept.pack.n",
            "stage.late_gestation_days.beef_cow",
            "stockpile.growth_lb_dm_per_acre_day",
            "structure.gravel_pad.unit_cost",
            "trampling.sqft_per_au_day.sacrifice_lot.poor.wet",
            "work.sacrifice_lot.set_bale.person_minutes",
        )
    },
}


def with_input(document, path, value):
    """Return the document with one input set."""
    changed = copy.deepcopy(document)
    *parents, name = path.split(".", 1) if path.startswith("assumptions.") else path.split(".")
    place = changed
    for parent in parents:
        place = place.setdefault(parent, {})
    place[name] = float(value)
    return changed


@few
@given(farms(), st.sampled_from(sorted(VARIED)))
def test_many_draws_at_once_are_what_each_gives_alone(document, path):
    values = VARIED[path]
    together = cost_document(document, varied={path: np.array(values, float).reshape(-1, 1)})
    for draw, value in enumerate(values):
        one = cost_document(with_input(document, path, value))
        for key, system in one.systems.items():
            lines = together.systems[key].account.lines.value[:, :, 0]
            drawn = lines[:, min(draw, lines.shape[1] - 1)]
            expected = system.account.lines.value[:, 0, 0]
            np.testing.assert_allclose(drawn, expected, rtol=1e-8, atol=CENT)
