"""A made record with a known truth gives that truth back, winter by winter and in the end."""

from dataclasses import replace
from math import log

import numpy as np
import pytest

from service.season.facts import AcresToFix
from service.season.own_figures.shrinkage import shrunk
from tests.season.own_figures.made_record import (
    BALE_LB_DM,
    LOT,
    OPEN_RING,
    cattle,
    figure,
    firm,
    lived,
    minutes_times,
    noted,
    offered,
    record,
    seasons,
    table,
    times,
    value_of,
    whole_farm,
)

TRUE_WASTE = 0.30
PRACTICAL = 1e-6


def test_each_of_twelve_winters_gives_back_a_waste_of_three_tenths():
    farm = cattle()
    truth = {OPEN_RING: TRUE_WASTE}
    found = figure(offered(farm, [record(farm, name, truth) for name in seasons(farm)]), "waste")
    ratios = [winter.ratio for winter in found.winters]
    assert [ratio * table(OPEN_RING) for ratio in ratios] == pytest.approx(
        [TRUE_WASTE] * 12, abs=PRACTICAL
    )
    assert found.left_out == ()


def test_the_more_winters_the_nearer_the_offer_comes_to_the_truth():
    farm = cattle()
    winters = [record(farm, name, {OPEN_RING: TRUE_WASTE}) for name in seasons(farm)]
    offers = [
        value_of(figure(offered(farm, winters[:count]), "waste"), OPEN_RING)
        for count in (1, 3, 6, 12)
    ]
    gaps = [TRUE_WASTE - offer for offer in offers]
    assert gaps == sorted(gaps, reverse=True)
    assert 0 < gaps[-1] < 0.01
    one = figure(offered(farm, winters[:1]), "waste").winters[0]
    many = shrunk([log(one.ratio)] * 10_000, 0.6, 0.45)
    assert many.ratio * table(OPEN_RING) == pytest.approx(TRUE_WASTE, abs=1e-4)


def test_on_firm_ground_the_waste_is_what_is_left_of_the_bales_by_hand():
    farm = cattle()
    on_firm = lived(farm, "2015-16", {}, noted(farm, "2015-16", ground_days=firm(130)).facts)
    bales = on_firm.hay_eaten_lb / (1 - 0.24) / BALE_LB_DM
    winter = noted(farm, "2015-16", ground_days=firm(130), bales_fed=bales)
    found = figure(offered(farm, [winter]), "waste").winters[0]
    assert found.recorded == pytest.approx(0.24)
    assert found.expected == pytest.approx(table(OPEN_RING))
    assert found.ratio == pytest.approx(0.24 / table(OPEN_RING), abs=PRACTICAL)


def test_lighter_bales_mean_less_waste():
    farm = cattle()
    bales = record(farm, "2018-19", {OPEN_RING: TRUE_WASTE}).facts.bales_fed
    ratios = [
        figure(offered(farm, [noted(farm, "2018-19", bales_fed=bales, **weight)]), "waste")
        .winters[0]
        .ratio
        for weight in ({"bale_weight_lb": 950}, {}, {"bale_weight_lb": 1150})
    ]
    assert ratios == sorted(ratios)
    assert ratios[1] * table(OPEN_RING) == pytest.approx(TRUE_WASTE, abs=PRACTICAL)


@pytest.mark.parametrize("system", [LOT, "by_the_ground"])
def test_several_ways_of_feeding_move_by_one_factor(system):
    farm = whole_farm()
    truth = times(1.5, "hay_waste.")
    names = seasons(farm)[:3]
    found = figure(
        offered(farm, [record(farm, name, truth, system) for name in names], system), "waste"
    )
    assert [winter.ratio for winter in found.winters] == pytest.approx([1.5] * 3, abs=PRACTICAL)
    assert len(found.values) > 1
    assert [value.own / value.reference for value in found.values] == pytest.approx(
        [found.ratio] * len(found.values), rel=1e-12
    )


@pytest.mark.parametrize("system", [LOT, "roofed_pad"])
def test_chores_that_take_two_fifths_longer_are_found(system):
    farm = whole_farm()
    names = seasons(farm)[2:5]
    winters = [record(farm, name, minutes_times(1.4), system) for name in names]
    found = figure(offered(farm, winters, system), "minutes")
    assert [winter.ratio for winter in found.winters] == pytest.approx([1.4] * 3, abs=PRACTICAL)
    assert 1.2 < found.ratio < 1.4


def test_minutes_a_day_say_the_same_as_hours():
    farm = whole_farm()
    was = lived(farm, "2019-20", minutes_times(1.4))
    winter = noted(farm, "2019-20", minutes_per_day=was.labor_hours * 60 / was.days)
    found = figure(offered(farm, [winter]), "minutes").winters[0]
    assert found.recorded == pytest.approx(was.labor_hours)
    assert found.ratio == pytest.approx(1.4, abs=PRACTICAL)


def test_more_bales_for_more_waste_are_no_slower_chores():
    farm = cattle()
    truth = {OPEN_RING: TRUE_WASTE, **minutes_times(1.4)}
    found = figure(offered(farm, [record(farm, "2018-19", truth)]), "minutes").winters[0]
    assert found.ratio == pytest.approx(1.4, abs=PRACTICAL)


@pytest.mark.parametrize("system", [LOT, "by_the_ground"])
def test_ground_that_bears_three_tenths_more_is_found(system):
    farm = whole_farm()
    truth = times(0.7, "trampling.sqft_per_au_day.")
    names = [row.season for row in farm.winter.rows if row.ground_days.wet < 45][:3]
    winters = [record(farm, name, truth, system) for name in names]
    found = figure(offered(farm, winters, system), "damage")
    assert [winter.ratio for winter in found.winters] == pytest.approx([0.7] * 3, abs=PRACTICAL)


def test_acres_by_severity_are_added_up():
    farm = whole_farm()
    was = lived(farm, "2014-15", times(0.7, "trampling.sqft_per_au_day."))
    winter = noted(farm, "2014-15", acres_by_severity=AcresToFix(**was.acres), acres_to_fix=40)
    found = figure(offered(farm, [winter]), "damage").winters[0]
    assert found.ratio == pytest.approx(0.7, abs=PRACTICAL)


def test_a_lot_that_is_gone_as_expected_says_that_the_tables_are_right():
    farm = cattle()
    whole = lived(farm, "2019-20", {}).acres_in_all
    found = figure(offered(farm, [noted(farm, "2019-20", acres_to_fix=whole)]), "damage")
    assert whole == pytest.approx(5.5)
    assert found.winters[0].ratio == 1


def test_a_lot_that_is_gone_before_its_time_gives_the_least_factor_at_which_it_is():
    farm = cattle()
    assert lived(farm, "2014-15", {}).acres_in_all < 5.4
    found = figure(offered(farm, [noted(farm, "2014-15", acres_to_fix=5.5)]), "damage").winters[0]
    trampled = [
        lived(farm, "2014-15", times(factor, "trampling.sqft_per_au_day.")).acres_in_all
        for factor in (found.ratio * 0.999, found.ratio * 1.001)
    ]
    assert trampled[0] < 5.5
    assert trampled[1] == pytest.approx(5.5)


def test_noise_in_the_record_leaves_the_truth_inside_the_interval():
    farm = cattle()
    draw = np.random.default_rng(2026)
    winters = []
    for name in seasons(farm):
        winter = record(farm, name, {OPEN_RING: TRUE_WASTE})
        bales = winter.facts.bales_fed * np.exp(draw.normal(0, 0.05))
        winters.append(replace(winter, facts=replace(winter.facts, bales_fed=float(bales))))
    found = figure(offered(farm, winters), "waste")
    value = found.values[0]
    assert len({winter.ratio for winter in found.winters}) == 12
    assert "differ more than is usual" not in found.words
    assert value.low < TRUE_WASTE < value.high
    assert value.own == pytest.approx(TRUE_WASTE, abs=0.04)


def test_winters_far_apart_say_that_each_counts_for_less():
    farm = cattle()
    truths = dict(zip(seasons(farm), (0.05, 0.45, 0.12, 0.40), strict=False))
    winters = [record(farm, name, {OPEN_RING: truth}) for name, truth in truths.items()]
    found = figure(offered(farm, winters), "waste")
    assert "Your winters differ more than is usual" in found.words


def test_what_a_revision_had_in_the_place_of_the_tables_does_not_move_the_ratio():
    farm = cattle()
    other = replace(farm, assumptions={**farm.assumptions, OPEN_RING: 0.25, **minutes_times(2)})
    truth = {OPEN_RING: TRUE_WASTE, **minutes_times(1.4)}
    found = offered(farm, [record(farm, "2016-17", truth), record(other, "2016-17", truth)])
    for kind in ("waste", "minutes"):
        first, second = figure(found, kind).winters
        assert first.ratio == pytest.approx(second.ratio, abs=PRACTICAL)
