"""Pages of a season: what they say, that nothing in them is taken for markup, phone and paper."""

import json
import re
from base64 import b64encode
from dataclasses import replace
from datetime import date
from functools import cache
from hashlib import sha256
from itertools import pairwise

import pytest

from service.costing.cautions import DISCLAIMER
from service.demo import demo_document
from service.season.dates import season_from
from service.season.facts import WinterFacts
from service.season.plan.card import card_of
from service.season.plan.card_records import Portion
from service.season.plan.planned import planned
from service.season.plan.records import (
    Amount,
    Checkpoint,
    HayPlan,
    Material,
    Plan,
    PlanCaution,
    Reason,
    Task,
    WeekLate,
)
from service.season.review.records import LineReview, QuantityReview, Review, Unknown
from service.web.pages_season.card_page import a_day, a_move, card_page
from service.web.pages_season.plan_page import coming, plan_page
from service.web.pages_season.review_page import review_page
from service.web.pages_season.wording import (
    cash,
    difference,
    halves,
    per_unit,
    quantity,
    tens,
    when_said,
)
from tests.season.plan.chosen import demo_subject, subject_of
from tests.season.variants import eleven_cows, thimble_creek
from tests.web.browser import PAPERS, Browser, browser_path
from tests.web.page_read import Page
from tests.web.test_accessible_pages import RULES, axe

PHONE = 390
SYSTEMS = tuple(demo_document()["systems"])
EVIL = "<script>alert(1)</script> \u202eKcab & \u05d0\u05d1 \"Farm'"
SEASON = season_from("12-01", "04-10", 2026)
FARM = "Whetstone Hollow Farm"


def task(key, day, **more):
    given = {
        "title": "Shut the grass",
        "part": "grass",
        "when": "on",
        "what": "Take stock off.",
        "how_much": (Amount(24.0, "acre", "Long Bench"), Amount(46.0, "lb/acre", "nitrogen")),
        "reason": Reason("Grass grows.", "the closing date", "systems.x.plan.y", "", "given"),
        "week_late": WeekLate(128.8, "engine", "About $130 more a year."),
        "cautions": ("toxic_fescue",),
        **more,
    }
    return Task(key=key, day=day, **given)


def plan_of(**more):
    given = {
        "system": "grass",
        "title": "Grass first",
        "currency": "USD",
        "season": SEASON,
        "tasks": (
            task("shut", date(2026, 8, 12)),
            task(
                "buy",
                date(2026, 10, 1),
                title="Buy hay",
                when="by",
                how_much=(Amount(60.0, "bale", "mean of the winters"),),
                reason=Reason("Choice shrinks.", "61 days before winter", "w", "A Source", "seen"),
                week_late=WeekLate(None, "not_estimated", "Not estimated: no price is known."),
                cautions=(),
            ),
            task(
                "feed",
                date(2026, 12, 1),
                title="Feed",
                when="from",
                last_day=date(2027, 4, 10),
                reason=Reason("Winter.", "the first day", "w", "Another Source", "from memory"),
                cautions=("loader_and_bales",),
            ),
        ),
        "materials": (
            Material(
                key="hay",
                title="Hay",
                quantity=60.0,
                unit="bale",
                price=51.45,
                cost=3087.0,
                price_origin="given",
                quote_date=None,
                for_what="Winter feeding",
                needed_by=date(2026, 10, 1),
                practices=(),
                practice_source="",
                note="Mean of the winters.",
            ),
            Material(
                key="pad",
                title="Rock pad",
                quantity=5400.0,
                unit="sq ft",
                price=16500 / 5400,
                cost=16500.0,
                price_origin="quote",
                quote_date="2026-02-18",
                for_what="Gravel pad",
                needed_by=None,
                practices=("561 Heavy Use Area Protection",),
                practice_source="The handbook.",
                note="",
            ),
        ),
        "hay": HayPlan(
            bales_needed=414.4,
            bales_needed_worst=434.9,
            bales_on_hand=355.0,
            bales_to_buy=60.0,
            bales_to_buy_worst=80.0,
            tons_to_buy=31.5,
            price_per_ton=98.0,
            price_per_bale=51.45,
            cost=3087.0,
            buy_by=date(2026, 10, 1),
            checkpoints=(Checkpoint("half", date(2027, 2, 4), 207.2, "About 207 bales left."),),
        ),
        "cautions": (
            PlanCaution("toxic_fescue", "must", "Look at feet.", "roberts_2018", "whole"),
            PlanCaution("loader_and_bales", "must", "Buckle up.", "common_practice", "trade"),
        ),
        "notes": ("Days are named without weekends.",),
        **more,
    }
    return Plan(**given)


def line(name, planned_cost, actual, parts, *, recorded=True):
    weather, price, practice, not_split = parts
    return LineReview(
        line=name,
        title=name.replace("_", " ").capitalize(),
        group="hay",
        planned=planned_cost,
        actual=actual,
        weather=weather,
        price=price,
        practice=practice,
        not_split=not_split,
        recorded=recorded,
    )


def review_of(**more):
    given = {
        "season": "2026-27",
        "system": "grass",
        "title": "Grass first",
        "currency": "USD",
        "lines": (
            line("hay_eaten", 10_004.0, 11_016.0, (400.0, 300.0, 312.0, 0.0)),
            line("labor", 3_000.0, 2_941.0, (-59.0, 0.0, 0.0, 0.0), recorded=False),
            line("nothing", 0.0, 0.0, (0.0, 0.0, 0.0, 0.0)),
        ),
        "total": line("total", 13_004.0, 13_957.0, (341.0, 300.0, 312.0, 0.0)),
        "quantities": (
            QuantityReview("bales", "Bales fed", "bale", 414.4, 430.0, 470.0),
            QuantityReview("hours", "Hours", "hour", 160.0, 165.0, None),
        ),
        "sentences": ("It cost more.", "Weather did most.", "Bales stand out."),
        "unknown": (Unknown("fuel_gallon", "Fuel was not recorded."),),
        "method": "Shared out by the Shapley value.",
        "weather_from": "facts",
        **more,
    }
    return Review(**given)


FACTS = WinterFacts(
    worst_weeks="February,\nall of it.", would_do_again="with_changes", remark="More rings."
)


def read(response):
    return Page(response.body.decode())


@cache
def demo_card(system):
    return card_of(demo_subject(system))


def all_pages():
    """Return one of each page, every text of a farm hostile."""
    plan = plan_of(
        title=EVIL,
        tasks=(task("shut", date(2026, 8, 12), title=EVIL, what=EVIL),),
        materials=(replace(plan_of().materials[1], title=EVIL, for_what=EVIL, note=EVIL),),
    )
    card = demo_card("by_the_ground")
    grounds = tuple(
        replace(
            ground,
            steps=tuple(
                replace(
                    step,
                    who=EVIL,
                    where=EVIL,
                    stop=tuple(replace(rule, place=EVIL) for rule in step.stop),
                    keep=tuple(replace(rule, place=EVIL) for rule in step.keep),
                )
                for step in ground.steps
            ),
        )
        for ground in card.grounds
    )
    review = review_of(title=EVIL, sentences=(EVIL, EVIL, EVIL), unknown=(Unknown("x", EVIL),))
    facts = WinterFacts(
        worst_weeks=EVIL, remark=EVIL, would_do_again="no", animals_lost={"cows": 2.0}
    )
    return {
        "plan": plan_page(plan, name=EVIL, revision=3),
        "card": card_page(replace(card, title=EVIL, grounds=grounds), name=EVIL, revision=3),
        "review": review_page(review, name=EVIL, revision=3, facts=facts),
    }


# What all three have in common.


@pytest.mark.parametrize("name", ["plan", "card", "review"])
def test_nothing_that_a_farm_says_is_markup_or_turns_a_line_around(name):
    response = all_pages()[name]
    text = response.body.decode()
    page = read(response)
    assert "script" not in page.tags
    assert "\u202e" not in text
    assert "<script>alert(1)</script>" in page.text
    shown = "".join(page.shown)
    outside = shown.count("alert(1)") - "".join(page.isolated).count("alert(1)")
    # the title of the window is no markup and holds no line
    assert outside == 1


@pytest.mark.parametrize("name", ["plan", "card", "review"])
def test_a_page_runs_nothing_and_loads_nothing(name):
    response = all_pages()[name]
    text = response.body.decode()
    policy = response.headers["Content-Security-Policy"]
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)[1]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    assert "form-action 'none'" in policy
    assert not re.search(r"(src|href)=\"(?!#|data:,)", text)
    assert " style=" not in text
    assert response.headers["Cache-Control"] == "no-store"
    assert DISCLAIMER in read(response).text


@pytest.mark.parametrize("name", ["plan", "card", "review"])
def test_headings_come_in_order_and_ids_are_unique(name):
    page = read(all_pages()[name])
    levels = page.headings()
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert len(page.ids()) == len(set(page.ids()))


# The plan.


def test_a_plan_says_what_comes_next_and_then_each_task_in_order():
    page = read(plan_page(plan_of(), name=FARM, revision=6))
    assert "Winter 2026-27, 1 December 2026 to 10 April 2027 · revision 6" in page.text
    places = [
        page.text.index(text)
        for text in (
            "Comes next",
            "August 2026",
            "On 12 August 2026 Shut the grass",
            "By 1 October 2026 Buy hay",
            "From 1 December 2026 to 10 April 2027 Feed",
            "Materials",
            "Cautions",
        )
    ]
    assert places == sorted(places)
    assert "How much: 24 acres (Long Bench); 46 lb an acre (nitrogen)" in page.text
    assert "Why then: Grass grows. (the closing date; your own date)" in page.text
    assert "(61 days before winter; A Source)" in page.text
    assert "(the first day; Another Source (from memory))" in page.text
    assert "A week late: About $130 more a year." in page.text
    assert "A week late: Not estimated: no price is known." in page.text


def test_hay_of_a_plan_is_told_with_what_should_be_left():
    page = read(plan_page(plan_of(), name=FARM, revision=6))
    assert (
        "The plan takes 414 bales in a mean winter, 435 in the worst; 355 are on hand. "
        "Buy 60 bales, 31.5 tons, at about $51 a bale: $3,100. For the worst winter 80. "
        "Do it by 1 October 2026." in page.text
    )
    assert "4 February 2027. About 207 bales left." in page.text


@pytest.mark.parametrize(
    ("mean", "worst", "words"),
    [
        (0.0, 0.0, "None to buy, even for the worst winter."),
        (0.0, 12.0, "None to buy for a mean winter; 12 for the worst. Do it by"),
        (1.0, 2.0, "Buy 1 bale,"),
    ],
)
def test_hay_that_is_not_bought_is_said(mean, worst, words):
    hay = replace(plan_of().hay, bales_to_buy=mean, bales_to_buy_worst=worst)
    page = read(plan_page(plan_of(hay=hay), name=FARM, revision=1))
    assert words in page.text
    assert ("Do it by" in page.text) == (worst > 0)


def test_a_plan_without_hay_or_materials_leaves_their_parts_out():
    page = read(
        plan_page(
            plan_of(hay=None, materials=(), cautions=(), notes=(), tasks=()), name=FARM, revision=1
        )
    )
    for heading in ("Hay", "Materials", "Cautions", "Comes next"):
        assert heading not in page.texts["h2"]


def test_materials_have_price_origin_practice_and_day():
    page = read(plan_page(plan_of(), name=FARM, revision=6))
    rows = [[" ".join(cell.split()) for cell in row] for row in page.rows[0]]
    assert rows[1][1:] == ["60 bales", "$51 a bale your price", "$3,100", "-", "1 October 2026"]
    assert rows[2][1:] == [
        "5,400 sq ft",
        "$3.06 a sq ft quote of 18 February 2026",
        "$16,500",
        "561 Heavy Use Area Protection",
        "-",
    ]
    assert "Practice: The handbook." in page.text


def test_cautions_of_a_task_lead_to_the_sentence_with_its_source():
    page = read(plan_page(plan_of(), name=FARM, revision=6))
    links = [value[1:] for name, value in page.attributes if name == "href" and value[0] == "#"]
    assert set(links) <= set(page.ids())
    # key roberts_2018 of the edition's table of sources
    assert re.search(r"Look at feet\. Source: .*Roberts.*2018.*, whole\.", page.text)
    assert "Source: Common practice, no source, trade." in page.text


@pytest.mark.parametrize("system", SYSTEMS)
def test_links_of_a_worked_plan_lead_somewhere_and_each_task_is_there(system):
    plan = planned(demo_subject(system))
    page = read(plan_page(plan, name=FARM, revision=6))
    links = [value[1:] for name, value in page.attributes if name == "href" and value[0] == "#"]
    assert set(links) <= set(page.ids())
    for each in plan.tasks:
        assert f"task-{each.key}" in page.ids()
        assert " ".join(each.title.split()) in page.text
    for caution in plan.cautions:
        assert caution.sentence in page.text
    assert "Source: ." not in page.text


def test_what_comes_next_goes_by_the_day():
    tasks = plan_of().tasks
    assert [each.key for each in coming(tasks, None)] == ["shut", "buy", "feed"]
    assert [each.key for each in coming(tasks, date(2026, 8, 12))] == ["shut", "buy", "feed"]
    assert [each.key for each in coming(tasks, date(2026, 8, 13))] == ["buy", "feed"]
    # feeding goes on to 10 April
    assert [each.key for each in coming(tasks, date(2027, 4, 10))] == ["feed"]
    assert coming(tasks, date(2027, 4, 11)) == []


# The card.


def test_grounds_with_the_same_rules_are_told_together():
    page = read(card_page(demo_card("by_the_ground"), name=FARM, revision=6))
    heads = [head.strip() for head in page.texts["h2"] if head.strip()]
    assert heads[:4] == [
        "Frozen hard",
        "Thawed, bears hoof and wheel",
        "Under snow",
        "Soft: wheels leave ruts",
    ]
    assert "Whatever the ground" in heads
    assert page.text.count("Home Pasture") == 1
    assert (
        "Stop: prints deeper than 2 in at the gate: to Rock pad, rebuilt and enlarged; "
        "22 acres grazed off: to Ridge." in page.text
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_card_names_every_ground_that_winter_has_and_how_to_know_it(system):
    card = demo_card(system)
    page = read(card_page(card, name=FARM, revision=6))
    for ground in card.grounds:
        assert page.text.count(ground.title) == 1
        assert ground.tell in page.text
    for caution in card.cautions:
        assert caution.words in page.text
    assert "How to try the ground: common practice, no source." in page.text
    assert "Depth of prints: our assumption." in page.text
    assert "Vet (phone)" in page.text


def test_amounts_are_said_as_they_are_counted_in_a_yard():
    assert list(a_day([Portion(2.78, "bale", 1), Portion(2916, "lb", 1)])) == [
        "about 3 bales a day"
    ]
    assert list(a_day([Portion(1.1, "bale", 1), Portion(1100, "lb", 1)])) == ["about 1 bale a day"]
    both = [Portion(2.62, "bale", 1), Portion(3.3, "bale", 1)]
    assert list(a_day(both)) == ["about 2½ to 3½ bales a day"]
    few = [Portion(0.39, "bale", 1), Portion(409, "lb", 1)]
    assert list(a_day(few)) == ["about 410 lb of hay a day, a bale in 2½ days"]
    small = [Portion(0.1, "bale", 1), Portion(4.8, "lb", 1)]
    assert list(a_day(small)) == ["about 5 lb of hay a day, a bale in 10 days"]
    assert list(a_day([])) == []
    assert list(a_move([Portion(11.1, "bale", 4)])) == ["about 11 bales a move"]
    assert list(a_move([Portion(5.61, "acre", 3)])) == ["about 5.6 acres a move"]
    # a wire that is moved every day fences grass, which is no bale a day
    assert list(a_move([Portion(1.87, "acre", 1)])) == ["about 1.9 acres a move"]


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_card_is_under_60_kb(system):
    assert len(card_page(demo_card(system), name=FARM, revision=6).body) < 60_000


# The review.


def test_a_review_begins_with_its_three_sentences():
    page = read(review_page(review_of(), name=FARM, revision=4, facts=FACTS))
    places = [
        page.text.index(text)
        for text in ("It cost more.", "Weather did most.", "Bales stand out.", "Line by line")
    ]
    assert places == sorted(places)
    assert "rounded figures need not add up" in page.text


def test_lines_are_rounded_to_tens_with_signs_and_marks():
    page = read(review_page(review_of(), name=FARM, revision=4, facts=FACTS))
    rows = [[cell.strip() for cell in row] for row in page.rows[0]]
    assert rows[1] == ["Hay eaten", "10,000", "11,020", "+400", "+300", "+310", "0"]
    assert rows[2] == ["Labor", "3,000", "2,940*", "-60", "0", "0", "0"]
    assert rows[3] == ["Total", "13,000", "13,960", "+340", "+300", "+310", "0"]
    assert len(rows) == 4
    assert "* Not recorded" in page.text


def test_a_sum_has_no_mark_and_no_mark_no_note():
    unmarked = line("labor", 3_000.0, 2_941.0, (-59.0, 0.0, 0.0, 0.0))
    total = replace(unmarked, title="All lines", recorded=False)
    page = read(
        review_page(review_of(lines=(unmarked,), total=total), name=FARM, revision=4, facts=FACTS)
    )
    assert "*" not in page.text


def test_quantities_that_were_not_recorded_say_so():
    page = read(review_page(review_of(), name=FARM, revision=4, facts=FACTS))
    rows = [[" ".join(cell.split()) for cell in row] for row in page.rows[1]]
    assert rows[1] == ["Bales fed [bales]", "414", "430", "470"]
    assert rows[2] == ["Hours [hours]", "160", "165", "not recorded"]
    assert "Fuel was not recorded." in page.text
    assert "Shared out by the Shapley value." in page.text


def test_a_winter_keeps_its_own_words():
    page = read(review_page(review_of(), name=FARM, revision=4, facts=FACTS))
    assert "Worst weeks: February, all of it." in page.text
    assert "Remark: More rings." in page.text
    assert "Would do it again, with changes." in page.text
    silent = read(review_page(review_of(), name=FARM, revision=4, facts=WinterFacts()))
    assert "own words" not in silent.text


# Words.


def test_money_is_said_to_hundreds_and_below_a_thousand_to_tens():
    assert [cash(value, "USD") for value in (3087, 994, 996, 128.8, -128.8, 4)] == [
        "$3,100",
        "$990",
        "$1,000",
        "$130",
        "-$130",
        "$0",
    ]
    assert cash(3087, "EUR") == "3,100 EUR"
    assert [tens(value) for value in (10_004, -59, 4.9)] == ["10,000", "-60", "0"]
    assert [difference(value) for value in (400, -59, 4, -4, 0)] == ["+400", "-60", "0", "0", "0"]


def test_amounts_have_their_units_in_words():
    assert quantity(1, "bale") == "1 bale"
    assert quantity(24, "acre") == "24 acres"
    assert quantity(0.54, "acre") == "0.54 acres"
    assert quantity(46, "lb/acre") == "46 lb an acre"
    assert quantity(2.15, "ton DM") == "2.1 tons DM"
    assert quantity(1012, "lb") == "1,012 lb"
    assert quantity(9, "head") == "9 head"
    assert quantity(3, "") == "3"
    assert [per_unit(unit) for unit in ("bale", "acre", "head", "hour", "")] == [
        "a bale",
        "an acre",
        "a head",
        "an hour",
        "",
    ]
    assert [halves(value) for value in (0.1, 0.6, 1.2, 2.3, 11.1)] == ["½", "½", "1", "2½", "11"]


def test_days_have_their_years():
    first, second, third = plan_of().tasks
    assert when_said(first) == "on 12 August 2026"
    assert when_said(second) == "by 1 October 2026"
    assert when_said(third) == "from 1 December 2026 to 10 April 2027"


# Phone and paper.


@pytest.fixture(scope="module")
def browser():
    with Browser(browser_path()) as found:
        yield found


@pytest.fixture(scope="module")
def opened(browser, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")

    def open_page(name, response, width=PHONE):
        path = folder / f"{name}.html"
        path.write_bytes(response.body)
        browser.open(path.as_uri(), width, 844)
        return browser

    return open_page


def worked_pages():
    return {
        "plan": plan_page(planned(demo_subject("by_the_ground")), name=FARM, revision=6),
        "card": card_page(demo_card("by_the_ground"), name=FARM, revision=6),
        "review": review_page(review_of(), name=FARM, revision=6, facts=FACTS),
    }


@pytest.mark.parametrize("name", ["plan", "card", "review"])
def test_a_page_fits_a_phone(opened, name):
    shown = opened(name, worked_pages()[name])
    assert shown.tell("document.documentElement.scrollWidth") <= PHONE
    widest = shown.tell(
        "Math.max(...[...document.querySelectorAll('main *')].filter(one => one.offsetParent"
        " && !one.closest('thead')).map(one => one.getBoundingClientRect().right))"
    )
    assert widest <= PHONE
    smallest = shown.tell(
        "Math.min(...[...document.querySelectorAll('main *')].filter(one => one.offsetParent"
        " && one.textContent.trim()).map(one => parseFloat(getComputedStyle(one).fontSize)))"
    )
    assert smallest >= 12


@pytest.mark.parametrize("width", [PHONE, 1200])
@pytest.mark.parametrize("name", ["plan", "card", "review"])
def test_a_page_breaks_no_rule_of_access(opened, name, width):
    shown = opened(name, worked_pages()[name], width)
    shown.tell(f"{axe()}; true")
    options = json.dumps({"runOnly": RULES, "resultTypes": ["violations"]})
    shown.tell(
        f"axe.run(document, {options}).then(found => {{ window.found = found.violations }}); true"
    )
    shown.wait_for("window.found !== undefined")
    assert (
        json.loads(
            shown.tell(
                "JSON.stringify(window.found.map(rule => [rule.id, rule.help,"
                " rule.nodes.slice(0, 3).map(node => node.html.slice(0, 200))]))"
            )
        )
        == []
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_card_prints_on_one_side(opened, system):
    shown = opened(system, card_page(demo_card(system), name=FARM, revision=6))
    assert [shown.printed_pages(paper) for paper in PAPERS] == [1, 1]


@pytest.mark.parametrize("make", [thimble_creek, eleven_cows])
def test_cards_of_small_farms_print_on_one_side(opened, make):
    document = make()
    for system in document["systems"]:
        card = card_of(subject_of(document, system))
        shown = opened(system, card_page(card, name=document["name"], revision=1))
        assert [shown.printed_pages(paper) for paper in PAPERS] == [1, 1]


def test_a_card_is_printed_in_big_type_and_without_colors(opened, browser):
    shown = opened("card", card_page(demo_card("by_the_ground"), name=FARM, revision=6))
    browser.call("Emulation.setEmulatedMedia", media="print")
    point = "parseFloat(getComputedStyle(document.querySelector(place)).fontSize) * 0.75"
    sizes = shown.tell(f"['.do', '.stop', '.ground h2', '.mind li'].map(place => {point})")
    painted = shown.tell(
        "[...document.querySelectorAll('main *')].filter(one => !['rgba(0, 0, 0, 0)',"
        " 'rgb(255, 255, 255)'].includes(getComputedStyle(one).backgroundColor)).length"
    )
    browser.call("Emulation.setEmulatedMedia", media="")
    assert sizes[0] >= 12
    assert sizes[1] >= 12
    assert sizes[2] > sizes[0]
    assert sizes[3] >= 9
    assert painted == 0
