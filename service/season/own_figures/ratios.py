"""One recorded winter on the engine: what it was taken to be, and the factor at which it fits."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from importlib import import_module

import numpy as np

from service.costing.case import Case
from service.costing.engine import Costing, SystemCosting, cost, worked
from service.costing.errors import InputError
from service.costing.scenario import Scenario
from service.costing.units import Array
from service.season.as_it_was import PlannedWinter, as_it_was
from service.season.facts import WinterFacts
from service.season.figures import figure_of
from service.season.own_figures.records import LeftOut, SeasonRatio
from service.season.own_figures.starting import Starting, at_values, numbers_read

ALIKE = 1e-10
"""Amounts closer than this share of the recorded one are the same."""
XTOL = 1e-10
"""Of a factor."""

Amount = Callable[[Costing, SystemCosting], Array]
"""What is recorded, as the engine has it, shape (draws,)."""


@dataclass(frozen=True)
class RecordedWinter:
    """One winter that somebody wrote down, and the system that it was planned with."""

    season: str
    planned: PlannedWinter
    facts: WinterFacts


@dataclass(frozen=True)
class Told:
    """What a winter tells of a figure."""

    ratio: SeasonRatio
    keys: frozenset[str]
    """Of the reference values that were in it."""


@dataclass(frozen=True)
class WinterRead:
    """A recorded winter, costed with weather and practice as they were and values of the tables."""

    recorded: RecordedWinter
    scenario: Scenario
    costing: Costing
    values: Mapping[str, float]
    """Reference values that it reads and that the estimates start from, by key."""

    @property
    def facts(self) -> WinterFacts:
        """What was written down."""
        return self.recorded.facts

    @property
    def system(self) -> SystemCosting:
        """The system that was used."""
        return self.costing.systems[self.recorded.planned.key]

    def of_kind(self, prefix: str) -> dict[str, float]:
        """Return those of the values whose keys begin so."""
        return {key: value for key, value in self.values.items() if key.startswith(prefix)}

    def expected(self, amount: Amount) -> float:
        """Return what the engine has for such a winter."""
        return float(amount(self.costing, self.system)[0])

    def at(self, amount: Amount, values: Mapping[str, float], factors: Array) -> Array:
        """Return an amount with some values times each of some factors."""
        varied = {f"assumptions.{key}": value * factors[:, None] for key, value in values.items()}
        costing = worked(Case(self.scenario, varied=varied))
        found = amount(costing, costing.systems[self.recorded.planned.key])
        return np.broadcast_to(found, factors.shape)

    def with_values(self, values: Mapping[str, float]) -> "WinterRead":
        """Return the winter costed with other values.

        Raises
        ------
        InputError
            If the system then does not serve every day.
        """
        scenario = at_values(self.scenario, values)
        return replace(self, scenario=scenario, costing=cost(scenario))


def read_winter(start: Starting, recorded: RecordedWinter) -> WinterRead | LeftOut:
    """Cost a recorded winter with weather and practice as they were, at values of the tables.

    Bales weigh what they weighed that winter; prices are the plan's, since no amount hangs on them.
    """
    scenario = as_it_was(recorded.planned, recorded.facts, weather=True, price=False, practice=True)
    if recorded.facts.bale_weight_lb is not None:
        hay = replace(scenario.hay, bale_weight_lb=recorded.facts.bale_weight_lb)
        scenario = replace(scenario, hay=hay)
    try:
        planned = cost(scenario)
        read = numbers_read(planned, planned.systems[recorded.planned.key])
        values = start.values(read)
        scenario = at_values(scenario, values)
        return WinterRead(recorded, scenario, cost(scenario), values)
    except InputError as error:
        why = f"the plan does not fit that winter: {error.faults[0].detail}"
        return LeftOut(recorded.season, why)


def factor_at(
    winter: WinterRead,
    amount: Amount,
    values: Mapping[str, float],
    recorded: float,
    most: float | None = None,
) -> float | None:
    """Return the factor on some values at which the engine has what was recorded.

    The amount never falls as the factor grows. Where it stays the same over a stretch, as where all
    the ground is gone, the factor nearest to 1 is taken.

    Parameters
    ----------
    winter : WinterRead
        The winter.
    amount : callable
        Reads the amount off a costing.
    values : mapping of str to float
        Values to be multiplied, by key.
    recorded : float
        The amount that was recorded, above 0.
    most : float, optional
        The largest factor that the values allow.

    Returns
    -------
    float or None
        At least ``own.least_ratio``; None if even the largest factor gives less than was recorded.
    """
    least, largest = figure_of("own.least_ratio").usual, figure_of("own.most_ratio").usual
    if most is not None:
        largest = max(1.0, min(largest, most))
    low, usual, high = winter.at(amount, values, np.array([least, 1.0, largest]))
    near = ALIKE * recorded
    if abs(usual - recorded) <= near:
        return 1.0
    if high < recorded - near:
        return None
    if low >= recorded - near:
        return least
    up = recorded > usual
    # a hair short of what was recorded, so that a flat stretch is met at its near end
    target = recorded - near if up else recorded + near

    known = {least: low, 1.0: usual, largest: high}

    def gap(factor: float) -> float:
        found = known.get(factor)
        if found is None:
            found = winter.at(amount, values, np.array([factor]))[0]
        return float(found) - target

    ends = (1.0, largest) if up else (least, 1.0)
    return float(import_module("scipy.optimize").brentq(gap, *ends, xtol=XTOL))
