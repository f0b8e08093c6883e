"""Winter cost and days served for many herd sizes at once, by a run of the engine."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from service.costing.averages import mean_of
from service.costing.case import Case
from service.costing.engine import Costing, worked
from service.costing.figure import Figure
from service.costing.scenario import Scenario
from service.costing.units import NEGLIGIBLE, Array


@dataclass(frozen=True, slots=True)
class Fed:
    """One herd size as it is fed through the winter."""

    winter_cost: float
    """Annual equivalent; not the whole where animals are left unfed [currency/year]."""
    served_days: Mapping[str, float]
    """By step, the largest over the groups, mean of the winters [day]."""
    days_unfed: float
    """Most days of any winter on which animals of a group have no place to be fed [day]."""


def fed(scenario: Scenario, varied: Mapping[str, Sequence[float]]) -> list[Fed]:
    """Return how each herd size is fed.

    Parameters
    ----------
    scenario : Scenario
        With one system alone.
    varied : mapping of str to sequence of float
        Values of inputs by path, one for each herd size.
    """
    arrays: dict[str, Array] = {
        path: np.array(values, float)[:, None] for path, values in varied.items()
    }
    count = max(len(values) for values in arrays.values())
    costing = worked(Case(scenario, varied=arrays))
    system = costing.systems[scenario.baseline]
    costs = _each(system.account.annual_equivalent.value[:, 0], count)
    served = {
        step.key: _each(_served(costing, step.served), count).tolist() for step in system.run.steps
    }
    unfed = _each(np.max(np.sum(system.run.left.value, axis=1), axis=(0, -1)), count)
    return [
        Fed(
            winter_cost=float(costs[number]),
            served_days={step: days[number] for step, days in served.items()},
            days_unfed=float(unfed[number]) if unfed[number] > NEGLIGIBLE else 0.0,
        )
        for number in range(count)
    ]


def without_step(scenario: Scenario, key: str) -> Scenario | None:
    """Return a scenario of one system without a step that shuts no acres, None if it has no other.

    Left in the plan the step would have animals switch to it and back, at a cost.
    """
    system = scenario.systems[scenario.baseline]
    plan = [replace(step, key=name) for name, step in system.steps.items() if name != key]
    if not plan:
        return None
    return replace(scenario, systems={scenario.baseline: replace(system, plan=plan)})


def _served(costing: Costing, served: Figure) -> Array:
    longest = np.max(served.value, axis=0)
    return np.sum(mean_of(costing.winters, Figure(longest, "day")), axis=0)


def _each(values: Array, count: int) -> Array:
    return np.broadcast_to(values, (count,))
