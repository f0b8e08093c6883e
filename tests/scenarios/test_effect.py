"""What a change did to the answer. Sentences are written here by hand; amounts are costed apart."""

import pytest

from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.scenarios.changes import Change, changes_between
from service.scenarios.costings import changes
from service.scenarios.effect import differs, effect_of, sentence
from service.scenarios.errors import BinnedError, UnknownPartError, UnknownScenarioError
from service.scenarios.keeping import put_in_bin
from service.scenarios.phrases import cut, money, said
from tests.scenarios.kept_farms import NAMES, costed, farm, kept_with, opened_desk, stranger

HAY = Change("hay.price_per_ton", "Hay price", "USD/ton", "changed", 98, 131)
NO_AND_YES = (False, True)
TODAY, PAD = "Rings", "Gravel pad"


def answer(today, pad, **more):
    """Return as much of a costing as an effect is read from; a system may be left out."""
    costs = {"today": (TODAY, today), "pad": (PAD, pad)}
    systems = [
        {"system": key, "title": title, "annual_equivalent_cost": cost}
        for key, (title, cost) in costs.items()
        if cost is not None
    ]
    usual = {
        "currency": "USD",
        "ranked_by": "annual_equivalent_cost",
        "inputs_used": {"price_year": 2026},
        "comparison": {"baseline": "today"},
        "best_system": min(systems, key=lambda one: one["annual_equivalent_cost"])["system"],
        "systems": systems,
    }
    return usual | more


def told(before, after, *made, currency="USD"):
    """Return the sentence about changes between two answers."""
    return sentence(made or [HAY], effect_of(before, after), currency)


def test_the_baseline_and_the_cheapest_are_told():
    assert told(answer(34_800, 31_000), answer(40_100, 36_000)) == (
        "Hay price 98 to 131 USD/ton: today's cost up 5,300 USD a year; "
        "the cheapest is still Gravel pad."
    )


def test_another_cheapest_is_told_with_the_one_before():
    assert told(answer(30_000, 31_000), answer(32_000, 31_500)) == (
        "Hay price 98 to 131 USD/ton: today's cost up 2,000 USD a year; "
        "the cheapest is now Gravel pad, no longer Rings."
    )


@pytest.mark.parametrize(
    ("key", "title", "called"),
    [
        ("today", "Rings", "today's cost"),
        ("lot", "Today: rings on the lot", "today's cost"),
        ("lot", "Rings on the lot", "the cost of Rings on the lot"),
    ],
)
def test_the_baseline_is_called_today_only_if_it_is(key, title, called):
    def one(cost):
        system = {"system": key, "title": title, "annual_equivalent_cost": cost}
        return answer(None, 9_000, systems=[system], best_system=key, comparison={"baseline": key})

    assert told(one(5_000), one(4_000)) == (
        f"Hay price 98 to 131 USD/ton: {called} down 1,000 USD a year."
    )


def test_what_changed_no_cost_says_so():
    name = Change("name", "Name", "", "changed", "A", "B")
    same = answer(30_000, 31_000)
    assert told(same, same, name) == "Name from A to B: no cost changed."


def test_differences_of_rounding_are_none():
    before, after = answer(30_000, 31_000), answer(30_000 * (1 + 1e-12), 31_000)
    assert told(before, after) == "Hay price 98 to 131 USD/ton: no cost changed."
    assert not differs(0.0, 0.0)
    assert differs(0.0, 1e-12)


def test_where_today_stays_the_system_that_changed_most_is_named():
    before, after = answer(30_000, 31_000), answer(30_000, 31_840)
    assert told(before, after) == (
        "Hay price 98 to 131 USD/ton: today's cost unchanged; "
        "the cost of Gravel pad up 840 USD a year; the cheapest is still Rings."
    )


def test_a_system_that_is_added_is_told_with_its_cost():
    added = Change("systems.pad", PAD, "", "added", None, {"title": PAD})
    before, after = answer(30_000, None), answer(30_000, 31_000)
    assert told(before, after, added) == (
        "Gravel pad added: Gravel pad costs 31,000 USD a year; the cheapest is still Rings."
    )
    removed = Change("systems.pad", PAD, "", "removed", {"title": PAD}, None)
    assert told(after, before, removed) == "Gravel pad removed: the cheapest is still Rings."


def test_many_systems_added_at_once_are_not_told_one_by_one():
    def several(cost, *keys):
        systems = [{"system": k, "title": k, "annual_equivalent_cost": cost} for k in keys]
        return answer(None, 1, systems=systems, best_system=keys[0], comparison={"baseline": "a"})

    before, after = several(10, "a"), several(10, "a", "b", "c", "d")
    assert told(before, after) == "Hay price 98 to 131 USD/ton: the cheapest is still a."
    two = several(10, "a", "b", "c")
    assert told(before, two) == (
        "Hay price 98 to 131 USD/ton: b costs 10 USD a year; c costs 10 USD a year; "
        "the cheapest is still a."
    )


def test_a_baseline_that_is_new_has_no_cost_before():
    before = answer(30_000, None)
    after = answer(32_000, 31_000, comparison={"baseline": "pad"})
    assert effect_of(before, after)["baseline"] == {
        "system": "pad",
        "title": PAD,
        "before": None,
        "after": 31_000,
        "change": None,
    }
    assert told(before, after) == (
        "Hay price 98 to 131 USD/ton: today's cost up 2,000 USD a year; "
        "Gravel pad costs 31,000 USD a year; the cheapest is now Gravel pad, no longer Rings."
    )


def test_costs_in_two_currencies_are_not_subtracted():
    before, after = answer(30_000, 31_000), answer(27_000, 28_000, currency="EUR")
    effect = effect_of(before, after)
    assert [row["change"] for row in effect["systems"]] == [None, None]
    assert [row["before"] for row in effect["systems"]] == [30_000, 31_000]
    money_of = Change("currency", "Currency", "", "changed", "USD", "EUR")
    assert told(before, after, money_of, currency="EUR") == (
        "Currency from USD to EUR: costs were in USD and are in EUR now, so they are not compared."
    )


def test_prices_of_another_year_are_told():
    before = answer(30_000, 31_000, inputs_used={})
    year = Change("price_year", "Price year", "year", "added", None, 2026)
    assert told(before, answer(31_000, 33_000), year) == (
        "Price year set to 2026: today's cost up 1,000 USD a year; the cheapest is still Rings; "
        "prices were of an unnamed year, now of 2026."
    )


def test_systems_ranked_by_margin_are_not_called_cheapest():
    before = answer(30_000, 31_000, best_system="pad", ranked_by="farm_margin")
    after = answer(31_000, 32_000, best_system="pad", ranked_by="farm_margin")
    assert told(before, after).endswith("; the best by farm margin is still Gravel pad.")


def test_without_an_answer_only_the_change_is_told():
    assert sentence([HAY], None, "USD") == "Hay price 98 to 131 USD/ton."
    assert sentence([], None, "USD") == "No input changed."


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        (5_312, "5,300"),
        (-10_581, "10,600"),
        (999.6, "1,000"),
        (843, "840"),
        (-43.4, "43"),
        (4.27, "4.3"),
        (0.0342, "0.034"),
        (1_234_567, "1,234,600"),
    ],
)
def test_money_is_rounded_as_people_read_it(amount, words):
    assert money(amount) == words


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (HAY, "hay price 98 to 131 USD/ton"),
        (
            Change("hay.tdn_fraction", "TDN", "fraction", "changed", 0.54, 0.565),
            "TDN 54 to 56.5 %",
        ),
        (
            Change("finance.nominal_rate", "Nominal rate", "fraction/year", "changed", 0.07, 0.08),
            "nominal rate 7 to 8 % a year",
        ),
        (
            Change("herd.cows.head", "Head", "head", "changed", 1060, 1062, ("Cows",)),
            "head (Cows) 1,060 to 1,062",
        ),
        (
            Change("land.acres_repaired_last_spring", "Acres repaired", "acre", "added", None, 5),
            "acres repaired set to 5 acres",
        ),
        (
            Change("winter.rain_in", "Rain and melt", "in", "removed", 14.8, None),
            "rain and melt no longer given (was 14.8 in)",
        ),
        (
            Change("hay.storage", "Hay storage", "", "changed", "ground_uncovered", "barn"),
            "hay storage from ground uncovered to barn",
        ),
        (
            Change("x.existing", "Existing", "", "changed", *NO_AND_YES, ("Pad", "Rings")),
            "existing (Pad / Rings) from no to yes",
        ),
        (
            Change("x.ground_states", "Ground states", "", "changed", ["firm", "wet"], ["wet"]),
            "ground states from firm, wet to wet",
        ),
        (
            Change("x.presentation", "Presentation", "", "changed", "bunk", {"ewes": "rack"}),
            "presentation from bunk to ewes rack",
        ),
        (
            Change("name", "Name", "", "changed", "A farm", "A" * 100),
            f'name from "A farm" to {"A" * 57}...',
        ),
        (
            Change("x.price", "Price", "currency", "changed", 6600, 7000.5),
            "price 6,600 to 7,000.5",
        ),
        (Change("x.weight", "Weight", "none", "changed", 1, 2), "weight 1 to 2"),
        (
            Change("x.payment_year", "Payment year", "year", "changed", 1, 2),
            "payment year 1 to 2",
        ),
    ],
)
def test_a_change_is_said_in_words(change, words):
    assert said([change]) == words


def test_up_to_three_changes_are_all_named_and_more_are_counted():
    wage = Change("prices.labor_per_hour", "Wage", "USD/hour", "changed", 20, 22)
    barn = Change("systems.barn", "Barn", "", "added", None, {})
    ring = Change("x.price", "Price", "USD", "changed", 100, 200, ("Rings",))
    assert said([wage, barn]) == "wage 20 to 22 USD/hour and Barn added"
    assert said([HAY, wage, barn]) == (
        "hay price 98 to 131 USD/ton, wage 20 to 22 USD/hour and Barn added"
    )
    assert said([HAY, wage, barn, ring]) == ("4 inputs changed (hay price, wage, Barn, ...)")
    assert said([HAY, wage, HAY, wage]) == "4 inputs changed (hay price, wage)"


def test_names_with_commas_are_set_apart_by_semicolons():
    long = Change("x.count", "Count", "piece", "changed", 6, 5, ("Same lot, better feeders",))
    assert said([HAY, long]) == (
        "hay price 98 to 131 USD/ton; count (Same lot, better feeders) 6 to 5 pieces"
    )


def test_a_long_name_is_cut():
    assert cut("x" * 60) == "x" * 60
    assert cut("x" * 56 + "    yz") == "x" * 56 + "..."


@pytest.mark.parametrize("name", NAMES)
def test_the_effect_is_the_difference_of_two_costings_made_apart(name):
    before = farm(name)
    after = with_settings(before, {"hay.price_per_ton": before["hay"]["price_per_ton"] * 1.5})
    old, new = costed(before), costed(after)
    effect = effect_of(old, new)
    assert {row["system"] for row in effect["systems"]} == set(before["systems"])
    for row in effect["systems"]:
        was, now = (
            next(s for s in answer["systems"] if s["system"] == row["system"])
            for answer in (old, new)
        )
        assert row["title"] == now["title"]
        assert row["before"] == was["annual_equivalent_cost"]
        assert row["after"] == now["annual_equivalent_cost"]
        assert row["change"] == row["after"] - row["before"]
        assert row["change"] > 0  # dearer hay makes no system cheaper
    assert effect["baseline"]["system"] == before["baseline"]
    assert effect["baseline"] in effect["systems"]
    assert effect["best"]["before"] == old["best_system"]
    assert effect["best"]["after"] == new["best_system"]


def test_a_revision_tells_its_changes_and_what_they_did():
    before = farm("demo")
    after = with_settings(before, {"hay.price_per_ton": 131})
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, before, after)
    found = changes(desk, caller, scenario, 2)
    assert (found["scenario"], found["from"], found["to"]) == (scenario, 1, 2)
    assert found["changes"] == [change.as_document() for change in changes_between(before, after)]
    assert found["effect"] == effect_of(costed(before), costed(after))
    assert found["sentence"] == (
        "Hay price 98 to 131 USD/ton: today's cost up 10,600 USD a year; "
        "the cheapest is still Same lot, better feeders, hay kept dry."
    )


def test_a_revision_is_held_against_any_other():
    before = farm("worked_farm")
    second = with_settings(before, {"prices.labor_per_hour": 40})
    third = with_settings(second, {"hay.price_per_ton": 200})
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, before, second, third)
    found = changes(desk, caller, scenario, 3, since=1)
    assert (found["from"], found["to"]) == (1, 3)
    assert {one["input"] for one in found["changes"]} == {
        "prices.labor_per_hour",
        "hay.price_per_ton",
    }
    assert found["effect"] == effect_of(costed(before), costed(third))
    same = changes(desk, caller, scenario, 2, since=2)
    assert same["changes"] == []
    assert same["sentence"] == "No input changed."


def test_the_first_revision_changed_nothing():
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, farm("worked_farm"))
    assert changes(desk, caller, scenario, 1) == {
        "scenario": scenario,
        "from": 0,
        "to": 1,
        "changes": [],
        "effect": None,
        "sentence": "First revision.",
    }


def test_a_revision_that_cannot_be_costed_is_named():
    before = farm("demo")
    crowded = with_settings(before, {"herd.cows.head": 90})
    with pytest.raises(InputError):
        costed(crowded)
    after = with_settings(crowded, {"hay.price_per_ton": 131})
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, before, crowded, after)
    found = changes(desk, caller, scenario, 2)
    assert found["effect"] is None
    assert found["sentence"] == (
        "Head (Cows) 62 to 90. Revision 2 cannot be costed by the engine of now."
    )
    assert changes(desk, caller, scenario, 3)["sentence"] == (
        "Hay price 98 to 131 USD/ton. Revision 2 cannot be costed by the engine of now; "
        "revision 3 cannot be costed by the engine of now."
    )


def test_only_revisions_that_are_there_and_seen_are_compared():
    desk, caller = opened_desk()
    scenario = kept_with(desk, caller, farm("worked_farm"))
    for number, since in ((2, None), (0, None), (1, 0), (1, 2)):
        with pytest.raises(UnknownPartError):
            changes(desk, caller, scenario, number, since)
    with pytest.raises(UnknownScenarioError):
        changes(desk, stranger(), scenario, 1)
    put_in_bin(desk, caller, scenario, 1)
    with pytest.raises(BinnedError):
        changes(desk, caller, scenario, 1)
