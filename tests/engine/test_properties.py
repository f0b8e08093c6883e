"""What holds for every farm: sums, what is kept whole, and changes that must not matter.

Nothing here is a published figure; each property follows from what a costing means.
"""

import copy

import numpy as np
import numpy_financial
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.costing.comparison import against_baseline, annual, flows_of, lines_of, standings_of
from service.costing.lines import LINES
from service.costing.reference.table import load_edition
from tests.support import situations as of
from tests.support.situations import cost_document, farm
from tests.support.strategies import amounts, farms

CLOSE = 1e-9
CENT = 0.01
DAY = 1e-5
"""A step leaves out less than a millionth of a day; a winter has a few steps."""

NO_SUPPLY_LIMIT = ("lot", "barn", "unrolled")
EDITION = load_edition("2026.1")

few = settings(
    max_examples=12,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


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
@given(farms())
def test_lines_add_up_to_the_totals_in_every_year_and_winter(document):
    costing = cost_document(document)
    rate, years = costing.money.discount_rate.value, costing.money.years
    weight = costing.winters.weight.value[:-1]
    for system in costing.systems.values():
        account = system.account
        in_years = account.lines_by_year.value[:, :, 0, 0]
        assert in_years.shape == (years + 1, len(LINES))
        assert np.isfinite(in_years).all()
        flows = in_years.sum(axis=1)
        np.testing.assert_allclose(flows, flows_of(system), rtol=CLOSE, atol=CENT)
        worth = numpy_financial.npv(rate, flows)
        level = -numpy_financial.pmt(rate, years, worth)
        assert annual(system) == pytest.approx(level, rel=CLOSE, abs=CENT)
        assert sum(lines_of(system).values()) == pytest.approx(level, rel=CLOSE, abs=CENT)
        for position, line in enumerate(LINES):
            one = -numpy_financial.pmt(
                rate, years, numpy_financial.npv(rate, in_years[:, position])
            )
            assert lines_of(system)[line] == pytest.approx(one, rel=CLOSE, abs=CENT)
        each_winter = account.by_winter.value[0, :-1] + 0 * weight
        mean = np.average(each_winter, weights=weight)
        assert mean == pytest.approx(level, rel=CLOSE, abs=CENT)
        assert account.net_present_cost.value.item() == pytest.approx(worth, rel=CLOSE, abs=CENT)


@few
@given(farms())
def test_every_animal_is_somewhere_on_every_day(document):
    costing = cost_document(document)
    for system in costing.systems.values():
        served = sum(run.served.value for run in system.run.steps)
        everyone = np.broadcast_to(costing.winters.days.value, served.shape)
        np.testing.assert_allclose(served, everyone, atol=DAY)
        for run in system.run.steps:
            assert (run.served.value >= 0).all()
            assert (run.days_run.value <= costing.winters.total_days.value + DAY).all()


@few
@given(farms())
def test_hay_is_eaten_wasted_or_lost_and_bales_and_grass_do_not_multiply(document):
    costing = cost_document(document)
    bale = document["hay"]["bale_weight_lb"] * document["hay"]["dry_matter_fraction"]
    for system in costing.systems.values():
        feed = system.feed
        parts = feed.hay_eaten.value + feed.hay_wasted.value + feed.hay_lost.value
        np.testing.assert_allclose(parts, feed.hay_stored.value, rtol=CLOSE)
        eaten = feed.eaten_by_group.value.sum(axis=(0, 1))
        np.testing.assert_allclose(
            eaten, feed.hay_eaten.value + feed.stockpile_eaten.value, rtol=CLOSE
        )
        for run in system.run.steps:
            if run.grass is not None:
                short = run.grass.usable.value - run.eaten_in_all.value
                assert (short >= -1e-6 * run.grass.usable.value - 1e-6).all()
                assert (run.grass.usable.value <= run.grass.standing.value).all()
                continue
            np.testing.assert_allclose(run.bales.value * bale, run.offered.value, rtol=CLOSE)
            if run.bales_left is not None:
                assert (run.bales.value <= run.step.bales_set_out * (1 + CLOSE)).all()
                whole = run.bales.value + run.bales_left.value
                np.testing.assert_allclose(whole, run.step.bales_set_out, atol=1e-5)


@few
@given(farms())
def test_no_more_nutrients_are_kept_than_come_in_and_no_more_manure_than_falls(document):
    costing = cost_document(document)
    hay = document["hay"]
    for system in costing.systems.values():
        fertility = system.fertility
        nitrogen = system.feed.hay_offered.value * hay["crude_protein_fraction"] / 6.25
        assert (fertility.kept.value <= fertility.dropped.value * (1 + CLOSE)).all()
        assert (fertility.dropped.value[0] <= nitrogen * (1 + CLOSE)).all()
        units = sum(
            (run.served.value.sum(axis=-3) * run.member.value[..., 0, :, :])
            for run in system.run.steps
        )
        weights = (system.run.head.value * system.run.herd.weight.value)[:, 0] / 1000
        a_day = max(EDITION.row(f"manure.lb_per_au_day.{one}").usual for one in ("beef_cow", "ewe"))
        most = (units * weights).sum(axis=0) * a_day
        fallen = sum(floor.manure.value for floor in system.floors)
        assert (fallen <= most * (1 + CLOSE)).all()


@few
@given(farms())
def test_no_more_ground_is_damaged_than_there_is(document):
    costing = cost_document(document)
    fields = document["land"]["fields"]
    for system in costing.systems.values():
        for name, by_severity in system.damage.by_field.items():
            acres = sum(figure.value for figure in by_severity.values())
            assert (acres <= fields[name]["acres"] * (1 + CLOSE)).all()
            assert (acres >= 0).all()


@few
@given(farms("lot", "pad", "barn", "unrolled"), st.integers(1, 30))
def test_at_no_interest_building_is_the_straight_line(document, horizon):
    document["finance"] = {"real_rate": 0.0, "horizon_years": float(horizon)}
    document["systems"]["pad"]["structures"]["pad"] = of.pad()
    for system in cost_document(document).systems.values():
        yearly = 0.0
        for item in system.construction.built:
            kind = item.structure.kind
            cost = np.asarray(item.cost.value).reshape(-1)[0]
            salvage = EDITION.row(f"structure.{kind}.salvage_fraction").usual
            life = EDITION.row(f"structure.{kind}.life_years").usual
            yearly += cost * (1 - salvage) / life
        assert lines_of(system)["structures"] == pytest.approx(yearly, rel=CLOSE, abs=CENT)


def in_other_money(document, factor):
    """Return the document with every price multiplied, those of the edition among them."""
    priced = copy.deepcopy(document)
    priced["assumptions"] = {
        key: row.usual * factor for key, row in EDITION.rows.items() if row.currency is not None
    }
    for part, names in {
        "hay": ("price_per_ton", "cost_to_sell_per_ton"),
        "land": ("forage_value_per_ton_dm",),
        "prices": [name for name in of.prices() if "_per_" in name],
    }.items():
        for name in names:
            priced[part][name] *= factor
    for machine in priced["machines"].values():
        for name in ("list_price", "price", "custom_rate_per_hour", "least_charge"):
            if name in machine:
                machine[name] *= factor
    for system in priced["systems"].values():
        for structure in system["structures"].values():
            for name in ("price", "engineering_cost", "tie_in_cost"):
                if name in structure:
                    structure[name] *= factor
            if "cap" in structure.get("cost_share", {}):
                structure["cost_share"]["cap"] *= factor
    return priced


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
    document["systems"] = {"lot": {"plan": sum(plan_of.values(), []), "structures": {}}}
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
