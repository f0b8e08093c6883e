"""One system alone, on ground that wears as it does under the herd of today.

A farm's memory of the acres it repaired last spring is a memory of the herd of last spring. Where
herds of other sizes are looked at, the scale that this memory gives is worked once on the herd of
today and held; else every herd would be found to damage what was remembered.
"""

from dataclasses import replace

from service.costing.averages import number
from service.costing.engine import Costing
from service.costing.scenario import Scenario

TRAMPLING = "trampling.sqft_per_au_day."


def alone(scenario: Scenario, system: str) -> Scenario:
    """Return the scenario with one system, which is its own baseline.

    For scenarios without acres remembered; see `with_damage_held`.
    """
    return replace(scenario, systems={system: scenario.systems[system]}, baseline=system)


def with_damage_held(costing: Costing, system: str) -> Scenario:
    """Return the scenario of a costing with one system, and its scale of damage in the tables.

    Parameters
    ----------
    costing : Costing
        Of today's herd, with the baseline and the system.
    system : str
        Key of the system to keep.
    """
    scenario, used = costing.case.scenario, costing.case.used
    if scenario.land.acres_repaired_last_spring is None:
        return alone(scenario, system)
    scale = number(costing.scale.value)
    scaled = {key: float(used[key]) * scale for key in used if key.startswith(TRAMPLING)}
    return replace(
        alone(scenario, system),
        land=replace(scenario.land, acres_repaired_last_spring=None),
        assumptions={**scenario.assumptions, **scaled},
    )
