"""The published shapes of stored costings and of what differs between them.

For the description of the interface alone, like ``answer_models``.
"""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field
from pydantic.json_schema import WithJsonSchema

from service.web.answer_models import (
    AuditList,
    Erasure,
    Kept,
    KeptRevision,
    KeptScenario,
    KeyList,
    LinkList,
    Me,
    NewKey,
    NewLink,
    Next,
    NoteList,
    Problem,
    RevisionList,
    ScenarioList,
    ScenarioNote,
)


def _number(unit: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "number", "x-unit": unit})


Money = Annotated[float, _number("currency")]
MoneyPerYear = Annotated[float, _number("currency/year")]
Tons = Annotated[float, _number("ton")]
TonsDM = Annotated[float, _number("ton DM")]
HoursPerYear = Annotated[float, _number("hour/year")]
Acres = Annotated[float, _number("acre")]
Value = Annotated[Any, Field(description="A value of the document; null where there is none.")]


class Change(Kept):
    """One input that differs."""

    input: str = Field(description="Path of the input.")
    title: str
    unit: str
    kind: Literal["changed", "added", "removed"]
    before: Value
    after: Value


class SystemEffect(Kept):
    """What happened to the yearly cost of a system; null where a side has no such system."""

    system: str
    title: str
    before: MoneyPerYear | None
    after: MoneyPerYear | None
    change: MoneyPerYear | None


class BestEffect(Kept):
    """The best system before and after."""

    before: str
    before_title: str
    after: str
    after_title: str
    ranked_by: str


class CurrencyEffect(Kept):
    """The currency before and after; costs in two currencies are not subtracted."""

    before: str
    after: str


class PriceYearEffect(Kept):
    """The year of prices before and after."""

    before: float | None
    after: float | None


class Effect(Kept):
    """What changes did to the answer."""

    baseline: SystemEffect
    best: BestEffect
    systems: list[SystemEffect]
    currency: CurrencyEffect
    price_year: PriceYearEffect


class Changes(Kept):
    """What differs between two revisions, and what it did to the answer."""

    scenario: str
    since: int = Field(alias="from")
    to: int
    changes: list[Change]
    effect: Effect | None = Field(
        description="Null for the first revision, and where one of the two cannot be costed."
    )
    sentence: str


class Moved(Kept):
    """What an older costing was made with, and what stands now."""

    then: str
    now: str


class CostingItem(Kept):
    """A stored costing in a list."""

    id: str
    revision: int
    engine_version: str
    reference_edition: str
    content_key: str
    best_system: str
    annual_equivalent_cost: MoneyPerYear = Field(description="Of the best system.")
    currency: str
    created_at: datetime
    moved: dict[Literal["engine_version", "reference_edition"], Moved] = Field(
        description="Empty, or what has moved since: engine_version, reference_edition."
    )


class CostingList(Kept):
    """A page of stored costings, the newest first."""

    items: list[CostingItem]
    next: Next


class Difference(Kept):
    """A yearly cost then and now; null where there is none."""

    then: MoneyPerYear | None
    now: MoneyPerYear | None
    change: MoneyPerYear | None


class LineDifference(Difference):
    """One line of a system that differs."""

    line: str
    title: str


class SystemDifference(Kept):
    """One system then and now, with the lines that differ."""

    system: str
    title: str
    annual_equivalent_cost: Difference
    lines: list[LineDifference]


class CostingDifference(Kept):
    """A stored costing against the same revision costed by the engine and edition of now."""

    scenario: str
    revision: int
    costing: str
    against: str | None = Field(
        description="Id of the costing it is held against; null if that is not stored."
    )
    moved: dict[str, Moved]
    currency: str
    systems: list[SystemDifference]
    inputs: list[Change] = Field(description="Inputs and reference values that differ.")
    sentence: str


class Workings(Kept):
    """How numbers were made: figures by number, down to inputs and reference values."""

    axes: dict[str, list[str]]
    systems: dict[str, Any]
    figures: list[dict[str, Any]]
    reference_values: dict[str, Any]


class ComparedSystem(Kept):
    """The figures of one system."""

    system: str
    title: str
    rank: int
    annual_equivalent_cost: MoneyPerYear
    out_of_pocket: MoneyPerYear
    first_cost: Money
    net_present_cost: Money
    hay_bought_ton: Tons = Field(alias="quantities.hay_bought_ton")
    hay_wasted_ton_dm: TonsDM = Field(alias="quantities.hay_wasted_ton_dm")
    labor_hours: HoursPerYear = Field(alias="quantities.labor_hours")
    acres_damaged: Acres = Field(alias="quantities.acres_damaged")
    cheapest_in_winters: int


class ComparedScenario(Kept):
    """One of the scenarios or revisions compared."""

    scenario: str
    external_id: str | None
    name: str
    revision: int
    costing: str
    engine_version: str
    reference_edition: str
    currency: str
    price_year: float | None
    winters: int
    best_system: str
    best_title: str
    systems: list[ComparedSystem]


class ComparedFigure(Kept):
    """One figure of the best system of each."""

    figure: str
    title: str
    unit: str
    values: list[float]


class ComparedSystems(Kept):
    """The yearly cost of a system that several of them have; null where one has it not."""

    system: str
    titles: list[str | None]
    values: list[MoneyPerYear | None]


class DifferingInput(Kept):
    """An input that is not the same in all."""

    input: str
    title: str
    unit: str
    values: list[Value]


class ScenarioComparison(Kept):
    """Scenarios and revisions side by side; lists of values are in the order of `compared`."""

    compared: list[ComparedScenario]
    figures: list[ComparedFigure]
    by_system: list[ComparedSystems]
    differences: list[DifferingInput]
    warnings: list[str] = Field(description="What makes them hard to compare.")


ANSWERS: tuple[type[Kept], ...] = (
    KeptScenario,
    ScenarioList,
    RevisionList,
    KeptRevision,
    Changes,
    CostingList,
    CostingDifference,
    Workings,
    ScenarioComparison,
    Erasure,
    NewLink,
    LinkList,
    ScenarioNote,
    NoteList,
    Me,
    NewKey,
    KeyList,
    AuditList,
    Problem,
)
"""What operations name as their answers; the rest is part of these."""
