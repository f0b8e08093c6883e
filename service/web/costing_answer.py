"""The published shape of a costing, for the description of the interface alone.

The engine makes the answer; nothing is checked against this on the way out. A test does that.
"""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field
from pydantic.json_schema import WithJsonSchema


class Part(BaseModel):
    """What all parts share."""

    model_config = ConfigDict(extra="forbid")


def _number(unit: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "number", "x-unit": unit})


PerYear = Annotated[float, _number("currency/year")]
Money = Annotated[float, _number("currency")]
Days = Annotated[float, _number("day")]
Tons = Annotated[float, _number("ton")]
TonsDM = Annotated[float, _number("ton DM")]
Bales = Annotated[float, _number("bale")]
Hours = Annotated[float, _number("hour/year")]
Pounds = Annotated[float, _number("lb")]
Acres = Annotated[float, _number("acre")]
PerHead = Annotated[float, _number("currency/head")]
Rate = Annotated[float, _number("fraction/year")]
Years = Annotated[float, _number("year")]
ByKey = dict[str, Any]


class MeanWinter(Part):
    """The mean of the winters."""

    days: Days
    ground_days: dict[str, Days]


class WinterCost(Part):
    """What a system costs if every winter is like one of them."""

    season: str
    annual_equivalent_cost: PerYear


class LineOfCost(Part):
    """One line of a system's cost."""

    line: str = Field(description="Key of the line.")
    title: str
    group: str = ""
    annual_equivalent: PerYear
    by_kind: dict[str, PerYear] = Field(description="Paid, own labor, home-grown and so on.")
    by_year: list[Money] = Field(description="Flow of each year, year 0 first.")


class Quantities(BaseModel):
    """Physical quantities of a mean winter."""

    model_config = ConfigDict(extra="allow")

    hay_needed_ton: Tons
    hay_bought_ton: Tons
    hay_wasted_ton_dm: TonsDM
    bales: dict[str, Bales]
    labor_hours: Hours
    machine_hours: Hours
    acres_damaged: dict[str, Acres]
    served_days: dict[str, dict[str, Days]]
    comfort: dict[str, dict[str, Days]]


class SystemCost(BaseModel):
    """What one system costs and takes."""

    model_config = ConfigDict(extra="allow")

    system: str = Field(description="Key of the system.")
    title: str | None
    rank: int = Field(description="1 is the cheapest.")
    tie_with: list[str] = Field(description="Systems that are too close to call on money.")
    annual_equivalent_cost: PerYear
    out_of_pocket: PerYear
    without_cost_share: PerYear
    cost_per_head: dict[str, PerHead]
    cost_per_animal_unit_day: float
    cost_per_ton_dm_eaten: float | None
    net_present_cost: Money
    first_year_cash: Money
    peak_yearly_cash: Money
    by_winter: list[WinterCost]
    cheapest_in_winters: int
    lines: list[LineOfCost]
    quantities: Quantities
    limits: ByKey
    structures: list[ByKey]
    shortfalls: list[Any]
    warnings: list[Any]
    cautions: list[Any]


class Against(BaseModel):
    """One system held against the baseline."""

    model_config = ConfigDict(extra="allow")

    system: str
    annual_difference: PerYear
    by_line: dict[str, PerYear]
    extra_investment: Money
    net_present_value: Money
    internal_rate: Rate | None
    internal_rate_reason: str | None
    modified_internal_rate: Rate | None
    discounted_payback_years: Years | None
    flow_by_year: list[Money]


class Comparison(Part):
    """All systems held against the baseline."""

    baseline: str
    against: list[Against]


class Costing(BaseModel):
    """A costing: every system of a scenario, costed and compared."""

    model_config = ConfigDict(extra="allow")

    content_key: str = Field(description="The same for the same question, engine and edition.")
    engine_version: str
    reference_edition: str
    currency: str
    inputs_used: dict[str, Any] = Field(
        description="The whole scenario as it was costed; posted back, it gives the same answer."
    )
    origins: dict[str, str] = Field(description="given, reference or worked, by input path.")
    winter: MeanWinter
    best_system: str
    check_first: list[Any] = Field(description="Inputs worth finding out first, at most three.")
    systems: list[SystemCost]
    comparison: Comparison
    warnings: list[Any]
    workings: Any = Field(None, description="Where asked for: what each line is made of.")
