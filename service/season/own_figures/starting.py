"""What the estimates start from: the values of the tables, the same for every recorded winter.

A value that a scenario gives in the place of the tables' is set aside. It may be one that was
offered here and accepted: if the estimates started from it, the same winters would count again each
time they are looked at.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from math import inf
from statistics import fmean

from service.analysis.held_damage import TRAMPLING, alone
from service.costing.averages import number
from service.costing.engine import Costing, SystemCosting, cost
from service.costing.reference.keys import template_of
from service.costing.reference.table import Row, load_edition, newest_edition
from service.costing.scenario import Scenario
from service.costing.units import STATES
from service.season.figures import figure_of
from service.season.own_figures.shrinkage import spread_of_range

HAY_WASTE = "hay_waste."


@dataclass(frozen=True)
class Starting:
    """The scenario that figures are offered for, and what they start from."""

    scenario: Scenario
    system: str
    costing: Costing
    """Of all its systems."""
    own_keys: frozenset[str]
    """Numeric reference values that the system reads."""

    @property
    def scale(self) -> float | None:
        """Scale of damage by the acres remembered from last spring; None without such acres."""
        if self.scenario.land.acres_repaired_last_spring is None:
            return None
        return number(self.costing.scale.value)

    def value(self, key: str) -> float | None:
        """Return the value that the estimates start from; None if the tables have none.

        Damage that is scaled to the acres remembered starts from what is in use, scaled: the farm
        has fitted these values to itself already.
        """
        row = row_of(self.scenario, key)
        if row is None:
            return None
        scale = self.scale if key.startswith(TRAMPLING) else None
        if scale is None:
            return float(row.usual)
        return (in_use(self.scenario, key) or 0.0) * scale

    def values(self, keys: Collection[str]) -> dict[str, float]:
        """Return those of some values that are not 0, by key; 0 stays 0 whatever it is times."""
        found = {key: self.value(key) for key in sorted(keys)}
        return {key: value for key, value in found.items() if value}

    def spread(self, keys: Collection[str]) -> float:
        """Return the mean spread of the logarithms of some values, by their ranges."""
        rows = [row_of(self.scenario, key) for key in keys]
        ranges = [(row.low, row.high) for row in rows if row is not None]
        known = [spread_of_range(low, high) for low, high in ranges if low and high]
        return fmean(known) if known else figure_of("own.reference_spread").usual


def starting(current: Scenario, system: str) -> Starting:
    """Return what the estimates for one system of a scenario start from.

    Parameters
    ----------
    current : Scenario
        The one that the figures are offered for.
    system : str
        Key of one of its systems.

    Raises
    ------
    InputError
        If the scenario cannot be costed.
    """
    costing = cost(current)
    if len(current.systems) == 1:
        only = costing
    else:
        land = replace(current.land, acres_repaired_last_spring=None)
        only = cost(replace(alone(current, system), land=land))
    return Starting(current, system, costing, numbers_read(only, only.systems[system]))


def numbers_read(costing: Costing, system: SystemCosting) -> frozenset[str]:
    """Return the keys of waste, minutes and damage that the only system of a costing reads."""
    read = {key for key in costing.case.used if key.startswith((HAY_WASTE, TRAMPLING))}
    tasks = system.labor.tasks if system.labor else []
    cells = [
        cell for item in tasks for cell in (item.task.person_minutes, item.task.machine_minutes)
    ]
    return frozenset(read | {cell[0].removeprefix("assumptions.") for cell in cells if cell})


def at_values(scenario: Scenario, values: Mapping[str, float]) -> Scenario:
    """Return a scenario with some reference values replaced."""
    return replace(scenario, assumptions={**scenario.assumptions, **values})


def in_use(scenario: Scenario, key: str) -> float | None:
    """Return the value that a scenario is costed with; None if nobody gives one."""
    given = scenario.assumptions.get(key)
    if given is not None:
        return float(given)
    row = row_of(scenario, key)
    return float(row.usual) if row else None


def row_of(scenario: Scenario, key: str) -> Row | None:
    """Return the row of a scenario's tables; None if they have none with a number."""
    name = scenario.reference_edition or newest_edition()
    row = load_edition(name).rows.get(key)
    return None if row is None or isinstance(row.usual, str) else row


def most_of(scenario: Scenario, key: str) -> float:
    """Return the largest value that a key allows; of waste, with what the ground adds to it."""
    template = template_of(key)
    most = inf if template is None or template.maximum is None else template.maximum
    if not key.startswith(HAY_WASTE):
        return most
    way = key.removeprefix(HAY_WASTE)
    added = (in_use(scenario, f"hay_waste_added.{way}.{state}") or 0.0 for state in STATES)
    return most - max(0.0, *added)
