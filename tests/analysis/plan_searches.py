"""Searches for plans on the farms of the tests, and plans costed one by one beside them."""

import json
from pathlib import Path
from typing import Any

from service.analysis.plans import PlanSearch, plans_within_limits
from service.analysis.questions import Allowed, PlanLimits, PlansWithinLimits
from service.analysis.work import answered
from service.costing.engine import cost
from service.costing.result import costing_document
from service.demo import demo_document
from service.web.reading import scenario_of
from tests.analysis.hand_farm import asked_of

FARMS = Path(__file__).parents[1] / "data" / "worked_farms"
CLOSE = 1e-9
FIGURES = (
    "annual_equivalent_cost",
    "money_up_front",
    "first_year_cash",
    "labor_hours",
    "minutes_weekday",
    "acres_damaged",
)


def farm(name: str) -> dict[str, Any]:
    """Return the document of a farm."""
    return demo_document() if name == "demo" else json.loads((FARMS / f"{name}.json").read_text())


WORKED = {**farm("worked_farm"), "reference_edition": "2026.1"}
"""A farm of cows alone; what its own figures leave out is taken from the tables."""


def search(document: dict[str, Any], start_from: str, **more: Any) -> PlanSearch:
    """Return a search on its way; ``limits`` and ``allow`` are given as dicts."""
    limits = PlanLimits(**more.pop("limits", {}))
    allow = Allowed(**more.pop("allow", {}))
    question = PlansWithinLimits(start_from=start_from, limits=limits, allow=allow, **more)
    work = plans_within_limits(asked_of(document), question)
    assert isinstance(work, PlanSearch)
    return work


def searched(document: dict[str, Any], start_from: str, **more: Any) -> dict[str, Any]:
    """Return the answer to a search."""
    return answered(search(document, start_from, **more))


def costed_alone(document: dict[str, Any], system: dict[str, Any]) -> dict[str, float]:
    """Return the figures of a system by a costing of it and the baseline, one by one."""
    baseline = document["baseline"]
    systems = {baseline: document["systems"][baseline], "alone": system}
    return figures_in(
        costing_document(cost(scenario_of({**document, "systems": systems}))), "alone"
    )


def figures_in(costing: dict[str, Any], key: str) -> dict[str, float]:
    """Return the figures of a system as the document of a costing has them."""
    system = next(item for item in costing["systems"] if item["system"] == key)
    quantities = system["quantities"]
    return {
        "annual_equivalent_cost": system["annual_equivalent_cost"],
        "money_up_front": system["first_cost"],
        "first_year_cash": system["first_year_cash"],
        "labor_hours": quantities["labor_hours"],
        "minutes_weekday": quantities["minutes"]["ordinary_day"],
        "acres_damaged": sum(quantities["acres_damaged"].values()),
    }


def shown(plan: dict[str, Any]) -> dict[str, float]:
    """Return the figures that an answer shows of a plan."""
    return {name: plan[name] for name in FIGURES}
