"""The published shape of the answer to a search for plans within limits.

For the description of the interface alone; a test holds an answer against it.
"""

from typing import Annotated, Any

from pydantic import Field

from service.web.answer_models import Kept
from service.web.costing_answer import Acres, HoursPerYear, Minutes, Money, MoneyPerYear
from service.web.result_models import Unit


class PlanFigures(Kept):
    """What a plan comes to."""

    annual_equivalent_cost: MoneyPerYear
    money_up_front: Money
    first_year_cash: Money
    labor_hours: HoursPerYear
    minutes_weekday: Minutes
    acres_damaged: Acres


Misses = Annotated[
    dict[str, float], Field(description="By how much it is over each limit that it breaks.")
]


class PlanFound(PlanFigures):
    """A plan, ready to be put into the scenario."""

    title: str
    system: dict[str, Any] = Field(description="As it stands in a scenario document.")
    patch: dict[str, Any] = Field(description="Merge patch that adds it to the scenario.")


class RankedPlan(PlanFound):
    """A plan that keeps within the limits."""

    rank: int


class NearestPlan(PlanFound):
    """The plan that breaks one limit least."""

    limit: str
    misses: Misses


class PlanToStartFrom(PlanFigures):
    """The system whose plan was varied."""

    system: str
    meets: bool
    misses: Misses


class PlansWithinLimitsResult(Kept):
    """The plans that keep within limits, the cheapest first."""

    unit: Unit
    searched: int
    plans_in_all: int
    exhaustive: bool = Field(description="Whether every plan was looked at.")
    skipped: int
    skipped_because: dict[str, int]
    feasible: int
    limits: dict[str, float]
    binding: list[str] = Field(description="Limits that keep a cheaper plan out.")
    start_from: PlanToStartFrom
    plans: list[RankedPlan]
    nearest: list[NearestPlan] = Field(description="Where none keeps within the limits.")
