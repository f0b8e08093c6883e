"""Farm margin: what a herd earns less what its winter costs, for systems with different herds."""

from typing import TYPE_CHECKING

import numpy as np

from service.costing.averages import number
from service.costing.units import Array

if TYPE_CHECKING:
    from service.costing.engine import Costing


def has_herd_change(costing: "Costing") -> bool:
    """Whether any system buys or sells animals."""
    return any(system.herd_change for system in costing.case.scenario.systems.values())


def farm_margin(costing: "Costing", key: str) -> float:
    """Return what the farm earns a year with a system [currency/year]."""
    cost = costing.systems[key].account.annual_equivalent.value
    return number(earned_before_winter(costing, key) - cost)


def earned_before_winter(costing: "Costing", key: str) -> Array:
    """Return what the farm earns a year with a system before the winter is paid for.

    Sales of the groups that have a margin, less their other costs, plus what is got for animals
    sold (less what is paid for animals bought) spread over the horizon. A group's margin is the
    system's own, else the first that any system gives.

    Returns
    -------
    ndarray of shape (draws, rows)
        What is earned; 1 where it does not differ [currency/year].
    """
    given = costing.case.given
    systems = costing.case.scenario.systems
    run = costing.systems[key].run
    earned: Array = np.zeros((1, 1))
    for position, group in enumerate(costing.herd.groups):
        owner = next((name for name in (key, *systems) if group in systems[name].margin), None)
        if owner is None:
            continue
        margin, path = systems[owner].margin[group], f"systems.{owner}.margin.{group}"
        sold = given(f"{path}.sold_per_head", margin.sold_per_head, "head/head").value
        weight = given(f"{path}.weight_lb", margin.weight_lb, "lb/head").value
        price = given(f"{path}.price_per_lb", margin.price_per_lb, "currency/lb").value
        others = given(
            f"{path}.other_costs_per_head", margin.other_costs_per_head, "currency/head"
        ).value
        head = run.head.value[position, 0]
        earned = earned + head * (sold * weight * price - others)
    for group, change in systems[key].herd_change.items():
        path = f"systems.{key}.herd_change.{group}"
        head = given(f"{path}.head", change.head, "head").value
        price = given(f"{path}.price_per_head", change.price_per_head, "currency/head").value
        earned = earned - head * price * costing.money.capital_recovery.value
    return earned
