"""What people in the trade take for granted, asked of the engine on edition 2026.1.

A line without a source is marked `common practice, no source`.
"""

import numpy as np
import pytest

from service.costing.alerts import warnings_of
from service.costing.averages import mean, mean_of
from service.costing.comparison import annual, lines_of
from service.costing.reference.table import load_edition
from service.costing.units import SEVERITIES
from tests.support.situations import (
    cost_document,
    days,
    farm,
    on_bales,
    on_grass,
    on_lot,
    on_pad,
    pad,
    step,
    winter,
)

EDITION = load_edition("2026.1")
SQ_FT_PER_ACRE = 43_560
CLEANED = "gravel_pad_cleanings"
HARD_GROUND = ["frozen", "snow_covered", "firm"]


def costed(plan, structures=None, **parts):
    """Cost one plan in a winter of one row, and return the costing and its only system."""
    document = farm({"only": {"plan": plan, "structures": structures or {}}})
    costing = cost_document(document | {"winter": winter()} | parts)
    return costing, costing.systems["only"]


def warned(costing, system):
    return {warning["warning"]: warning for warning in warnings_of(costing, system)}


def acres_damaged(costing, system):
    """Acres damaged of each field, all severities, in the mean of the winters."""
    return {
        field: mean_of(costing.winters, damage.acres).sum()
        for field, damage in system.damage.by_field.items()
    }


def usual(key):
    return EDITION.row(key).usual


@pytest.mark.parametrize("days_between", [10.0, 30.0, 40.0])
def test_a_rock_pad_scraped_three_times_or_more_asks_for_concrete(days_between):
    # common practice, no source: rock pads are cleaned fewer than three times a winter
    often = {"manure.days_between_scrapings.gravel_pad": days_between}
    costing, system = costed([on_pad()], {"pad": pad()}, assumptions=often)
    times = mean(costing.winters, system.floors[0].scrapings)
    assert times >= 3
    warning = warned(costing, system)[CLEANED]
    assert warning["value"] == times
    assert warning["limit"] < 3
    assert "concrete" in warning["sentence"]


def test_a_rock_pad_is_cleaned_fewer_than_three_times_where_nothing_else_is_said():
    # common practice, no source
    costing, system = costed([on_pad()], {"pad": pad()})
    assert 0 < mean(costing.winters, system.floors[0].scrapings) < 3


def test_a_rock_pad_used_on_few_days_is_left_in_peace():
    # common practice, no source
    for most_days in (5, 20):
        costing, system = costed([on_pad(max_days=most_days), on_lot()], {"pad": pad()})
        assert mean(costing.winters, system.floors[0].scrapings) < 3
        assert CLEANED not in warned(costing, system)


def test_concrete_may_be_scraped_as_often_as_it_takes():
    # common practice, no source
    costing, system = costed([on_pad()], {"pad": pad("concrete_pad")})
    assert mean(costing.winters, system.floors[0].scrapings) >= 3
    assert CLEANED not in warned(costing, system)


def test_cattle_that_graze_eight_hours_eat_a_days_grass_and_tread_the_rest_elsewhere():
    # common practice, no source: cattle graze about eight hours of the day
    # Montana, Jan and Feb: 8.8 hours, seldom under 8
    all_day, grazing = (
        costed([on_grass(**hours), on_lot()])
        for hours in (
            {},
            {"hours_on_method": 8.0, "resting_place": "pasture", "resting_field": "hill_field"},
        )
    )
    acres = []
    for costing, system in (all_day, grazing):
        assert np.isfinite(annual(system))
        acres.append(acres_damaged(costing, system))
    for name in ("hay_eaten", "stockpile_eaten"):
        eaten = [
            mean(costing.winters, getattr(system.feed, name))
            for costing, system in (all_day, grazing)
        ]
        assert eaten[1] == pytest.approx(eaten[0], rel=1e-9)
    assert acres[1]["long_meadow"] == pytest.approx(acres[0]["long_meadow"] * 8 / 24, rel=1e-9)
    assert "hill_field" not in acres[0]
    assert acres[1]["hill_field"] > 0


@pytest.mark.parametrize("spacing", [25.0, 30.0])
def test_bales_on_centers_of_the_eighties_bury_the_ground(spacing):
    # common practice, no source: 25 ft centers; Gerrish 2019: 25 to 30 ft with rings, in the 1980s
    costing, system = costed([on_bales(spacing_ft=spacing), on_lot()])
    run = system.run.steps[0]
    acres = mean(costing.winters, run.acres_covered)
    bales = mean(costing.winters, run.bales)
    assert acres == pytest.approx(bales * spacing**2 / SQ_FT_PER_ACRE, rel=1e-12)
    warnings = warned(costing, system)
    assert warnings["bale_grazing_hay_per_acre"]["value"] == pytest.approx(
        mean(costing.winters, run.offered) / 2000 / acres, rel=1e-9
    )
    # Halich, Univ. of Kentucky: not over two tons of hay an acre; here there are over ten
    assert warnings["bale_grazing_hay_per_acre"]["value"] > 10
    # Barclay 2011, Saskatchewan: even at 40 ft 581 lb of nitrogen an acre
    assert warnings["bale_grazing_nitrogen_per_acre"]["value"] > 581
    assert acres_damaged(costing, system)["hill_field"] <= acres * (1 + 1e-9)


def test_bales_two_tons_to_the_acre_raise_no_warning():
    # Halich, Univ. of Kentucky: 2 tons as fed are four bales of 1,000 lb an acre
    spacing = (SQ_FT_PER_ACRE / 4) ** 0.5
    costing, system = costed([on_bales(spacing_ft=spacing), on_lot()])
    warnings = warned(costing, system)
    assert "bale_grazing_hay_per_acre" not in warnings
    assert "bale_grazing_nitrogen_per_acre" not in warnings


def test_grass_shut_on_the_first_of_august_stands_as_printed():
    # common practice, no source: grass is shut about the first of August
    # Rayburn 2001, West Virginia: 2,000 to 4,000 lb an acre, deferred in August, 50 to 100 lb N
    costing, system = costed([on_grass(closing_date="08-01", nitrogen_lb_per_acre=50.0), on_lot()])
    standing = mean(costing.winters, system.run.steps[0].grass.standing) / 30.0
    assert 2_000 < standing < 4_000
    # Little 2019, Ohio State: not grazed after 31 July, about a further ton from 50 lb N
    plain = mean(costing.winters, system.run.steps[0].grass.plain) / 30.0
    assert standing - plain == pytest.approx(50 * usual("stockpile.nitrogen_response"), rel=1e-9)


def test_grass_shut_later_stands_thinner_and_costs_less_of_late_summer():
    # common practice, no source
    stands, given_up = [], []
    for closing in ("08-01", "08-15", "09-01"):
        costing, system = costed([on_grass(closing_date=closing), on_lot()])
        stands.append(mean(costing.winters, system.run.steps[0].grass.standing))
        lines = lines_of(system)
        given_up.append(lines["stockpile_forage"] + lines["late_summer_hay"])
    assert stands == sorted(stands, reverse=True)
    assert given_up == sorted(given_up, reverse=True)
    assert stands[0] > stands[-1]


@pytest.mark.parametrize("method", ["stockpile_grazing", "bale_grazing"])
def test_moving_a_fence_takes_ten_to_fifteen_minutes(method):
    # common practice, no source
    row = EDITION.row(f"work.{method}.move_wire.person_minutes")
    assert row.low <= 10
    assert row.high >= 15
    assert 10 <= usual("work.stockpile_grazing.move_wire.person_minutes") <= 15


def test_moves_cost_their_minutes():
    costing, system = costed([on_grass(days_per_move=3.0), on_lot()])
    run = system.run.steps[0]
    moves = mean(costing.winters, run.days_run) / 3
    (position,) = (
        number
        for number, item in enumerate(system.labor.tasks)
        if (item.task.owner, item.task.name) == ("stockpile_grazing", "move_wire")
    )
    minutes = system.labor.own_minutes.value[position, 0, 0]
    # common practice, no source: ten to fifteen minutes each
    assert 10 * moves <= minutes <= 15 * moves


def test_badly_trodden_ground_takes_one_to_two_years_to_come_back():
    # common practice, no source
    first, second, third = (usual(f"restoration.forage_loss.severe.{year}") for year in (1, 2, 3))
    assert first >= 0.4
    assert 0 < second < first / 2
    assert third <= 0.05
    light = [usual(f"restoration.forage_loss.light.{year}") for year in (1, 2, 3)]
    assert sum(light) < second


def test_an_acre_badly_trodden_loses_the_grass_of_those_years():
    # common practice, no source: the worst is over after the second summer
    parts = {"finance": {"real_rate": 0.0, "horizon_years": 10.0}}
    costing, system = costed([on_lot()], **parts)
    (damage,) = system.damage.by_field.values()
    acres = dict(zip(SEVERITIES, mean_of(costing.winters, damage.acres)[:, 0], strict=True))
    lost = lines_of(system)["forage_lost"] / (2.5 * 50.0)
    others = sum(
        acres[severity]
        * sum(usual(f"restoration.forage_loss.{severity}.{year}") for year in (1, 2, 3))
        for severity in ("light", "moderate")
    )
    years_of_grass = (lost - others) / acres["severe"]
    assert 0.5 < years_of_grass < 2


@pytest.mark.parametrize("plan_days", [days(6.0, 2.0, 54.0, 59.0), days(6.0, 0.0, 40.0, 75.0)])
def test_a_mild_wet_winter_of_six_frozen_days_is_costed(plan_days):
    # common practice, no source: as few as six frozen days
    document = farm() | {"winter": winter(plan_days)}
    costing = cost_document(document)
    for system in costing.systems.values():
        assert np.isfinite(annual(system))
        assert annual(system) > 0
        served = sum(run.served.value.sum(axis=-3) for run in system.run.steps)
        np.testing.assert_allclose(served, 121, rtol=1e-9)


def test_a_step_for_frozen_ground_alone_runs_on_those_six_days():
    # common practice, no source
    rolled = step("unrolled_hay", field="hill_field", ground_states=["frozen"])
    costing, system = costed([rolled, on_lot()], winter=winter(days(6.0, 2.0, 54.0, 59.0)))
    assert mean(costing.winters, system.run.steps[0].days_run) == 6
    longer = step("unrolled_hay", field="hill_field", ground_states=["frozen"], min_spell_days=3.0)
    costing, system = costed([longer, on_lot()], winter=winter(days(6.0, 2.0, 54.0, 59.0)))
    # spells of two days on average: half of those days lie in spells of three days or more
    assert mean(costing.winters, system.run.steps[0].days_run) == pytest.approx(3, rel=1e-9)


def test_hay_of_a_winter_is_about_two_tons_a_cow():
    # Mayo and Thomas 2024, Univ. of Florida: 1.8 ton DM a cow of 1,200 lb in 150 days;
    # brought to 121 days and 1,250 lb, and more for cold and mud up to the limit of intake.
    _, system = costed([on_lot(presentation="ring_open")])
    cows = system.feed.eaten_by_group.value[0, 0, 0, 0] / 2000 / 60
    printed = 1.8 * 121 / 150 * 1250 / 1200
    assert printed * 0.95 < cows < printed * 1.3
