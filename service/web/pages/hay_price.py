"""What every system costs along the price of hay, and at which prices two change places."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from service.analysis.draws import drawn
from service.costing.formulas.hay import price_per_ton
from service.costing.scenario import Scenario

Document = Mapping[str, Any]

PATHS = ("hay.price_per_ton", "hay.price_per_bale")
LOWEST, HIGHEST = 0.5, 2.0
"""How far the price is followed, as shares of the one that was costed."""
PRICES = 31
LEAST_LEAD = 1e-9


@dataclass(frozen=True, slots=True)
class Crossing:
    """A price at which two systems cost the same."""

    price: float
    cost: float
    cheaper_below: str
    cheaper_above: str


@dataclass(frozen=True, slots=True)
class HayPrices:
    """Systems along the price of hay."""

    unit: str
    """``ton`` or ``bale``."""
    base: float
    prices: list[float]
    costs: Mapping[str, list[float]]
    """Annual equivalent cost at each price [currency/year]."""
    best: list[str]
    """Which is first at each price."""
    crossings: list[Crossing]
    """In what systems are ranked by, from the lowest price."""
    bale_weight_lb: float
    """Of the farm's bales [lb/bale]."""

    @property
    def changes_of_best(self) -> list[Crossing]:
        """Prices at which the first place changes hands."""
        found: list[Crossing] = []
        for place, (one, other) in enumerate(zip(self.best, self.best[1:], strict=False)):
            if one != other:
                low, high = self.prices[place], self.prices[place + 1]
                found += [
                    item
                    for item in self.crossings
                    if low <= item.price <= high
                    and (item.cheaper_below, item.cheaper_above) == (one, other)
                ][:1]
        return found

    def for_picture(self) -> Document:
        """Return what the picture of it needs: prices by the ton, by which it is drawn."""
        return {
            "prices": [self._by_the_ton(price) for price in self.prices],
            "costs": self.costs,
            "crossings": [
                {
                    "value": self._by_the_ton(item.price),
                    "cost": item.cost,
                    "systems": [item.cheaper_below, item.cheaper_above],
                }
                for item in self.crossings
            ],
        }

    def _by_the_ton(self, price: float) -> float:
        return price if self.unit == "ton" else float(price_per_ton(price, self.bale_weight_lb))


def hay_prices(scenario: Scenario, hay: Document) -> HayPrices | None:
    """Cost all systems along the price of hay, in one run.

    Cost is linear in the price, so a crossing between two prices of the run is exact.

    Parameters
    ----------
    scenario : Scenario
        What was costed.
    hay : mapping
        Its hay.

    Returns
    -------
    HayPrices or None
        None where hay has no price, or one of nothing.
    """
    path = next((path for path in PATHS if hay.get(path.rpartition(".")[2])), None)
    if path is None:
        return None
    base = float(hay[path.rpartition(".")[2]])
    step = (HIGHEST - LOWEST) / (PRICES - 1)
    prices = [base * (LOWEST + step * place) for place in range(PRICES)]
    found = drawn(scenario, {path: _array(prices)})
    scores = dict(zip(found.systems, found.scores.tolist(), strict=True))
    costs = dict(zip(found.systems, found.costs.tolist(), strict=True))
    crossings = [
        crossing
        for one, other in combinations(found.systems, 2)
        for crossing in _crossings(prices, scores, costs, one, other)
    ]
    return HayPrices(
        unit=path.rpartition("_")[2],
        base=base,
        prices=prices,
        costs=costs,
        best=found.best,
        crossings=sorted(crossings, key=lambda item: item.price),
        bale_weight_lb=float(hay["bale_weight_lb"]),
    )


def _array(values: Sequence[float]) -> Any:  # noqa: ANN401 - an array of numpy
    import numpy as np  # noqa: PLC0415 - takes time to import

    return np.array(values)


def _crossings(
    prices: Sequence[float],
    scores: Mapping[str, Sequence[float]],
    costs: Mapping[str, Sequence[float]],
    one: str,
    other: str,
) -> list[Crossing]:
    gaps = [a - b for a, b in zip(scores[one], scores[other], strict=True)]
    size = max(abs(value) for value in (*scores[one], *scores[other]))
    found: list[Crossing] = []
    for place in range(len(gaps) - 1):
        before, after = gaps[place], gaps[place + 1]
        if before == 0 or before * after > 0 or abs(after - before) <= LEAST_LEAD * size:
            continue
        part = before / (before - after)
        price = prices[place] + part * (prices[place + 1] - prices[place])
        cost = costs[one][place] + part * (costs[one][place + 1] - costs[one][place])
        pair = (one, other) if before < 0 else (other, one)
        found.append(Crossing(price, cost, *pair))
    return found
