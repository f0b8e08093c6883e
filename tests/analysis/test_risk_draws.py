"""What is drawn: triangles against SciPy's own, winters against their weights."""

import numpy as np
import pytest
from scipy import stats

from service.analysis.draw_table import DrawTable, Form
from service.analysis.draw_values import BLOCK, MEAN_WINTER, Draws, Spread
from service.analysis.varied_by_default import is_varied_by_default

PRICE, WASTE = "hay.price_per_ton", "assumptions.hay_waste.ring_open"
SURE = 4
"""Standard errors that an estimate may be off; one in 16,000 is off by more."""


def spread(path=PRICE, low=70.0, usual=90.0, high=140.0, base=92.0, *, whole=False):
    return Spread(path, low, usual, high, base, whole=whole, asked=True)


def draws(*spreads, count=BLOCK, seed=7, weights=(1.0,), mean_winter=False):
    return Draws(count, seed, weights, mean_winter, spreads)


def all_values(asked, path=PRICE):
    """Return the values of one input in all draws."""
    return np.concatenate([asked.drawn(block)[1][path][:-1] for block in range(asked.blocks)])


@pytest.mark.parametrize(
    ("low", "usual", "high"), [(70, 90, 140), (70, 70, 140), (70, 140, 140), (-1, 0, 1)]
)
def test_values_have_the_triangle_of_scipy(low, usual, high):
    """`scipy.stats.triang`, whole distribution and its first two moments."""
    values = all_values(draws(spread(low=low, usual=usual, high=high), count=20 * BLOCK))
    width = high - low
    triangle = stats.triang((usual - low) / width, loc=low, scale=width)
    size = len(values)
    assert values.mean() == pytest.approx(triangle.mean(), abs=SURE * triangle.std() / size**0.5)
    kurtosis = float(triangle.stats("k")) + 3
    error = triangle.var() * ((kurtosis - 1) / size) ** 0.5
    assert values.var() == pytest.approx(triangle.var(), abs=SURE * error)
    assert stats.kstest(values, triangle.cdf).pvalue > 1e-4


def test_the_last_value_is_that_of_the_scenario():
    _, values = draws(spread()).drawn(0)
    assert values[PRICE].shape == (BLOCK + 1,)
    assert values[PRICE][-1] == 92


def test_a_range_without_width_is_one_value_in_all_draws():
    _, values = draws(spread(low=80.0, usual=80.0, high=80.0), count=3).drawn(0)
    assert values[PRICE].tolist() == [80, 80, 80, 92]
    assert draws(spread(low=92.0, usual=92.0, high=92.0)).drawn(0)[1] == {}


def test_whole_numbers_are_drawn_whole():
    values = all_values(draws(spread(low=2.0, usual=4.0, high=7.0, whole=True)))
    assert set(values.tolist()) == {2, 3, 4, 5, 6, 7}


def test_winters_come_as_often_as_they_weigh():
    """The binomial distribution's own error."""
    weights = np.array([1.0, 3.0, 0.5, 5.5])
    asked = draws(count=20 * BLOCK, weights=tuple(weights))
    picked = np.concatenate([asked.drawn(block)[0] for block in range(asked.blocks)])
    chances = weights / weights.sum()
    share = np.bincount(picked, minlength=4) / len(picked)
    error = np.sqrt(chances * (1 - chances) / len(picked))
    assert np.all(np.abs(share - chances) < SURE * error)


def test_winters_and_values_hang_on_nothing_in_common():
    """Pearson's correlation of independent draws is 0 within 1 / sqrt(draws)."""
    asked = draws(spread(), spread(WASTE, 0.1, 0.2, 0.4), weights=(1.0, 1.0))
    picked, values = asked.drawn(0)
    table = np.corrcoef([picked, values[PRICE][:-1], values[WASTE][:-1]])
    assert np.all(np.abs(table[np.triu_indices(3, 1)]) < SURE / BLOCK**0.5)


def test_a_longer_run_begins_with_the_draws_of_a_shorter_one():
    weights = (1.0, 2.0)
    short = draws(spread(), count=5, weights=weights).drawn(0)
    longer = draws(spread(), count=3 * BLOCK + 1, weights=weights)
    assert longer.drawn(0)[0][:5].tolist() == short[0].tolist()
    assert longer.drawn(0)[1][PRICE][:5].tolist() == short[1][PRICE][:5].tolist()
    assert [longer.size(block) for block in range(longer.blocks)] == [BLOCK, BLOCK, BLOCK, 1]


def test_blocks_differ_and_seeds_differ():
    asked = draws(spread(), count=2 * BLOCK)
    first, second = (asked.drawn(block)[1][PRICE] for block in range(2))
    other = draws(spread(), seed=8).drawn(0)[1][PRICE]
    assert len({values.tobytes() for values in (first, second, other)}) == 3


def test_the_order_in_which_inputs_are_named_changes_nothing():
    one, other = spread(), spread(WASTE, 0.1, 0.2, 0.4)
    found = [draws(*both).drawn(0)[1] for both in ((one, other), (other, one))]
    assert found[0].keys() == found[1].keys()
    assert all(np.array_equal(found[0][path], found[1][path]) for path in found[0])


def test_the_mean_winter_changes_no_value():
    rows = draws(spread(), weights=(1.0, 1.0))
    mean = draws(spread(), weights=(1.0, 1.0), mean_winter=True)
    assert set(mean.drawn(0)[0].tolist()) == {MEAN_WINTER}
    assert np.array_equal(rows.drawn(0)[1][PRICE], mean.drawn(0)[1][PRICE])


@pytest.mark.parametrize("by_margin", [False, True])
@pytest.mark.parametrize("count", [1, 8, 13])
def test_a_table_comes_back_from_its_bytes(count, by_margin):
    rng = np.random.default_rng(3)
    form = Form(3, by_margin)
    table = DrawTable.empty(form, count)
    table.costs[:] = rng.normal(size=(3, count))
    if by_margin:
        table.scores[:] = rng.normal(size=(3, count))
    table.short[:] = rng.random((3, count)) < 0.5
    table.picked[:] = rng.integers(-1, 12, count)
    back = DrawTable.unpacked(table.packed(form), form, count)
    for name in ("costs", "scores", "short", "picked"):
        assert np.array_equal(getattr(back, name), getattr(table, name))


@pytest.mark.parametrize(
    "path",
    [
        "hay.price_per_ton",
        "hay.price_per_bale",
        "prices.labor_per_hour",
        "prices.p2o5_per_lb",
        "machines.spreader.custom_rate_per_hour",
        "land.forage_value_per_ton_dm",
        "land.fields.ridge.forage_yield_ton_dm_per_acre",
        "assumptions.stockpile.winter_loss",
        "assumptions.stockpile.utilization.free_access",
        "assumptions.hay_waste.ring_open",
        "assumptions.hay_waste_added.ring_open.wet",
        "assumptions.hay_storage_loss.barn",
    ],
)
def test_prices_yields_and_waste_are_varied_by_default(path):
    assert is_varied_by_default(path)


@pytest.mark.parametrize(
    "path",
    [
        "systems.pad.structures.pad.price",
        "assumptions.structure.gravel_pad.unit_cost",
        "assumptions.work.feeding_pad.set_bale.person_minutes",
        "prices.own_labor_fraction",
        "herd.cows.head",
        "machines.tractor.list_price",
    ],
)
def test_what_is_built_and_what_a_task_takes_are_not(path):
    assert not is_varied_by_default(path)
