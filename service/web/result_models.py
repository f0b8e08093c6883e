"""The published shapes of the answers to the six questions.

For the description of the interface alone; a test holds each answer against them.
"""

from typing import Annotated, Any, Literal

from pydantic import Field

from service.web.answer_models import Kept
from service.web.costing_answer import (
    Acres,
    Days,
    HoursPerYear,
    Minutes,
    Money,
    MoneyPerHead,
    MoneyPerYear,
)

RankedBy = Annotated[
    str,
    Field(
        description="What decides which system is better: farm_margin where systems keep different "
        "herds."
    ),
]
Unit = Annotated[str, Field(description="Of the figures.")]
Side = Annotated[str | None, Field(description="Key of a system; null where it is not known.")]
Value = Annotated[float, Field(description="Of the input.")]
BySystem = dict[str, MoneyPerYear]


class BreakEvenPoint(Kept):
    """A value at which both systems cost the same."""

    value: Value
    annual_equivalent_cost: MoneyPerYear | None = Field(
        description="Of either; null where farm margins are compared."
    )
    farm_margin: MoneyPerYear | None
    costs: BySystem
    cheaper_below: Side
    cheaper_above: Side


class BreakEvenJump(Kept):
    """A value at which the other system becomes cheaper, and both never cost the same."""

    value: Value
    cheaper_below: Side
    cheaper_above: Side
    sentence: str


class EqualStretch(Kept):
    """Values over which both systems cost the same."""

    low: Value
    high: Value
    cheaper_below: Side
    cheaper_above: Side


class BreakEvenResult(Kept):
    """Every value of one input, inside a range, at which two systems cost the same."""

    input: str
    meaning: str
    unit: str = Field(description="Of the input.")
    low: Value
    base: float | None = Field(description="As the scenario has it; null if it gives none.")
    high: Value
    ranked_by: RankedBy
    figure_unit: str = Field(description="Of what is compared.")
    at_base: BySystem | None
    at_low: BySystem
    at_high: BySystem
    points: list[BreakEvenPoint]
    jumps: list[BreakEvenJump]
    equal_between: list[EqualStretch]
    same_throughout: bool
    cheaper_throughout: str | None = Field(
        description="The system that is cheaper at every value, if one is."
    )


class SensitivityRow(Kept):
    """What one input does."""

    input: str
    meaning: str
    unit: str
    low: Value
    base: Value
    high: Value
    at_low: MoneyPerYear
    at_high: MoneyPerYear
    swing: MoneyPerYear
    elasticity: float | None = Field(
        description="By how many percent the figure moves with one percent of the input."
    )
    best_at_low: str
    best_at_high: str
    lead_at_low: MoneyPerYear = Field(
        description="By how much the system that is best now leads the others; below 0 where it is "
        "not best."
    )
    lead_at_high: MoneyPerYear
    changes_best: bool
    origin: str = Field(description="given or reference.")
    source: str | None
    unverified: bool
    find_out: str | None = Field(description="How to find out the value of the farm.")
    unfed_at_low: list[str] = Field(description="Systems that leave animals unfed.")
    unfed_at_high: list[str]


class SensitivityResult(Kept):
    """What each input does to a system, the greatest swing first."""

    system: str
    figure: str
    unit: Unit
    base: MoneyPerYear
    best_system: str
    ranked_by: RankedBy
    change_best: list[str] = Field(
        description="Inputs that, at one of their ends, make another system the best."
    )
    rows: list[SensitivityRow]


class Distribution(Kept):
    """Many draws of one figure."""

    mean: MoneyPerYear
    standard_deviation: MoneyPerYear
    p05: MoneyPerYear
    p25: MoneyPerYear
    p50: MoneyPerYear
    p75: MoneyPerYear
    p95: MoneyPerYear
    worst_tenth_mean: MoneyPerYear
    certainty_equivalents: list[MoneyPerYear] = Field(
        description="One for each aversion, in their order."
    )


class WorstWinter(Kept):
    """The winter in whose draws a system costs most on average."""

    season: str
    mean: MoneyPerYear
    draws: int


class RiskOfSystem(Distribution):
    """What a system costs over all draws, and against the others in the same draws."""

    system: str
    cheapest_in_draws: int
    chance_cheapest: Annotated[float, Field(ge=0, le=1)]
    cheapest_in_winters: int
    mean_regret: MoneyPerYear = Field(
        description="What it costs more than the best of each draw, on average."
    )
    largest_regret: MoneyPerYear
    worst_winter: WorstWinter | None
    short_draws: int = Field(description="Draws in which it leaves animals unfed.")
    farm_margin: Distribution | None = Field(
        description="Where systems keep different herds: what they are compared by."
    )


class DrawnWinter(Kept):
    """A winter, and how often it was drawn."""

    season: str
    weight: float
    draws: int | None


class VariedInput(Kept):
    """An input that differs from draw to draw."""

    input: str
    unit: str
    low: Value
    usual: Value
    high: Value
    base: Value
    meaning: str
    source: str | None


class Dominance(Kept):
    """A system that is better than another whatever its owner thinks of risk."""

    better: str
    worse: str
    order: Literal[1, 2] = Field(
        description="1: for whoever would rather pay less; 2: for whoever dislikes risk besides."
    )


class RiskResult(Kept):
    """What systems cost over many draws, the same for all of them."""

    draws: int
    seed: int
    unit: Unit
    figure: str = Field(description="What systems are compared by.")
    resampled: Literal["rows", "mean"]
    winters: list[DrawnWinter]
    varied: list[str]
    ranges: list[VariedInput]
    absolute_risk_aversion: list[float]
    percentile_rule: str
    systems: list[RiskOfSystem]
    dominance: list[Dominance]


class SystemInWinter(Kept):
    """What a system comes to in one winter."""

    system: str
    value: MoneyPerYear
    rank: int


class WinterOfType(Kept):
    """A winter that stands for a type, with the systems, the best first."""

    type: Literal["driest", "median", "wettest", "driest_autumn"]
    rule: str = Field(description="Why this winter was taken.")
    season: str
    weight: float
    ground_days: dict[str, Days]
    systems: list[SystemInWinter]


class WinterTypesResult(Kept):
    """How systems stand in winters of each type."""

    figure: str
    unit: Unit
    ranked_by: RankedBy
    winters: list[WinterOfType]


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
