"""Farm margin: what a herd earns less what its winter costs, for systems with different herds."""

from typing import TYPE_CHECKING

from service.costing.averages import number

if TYPE_CHECKING:
    from service.costing.engine import Costing
    from service.costing.plan import Margin


def has_herd_change(costing: "Costing") -> bool:
    """Whether any system buys or sells animals."""
    return any(system.herd_change for system in costing.case.scenario.systems.values())


def farm_margin(costing: "Costing", key: str) -> float:
    """Return what the farm earns a year with a system.

    Sales of the groups that have a margin, less their other costs and the winter, plus what is
    got for animals sold (less what is paid for animals bought) spread over the horizon. A group's
    margin is the system's own, else the first that any system gives.
    """
    system = costing.case.scenario.systems[key]
    run = costing.systems[key].run
    margins = _margins(costing) | dict(system.margin)
    earned = 0.0
    for position, group in enumerate(costing.herd.groups):
        margin = margins.get(group)
        if margin is None:
            continue
        head = number(run.head.value[position])
        sales = margin.sold_per_head * margin.weight_lb * margin.price_per_lb
        earned += head * (sales - margin.other_costs_per_head)
    traded = -sum(change.head * change.price_per_head for change in system.herd_change.values())
    spread = traded * number(costing.money.capital_recovery.value)
    return earned + spread - number(costing.systems[key].account.annual_equivalent.value)


def _margins(costing: "Costing") -> dict[str, "Margin"]:
    found: dict[str, Margin] = {}
    for system in costing.case.scenario.systems.values():
        for group, margin in system.margin.items():
            found.setdefault(group, margin)
    return found
