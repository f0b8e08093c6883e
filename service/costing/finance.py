"""Interest, horizon, loans, and what the farm will not go beyond."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

from service.costing.entry import STRICT, Entry

ESCALATION = Entry(
    "Real escalation", "Yearly rise above inflation.", "fraction/year", ge=-0.2, le=0.2
)
Escalation = Annotated[float, ESCALATION]


@dataclass(frozen=True, kw_only=True)
class RealEscalation:
    """How prices move apart from inflation."""

    __pydantic_config__ = STRICT

    hay: Escalation = 0.0
    supplement: Escalation = 0.0
    labor: Escalation = 0.0
    machinery: Escalation = 0.0
    bedding: Escalation = 0.0
    fertilizer: Escalation = 0.0
    nutrients: Escalation = 0.0
    forage: Escalation = 0.0


@dataclass(frozen=True, kw_only=True)
class Loan:
    """A loan for what is built; shown beside the costs, never added to them."""

    __pydantic_config__ = STRICT

    rate: Annotated[float, Entry("Loan rate", "Nominal rate.", "fraction/year", ge=0, le=1)]
    years: Annotated[
        float, Entry("Loan years", "Yearly payments.", "year", ge=1, le=50, whole=True)
    ]
    amount: (
        Annotated[
            float,
            Entry(
                "Loan",
                "Amount; all that is built, if not given.",
                "currency",
                ge=0,
                le=1e8,
            ),
        ]
        | None
    ) = None
    bridge_rate: (
        Annotated[
            float,
            Entry(
                "Bridge rate",
                "Nominal rate of the loan until cost-share is paid; the loan's own if not given.",
                "fraction/year",
                ge=0,
                le=1,
            ),
        ]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class Finance:
    """Rate, horizon and how machines are charged."""

    __pydantic_config__ = STRICT

    horizon_years: Annotated[
        float, Entry("Horizon", "Years looked at.", "year", ge=1, le=50, whole=True)
    ]
    real_rate: (
        Annotated[
            float,
            Entry(
                "Real rate",
                "Discount rate above inflation.",
                "fraction/year",
                gt=-0.5,
                le=1,
            ),
        ]
        | None
    ) = None
    nominal_rate: (
        Annotated[
            float,
            Entry("Nominal rate", "With inflation in it.", "fraction/year", gt=-0.5, le=2),
        ]
        | None
    ) = None
    inflation: (
        Annotated[float, Entry("Inflation", "Yearly.", "fraction/year", gt=-0.5, le=2)] | None
    ) = None
    machine_costing: Annotated[
        Literal["full", "operating_only"],
        Entry("Machine costing", "With or without the cost of owning machines."),
    ] = "full"
    real_escalation: RealEscalation = field(default_factory=RealEscalation)
    loan: Loan | None = None


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What the farm will not go beyond."""

    __pydantic_config__ = STRICT

    money_up_front: (
        Annotated[
            float,
            Entry(
                "Money up front",
                "Built in year 0, before cost-share.",
                "currency",
                ge=0,
                le=1e8,
            ),
        ]
        | None
    ) = None
    minutes_weekday: (
        Annotated[
            float,
            Entry(
                "Minutes a weekday",
                "On an ordinary winter day.",
                "minute",
                ge=0,
                le=1_440,
            ),
        ]
        | None
    ) = None
    acres_to_fix: (
        Annotated[
            float,
            Entry("Acres to fix", "Damaged in a mean winter.", "acre", ge=0, le=100_000),
        ]
        | None
    ) = None
