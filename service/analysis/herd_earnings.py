"""What a group earns before winter, and the sale price at which two herd sizes leave the same.

The margin of a point is linear in the sale price, so the prices are worked directly:

    margin = head x (sold per head x sale weight x price - other costs) - winter cost - animals

where animals is what is paid for those bought, less what is got for those sold, by the year.
"""

from dataclasses import dataclass
from typing import Any

from service.analysis.questions import HerdSize
from service.costing.errors import Fault
from service.costing.plan import Margin
from service.costing.scenario import Scenario

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Earnings:
    """What an animal of the group earns in a year before winter."""

    return_per_head: float
    """Sales [currency/head]."""
    other_costs_per_head: float
    """All other costs, winter left out [currency/head]."""
    sold_lb_per_head: float | None
    """Live weight sold for each head kept, if the scenario tells it [lb/head]."""

    @property
    def present_price(self) -> float | None:
        """Sale price that the return stands for [currency/lb]."""
        return self.return_per_head / self.sold_lb_per_head if self.sold_lb_per_head else None

    def margin(self, size: "Size") -> float:
        """Return what a herd leaves after winter [currency/year]."""
        return size.head * (self.return_per_head - self.other_costs_per_head) - size.cost


@dataclass(frozen=True, slots=True)
class Size:
    """A herd that is fed, and what it costs."""

    head: float
    cost: float
    """Of its winter, and of animals bought or sold [currency/year]."""


def earnings_of(
    scenario: Scenario, question: HerdSize, group: str
) -> tuple[Earnings | None, list[Fault]]:
    """Return what the question gives, and for the rest what the scenario's margins say.

    What neither says is a fault.
    """
    margin = margin_of(scenario, question.system, group)
    sold = margin.sold_per_head * margin.weight_lb if margin else None
    earned, others = question.return_per_head, question.other_costs_per_head
    if earned is None and margin is not None:
        earned = margin.sold_per_head * margin.weight_lb * margin.price_per_lb
    if others is None and margin is not None:
        others = margin.other_costs_per_head
    faults: list[Fault] = []
    place = f"systems.{question.system}.margin.{group}"
    if earned is None:
        faults.append(
            Fault(
                "return_per_head",
                f"Nothing says what {group} earn: give return_per_head, the sales of a year for "
                f"each head kept, or {place} in the scenario.",
                unit="currency/head",
            )
        )
    if others is None:
        faults.append(
            Fault(
                "other_costs_per_head",
                f"Nothing says what {group} cost beside winter: give other_costs_per_head (0 if "
                f"the return is what is left after them), or {place} in the scenario.",
                unit="currency/head",
            )
        )
    if earned is None or others is None:
        return None, faults
    return Earnings(earned, others, sold), faults


def margin_of(scenario: Scenario, system: str, group: str) -> Margin | None:
    """Return the margin of a group: the system's own, else the first that any system gives."""
    names = (system, *scenario.systems)
    owners = (scenario.systems[name].margin for name in names if name in scenario.systems)
    return next((margin[group] for margin in owners if group in margin), None)


NOTHING = Size(0.0, 0.0)
"""No herd, which leaves nothing and costs nothing."""


def price_of_same(earnings: Earnings, size: Size | None, other: Size, absent: str) -> Document:
    """Return the sale price at which two herds leave the same after winter.

    Above it the larger of the two leaves more, below it the smaller.

    Parameters
    ----------
    earnings : Earnings
        Of the group.
    size : Size, optional
        The herd that is told.
    other : Size
        What it is held against: today's herd, or `NOTHING`.
    absent : str
        Why there is no herd to tell, where there is none.
    """
    price, reason = (None, absent) if size is None else _price(earnings, size, other)
    return {"price_per_lb": price, "head": size.head if size else None, "reason": reason}


def _price(earnings: Earnings, size: Size, other: Size) -> tuple[float | None, str | None]:
    """Return the price, or None and the reason why there is none."""
    if size.head == other.head:
        return None, "This is today's herd."
    if earnings.sold_lb_per_head is None:
        return None, "The weight sold for each head kept is not known: the group has no margin."
    if earnings.sold_lb_per_head == 0:
        return None, "No young are sold, so no price of them decides."
    cost_of_more = (size.cost - other.cost) / (size.head - other.head)
    price = (cost_of_more + earnings.other_costs_per_head) / earnings.sold_lb_per_head
    if price < 0:
        return None, "The larger herd leaves more at any price."
    return price, None
