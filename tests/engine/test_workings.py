"""Every line of every system unfolds to its inputs, and is worked again here from its JSON."""

import json
import pkgutil
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest
from pydantic import TypeAdapter

import service.costing.formulas
from service.costing.engine import cost
from service.costing.figure import BY_DEFINITION
from service.costing.formula import FORMULAS
from service.costing.lines import LINES
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.demo import demo_document

for module in pkgutil.iter_modules(service.costing.formulas.__path__):
    import_module(f"service.costing.formulas.{module.name}")

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
DOCUMENTS = {
    path.stem: json.loads(path.read_text())
    for path in sorted(FARMS.glob("*.json"))
    if "result" not in path.stem
} | {"demo": demo_document()}


@pytest.fixture(scope="module", params=sorted(DOCUMENTS))
def costing(request):
    given = DOCUMENTS[request.param]
    scenario = TypeAdapter(Scenario).validate_json(json.dumps(given))
    answer = costing_document(cost(scenario, workings=True), workings=True, given=given)
    return json.loads(json.dumps(answer, allow_nan=False))


def as_value(entry):
    value = entry["value"]
    if isinstance(value, list):
        return np.array(value, dtype=float)
    return value


def test_every_worked_figure_comes_out_the_same_from_the_json_of_its_arguments(costing):
    figures = costing["workings"]["figures"]
    values = [as_value(entry) for entry in figures]
    worked = 0
    for number, entry in enumerate(figures):
        if "formula" not in entry:
            continue
        arguments = {name: values[index] for name, index in entry["arguments"].items()}
        parts = [values[index] for index in entry.get("parts", [])]
        again = FORMULAS[entry["formula"]].function(*parts, **arguments)
        if isinstance(again, str):
            assert again == entry["value"]
        else:
            np.testing.assert_allclose(
                again, values[number], rtol=1e-12, atol=1e-12, err_msg=entry["formula"]
            )
        worked += 1
    assert worked > 100


def test_a_figure_stands_after_those_it_was_worked_from(costing):
    for number, entry in enumerate(costing["workings"]["figures"]):
        used = [*entry.get("arguments", {}).values(), *entry.get("parts", [])]
        assert all(index < number for index in used)


def test_every_leaf_is_an_input_of_the_costing_or_a_nought_or_one_by_definition(costing):
    known = set(costing["origins"])
    for entry in costing["workings"]["figures"]:
        if "formula" in entry:
            continue
        sources = entry["sources"] if isinstance(entry["sources"], list) else [entry["sources"]]
        for source in sources:
            if source is None or source == BY_DEFINITION:
                continue
            assert is_known(source, known), source


def is_known(source, known):
    """Whether a source is an input, a part of the document, or an input left at its default."""
    within = any(path.startswith(f"{source}.") for path in known)
    parent = source.rpartition(".")[0]
    left_out = any(path.startswith(f"{parent}.") for path in known)
    return source in known or within or left_out


def test_the_figures_of_the_lines_are_the_numbers_of_the_costing(costing):
    figures = costing["workings"]["figures"]
    for system in costing["systems"]:
        workings = costing["workings"]["systems"][system["system"]]
        assert list(workings["lines"]) == list(LINES)
        total = figures[workings["annual_equivalent_cost"]]["value"]
        assert np.ravel(total)[0] == system["annual_equivalent_cost"]
        for line in system["lines"]:
            at = workings["lines"][line["line"]]["annual_equivalent"]
            shown = np.array(figures[at["figure"]]["value"])[at["line"]]
            assert np.ravel(shown)[0] == line["annual_equivalent"]


def test_every_line_that_costs_money_unfolds_down_to_given_inputs(costing):
    figures = costing["workings"]["figures"]
    for system in costing["systems"]:
        workings = costing["workings"]["systems"][system["system"]]
        reached = leaves_under(figures, workings["annual_equivalent_cost"])
        assert any(source.startswith("assumptions.") for source in reached)
        assert any(source.startswith("herd.") for source in reached)
        assert "hay.bale_weight_lb" in reached or "hay.price_per_ton" in reached


def leaves_under(figures, root):
    waiting, seen, reached = [root], set(), set()
    while waiting:
        number = waiting.pop()
        if number in seen:
            continue
        seen.add(number)
        entry = figures[number]
        sources = entry.get("sources", [])
        reached |= {
            source
            for source in (sources if isinstance(sources, list) else [sources])
            if isinstance(source, str)
        }
        waiting += [*entry.get("arguments", {}).values(), *entry.get("parts", [])]
    return reached


def test_reference_values_in_the_workings_carry_unit_range_and_source(costing):
    listed = costing["workings"]["reference_values"]
    if costing["reference_edition"] == "none":
        assert listed == {}
        return
    assert len(listed) > 200
    for row in listed.values():
        assert row["unit"]
        assert row["published"]
        assert row["low"] is None or row["low"] <= row["usual"] <= row["high"]
