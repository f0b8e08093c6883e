"""The hand-written kernel of the benchmark against the engine: they do the same sums.

Only so does the ratio of their speeds say anything. Either is worked from the written model apart
from the other, so that the kernel is an oracle of the engine too.
"""

import numpy as np
import pytest

from service.analysis.draws import drawn_winters
from service.costing.case import Case
from service.costing.engine import worked
from service.web.reading import scenario_of
from tests.benchmarks.kernel import costs_of, lines_of
from tests.benchmarks.kernel_farm import SYSTEMS, draws_of, kernel_farm

CLOSE = 1e-9
DRAWS = 300


@pytest.fixture(scope="module")
def both():
    """Every line of every system and draw, as the engine and as the kernel have it."""
    varied, picked = draws_of(DRAWS)
    scenario = scenario_of(kernel_farm())
    costing = worked(Case(scenario, varied=varied, picked=picked))
    engine = {}
    for key, system in costing.systems.items():
        account = system.account
        names = [entry.line for entry in account.entries]
        engine[key] = {
            line: account.part_by_winter([name == line for name in names]).value.reshape(-1)
            for line in names
        }
    return engine, lines_of(kernel_farm(), varied, picked)


@pytest.mark.parametrize("key", SYSTEMS)
def test_every_line_of_every_draw_is_the_same(both, key):
    engine, kernel = (lines[key] for lines in both)
    assert engine.keys() <= kernel.keys()
    for line, amounts in kernel.items():
        own = engine.get(line, np.zeros(1))
        expected = np.broadcast_to(own, DRAWS + 1)
        assert np.broadcast_to(amounts, DRAWS + 1) == pytest.approx(expected, rel=CLOSE, abs=1e-9)


def test_what_systems_cost_is_the_same():
    varied, picked = draws_of(DRAWS, seed=5)
    drawn = drawn_winters(scenario_of(kernel_farm()), varied, picked)
    kernel = costs_of(kernel_farm(), varied, picked)
    for key, costs in zip(drawn.systems, drawn.costs, strict=True):
        assert costs == pytest.approx(kernel[key], rel=CLOSE)
    assert not drawn.short.any()


def test_the_farm_tells_the_systems_and_the_draws_apart():
    """Were a line the same everywhere, its agreement would prove little."""
    varied, picked = draws_of(DRAWS)
    lines = lines_of(kernel_farm(), varied, picked)
    for name in ("hay_eaten", "hay_wasted", "labor", "machinery", "forage_lost", "nutrient_credit"):
        assert all(np.ptp(lines[key][name]) > 0 for key in ("open_rings", "by_the_ground"))
    for name in ("bedding", "manure_handling"):
        assert np.ptp(lines["by_the_ground"][name]) > 0
    assert lines["by_the_ground"]["cost_share"] < 0 < lines["concrete"]["structures"]
