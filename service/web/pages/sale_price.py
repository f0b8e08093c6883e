"""At which sale price of young a system that sells or buys animals leaves as much as today."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.analysis.draws import drawn
from service.costing.plan import Margin
from service.costing.scenario import Scenario

LOWEST, HIGHEST = 0.25, 2.0
"""How far the sale price is followed, as shares of the one that was given."""


@dataclass(frozen=True, slots=True)
class SalePrice:
    """A change of herd, and the sale price that decides whether it leaves more than today."""

    system: str
    group: str
    head: float
    """Bought, or sold if less than 0 [head]."""
    price: float | None
    """None where none in the range decides [currency/lb]."""
    better_below: bool
    """Whether the change leaves more below the price; where there is none, throughout."""
    low: float
    high: float


def sale_prices(scenario: Scenario) -> list[SalePrice]:
    """Return the deciding price of each change of one group that has a margin."""
    return list(_prices(scenario))


def _prices(scenario: Scenario) -> Iterator[SalePrice]:
    for key, system in scenario.systems.items():
        for group, change in system.herd_change.items():
            owners = _owners(scenario, group)
            if key == scenario.baseline or not owners or change.head == 0:
                continue
            yield from _price(scenario, key, group, owners)


def _owners(scenario: Scenario, group: str) -> dict[str, Margin]:
    return {
        name: system.margin[group]
        for name, system in scenario.systems.items()
        if group in system.margin
    }


def _price(
    scenario: Scenario, key: str, group: str, owners: Mapping[str, Margin]
) -> Iterator[SalePrice]:
    base = next(iter(owners.values()))
    if base.price_per_lb * base.sold_per_head == 0:
        return
    low, high = LOWEST * base.price_per_lb, HIGHEST * base.price_per_lb
    values = _array([low, high])
    varied = {f"systems.{name}.margin.{group}.price_per_lb": values for name in owners}
    found = drawn(scenario, varied, (key, scenario.baseline))
    at_low, at_high = (found.scores[0] - found.scores[1]).tolist()
    price = None
    if at_low * at_high < 0:  # what is earned is linear in the price
        price = low + (high - low) * at_low / (at_low - at_high)
    head = scenario.systems[key].herd_change[group].head
    yield SalePrice(key, group, head, price, at_low < 0, low, high)


def _array(values: Sequence[float]) -> Any:  # noqa: ANN401 - an array of numpy
    import numpy as np  # noqa: PLC0415 - takes time to import

    return np.array(values)
