"""The questions as they are asked: what each takes and within which limits, read and described."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from service.analysis.plan_faults import MOST_STEPS
from service.analysis.questions import (
    MOST_DRAWS,
    MOST_PLANS,
    MOST_POINTS,
    MOST_TO_SHOW,
    Question,
    question_of,
)
from service.analysis.risk_faults import LARGEST_SEED, MOST_AVERSIONS, MOST_VARIED
from service.costing.overrides import MOST_SETTINGS
from service.web.request_models import LONGEST_PATH, Asked, Revision, whole

LONGEST_WORD = 100
MOST_INPUTS = 400
MOST_RANGES = 60
MOST_WORDS = 60
LARGEST = 1e12
LARGEST_AMOUNT = 1e9
HIGHEST_AVERSION = 1.0
"""Per unit of currency: an even chance of losing 100 is then as bad as a sure loss of 99."""

InputPath = Annotated[
    str, Field(min_length=1, max_length=LONGEST_PATH, description="Path of an input.")
]
Word = Annotated[str, Field(min_length=1, max_length=LONGEST_WORD)]
Words = Annotated[list[Word], Field(max_length=MOST_WORDS)]
Value = Annotated[
    float,
    Field(ge=-LARGEST, le=LARGEST, description="In the unit of the input.", allow_inf_nan=False),
]
Amount = Annotated[float, Field(ge=0, le=LARGEST_AMOUNT, allow_inf_nan=False)]
MoneyPerHead = Annotated[
    float,
    Field(
        ge=-LARGEST_AMOUNT,
        le=LARGEST_AMOUNT,
        allow_inf_nan=False,
        json_schema_extra={"x-unit": "currency/head"},
    ),
]
Aversion = Annotated[
    float,
    Field(
        ge=0,
        le=HIGHEST_AVERSION,
        allow_inf_nan=False,
        json_schema_extra={"x-unit": "1/currency"},
    ),
]
Seed = Annotated[
    int,
    Field(
        ge=0,
        le=LARGEST_SEED,
        description="Of what is drawn by chance: the same seed gives the same answer.",
    ),
    BeforeValidator(whole),
]
Figure = Annotated[Word, Field(description="Figure of a system, as in /v1/figures.")]


class AskedOfScenario(Asked):
    """What all questions share."""

    revision: Revision | None = Field(None, description="The newest, if not given.")
    set: dict[str, Any] = Field(
        {},
        max_length=MOST_SETTINGS,
        description="Inputs changed before it is asked: value by path; null goes back to the "
        "default.",
    )


class BreakEvenRequest(AskedOfScenario):
    """Every value of one input at which two systems cost the same."""

    question: Literal["break_even"]
    input: InputPath
    low: Value
    high: Value
    systems: list[Word] = Field(
        min_length=2, max_length=2, description="Keys of the two systems that are compared."
    )


class SensitivityRequest(AskedOfScenario):
    """What each input does to a system, from its low to its high."""

    question: Literal["sensitivity"]
    system: Word | None = Field(None, description="The cheapest, if not given.")
    figure: Figure = "annual_equivalent_cost"
    inputs: Annotated[list[InputPath], Field(max_length=MOST_INPUTS)] | None = Field(
        None, description="All inputs and reference values that have a range, if not given."
    )
    ranges: dict[str, Annotated[list[Value], Field(min_length=2, max_length=2)]] = Field(
        {},
        max_length=MOST_RANGES,
        description="Low and high by path of an input, in place of the published ones.",
    )


class RangeAround(Asked):
    """How far a value may be off."""

    low: Value
    usual: Value = Field(description="The most likely; the mean lies between the three.")
    high: Value


class RiskRequest(AskedOfScenario):
    """What systems cost over many draws of winters, prices, yields and waste."""

    question: Literal["risk"]
    draws: Annotated[int, Field(ge=1, le=MOST_DRAWS), BeforeValidator(whole)] = 10_000
    seed: Seed = 0
    winters: Literal["rows", "mean"] = Field(
        "rows",
        description="rows: each draw has one winter, whole, picked by weight; mean: each has the "
        "mean of all winters.",
    )
    vary: Annotated[dict[str, RangeAround], Field(max_length=MOST_VARIED)] | None = Field(
        None,
        description="By path of an input. Prices, yields and waste that have a range, if not "
        "given; nothing but the winters, if empty.",
    )
    absolute_risk_aversion: Annotated[list[Aversion], Field(max_length=MOST_AVERSIONS)] = Field(
        [], description="For certainty equivalents; per unit of currency."
    )


class WinterTypesRequest(AskedOfScenario):
    """How systems stand in the driest, the median and the wettest winter."""

    question: Literal["winter_types"]
    figure: Figure = "annual_equivalent_cost"


class SweepAxis(Asked):
    """Values of one input."""

    input: InputPath
    values: list[Value] = Field(min_length=1, max_length=MOST_POINTS)


class HerdSizeRequest(AskedOfScenario):
    """What the farm earns with more or fewer animals, and acres shut for winter."""

    question: Literal["herd_size"]
    system: Word
    head: SweepAxis = Field(description="herd.<group>.head, or what a system buys or sells.")
    acres: SweepAxis | None = Field(
        None, description="Acres of a step of stockpile_grazing; those of the plan, if not given."
    )
    return_per_head: MoneyPerHead | None = Field(
        None, description="Sales of a year for each animal; from the margin, if not given."
    )
    other_costs_per_head: MoneyPerHead | None = Field(
        None, description="What one costs beside winter; from the margin, if not given."
    )


class LimitsOfPlan(Asked):
    """What a plan must keep within; what is not given is no limit."""

    money_up_front: Amount | None = Field(
        default=None,
        description="Built in year 0, before cost-share.",
        json_schema_extra={"x-unit": "currency"},
    )
    first_year_cash: Amount | None = Field(
        default=None, description="Paid in years 0 and 1.", json_schema_extra={"x-unit": "currency"}
    )
    labor_hours: Amount | None = Field(
        default=None, description="In a mean winter.", json_schema_extra={"x-unit": "hour/year"}
    )
    minutes_weekday: Amount | None = Field(
        default=None, description="On an ordinary day.", json_schema_extra={"x-unit": "minute"}
    )
    acres_damaged: Amount | None = Field(
        default=None,
        description="Of any severity, in a mean winter.",
        json_schema_extra={"x-unit": "acre"},
    )


class PartsOfPlan(Asked):
    """What a plan may be made of; what is not given is what the scenario's systems have."""

    methods: Words | None = Field(default=None, description="As in /v1/feeding-methods.")
    presentations: Words | None = Field(default=None, description="How hay is put before animals.")
    structures: Words | None = Field(
        default=None, description="Kinds that may be there or not, as in /v1/structures."
    )


class PlansWithinLimitsRequest(AskedOfScenario):
    """The plans that keep within limits, the cheapest first."""

    question: Literal["plans_within_limits"]
    start_from: Word = Field(description="Key of the system whose plan is varied.")
    limits: LimitsOfPlan = LimitsOfPlan()
    allow: PartsOfPlan = PartsOfPlan()
    max_steps: Annotated[int, Field(ge=1, le=MOST_STEPS), BeforeValidator(whole)] = 3
    top: Annotated[int, Field(ge=1, le=MOST_TO_SHOW), BeforeValidator(whole)] = Field(
        5, description="How many are answered."
    )
    most_plans: Annotated[int, Field(ge=1, le=MOST_PLANS), BeforeValidator(whole)] = Field(
        20_000,
        description="Where there are more, so many are looked at, picked evenly by the seed.",
    )
    seed: Seed = 0


QUESTION_REQUESTS: Mapping[str, type[AskedOfScenario]] = {
    "break_even": BreakEvenRequest,
    "sensitivity": SensitivityRequest,
    "risk": RiskRequest,
    "winter_types": WinterTypesRequest,
    "herd_size": HerdSizeRequest,
    "plans_within_limits": PlansWithinLimitsRequest,
}
"""By the name of the question."""


def question_in(request: AskedOfScenario) -> Question:
    """Return the question that a request asks."""
    return question_of(request.model_dump(exclude={"revision", "set"}))


def _one_of(title: str, description: str, names: Mapping[str, str]) -> dict[str, Any]:
    """Describe a body that is one of several, told apart by its question."""
    mapping = {word: f"#/components/schemas/{name}" for word, name in names.items()}
    return {
        "title": title,
        "description": description,
        "oneOf": [{"$ref": place} for place in mapping.values()],
        "discriminator": {"propertyName": "question", "mapping": mapping},
    }


def _unsaved(model: type[AskedOfScenario], title: str) -> dict[str, Any]:
    """Describe a question that is asked of what comes with it."""
    schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
    schema.pop("$defs", None)
    about = {
        "document": {"$ref": "#/components/schemas/Scenario"},
        "scenario": {"type": "string", "description": "Id of a stored scenario, instead."},
    }
    return schema | {
        "title": title,
        "properties": about | schema["properties"],
        "oneOf": [{"required": ["document"]}, {"required": ["scenario"]}],
    }


UNSAVED_REQUESTS: Mapping[str, str] = {
    word: f"Unsaved{model.__name__}" for word, model in QUESTION_REQUESTS.items()
}
"""Name of the schema by the name of the question."""

QUESTIONS_WRITTEN_OUT: tuple[dict[str, Any], ...] = (
    _one_of(
        "QuestionRequest",
        "A question of a stored scenario.",
        {word: model.__name__ for word, model in QUESTION_REQUESTS.items()},
    ),
    _one_of("UnsavedQuestionRequest", "A question of what comes with it.", UNSAVED_REQUESTS),
    *(_unsaved(QUESTION_REQUESTS[word], title) for word, title in UNSAVED_REQUESTS.items()),
)
"""Bodies that hold one of several questions."""
