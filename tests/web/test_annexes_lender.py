"""The lender's annex: its numbers against the costing, and break-evens costed again."""

import copy

import numpy_financial
import pytest

from service.demo import demo_document
from tests.web.annexed import annex, costed, demo_annex, item, items, value

TODAY, ROOFED, ROCK, GROUND = "lot_open_rings", "roofed_pad", "rock_pad", "by_the_ground"


@pytest.fixture(scope="module")
def systems():
    return costed(demo_document())


def _annual(document, system, line=None):
    told = costed(document)[system]
    if line is None:
        return told["annual_equivalent_cost"]
    return next(one["annual_equivalent"] for one in told["lines"] if one["line"] == line)


@pytest.mark.parametrize("system", [TODAY, ROOFED, ROCK, GROUND, "grass_first", "pack_barn"])
def test_uses_add_up_to_the_money_up_front(systems, system):
    found = demo_annex("lender", system)
    uses = ("building", "feeders", "water_and_power", "engineering", "permits", "contingency")
    total = sum(value(found, "request", use) for use in uses)
    assert total == pytest.approx(systems[system]["first_cost"])
    assert value(found, "request", "money_up_front") == systems[system]["first_cost"]


def test_what_comes_on_top_of_the_works_is_told_apart():
    # By hand: 10,000 of works, 10 % contingency, then 900, 300 and 700 on top: 12,900.
    document = demo_document()
    document["systems"][GROUND]["structures"]["mound"] |= {
        "price": 10_000,
        "contingency_fraction": 0.1,
        "engineering_cost": 900,
        "permit_cost": 300,
        "power_and_water_cost": 700,
    }
    before, found = demo_annex("lender", GROUND), annex("lender", document, GROUND)
    assert value(found, "request", "contingency") == pytest.approx(1000)
    assert value(found, "request", "engineering") == pytest.approx(900)
    assert value(found, "request", "permits") == pytest.approx(300)

    def added(use):
        return value(found, "request", use) - value(before, "request", use)

    assert added("water_and_power") == pytest.approx(700)
    assert added("building") == pytest.approx(10_000 - 1_300)


def test_cost_share_is_never_netted_and_has_its_status():
    found = demo_annex("lender", ROOFED)
    assert value(found, "request", "money_up_front") == 174_900
    # Invented terms of the demo: 60 % of each of five prices, paid at the end of year 1.
    assert value(found, "request", "cost_share") == pytest.approx(0.6 * 174_900)
    amounts = [one["value"] for one in items(found, "cost_share") if one["line"] == "amount"]
    assert sum(amounts) == pytest.approx(0.6 * 174_900)
    states = {one["value"] for one in items(found, "cost_share") if one["line"] == "status"}
    assert states == {"applied"}
    # 7.5 % for one year on what is awaited.
    assert value(found, "request", "bridge") == pytest.approx(0.075 * 0.6 * 174_900)


def test_cash_by_year_is_that_of_the_costing(systems):
    found = demo_annex("lender", ROOFED)
    shown, today = systems[ROOFED], systems[TODAY]
    years = [value(found, "cash", "with_system", f"Year {year}") for year in range(11)]
    without = shown["without_cost_share_figures"]
    assert years[0] + years[1] == pytest.approx(without["first_year_cash"])
    assert max(years) == pytest.approx(without["peak_yearly_cash"])
    now = [value(found, "cash", "today", f"Year {year}") for year in range(11)]
    assert now[0] + now[1] == pytest.approx(today["first_year_cash"])
    shared = value(found, "cash", "cost_share", "Year 1")
    assert shared == pytest.approx(104_940)
    with_share = years[0] + years[1] - shared
    assert with_share == pytest.approx(shown["first_year_cash"])
    for year in range(11):
        about = f"Year {year}"
        saved = value(found, "cash", "saved", about)
        assert saved == pytest.approx(now[year] - years[year])
        left = saved + value(found, "cash", "loan_received", about)
        left -= value(found, "cash", "loan_payment", about)
        assert value(found, "cash", "left", about) == pytest.approx(left)


def test_the_payment_is_that_of_an_independent_library():
    # numpy-financial, level payments at the end of each year.
    found = demo_annex("lender", ROOFED)
    by_library = -numpy_financial.pmt(0.075, 10, 174_900)
    assert value(found, "repayment", "payment") == pytest.approx(by_library)
    assert value(found, "cash", "loan_payment", "Year 10") == pytest.approx(by_library)
    saving = value(found, "repayment", "yearly_saving")
    assert value(found, "repayment", "coverage") == pytest.approx(saving / by_library)


def test_without_a_loan_nothing_is_made_up():
    document = demo_document()
    del document["finance"]["loan"]
    found = annex("lender", document, ROOFED)
    assert item(found, "request", "loan")["origin"] == "not_known"
    assert item(found, "repayment", "payment")["origin"] == "not_known"
    assert value(found, "request", "own_money") == 174_900
    assert not [one for one in items(found, "cash") if one["line"].startswith(("loan", "left"))]


def test_year_two_in_the_worst_winter_is_that_winter_costed_alone():
    document = demo_document()
    found = demo_annex("lender", GROUND)
    (about,) = {one["about"] for one in items(found, "cash") if " as in " in one["about"]}
    season = about.removeprefix("Year 2 as in ")
    alone = copy.deepcopy(document)
    alone["winter"]["rows"] = [row for row in document["winter"]["rows"] if row["season"] == season]
    for line, system in (("today", TODAY), ("with_system", GROUND)):
        mine = annex("lender", _keeping_sizes(alone, document, system), system)
        assert value(found, "cash", line, about) == pytest.approx(
            value(mine, "cash", "with_system", "Year 2")
        )


def _keeping_sizes(alone, document, system):
    """Return a document of one winter with the sizes by rule of all winters given."""
    fixed = copy.deepcopy(alone)
    fields = {"sq ft": "area_sqft", "piece": "count", "ft": "length_ft", "cu ft": "volume_cuft"}
    for told in costed(document)[system]["structures"]:
        structure = fixed["systems"][system]["structures"][told["key"]]
        structure.setdefault(fields[told["size_unit"]], told["size"])
    return fixed


def test_payback_adds_up_the_cash_by_hand(systems):
    found = demo_annex("lender", "lot_better_feeders")
    saved = [value(found, "cash", "saved", f"Year {year}") for year in range(11)]
    gained, years = saved[0], None
    for year, amount in enumerate(saved[1:], start=1):
        if gained + amount >= 0:
            years = year - 1 - gained / amount
            break
        gained += amount
    told = value(found, "repayment", "payback_simple")
    assert told == (pytest.approx(years) if years is not None else "not within 15 years")
    all_told = value(found, "repayment", "payback_all_told")
    against = systems["lot_better_feeders"]["against_baseline"]["discounted_payback_years"]
    assert all_told == pytest.approx(against)


def test_the_real_rate_is_nominal_less_inflation():
    # By the Fisher equation, for the rates of the demo.
    found = demo_annex("lender", GROUND)
    assert value(found, "method", "real_rate") == pytest.approx(1.075 / 1.025 - 1)
    assert value(found, "method", "nominal_rate") == 0.075
    method = next(block for block in found["blocks"] if block["block"] == "method")
    assert "Interest is inside the annual cost once" in method["remark"]


def test_what_is_not_cash_makes_up_the_annual_cost(systems):
    found = demo_annex("lender", GROUND)
    paid = value(found, "method", "out_of_pocket")
    others = sum(
        one["value"] for one in items(found, "method") if one["line"].startswith("not_cash_")
    )
    assert paid == systems[GROUND]["out_of_pocket"]
    assert paid + others == pytest.approx(systems[GROUND]["annual_equivalent_cost"])


def test_six_swings_stand_and_each_end_is_costed_alike():
    found = demo_annex("lender", GROUND)
    swings = [one for one in items(found, "swings") if one["line"] == "swing"]
    sizes = [one["value"] for one in swings]
    assert len(swings) == 6
    assert sizes == sorted(sizes, reverse=True)
    first = next(one for one in items(found, "swings") if one["line"] == "value")
    for end in ("low", "high"):
        document = demo_document()
        assert first["input"] == "hay.price_per_ton"
        document["hay"]["price_per_ton"] = first[end]
        told = value(found, "swings", f"at_{end}", first["about"])
        assert told == pytest.approx(_annual(document, GROUND))


def test_at_the_break_even_hay_price_both_cost_the_same():
    document = demo_document()
    found = value(demo_annex("lender", ROOFED), "break_even", "hay_price")
    document["hay"]["price_per_ton"] = found
    assert _annual(document, ROOFED) == pytest.approx(_annual(document, TODAY))


@pytest.mark.parametrize("system", [GROUND, ROCK])
def test_at_the_overrun_told_both_cost_the_same(system):
    document = demo_document()
    over = value(demo_annex("lender", system), "break_even", "overrun")
    for key, structure in document["systems"][system]["structures"].items():
        if not structure.get("existing"):
            assert "price" in structure, key
            structure["price"] *= 1 + over
    assert _annual(document, system) == pytest.approx(_annual(document, TODAY))


def test_with_the_cost_share_told_both_cost_the_same():
    document = demo_document()
    found = demo_annex("lender", ROOFED)
    rate = value(found, "break_even", "cost_share_rate")
    assert value(found, "break_even", "cost_share") == pytest.approx(rate * 174_900)
    for structure in document["systems"][ROOFED]["structures"].values():
        if "cost_share" in structure:
            structure["cost_share"]["rate"] = rate
    assert _annual(document, ROOFED) == pytest.approx(_annual(document, TODAY))


def test_the_system_of_today_has_nothing_to_break_even_with():
    found = demo_annex("lender", TODAY)
    assert items(found, "break_even") == []
    assert value(found, "cash", "saved", "Year 1") == 0


def test_risk_is_read_off_the_winters(systems):
    found = demo_annex("lender", GROUND)
    costs = sorted(one["annual_equivalent_cost"] for one in systems[GROUND]["by_winter"])
    assert value(found, "risk", "worst", "With the system") == pytest.approx(costs[-1])
    assert value(found, "risk", "worst_three", "With the system") == pytest.approx(
        sum(costs[-3:]) / 3
    )
    assert value(found, "risk", "cheapest_in", "With the system") == (
        f"{systems[GROUND]['cheapest_in_winters']} of 12"
    )


def test_the_margin_of_a_cow_is_sales_less_all_costs(systems):
    # Demo: 0.88 calves of 535 lb at 3.95 a lb, 720 of other costs.
    winter = systems[GROUND]["cost_per_head"]["cows"]
    by_hand = 0.88 * 535 * 3.95 - 720 - winter
    told = [one for one in items(demo_annex("lender", GROUND), "herd") if one["line"] == "margin"]
    assert told[0]["value"] == pytest.approx(by_hand)
    price = value(demo_annex("lender", GROUND), "herd", "price_needed")
    assert 0.88 * 535 * price == pytest.approx(720 + winter)


def test_systems_with_other_herds_are_held_by_what_the_farm_is_left_with():
    document = demo_document()
    document["systems"]["fewer"] = copy.deepcopy(document["systems"]["grass_first"]) | {
        "herd_change": {"cows": {"head": -12, "price_per_head": 2000}}
    }
    found = annex("lender", document, "fewer")
    told = costed(document)["fewer"]
    left = [one["value"] for one in items(found, "herd") if one["line"] == "farm_margin"]
    assert left[0] == told["farm_margin"]
    assert value(found, "herd", "herd_change") == -12
    cash = next(block for block in found["blocks"] if block["block"] == "cash")
    assert "Herds differ" in cash["remark"]


def test_security_names_the_land_and_its_lease():
    document = demo_document()
    document["systems"][GROUND]["structures"]["mound"]["field"] = "depot_field"
    found = annex("lender", document, GROUND)
    assert value(found, "security", "land", "Mound") == "rented: Depot Field, lease 2 years left"
    assert item(found, "security", "land", "Rings with a solid bottom")["origin"] == "not_known"
    assert item(found, "tax", "insured_value")["origin"] == "not_known"
    assert value(found, "tax", "tax") == "not included"


def test_sources_are_listed_once_with_the_inputs_that_rest_on_them():
    found = demo_annex("lender", GROUND)
    listed = items(found, "sources")
    assert [one["title"] for one in listed] == [str(n) for n in range(1, len(listed) + 1)]
    named = {path for one in listed for path in one["note"].split()}
    used = {
        one["input"]
        for block in found["blocks"]
        for one in block["items"]
        if one["origin"] == "reference" and one["mark"]
    }
    assert used <= named
