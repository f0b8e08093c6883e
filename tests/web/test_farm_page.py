"""The farm page: every number on it is the costing's, and every sentence follows from fields."""

import re
from copy import deepcopy
from itertools import pairwise

import pytest

from service.analysis.answering import prepared
from service.analysis.questions import BreakEven
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.demo import demo_document
from service.web.pages.columns import columns_of
from service.web.pages.hay_price import hay_prices
from service.web.pages.sale_price import sale_prices
from service.web.pages.systems_compared import DISCLAIMER
from service.web.reading import scenario_of
from tests.support.offices import small_document
from tests.web.farm_page_read import costing_of, is_nearest_hundred, money, page_on, whole


@pytest.fixture(scope="module")
def costing():
    return costing_of(demo_document())


@pytest.fixture(scope="module")
def page(costing):
    return page_on(costing, revision=6, costed_on="25 November 2026")


def _systems(costing):
    return {system["title"]: system for system in costing["systems"]}


def test_the_head_says_who_is_fed_and_how_long(page):
    assert "".join(page.texts["title"]) == "Winter feeding, Whetstone Hollow Farm"
    assert "62 cows, 9 bred heifers, 13 replacement heifers, 3 bulls, 88 ewes" in page.text
    assert "131 days · 12 winters" in page.text
    assert "costed 25 November 2026 · revision 6" in page.text
    assert "Planning figures. Not a design, not a permit, not a promise of cost-share." in page.text


def test_today_stands_first_and_no_more_than_seven_columns(page, costing):
    baseline = costing["comparison"]["baseline"]
    assert _systems(costing)[page.heads[0]]["system"] == baseline
    assert len(page.heads) == 7


def test_large_are_today_the_cheapest_those_within_limits_and_the_next(costing):
    columns = columns_of(costing)
    large = {column.key for column in columns if column.is_large}
    assert len(large) == 4
    assert columns[0].is_large
    assert costing["best_system"] in large
    within = {
        system["system"]
        for system in costing["systems"]
        if all(limit["met"] for limit in system["limits"].values())
    }
    assert within
    assert within <= large


def test_more_systems_than_there_is_room_for_are_named():
    document = demo_document()
    spare = document["systems"]["rock_pad"]
    for number in range(3):
        document["systems"][f"spare_{number}"] = spare | {"title": f"Spare pad {number}"}
    costing = costing_of(document)
    page = page_on(costing)
    assert len(page.heads) == 7
    missing = set(_systems(costing)) - set(page.heads)
    assert len(missing) == 3
    told = re.search(r"Not shown for want of room: (.*?)\.", page.text)[1]
    assert set(told.split("; ")) == missing


def test_the_money_is_that_of_the_costing_before_cost_share_hoped_for(page, costing):
    for title, row in page.table.items():
        system = _systems(costing)[title]
        hoped = any(item["cost_share"] for item in system["structures"])
        shown = system["without_cost_share_figures"] if hoped else system
        more = system["without_cost_share"] - system["annual_equivalent_cost"]
        year, *with_it = row["A year, all told"].split(" ", 1)
        assert is_nearest_hundred(year, shown["annual_equivalent_cost"])
        assert bool(with_it) is hoped
        if hoped:
            assert is_nearest_hundred(
                with_it[0].removesuffix(" with it"), system["annual_equivalent_cost"]
            )
        worst = max(winter["annual_equivalent_cost"] for winter in system["by_winter"])
        (label,) = [name for name in row if name.startswith("worst of 12 winters")]
        assert is_nearest_hundred(row[label].split()[0], worst + more)
        assert is_nearest_hundred(row["Out of your pocket**"], shown["out_of_pocket"])
        assert is_nearest_hundred(row["Up front"], system["first_cost"])


def test_the_other_figures_are_those_of_the_costing(page, costing):
    for title, row in page.table.items():
        system = _systems(costing)[title]
        quantities = system["quantities"]
        bales = quantities["bales"]
        needed, worst = re.fullmatch(r"([\d,]+) \(([\d,]+)\)", row["Bales (worst winter)"]).groups()
        assert abs(whole(needed) - bales["needed_mean"]) <= 0.5
        assert abs(whole(worst) - bales["needed_worst"]) <= 0.5
        word, number = row["you have 355:"].split()
        short = bales["short_mean"] > 0
        assert word == ("short" if short else "spare")
        assert abs(whole(number) - bales["short_mean" if short else "spare_mean"]) <= 0.5
        minutes = quantities["minutes"]["ordinary_day"]
        assert abs(whole(row["Minutes, ordinary day"]) - minutes) <= 0.5
        assert abs(whole(row["Mornings with tractor"]) - quantities["tractor_mornings"]) <= 0.5
        mud = {group: found["days_in_mud"] for group, found in quantities["comfort"].items()}
        sheep = {group: mud.pop(group) for group in ("ewes", "rams")}
        assert abs(whole(row["Days cattle stand in mud"]) - max(mud.values())) <= 0.5
        assert abs(whole(row["sheep"]) - max(sheep.values())) <= 0.5
        acres = sum(quantities["acres_damaged"].values())
        assert abs(float(row["Acres to fix in spring"]) - acres) <= 0.0500001
        assert row["Cheapest in"] == f"{system['cheapest_in_winters']} of 12"


def test_minutes_stand_before_acres_and_the_worst_winter_has_its_year(page, costing):
    labels = list(next(iter(page.table.values())))
    assert labels.index("Minutes, ordinary day") < labels.index("Acres to fix in spring")
    assert labels[0] == "A year, all told"
    seasons = {row["season"] for row in costing["systems"][0]["by_winter"]}
    assert labels[1].rpartition(", ")[2] in seasons


def test_the_short_answer_says_which_is_cheapest_and_by_how_much(page, costing):
    best = costing["systems"][0]
    baseline = _systems(costing)[page.heads[0]]
    assert not best["tie_with"]
    found = re.search(
        rf"{re.escape(best['title'])} is the cheapest on average: about \$(\S+) a year, "
        r"\$(\S+) less than today \(\$([\d,]+)\)",
        page.text,
    )
    assert found, page.text[:800]
    saved = baseline["annual_equivalent_cost"] - best["annual_equivalent_cost"]
    for text, amount in zip(
        found.groups(),
        (best["annual_equivalent_cost"], saved, baseline["annual_equivalent_cost"]),
        strict=True,
    ):
        assert is_nearest_hundred(text, amount)


def test_in_how_many_winters_the_best_costs_less_than_today_is_counted(page, costing):
    best, baseline = costing["systems"][0], _systems(costing)[page.heads[0]]
    won = sum(
        one["annual_equivalent_cost"] < other["annual_equivalent_cost"]
        for one, other in zip(best["by_winter"], baseline["by_winter"], strict=True)
    )
    words = "in every winter" if won == 12 else f"in {won} of 12 winters"
    assert f"up front and costs less than today {words}." in page.text


def test_the_limits_are_told_with_those_who_keep_them(page, costing):
    met = [
        system["title"]
        for system in costing["systems"]
        if all(limit["met"] for limit in system["limits"].values())
    ]
    assert (
        "Of your three limits ($45,000 up front; 80 minutes on an ordinary day; 4 acres to fix)"
        in page.text.replace(",000 up front, 80", ",000 up front; 80")
    )
    assert f"only {met[0]} meets all." in page.text


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        ({}, None),
        ({"money_up_front": 0, "minutes_weekday": 1}, "none meets all."),
        ({"minutes_weekday": 1000}, "Your limit (1,000 minutes on an ordinary day) is kept by"),
    ],
)
def test_limits_are_spoken_of_where_some_are_stated(limits, said):
    text = page_on(costing_of(small_document(limits=limits))).text
    assert bool(re.search(r"our (two )?limit", text)) is bool(limits)
    if said:
        assert said in text


def test_ties_are_said_each_once_and_no_rank_has_a_number(page, costing):
    called = {
        system["system"]: "today"
        if system["system"] == costing["comparison"]["baseline"]
        else system["title"]
        for system in costing["systems"]
    }
    pairs = {
        frozenset({system["system"], other})
        for system in costing["systems"]
        for other in system["tie_with"]
        if costing["best_system"] not in {system["system"], other}
    }
    assert pairs
    told = re.search(r"Too close to call on money: (.*?)\.", page.text)[1].split("; or ")
    assert len(told) == len(pairs)
    for pair in pairs:
        one, other = (called[key] for key in pair)
        assert any(one in text and other in text for text in told)
    assert "rank" not in page.text.lower()


def _twins():
    document = small_document()
    baseline = document["baseline"]
    document["systems"] = {
        baseline: document["systems"][baseline],
        "twin": document["systems"][baseline] | {"title": "The same again"},
    }
    return document


def test_a_tie_of_the_cheapest_stands_in_the_answer():
    page = page_on(costing_of(_twins()))
    assert "The same again needs about" in page.text
    assert re.search(r"Too close to call on money: .*The same again", page.text)
    assert "$0 less than today" not in page.text


def test_where_herds_differ_the_farm_margin_decides():
    document, group = _herds_that_differ()
    costing = costing_of(document)
    assert costing["ranked_by"] == "farm_margin"
    page = page_on(costing)
    best = costing["systems"][0]
    found = re.search(r"leaves the farm the most on average: (-?)\$(\S+) a year", page.text)
    assert found, page.text[:800]
    assert is_nearest_hundred(found[1] + found[2], best["farm_margin"])
    for title, row in page.table.items():
        assert is_nearest_hundred(row["Left to the farm"], _systems(costing)[title]["farm_margin"])
    assert "is the cheapest on average" not in page.text
    assert " saves about " not in page.text
    assert group


def _herds_that_differ(price=2.5):
    document = small_document()
    baseline, group = document["baseline"], next(iter(document["herd"]))
    earns = {"sold_per_head": 0.9, "weight_lb": 550, "price_per_lb": price}
    document["systems"] = {baseline: document["systems"][baseline] | {"margin": {group: earns}}}
    document["systems"]["fewer"] = document["systems"][baseline] | {
        "title": "Fewer head",
        "herd_change": {group: {"head": -4, "price_per_head": 900}},
    }
    return document, group


def test_the_sale_price_told_is_the_one_at_which_both_leave_the_same():
    document, group = _herds_that_differ()
    (sale,) = sale_prices(scenario_of(document))
    assert sale.price is not None
    assert sale.better_below
    at_it, _ = _herds_that_differ(sale.price)
    margins = [system["farm_margin"] for system in costing_of(at_it)["systems"]]
    assert margins[0] == pytest.approx(margins[1], abs=0.01)
    assert (
        f"pays only if calves bring under about ${sale.price:.2f} a lb."
        in page_on(costing_of(document)).text
    )
    assert group


def test_prices_of_hay_at_which_two_change_places_are_those_of_the_break_even_question():
    document = demo_document()
    scenario = scenario_of(document)
    found = hay_prices(scenario, document["hay"])
    assert found.crossings
    for item in found.crossings[:3]:
        pair = (item.cheaper_below, item.cheaper_above)
        question = BreakEven(
            input="hay.price_per_ton", low=found.prices[0], high=found.prices[-1], systems=pair
        )
        result = answered(prepared(Subject(document, scenario, scenario_of), question))
        (point,) = result["points"]
        assert item.price == pytest.approx(point["value"], rel=1e-9)
        assert item.cost == pytest.approx(point["annual_equivalent_cost"], rel=1e-9)


def test_what_hay_would_change_is_told_as_the_costing_at_that_price_has_it(page, costing):
    told = re.search(
        r"Hay: above about \$([\d.]+) a ton, (.*?) is the cheapest; below it, (.*?)\.", page.text
    )
    assert told, page.text
    document = demo_document()
    for factor, name in ((1.03, told[2]), (0.97, told[3])):
        document["hay"]["price_per_ton"] = float(told[1]) * factor
        best = costing_of(document)["systems"][0]
        assert name == best["title"]
    assert told[3] == costing["systems"][0]["title"]


def test_the_dry_autumn_is_that_of_the_least_growth(page, costing):
    rows = costing["inputs_used"]["winter"]["rows"]
    driest = min(rows, key=lambda row: row["stockpile_growth_factor"])["season"]
    told = re.search(
        r"Dry autumn: after the driest one, before winter (\S+), (.*?) cost \$(\S+) a year, "
        r"\$(\S+) more",
        page.text,
    )
    assert told, page.text
    assert told[1] == driest
    by_season = {
        title: {row["season"]: row["annual_equivalent_cost"] for row in system["by_winter"]}
        for title, system in _systems(costing).items()
    }
    own, today = by_season[told[2]], by_season[page.heads[0]]
    assert is_nearest_hundred(told[3], own[driest])
    assert is_nearest_hundred(told[4], own[driest] - today[driest])
    dearer = sum(own[season] > today[season] for season in own)
    assert f"it cost more in {dearer} of 12 winters." in page.text


def test_the_parts_of_todays_money_add_up_to_its_year(page, costing):
    today = _systems(costing)[page.heads[0]]
    text = re.search(r"trampled or left\.(.*?)What would change", page.text)[1]
    parts = [money(found) for found in re.findall(r"[a-z] (-?[\d,]+)", text)]
    assert len(parts) == 6
    assert abs(sum(parts) - today["annual_equivalent_cost"]) <= 50 * len(parts)
    lines = {line["line"]: line["annual_equivalent"] for line in today["lines"]}
    assert abs(parts[0] - lines["hay_eaten"]) <= 50
    assert abs(parts[2] - lines["hay_lost_in_storage"]) <= 50


def test_bales_trampled_and_rotten_are_the_hay_of_the_costing(page, costing):
    today = _systems(costing)[page.heads[0]]["quantities"]
    needed, rot, trampled = (
        whole(found)
        for found in re.search(
            r"Of ([\d,]+) bales, about ([\d,]+) rot before feeding and ([\d,]+) are", page.text
        ).groups()
    )
    ton_dm = 1050 * 0.87 / 2000  # a bale of the demo
    assert abs(needed - today["bales"]["needed_mean"]) <= 0.5
    assert abs(rot - today["hay_lost_in_storage_ton_dm"] / ton_dm) <= 0.5
    assert abs(trampled - today["hay_wasted_ton_dm"] / ton_dm) <= 0.5


def test_three_guesses_are_told_with_their_ranges(page, costing):
    assert len(costing["check_first"]) == 3
    assert "Check these three first" in page.text
    for guess in costing["check_first"]:
        assert guess["find_out"] in page.text
        assert guess["meaning"].rstrip(".") in page.text
    assert "20 % (6 % to 40 %)" in page.text
    assert "1,900 (1,000 to 2,800) lb DM/acre" in page.text


def test_each_caution_stands_once_in_full_with_its_source(page, costing):
    sentences = {
        caution["sentence"] for system in costing["systems"] for caution in system["cautions"]
    }
    assert len(sentences) > 20
    for sentence in sentences:
        assert page.text.count(sentence) == 1
    assert page.text.count("Source: ") == len(sentences)
    wheres = {caution["where"] for system in costing["systems"] for caution in system["cautions"]}
    assert all(where in page.text for where in wheres)


def test_every_must_stands_in_short_where_it_prints(page, costing):
    musts = {
        caution["sentence"]
        for system in costing["systems"]
        for caution in system["cautions"]
        if caution["rank"] == "must"
    }
    short = re.search(r"Before you build (.*?)Each in full", page.text)[1]
    assert short.count("(") == len(musts)
    for words in ("licensed engineer", "call before digging", "no work before the cost-share"):
        assert words in short


def test_cautions_have_their_sources_whatever_the_edition():
    document = small_document()
    assert document["reference_edition"] == "none"
    text = page_on(costing_of(document)).text
    # 40 CFR 122.23(b)(1), which the caution of animals confined 45 days or more rests on
    assert "40 CFR 122.23(b)(1)" in text
    assert "(EPA 2007)" in text
    assert "see below" not in text


def test_what_is_hoped_for_is_told_with_what_is_paid_first(page, costing):
    roof = next(one for one in costing["systems"] if one["system"] == "roofed_pad")
    told = re.search(
        r"With the cost-share you hope for: \$(\S+) a year; you still pay \$(\S+) first and get "
        r"\$(\S+) back after inspection\. Do not start work before the contract is signed\.",
        page.text,
    )
    shared = sum(item["cost_share"] for item in roof["structures"])
    amounts = (roof["annual_equivalent_cost"], roof["first_cost"], shared)
    assert all(is_nearest_hundred(*pair) for pair in zip(told.groups(), amounts, strict=True))


def test_cost_share_under_contract_is_counted_and_not_starred():
    document = demo_document()
    for structure in document["systems"]["roofed_pad"]["structures"].values():
        if "cost_share" in structure:
            structure["cost_share"]["status"] = "contracted"
    costing = costing_of(document)
    page = page_on(costing)
    assert "hope for" not in page.text
    roof = next(one for one in costing["systems"] if one["system"] == "roofed_pad")
    assert is_nearest_hundred(
        page.table[roof["title"]]["A year, all told"], roof["annual_equivalent_cost"]
    )


def test_dates_are_those_that_the_scenario_tells(page, costing):
    # the demo winter has 131 days from 1 December on, so half of it is over on the 66th; 8 weeks
    # before 12 August, the closing date, are 17 June, and 75 and 61 days before 1 December are
    # 17 September and 1 October
    system = next(one for one in costing["systems"] if one["system"] == "by_the_ground")
    bales = system["quantities"]["bales"]
    assert "shut 22 acres of Long Bench on 12 August" in page.text
    assert "test the soil by 17 June" in page.text
    needed = f"{bales['needed_mean']:.0f} are needed"
    assert f"count the bales by 17 September: {needed}" in page.text
    assert f"buy {bales['to_buy_mean']:.0f} by 1 October" in page.text
    assert f"{bales['left_half_way']:.0f} left on 4 February" in page.text
    assert f"{bales['left_30_days_before_grass']:.0f} left on 11 March" in page.text


def test_the_wall_card_shows_who_is_fed_where_on_each_ground(page, costing):
    system = next(one for one in costing["systems"] if one["system"] == "by_the_ground")
    served = system["quantities"]["served_days"]
    cards = page.rows[1:]
    assert len(cards) == 4
    for card, state in zip(cards, ("frozen", "snow_covered", "firm", "wet"), strict=True):
        steps = [key for key, days in served.items() if days[state] >= 0.05]
        assert len(card) - 1 == len(steps)
    assert any(
        "prints deeper than 2 in at the gate: to" in cell for row in cards[0] for cell in row
    )
    assert not any("Long Bench" in cell for row in cards[3] for cell in row)


def test_what_runs_short_beside_bales_is_told(page, costing):
    sentences = {
        found["sentence"]
        for system in costing["systems"]
        for found in system["shortfalls"]
        if found["shortfall"] != "bales"
    }
    assert sentences
    assert all(page.text.count(sentence) == 1 for sentence in sentences)


def test_nothing_is_said_in_words_of_statistics(page):
    for word in ("percentile", "standard deviation", "variance", "probability", "median"):
        assert word not in page.text.lower()


def test_pictures_stand_in_the_page_itself(page):
    titles = [dict(attributes) for tag, attributes in page.elements if tag == "svg"]
    pictures = [found for found in titles if found.get("role") == "img"]
    assert len(pictures) == 5
    ids = page.ids()
    assert len(ids) == len(set(ids))
    for found in pictures:
        assert all(name in ids for name in found["aria-labelledby"].split())


def test_the_page_is_below_200_kb(costing):
    from service.web.pages.answered_page import page_of  # noqa: PLC0415 - for its bytes

    assert len(page_of(costing).body) < 150_000


def test_headings_come_in_order_and_table_heads_have_a_scope(page):
    levels = page.headings()
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all("scope" in attributes for tag, attributes in page.elements if tag == "th")


def test_one_winter_alone_has_no_worst_one():
    costing = costing_of(small_document())
    assert costing["winter"]["winters"] == 1
    page = page_on(costing)
    labels = list(next(iter(page.table.values())))
    assert not [label for label in labels if "worst" in label or "Cheapest" in label]
    assert "Bales" in labels


def test_a_costing_that_is_not_kept_has_no_form_and_no_link(costing):
    page = page_on(costing)
    assert set(page.tags).isdisjoint({"form", "script", "a", "input"})
    assert "revision" not in page.text
    assert "This link works" not in page.text
    assert DISCLAIMER in page.text


def test_another_currency_is_told_by_its_letters():
    document = deepcopy(small_document())
    document["currency"] = "EUR"
    page = page_on(costing_of(document))
    assert "$" not in page.text
    assert re.search(r"about [\d,]+ EUR a year", page.text)
