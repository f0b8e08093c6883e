"""A farm whose true waste, minutes and damage are known, and what it would write down.

The truth stands in `assumptions` of a copy of the scenario; the engine tells what such a farm
feeds, works and tramples in each winter; then the truth is forgotten and only the record is kept.
"""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import replace
from functools import cache
from typing import Any

from service.costing.engine import Costing, cost
from service.costing.reference.table import load_edition
from service.costing.scenario import Scenario
from service.costing.winter import GroundDays
from service.demo import demo_document
from service.season.as_it_was import PlannedWinter, as_it_was, planned_winter
from service.season.dates import season_called
from service.season.facts import WinterFacts
from service.season.own_figures.offered import own_figures
from service.season.own_figures.ratios import RecordedWinter
from service.season.own_figures.records import OwnFigure, OwnFigures
from service.season.replayed import Quantities, replay
from service.web.reading import scenario_of

LOT = "lot_open_rings"
OPEN_RING = "hay_waste.ring_open"
BALE_LB_DM = 1050 * 0.87
"""Of the demo farm: weight of a bale, and its dry matter."""
SHEEP = ("ewes", "rams")
_COSTED: dict[int, tuple[Scenario, Costing]] = {}
"""By the id of a scenario, which is kept beside its costing so that no other takes that id."""


def cattle_alone() -> dict[str, Any]:
    """Return the demo farm without its sheep: open rings on the lot are all that it has."""
    document = deepcopy(demo_document())
    for group in SHEEP:
        del document["herd"][group]
    system = document["systems"][LOT]
    system["plan"] = [step for step in system["plan"] if step["key"] == "cattle"]
    document["systems"] = {LOT: system}
    document["limits"] = {}
    return document


def table(key: str) -> float:
    """Return the usual value of the tables."""
    return float(load_edition("2026.1").rows[key].usual)


def times(factor: float, *prefixes: str) -> dict[str, float]:
    """Return all values of the tables whose keys begin so, times a factor."""
    return {
        key: float(row.usual) * factor
        for key, row in load_edition("2026.1").rows.items()
        if key.startswith(prefixes) and not isinstance(row.usual, str) and row.usual
    }


def minutes_times(factor: float) -> dict[str, float]:
    """Return all minutes of people and machines, times a factor."""
    return {key: value for key, value in times(factor, "work.").items() if "_minutes" in key}


def planned(scenario: Scenario, season: str, system: str = LOT) -> PlannedWinter:
    """Return what a system planned for one winter."""
    winter = scenario.winter
    called = season_called(season, winter.first_day, winter.last_day)
    if id(scenario) not in _COSTED:
        _COSTED[id(scenario)] = scenario, cost(scenario)
    return planned_winter(_COSTED[id(scenario)][1], system, called)


def lived(
    scenario: Scenario,
    season: str,
    truth: Mapping[str, float],
    facts: WinterFacts | None = None,
    system: str = LOT,
) -> Quantities:
    """Return what a winter takes on a farm with these true values."""
    scenario = as_it_was(
        planned(scenario, season, system),
        facts or WinterFacts(),
        weather=True,
        price=False,
        practice=True,
    )
    true = replace(scenario, assumptions={**scenario.assumptions, **truth})
    return replay(true, system).quantities


def record(
    scenario: Scenario,
    season: str,
    truth: Mapping[str, float],
    system: str = LOT,
    **facts: Any,
) -> RecordedWinter:
    """Return the record of a winter: the bales, hours and acres that the truth leads to."""
    was = lived(scenario, season, truth, WinterFacts(**facts), system)
    written = {
        "bales_fed": was.hay_offered_lb / BALE_LB_DM,
        "labor_hours": was.labor_hours,
        "acres_to_fix": was.acres_in_all,
    }
    return noted(scenario, season, system, **{**written, **facts})


def noted(scenario: Scenario, season: str, system: str = LOT, **facts: Any) -> RecordedWinter:
    """Return a winter of which just these facts were written down."""
    return RecordedWinter(season, planned(scenario, season, system), WinterFacts(**facts))


def seasons(scenario: Scenario) -> list[str]:
    """Return the names of the scenario's winters."""
    return [row.season or "" for row in scenario.winter.rows]


def offered(
    scenario: Scenario, recorded: Sequence[RecordedWinter], system: str = LOT
) -> OwnFigures:
    """Return what is offered."""
    return own_figures(scenario, recorded, system)


def figure(found: OwnFigures, kind: str) -> OwnFigure:
    """Return one of the three figures."""
    return next(item for item in found.figures if item.kind == kind)


def value_of(found: OwnFigure, key: str) -> float:
    """Return the value that is offered for a key."""
    return next(value.own for value in found.values if value.path == f"assumptions.{key}")


def firm(days: float) -> GroundDays:
    """Return a winter of firm days alone."""
    return GroundDays(firm=days)


@cache
def cattle() -> Scenario:
    """Return the farm without sheep as a scenario."""
    return scenario_of(cattle_alone())


@cache
def whole_farm() -> Scenario:
    """Return the demo farm as a scenario."""
    return scenario_of(demo_document())
