"""Reviews of random winters on random farms: what must hold of every one of them.

Nothing here is a published figure; each property follows from what a review means.
"""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.engine import cost
from service.costing.quantities import quantities_of
from service.costing.units import POUNDS_PER_TON
from service.costing.winter import GroundDays
from service.demo import demo_document
from service.season.as_it_was import planned_winter
from service.season.dates import season_called
from service.season.facts import AcresToFix, PricesPaid, WinterFacts
from service.season.review.records import LineReview
from service.season.review.reviewed import reviewed
from service.web.reading import scenario_of
from tests.season.review.small_winter import plan_of
from tests.support.strategies import amounts, farms, few

CENT = 0.01
CLOSE = 1e-9
SYSTEMS = tuple(demo_document()["systems"])
PARTS = ("weather", "price", "practice", "not_split")


def difference(line: LineReview) -> float:
    return sum(getattr(line, part) for part in PARTS)


def holds_together(review):
    """Hold the parts of every line, and the lines of the total, against each other."""
    for line in (*review.lines, review.total):
        assert line.actual - line.planned == pytest.approx(difference(line), rel=CLOSE, abs=1e-6)
        assert abs(line.actual - line.planned - difference(line)) < CENT
    for part in ("planned", "actual", *PARTS):
        total = sum(getattr(line, part) for line in review.lines)
        assert getattr(review.total, part) == pytest.approx(total, rel=CLOSE, abs=1e-6)


def some(draw, values):
    """Draw a value, or nothing."""
    return draw(st.none() | values)


@st.composite
def recorded(draw, planned):
    """Draw any subset of the facts of a winter."""
    first, length = planned.season.first_day, draw(st.integers(60, 200))
    cuts = sorted(draw(st.lists(st.integers(0, length), min_size=3, max_size=3)))
    parts = [high - low for low, high in zip([0, *cuts], [*cuts, length], strict=True)]
    days = dict(zip(("frozen", "snow_covered", "firm", "wet"), map(float, parts), strict=True))
    by_ground = draw(st.booleans())
    steps = draw(st.lists(st.sampled_from(list(planned.system.steps)), unique=True))
    prices = PricesPaid(
        hay_per_ton=some(draw, amounts(40, 300)),
        bedding_per_ton=some(draw, amounts(20, 200)),
        supplement_per_ton=some(draw, amounts(100, 600)),
        labor_per_hour=some(draw, amounts(0, 40)),
        diesel_per_gallon=some(draw, amounts(1, 7)),
        nitrogen_per_lb=some(draw, amounts(0.1, 2)),
    )
    acres = amounts(0, 9)
    severities = st.builds(AcresToFix, light=acres, moderate=acres, severe=acres)
    turnout = (first + timedelta(days=length)).isoformat()
    return WinterFacts(
        ground_days=GroundDays(**days) if by_ground else None,
        turnout_date=some(draw, st.just(turnout)),
        days_by_method={step: draw(amounts(0, length)) for step in steps},
        bales_fed=some(draw, amounts(0, 900)),
        bale_weight_lb=some(draw, amounts(600, 1_500)),
        labor_hours=some(draw, amounts(0, 600)),
        minutes_per_day=some(draw, amounts(0, 200)),
        fuel_gallon=some(draw, amounts(0, 500)),
        bedding_ton=some(draw, amounts(0, 100)),
        supplement_ton=some(draw, amounts(0, 20)),
        manure_loads=some(draw, amounts(0, 200)),
        acres_to_fix=some(draw, amounts(0, 20)),
        acres_by_severity=some(draw, severities),
        animals_lost=some(draw, st.just({"cows": 2.0})) or {},
        stockpile_growth_factor=some(draw, amounts(0, 2)),
        rain_in=some(draw, amounts(0, 30)),
        prices=prices,
    )


def shown(review):
    """Look at what a person reads: three whole sentences without a word of statistics."""
    for sentence in review.sentences:
        assert sentence.endswith(".")
        assert sentence[0].isupper()
        assert not {"Shapley", "mean", "nan", "None"} & set(sentence.split())
    for item in review.unknown:
        assert item.words.endswith(".")


DEMO = scenario_of(demo_document())
DEMO_COSTING = cost(DEMO)


def demo_plan(system, season):
    winter = DEMO.winter
    return planned_winter(
        DEMO_COSTING, system, season_called(season, winter.first_day, winter.last_day)
    )


@few
@given(st.data(), st.sampled_from(SYSTEMS), st.sampled_from(["2022-23", "2026-27", "2027-28"]))
def test_the_parts_of_a_winter_of_the_demo_farm_add_up_to_a_cent(data, system, season):
    planned = demo_plan(system, season)
    review = reviewed(planned, data.draw(recorded(planned)))
    holds_together(review)
    shown(review)


@few
@given(st.data(), farms())
def test_the_parts_add_up_to_a_cent_on_any_farm(data, document):
    for system in document["systems"]:
        planned = plan_of(document, system)
        review = reviewed(planned, data.draw(recorded(planned)))
        holds_together(review)
        shown(review)


@pytest.mark.parametrize("system", SYSTEMS)
def test_with_nothing_recorded_nothing_differs(system):
    review = reviewed(demo_plan(system, "2026-27"), WinterFacts())
    assert all(getattr(line, part) == 0 for line in review.lines for part in PARTS)
    assert review.total.actual == review.total.planned
    assert not any(line.recorded for line in review.lines)


@pytest.mark.parametrize("system", SYSTEMS)
def test_planned_is_what_the_costing_says(system):
    review = reviewed(demo_plan(system, "2026-27"), WinterFacts())
    costed = DEMO_COSTING.systems[system].account
    assert review.total.planned == pytest.approx(float(costed.annual_equivalent.value[0, 0]))


@few
@given(st.sampled_from(SYSTEMS), st.integers(0, 11))
def test_a_winter_that_went_by_the_plan_has_no_differences(system, number):
    document = demo_document()
    row = document["winter"]["rows"][number] | {"season": "the usual"}
    document["winter"]["rows"] = [row]
    costing = cost(scenario_of(document))
    taken = quantities_of(costing, costing.systems[system])
    hay = document["hay"]
    offered = (taken["hay_eaten_ton_dm"] + taken["hay_wasted_ton_dm"]) * POUNDS_PER_TON
    wanted = {name: taken["acres_damaged"][name] for name in ("light", "moderate", "severe")}
    prices = document["prices"]
    facts = WinterFacts(
        ground_days=GroundDays(**{name: float(days) for name, days in row["ground_days"].items()}),
        bales_fed=offered / hay["dry_matter_fraction"] / hay["bale_weight_lb"],
        labor_hours=taken["labor_hours"],
        bedding_ton=taken["bedding_ton"],
        manure_loads=taken["manure_loads"],
        acres_by_severity=AcresToFix(**wanted),
        stockpile_growth_factor=row["stockpile_growth_factor"],
        rain_in=document["winter"]["rain_in"],
        prices=PricesPaid(
            hay_per_ton=hay["price_per_ton"] * row["hay_price_factor"],
            labor_per_hour=prices["labor_per_hour"],
            diesel_per_gallon=prices["diesel_per_gallon"],
            bedding_per_ton=prices["bedding_per_ton"],
            nitrogen_per_lb=prices["nitrogen_per_lb"],
        ),
    )
    review = reviewed(plan_of(document, system), facts)
    for line in (*review.lines, review.total):
        assert [getattr(line, part) for part in PARTS] == pytest.approx([0, 0, 0, 0], abs=1e-6)
    assert line_recorded(review, "hay_eaten")
    assert review.sentences[1].endswith("were as planned.")


def line_recorded(review, key):
    return next(line.recorded for line in review.lines if line.line == key)


@few
@given(st.sampled_from(SYSTEMS), amounts(60, 300), amounts(60, 300))
def test_the_share_of_prices_goes_in_a_straight_line_with_the_price_of_hay(system, low, high):
    # Hay is paid by the ton, so what a dearer ton adds is in proportion.
    planned = demo_plan(system, "2026-27")

    def share(price):
        days = GroundDays(frozen=10, snow_covered=5, firm=50, wet=67)
        facts = WinterFacts(ground_days=days, bales_fed=450, prices=PricesPaid(hay_per_ton=price))
        return reviewed(planned, facts).total.price

    middle = (share(low) + share(high)) / 2
    assert share((low + high) / 2) == pytest.approx(middle, rel=CLOSE, abs=CENT)


@few
@given(st.sampled_from(SYSTEMS), amounts(0, 800), amounts(1, 100))
def test_a_bale_more_never_makes_the_way_of_feeding_cheaper(system, bales, more):
    planned = demo_plan(system, "2026-27")
    days = GroundDays(frozen=10, snow_covered=5, firm=50, wet=67)
    fewer, many = (
        reviewed(planned, WinterFacts(ground_days=days, bales_fed=fed))
        for fed in (bales, bales + more)
    )
    assert many.total.practice > fewer.total.practice
    assert many.total.weather == pytest.approx(fewer.total.weather, rel=CLOSE, abs=CENT)
