"""The published shape of a costing, for the description of the interface alone.

The engine makes the answer; nothing is checked against this on the way out. A test does that.
"""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field
from pydantic.json_schema import WithJsonSchema


class Part(BaseModel):
    """What all parts share: no member that is not declared."""

    model_config = ConfigDict(extra="forbid")


def _number(unit: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "number", "x-unit": unit})


Money = Annotated[float, _number("currency")]
MoneyPerYear = Annotated[float, _number("currency/year")]
MoneyPerHead = Annotated[float, _number("currency/head")]
MoneyPerAnimalUnitDay = Annotated[float, _number("currency/AU-day")]
MoneyPerTonDM = Annotated[float, _number("currency/ton DM")]
Rate = Annotated[float, _number("fraction/year")]
Years = Annotated[float, _number("year")]
Days = Annotated[float, _number("day")]
Minutes = Annotated[float, _number("minute")]
HoursPerYear = Annotated[float, _number("hour/year")]
Tons = Annotated[float, _number("ton")]
TonsDM = Annotated[float, _number("ton DM")]
Bales = Annotated[float, _number("bale")]
Loads = Annotated[float, _number("load")]
Pounds = Annotated[float, _number("lb")]
PoundsTDN = Annotated[float, _number("lb TDN")]
Acres = Annotated[float, _number("acre")]
ByState = dict[str, Days]


class MeanWinter(Part):
    """The mean of the winters."""

    days: Days
    ground_days: ByState
    winters: int = Field(description="Number of winters.")
    weather_record: str = Field("", description="Id of the record that they come from.")
    weather_classifier: str = Field("", description="How the record was classified.")


class WinterCost(Part):
    """What a system costs if every winter is like one of them."""

    season: str
    annual_equivalent_cost: MoneyPerYear


class LineOfCost(Part):
    """One line of a system's cost."""

    line: str = Field(description="Key of the line.")
    title: str
    group: str = Field(description="Group of the pictures that it belongs to.")
    annual_equivalent: MoneyPerYear
    by_kind: dict[str, MoneyPerYear] = Field(description="Paid, own labor, home-grown and so on.")
    by_year: list[Money] = Field(description="Flow of each year, year 0 first.")


class BaleBalance(Part):
    """Bales needed, on hand, short or spare."""

    needed_mean: Bales
    needed_worst: Bales
    on_hand: Bales
    short_mean: Bales
    short_worst: Bales
    spare_mean: Bales
    spare_worst: Bales
    to_buy_mean: Bales
    to_buy_worst: Bales
    left_half_way: Bales
    left_30_days_before_grass: Bales
    set_out_not_used: Bales


class Quantities(Part):
    """Physical quantities of a mean winter."""

    hay_needed_ton: Tons
    hay_home_grown_ton: Tons
    hay_bought_ton: Tons
    late_summer_hay_ton: Tons
    hay_eaten_ton_dm: TonsDM
    hay_wasted_ton_dm: TonsDM
    hay_lost_in_storage_ton_dm: TonsDM
    stockpile_eaten_ton_dm: TonsDM
    supplement_ton_dm: TonsDM
    bedding_ton: Tons
    manure_to_handle_ton: Tons
    manure_loads: Loads
    bales: BaleBalance
    labor_hours: HoursPerYear
    machine_hours: HoursPerYear
    minutes: dict[str, Minutes] = Field(description="Ordinary, wet and busiest day.")
    tractor_mornings: Days = Field(description="Mornings on which the tractor must start.")
    hours: dict[str, HoursPerYear] = Field(description="Own, hired and custom.")
    nutrients_in_lb: dict[str, Pounds]
    nutrients_kept_lb: dict[str, Pounds]
    acres_damaged: dict[str, Acres]
    energy_short_lb_tdn: dict[str, PoundsTDN]
    condition_not_held_lb: dict[str, Pounds]
    served_days: dict[str, ByState] = Field(description="By step and ground state.")
    comfort: dict[str, dict[str, Days]] = Field(description="By group; never in money.")


class HeldAgainstLimit(Part):
    """What a system comes to, held against a limit of the scenario."""

    limit: float
    value: float
    met: bool
    over: float


class WithoutCostShare(Part):
    """The money figures if no cost-share is ever paid."""

    annual_equivalent_cost: MoneyPerYear
    out_of_pocket: MoneyPerYear
    net_present_cost: Money
    first_year_cash: Money
    peak_yearly_cash: Money
    rank: int


class BuiltStructure(Part):
    """One structure: what it costs, and when."""

    key: str
    kind: str
    title: str
    size: float
    size_unit: str
    size_by_rule: float | None = Field(description="Null where there is no rule.")
    existing: bool
    cost: Money
    cost_share: Money
    build_by_year: list[Money]
    upkeep_by_year: list[Money]
    life_years: Years
    quote_date: str = ""
    cost_share_status: str = ""


class Companion(Part):
    """A practice that goes with a feeding pad."""

    structure: str
    practice: str
    status: str = Field(description="present, missing or not_needed.")
    meaning: str


class Said(Part):
    """Something to know, in a sentence, with the figure it is about."""

    sentence: str
    step: str = ""
    structure: str = ""
    field: str = ""
    group: str = ""
    input: str = ""
    value: float | None = None
    unit: str = ""
    limit: float | None = None
    wanted: float | None = None
    size: float | None = None
    size_by_rule: float | None = None
    worst: float | None = None
    worst_days: float | None = None
    worst_season: str = ""
    days_of_hay: float | None = None


class Shortfall(Said):
    """Something that runs short."""

    shortfall: str


class CostingWarning(Said):
    """Something unusual."""

    warning: str


class Note(Said):
    """Something worth knowing."""

    note: str


class Caution(Part):
    """A caution for people, animals or the law, with what brought it up."""

    caution: str
    rank: str
    trigger: str
    sentence: str
    source: str
    where: str


class ComparedFigures(Part):
    """Money of a system held against the baseline's."""

    annual_difference: MoneyPerYear
    extra_investment: Money
    net_present_value: Money
    internal_rate: Rate | None
    internal_rate_reason: str | None = Field(description="Why there is no internal rate.")
    modified_internal_rate: Rate | None
    discounted_payback_years: Years | None
    flow_by_year: list[Money]


class PartialBudget(Part):
    """Costs that a system adds to the baseline's, and those that it saves, by line."""

    costs_added: dict[str, MoneyPerYear]
    costs_saved: dict[str, MoneyPerYear]


class Against(ComparedFigures):
    """One system held against the baseline."""

    system: str
    by_line: dict[str, MoneyPerYear]
    partial_budget: PartialBudget


class Comparison(Part):
    """All systems held against the baseline."""

    baseline: str
    against: list[Against]


class SystemCost(Part):
    """What one system costs and takes."""

    system: str = Field(description="Key of the system.")
    title: str
    rank: int = Field(description="1 is the cheapest.")
    tie_with: list[str] = Field(description="Systems that are too close to call on money.")
    annual_equivalent_cost: MoneyPerYear
    out_of_pocket: MoneyPerYear
    without_cost_share: MoneyPerYear
    without_cost_share_figures: WithoutCostShare
    cost_per_head: dict[str, MoneyPerHead]
    cost_per_animal_unit_day: MoneyPerAnimalUnitDay
    cost_per_ton_dm_eaten: MoneyPerTonDM | None
    net_present_cost: Money
    first_year_cash: Money
    peak_yearly_cash: Money
    paid_by_year: list[Money] = Field(description="What is paid, year 0 first.")
    first_cost: Money = Field(description="Built in year 0, before cost-share.")
    by_winter: list[WinterCost]
    cheapest_in_winters: int
    lines: list[LineOfCost]
    quantities: Quantities
    limits: dict[str, HeldAgainstLimit]
    structures: list[BuiltStructure]
    companions: list[Companion]
    shortfalls: list[Shortfall]
    warnings: list[CostingWarning]
    cautions: list[Caution]
    notes: list[Note]
    farm_margin: MoneyPerYear | None = Field(None, description="Where herds differ.")
    against_baseline: ComparedFigures | None = None
    loan: dict[str, Any] | None = Field(None, description="Where the scenario has a loan.")


class WorthChecking(Part):
    """An input that was not given and could change the answer."""

    input: str
    meaning: str
    unit: str
    low: float
    usual: float
    high: float
    best_at_low: str
    best_at_high: str
    lead_at_low: MoneyPerYear
    lead_at_high: MoneyPerYear
    changes_best: bool
    find_out: str = Field(description="How a farm can find out its own.")


class Costing(Part):
    """A costing: every system of a scenario, costed and compared."""

    id: str | None = Field(description="Null, as nothing is stored.")
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
    ranked_by: str = Field(description="annual_equivalent_cost, or farm_margin if herds differ.")
    trampling_scale: float
    check_first: list[WorthChecking] | None = Field(
        description="At most three; null where the caller asked to leave them out."
    )
    systems: list[SystemCost] = Field(description="The cheapest first.")
    comparison: Comparison
    warnings: list[CostingWarning]
    workings: dict[str, Any] | None = Field(None, description="Where asked for.")
