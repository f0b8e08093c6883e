"""Whatever is answered, or left open, makes a scenario that can be costed."""

from hypothesis import HealthCheck, assume, given, settings

from service.costing.checks import faults_of
from service.costing.document import leaves
from service.costing.engine import cost
from service.quick_start import filled, three_guesses
from service.quick_start.agreement import disagreements
from service.quick_start.answers import answers_of
from service.web.reading import scenario_of
from tests.quick_start.answering import answers

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@settings(max_examples=60, suppress_health_check=SLOW)
@given(sent=answers())
def test_any_answers_make_a_scenario_without_faults_that_costs(sent):
    known, faults = answers_of(sent)
    assert faults == []
    assume(not list(disagreements(known)))
    found = filled(sent, scenario_of)
    scenario = scenario_of(found.document)
    assert faults_of(scenario) == []
    costing = cost(scenario)
    assert {"today", "better_feeders"} <= set(costing.systems)
    assert set(found.origins) == set(leaves(found.document))
    for row in found.guessed:
        if not isinstance(row["value"], str):
            assert row["low"] <= row["value"] <= row["high"]


@settings(max_examples=8, suppress_health_check=SLOW)
@given(sent=answers())
def test_any_answers_have_at_most_three_guesses_to_check(sent):
    known, _ = answers_of(sent)
    assume(not list(disagreements(known)))
    found = filled(sent, scenario_of)
    three = three_guesses(found, scenario_of)
    assert len(three) <= 3
    given_paths = {path for path, origin in found.origins.items() if origin == "given"}
    assert not given_paths & {row["input"] for row in three}


@settings(max_examples=8, suppress_health_check=SLOW)
@given(sent=answers())
def test_the_same_answers_make_the_same_scenario(sent):
    known, _ = answers_of(sent)
    assume(not list(disagreements(known)))
    assert filled(sent, scenario_of) == filled(sent, scenario_of)
