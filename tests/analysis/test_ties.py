"""Ties and winters won, held against winters that are drawn one by one."""

import itertools
import json
from pathlib import Path

import numpy as np
import pytest

from service.analysis.draws import drawn_winters
from service.costing.comparison import standings_of
from service.costing.engine import cost
from service.demo import demo_document
from service.web.reading import scenario_of

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
DOCUMENTS = {"demo": demo_document()} | {
    path.stem: json.loads(path.read_text())
    for path in sorted(FARMS.glob("*.json"))
    if "result" not in path.stem
}


@pytest.mark.parametrize("farm", sorted(DOCUMENTS))
def test_two_tie_where_money_is_close_or_the_winters_do_not_agree(farm):
    # Closer than 5 % of the cheaper one's cost, or cheaper in under 70 % of the winters by weight.
    scenario = scenario_of(DOCUMENTS[farm])
    costing = cost(scenario)
    standings = standings_of(costing)
    weight = np.array([row.weight for row in scenario.winter.rows] or [1.0])
    share = weight / weight.sum()
    drawn = drawn_winters(scenario, {}, np.arange(len(weight)))
    by_winter = dict(zip(drawn.systems, drawn.scores, strict=True))
    mean = {key: float(scores @ share) for key, scores in by_winter.items()}
    for one, other in itertools.combinations(mean, 2):
        cheaper, dearer = sorted((one, other), key=mean.__getitem__)
        cost_of_cheaper = float(drawn.costs[drawn.systems.index(cheaper)] @ share)
        close = mean[dearer] - mean[cheaper] < 0.05 * abs(cost_of_cheaper)
        wins = float((by_winter[cheaper] < by_winter[dearer]) @ share)
        assert (dearer in standings[cheaper].tie_with) is (close or wins < 0.7)
    won = np.bincount(np.argmin(drawn.scores, axis=0), minlength=len(mean))
    assert [standings[key].cheapest_in_winters for key in drawn.systems] == won.tolist()
