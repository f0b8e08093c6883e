"""An invented farm with two systems, hay alone and grass before hay, and questions asked of it."""

from copy import deepcopy
from typing import Any

from service.analysis.break_even import break_even
from service.analysis.questions import BreakEven, Sensitivity
from service.analysis.sensitivity import sensitivity
from service.analysis.subject import Subject
from service.analysis.work import answered
from service.costing.comparison import annual
from service.costing.engine import Costing, cost
from service.costing.overrides import with_settings
from service.web.reading import scenario_of
from tests.engine.small_farm import GRASS, UNROLLED, changed

HAY, STOCKPILE = "hay_alone", "grass_first"
ACRES = f"systems.{STOCKPILE}.plan.grass.acres"
FENCE = f"systems.{STOCKPILE}.structures.wire.price"
WIRE = {"kind": "fence", "length_ft": 3000, "price": 6000}


def two_systems(*changes: dict[str, Any], **more: dict[str, Any]) -> dict[str, Any]:
    """Return the document: grass of 20 acres behind a fence, against hay alone."""
    grass = {**GRASS, "key": "grass", "acres": 20}
    document = changed(
        {
            "baseline": HAY,
            "land": {"fields": {"hill": {"acres": 2000}}},
            "hay": {"price_per_ton": 60},
        },
        *changes,
    )
    document["systems"] = {
        HAY: {"plan": [deepcopy(UNROLLED)], "structures": {}},
        STOCKPILE: {"plan": [grass, deepcopy(UNROLLED)], "structures": {"wire": deepcopy(WIRE)}},
    }
    for name, system in more.items():
        document["systems"].setdefault(name, {}).update(system)
    return document


def subject_of(document: dict[str, Any]) -> Subject:
    """Return what questions are asked of."""
    return Subject(document, scenario_of(document), scenario_of)


def crossing(
    document: dict[str, Any], path: str, low: float, high: float, systems=(HAY, STOCKPILE)
) -> dict[str, Any]:
    """Ask where two systems cost the same."""
    question = BreakEven(input=path, low=low, high=high, systems=systems)
    return answered(break_even(subject_of(document), question))


def swings(document: dict[str, Any], **asked: Any) -> dict[str, Any]:
    """Ask what each input does."""
    return answered(sensitivity(subject_of(document), Sensitivity(**asked)))


def costed_with(document: dict[str, Any], path: str, value: float) -> Costing:
    """Cost the farm with another value of one input, in a run of its own."""
    return cost(scenario_of(with_settings(document, {path: value})))


def annual_with(document: dict[str, Any], path: str, value: float) -> dict[str, float]:
    """Return what each system costs a year with another value of one input."""
    costing = costed_with(document, path, value)
    return {key: annual(system) for key, system in costing.systems.items()}
