"""The published shape of the answer to a herd size question.

For the description of the interface alone; a test holds an answer against it.
"""

from pydantic import Field

from service.web.answer_models import Kept
from service.web.costing_answer import Acres, Days, MoneyPerHead, MoneyPerYear
from service.web.result_models import Unit


class HeadSwept(Kept):
    """The animals whose number is varied."""

    input: str
    group: str
    present: float


class AcresSwept(Kept):
    """The acres that are varied."""

    input: str
    step: str
    present: Acres


class HerdChoice(Kept):
    """One herd size with what it leaves."""

    head: float
    bought: float = Field(0, description="Where the animals bought are varied.")
    acres: Acres = Field(0, description="Where they are varied.")
    farm_margin: MoneyPerYear


class HerdPoint(Kept):
    """One herd size."""

    head: float
    bought: float = Field(0, description="Where the animals bought are varied.")
    acres: Acres = Field(0, description="Where they are varied.")
    winter_cost: MoneyPerYear | None = Field(description="Null where animals are left unfed.")
    farm_margin: MoneyPerYear | None
    served_days: dict[str, Days]
    fed: bool
    days_unfed: Days


class SalePrice(Kept):
    """The sale price at which two herds leave the same after winter."""

    price_per_lb: float | None
    head: float | None
    reason: str | None = Field(description="Why there is none.")


class SalePrices(Kept):
    """The sale prices that decide."""

    margin_zero: SalePrice
    today_against_best: SalePrice
    today_against_fewer: SalePrice
    today_against_more: SalePrice


class HerdSizeResult(Kept):
    """What the farm earns with more or fewer animals."""

    system: str
    unit: Unit
    head: HeadSwept
    acres: AcresSwept | None
    return_per_head: MoneyPerHead
    other_costs_per_head: MoneyPerHead
    points: list[HerdPoint]
    today: HerdPoint
    best: HerdChoice | None = Field(description="Null where no herd asked for can be fed.")
    plateau: list[HerdChoice] = Field(description="Others that leave nearly as much.")
    at_edge: bool | None = Field(
        description="Whether the best lies at the border of what was asked for; then it is no "
        "optimum."
    )
    edges: list[str]
    present_price_per_lb: float | None
    break_even_price_per_lb: SalePrices
