"""The questions that can be asked, each with what it needs.

A question is kept as its document; `question_of` turns that back into what is declared here. The
interface checks types and ranges before; what only shows on a scenario is checked where the
question is worked.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any

from service.costing.json_shapes import is_array

MOST_DRAWS = 1_000_000
MOST_POINTS = 400
"""Points of a herd size sweep."""
MOST_PLANS = 200_000
"""Plans that are looked at in one search."""
MOST_TO_SHOW = 20
"""Plans that are answered."""

Range = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """Every value of one input at which two systems cost the same."""

    input: str
    low: float
    high: float
    systems: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """What each input does to a system between its low and its high, all others as they are."""

    system: str | None = None
    """The cheapest, if not given."""
    figure: str = "annual_equivalent_cost"
    """``annual_equivalent_cost`` or, where herds differ, ``farm_margin``."""
    inputs: tuple[str, ...] | None = None
    """All that have a range, if not given."""
    ranges: Mapping[str, Range] = field(default_factory=dict[str, Range])


@dataclass(frozen=True, slots=True, kw_only=True)
class Vary:
    """How far a value may be off."""

    low: float
    usual: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """What systems cost over many draws of winters, prices, yields and waste."""

    draws: int = 10_000
    seed: int = 0
    winters: str = "rows"
    """``rows``: resampled whole, by weight; ``mean``: the mean of all winters in every draw."""
    vary: Mapping[str, Vary] | None = None
    """Prices, yields and waste that have a range, if not given; nothing, if empty."""
    absolute_risk_aversion: tuple[float, ...] = ()
    """Of certainty equivalents, per unit of currency."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WinterTypes:
    """Each system in the driest, the median, the wettest and the driest-autumn winter."""

    figure: str = "annual_equivalent_cost"
    """``annual_equivalent_cost``, ``out_of_pocket`` or ``lines.<line>``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """Values of one input."""

    input: str
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HerdSize:
    """Farm margin over herd sizes and acres closed for stockpile."""

    system: str
    head: Axis
    acres: Axis | None = None
    return_per_head: float | None = None
    """Worked from the margin of the scenario, if not given [currency/head]."""
    other_costs_per_head: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """What a plan may be made of; None allows what the scenario's systems have."""

    methods: tuple[str, ...] | None = None
    presentations: tuple[str, ...] | None = None
    structures: tuple[str, ...] | None = None
    """Kinds that may be there or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLimits:
    """What a plan must keep within; None is no limit."""

    money_up_front: float | None = None
    """Built in year 0, before cost-share [currency]."""
    first_year_cash: float | None = None
    """Paid in years 0 and 1 [currency]."""
    labor_hours: float | None = None
    """In a mean winter [hour/year]."""
    minutes_weekday: float | None = None
    """On an ordinary day [minute]."""
    acres_damaged: float | None = None
    """All severities, in a mean winter [acre]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlansWithinLimits:
    """Step orders, limits, presentations and optional structures, searched under limits."""

    start_from: str
    limits: PlanLimits = field(default_factory=PlanLimits)
    allow: Allowed = field(default_factory=Allowed)
    max_steps: int = 3
    top: int = 5
    most_plans: int = 20_000
    """Where there are more, that many are looked at, picked evenly by the seed."""
    seed: int = 0


Question = BreakEven | Sensitivity | Risk | WinterTypes | HerdSize | PlansWithinLimits

QUESTIONS: Mapping[str, type[Question]] = {
    "break_even": BreakEven,
    "sensitivity": Sensitivity,
    "risk": Risk,
    "winter_types": WinterTypes,
    "herd_size": HerdSize,
    "plans_within_limits": PlansWithinLimits,
}


def name_of(question: Question) -> str:
    """Return the name of a question."""
    return next(name for name, kind in QUESTIONS.items() if isinstance(question, kind))


def document_of(question: Question) -> dict[str, Any]:
    """Return a question as a document, every default written out."""
    members: dict[str, Any] = json.loads(json.dumps(asdict(question)))
    return {"question": name_of(question), **members}


def question_of(document: Mapping[str, Any]) -> Question:
    """Return the question that a document holds, as `document_of` writes it."""
    members = {name: value for name, value in document.items() if name != "question"}
    kind = QUESTIONS[document["question"]]
    known = {item.name for item in fields(kind)}
    return kind(**{name: _read(name, value) for name, value in members.items() if name in known})


def seed_of(question: Question) -> int:
    """Return the seed of a question that draws by chance, else 0."""
    return question.seed if isinstance(question, Risk | PlansWithinLimits) else 0


NESTED: Mapping[str, type] = {
    "head": Axis,
    "acres": Axis,
    "allow": Allowed,
    "limits": PlanLimits,
}


def _read(name: str, value: Any) -> Any:  # noqa: ANN401 - any part of a document
    if value is None:
        return None
    if name in NESTED:
        return NESTED[name](**{key: _read("", item) for key, item in value.items()})
    if name == "vary":
        return {path: Vary(**item) for path, item in value.items()}
    if name == "ranges":
        return {path: tuple(item) for path, item in value.items()}
    return tuple(value) if is_array(value) else value
