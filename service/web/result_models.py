"""The published shapes of the answers to four of the six questions.

For the description of the interface alone; a test holds each answer against them.
"""

from typing import Annotated, Literal

from pydantic import Field

from service.web.answer_models import Kept
from service.web.costing_answer import Days, MoneyPerYear

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
