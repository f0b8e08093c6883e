"""What is kept whole for every farm: money in its lines, days, hay, nutrients and ground.

Nothing here is a published figure; each property follows from what a costing means.
"""

import numpy as np
import numpy_financial
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.costing.comparison import annual, flows_of, lines_of
from service.costing.lines import LINES
from service.costing.reference.table import load_edition
from tests.support import situations as of
from tests.support.situations import cost_document
from tests.support.strategies import farms, few

CLOSE = 1e-9
CENT = 0.01
DAY = 1e-5
"""A step leaves out less than a millionth of a day; a winter has a few steps."""

EDITION = load_edition("2026.1")


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
        for name, damage in system.damage.by_field.items():
            acres = damage.acres.value
            assert (acres >= 0).all()
            assert (acres.sum(axis=0) <= fields[name]["acres"] * (1 + CLOSE)).all()


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
