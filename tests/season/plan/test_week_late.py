"""What a week late costs, against costings made of documents changed by hand."""

import pytest

from service.costing.engine import cost
from service.costing.errors import InputError
from service.costing.overrides import with_settings
from service.costing.result import costing_document
from service.demo import demo_document
from service.season.figures import figure_of
from service.season.plan.planned import planned
from service.web.reading import scenario_of
from tests.season.variants import eleven_cows, subject_of

NITROGEN = "assumptions.stockpile.nitrogen_response"


def result_of(document, system):
    body = costing_document(cost(scenario_of(document)), given=document)
    return next(item for item in body["systems"] if item["system"] == system), body


def cost_of(document, system):
    return result_of(document, system)[0]["annual_equivalent_cost"]


def late_of(document, system, key):
    plan = planned(subject_of(document, system), materials=lambda _: ())
    return next(task for task in plan.tasks if task.key == key).week_late


@pytest.mark.parametrize("system", ["grass_first", "by_the_ground"])
def test_shutting_the_grass_a_week_late_costs_what_a_second_costing_says(system):
    document, later = demo_document(), demo_document()
    for step in later["systems"][system]["plan"]:
        if "closing_date" in step:
            step["closing_date"] = "08-19"  # 12 August and 7 days
    late = late_of(document, system, "shut_fields")
    assert late.basis == "engine"
    by_hand = cost_of(later, system) - cost_of(document, system)
    assert late.cost == pytest.approx(by_hand, abs=1e-6)
    assert ("saves" in late.words) is (by_hand < 0)


@pytest.mark.parametrize(
    ("document", "system"),
    [(demo_document(), "grass_first"), (eleven_cows(), "hill")],
    ids=["demo", "eleven_cows"],
)
def test_nitrogen_a_week_late_costs_what_a_second_costing_says(document, system):
    response = 20  # lb of dry matter for a lb of nitrogen (Sexten 2011), the edition's usual
    kept = figure_of("week_late.nitrogen_kept").usual
    later = with_settings(document, {NITROGEN: response * kept})
    by_hand = cost_of(later, system) - cost_of(document, system)
    assert by_hand > 0
    assert late_of(document, system, "spread_nitrogen").cost == pytest.approx(by_hand, abs=1e-6)


def test_the_share_of_nitrogen_kept_follows_from_what_was_published():
    """Schnakenberg: 30 to 55 % in early September; early August 30 % more than late August."""
    kept = figure_of("week_late.nitrogen_kept")
    assert kept.low == pytest.approx(0.30 ** (1 / 3), abs=0.005)
    assert kept.usual == pytest.approx(0.55 ** (1 / 3), abs=0.005)
    assert kept.high == pytest.approx((1 / 1.3) ** (1 / 3), abs=0.005)


def test_a_system_not_ready_costs_a_week_fed_as_today():
    left_out = {"structures", "cost_share", "structure_upkeep"}
    document = demo_document()
    today, body = result_of(document, "lot_open_rings")
    then, _ = result_of(document, "rock_pad")

    def operating(system):
        return sum(x["annual_equivalent"] for x in system["lines"] if x["line"] not in left_out)

    days = 131.25  # mean of the twelve winters, three of them of 132 days
    assert body["winter"]["days"] == pytest.approx(days)
    by_hand = (operating(today) - operating(then)) / days * 7
    late = late_of(document, "rock_pad", "finished_pad")
    assert late.cost == pytest.approx(by_hand, rel=1e-9)
    assert late_of(document, "rock_pad", "finished_hay_floor").cost is None


def test_a_system_that_costs_more_to_run_than_today_saves_by_being_late():
    document = demo_document()
    document["prices"]["bedding_per_ton"] = 400
    late = late_of(document, "pack_barn", "finished_barn")
    assert late.cost is not None
    assert late.cost < 0
    assert "saves" in late.words


def test_today_cannot_be_late():
    document = demo_document()
    document["systems"]["lot_open_rings"]["structures"]["drinker"]["existing"] = False
    del document["systems"]["lot_open_rings"]["structures"]["drinker"]["remaining_life_years"]
    late = late_of(document, "lot_open_rings", "finished_drinker")
    assert (late.cost, late.basis) == (None, "not_estimated")


@pytest.mark.parametrize(("closing", "known"), [("11-04", True), ("11-05", False)])
def test_a_week_later_must_leave_a_day_of_growth(closing, known):
    document = eleven_cows()
    document["systems"]["hill"]["plan"][0]["closing_date"] = closing  # growth ends on 12 Nov
    late = late_of(document, "hill", "shut_fields")
    assert (late.cost is not None) is known
    assert known or "growth would have ended" in late.words


def test_a_plan_that_would_no_longer_feed_every_day_is_not_costed():
    document = eleven_cows()
    document["herd"]["cows"]["head"] = 2
    document["systems"]["hill"]["plan"] = document["systems"]["hill"]["plan"][:1]
    grass = document["systems"]["hill"]["plan"][0]
    for tenths in range(10, 240):  # the least ground that feeds two cows on grass alone
        grass["acres"] = tenths / 10
        if _feeds(document, "hill"):
            break
    late = late_of(document, "hill", "shut_fields")
    assert (late.cost, late.basis) == (None, "not_estimated")
    assert "no longer feed" in late.words


def _feeds(document, system):
    try:
        cost_of(document, system)
    except InputError:
        return False
    return True
