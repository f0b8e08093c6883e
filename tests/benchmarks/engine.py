"""The engine alone, on the demo farm."""

import copy
import gc
import json

import numpy as np
from pydantic import TypeAdapter

from service.costing.check_first import check_first_of
from service.costing.engine import cost
from service.costing.result import costing_document
from service.costing.scenario import Scenario
from service.costing.workings import workings_of
from service.demo import demo_document
from tests.benchmarks.measure import Measure, least


def yardstick() -> object:
    """Do a fixed piece of NumPy work: a thousand small operations, as the engine has them."""
    a = np.ones((6, 4, 1, 13))
    b = np.ones((6, 1, 1, 1))
    product = a
    for _ in range(1_000):
        product = a * b
    return product


def scenario_of(document: dict) -> Scenario:
    """Read a document."""
    return TypeAdapter(Scenario).validate_json(json.dumps(document))


def with_winters(document: dict, count: int) -> Scenario:
    """Return the demo with its winters repeated."""
    longer = copy.deepcopy(document)
    rows = longer["winter"]["rows"]
    longer["winter"]["rows"] = [
        rows[number % len(rows)] | {"season": f"winter {number}"} for number in range(count)
    ]
    return scenario_of(longer)


def engine_measures() -> list[Measure]:
    """One farm, with and without workings, and many winters."""
    document = demo_document()
    scenario = scenario_of(document)
    cost(scenario)
    gc.collect()
    gc.freeze()  # as the server does when it starts
    dozen, many = with_winters(document, 12), with_winters(document, 12_000)
    costing = cost(scenario)
    kept = cost(scenario, workings=True)
    ratio = least(lambda: cost(many), 5) / least(lambda: cost(dozen), 10)
    return [
        Measure("yardstick: 1,000 small NumPy operations", least(yardstick), "ms"),
        Measure("engine, demo farm, no workings", least(lambda: cost(scenario)), "ms", 10),
        Measure(
            "engine, demo farm, with workings",
            least(lambda: workings_of(cost(scenario, workings=True)), 20),
            "ms",
            25,
        ),
        Measure("  of it: writing the workings down", least(lambda: workings_of(kept), 20), "ms"),
        Measure("what to check first", least(lambda: check_first_of(costing), 10), "ms"),
        Measure(
            "whole document without workings", least(lambda: costing_document(costing), 10), "ms"
        ),
        Measure("12,000 winters / 12 winters", ratio, "times", 40),
    ]
