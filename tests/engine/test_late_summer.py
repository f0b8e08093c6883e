"""Late summer on farms where what is shut is not grazed then.

Grass that nobody grazes in late summer is missed by nobody when it is shut, so no hay is fed for
it; the grass itself is still given up (common practice, no source).
"""

import pytest

from service.costing.result import costing_document
from tests.engine.small_farm import costed

NOT_GRAZED = {"grazed_in_late_summer": False}
MANY = {"herd": {"cows": {"head": 400}}}
"""Enough cows that grass is short in late summer."""


def lines(*changes):
    costing, _ = costed(MANY, *changes)
    (system,) = costing_document(costing)["systems"]
    return {line["line"]: line["annual_equivalent"] for line in system["lines"]}


@pytest.mark.parametrize("others", [{}, {"yard": NOT_GRAZED}])
def test_shutting_what_nobody_grazes_costs_no_late_summer_hay(others):
    shut = {"land": {"fields": {"hill": NOT_GRAZED, **others}}}

    assert lines()["late_summer_hay"] > 0
    assert lines(shut)["late_summer_hay"] == 0
    assert lines(shut)["stockpile_forage"] > 0
