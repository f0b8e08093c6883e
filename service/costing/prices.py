"""Machines and prices of work, fuel, bedding and nutrients."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

from service.costing.entry import STRICT, STRICT_WITH_CLASS, Entry, Key


@dataclass(frozen=True, kw_only=True)
class Machine:
    """A machine costed by a custom rate, or by ASABE EP496 from its price, age and hours."""

    __pydantic_config__ = STRICT_WITH_CLASS

    custom_rate_per_hour: (
        Annotated[
            float,
            Entry("Custom rate", "Rate for an hour.", "currency/hour", ge=0, le=2_000),
        ]
        | None
    ) = None
    includes_operator: Annotated[
        bool, Entry("Rate includes operator", "Whether the rate pays the driver too.")
    ] = False
    least_charge: Annotated[
        float,
        Entry("Least charge", "Least charge for a visit.", "currency", ge=0, le=10_000),
    ] = 0.0
    machine_class: (
        Annotated[Key, Entry("Machine class", "Class of ASABE D497 for value and repairs.")] | None
    ) = None
    list_price: (
        Annotated[float, Entry("List price", "Price new today.", "currency", ge=1, le=1e7)] | None
    ) = None
    price: (
        Annotated[float, Entry("Worth", "What it is worth now.", "currency", ge=0, le=1e7)] | None
    ) = None
    age_years: Annotated[float, Entry("Age", "Age now.", "year", ge=0, le=100)] | None = None
    years_kept: (
        Annotated[
            float,
            Entry("Years kept", "Years it will still be kept.", "year", ge=1, le=60),
        ]
        | None
    ) = None
    hours_per_year: (
        Annotated[
            float,
            Entry("Hours a year", "Use in a year, all work.", "hour/year", ge=1, le=8_760),
        ]
        | None
    ) = None
    hours_so_far: (
        Annotated[
            float,
            Entry("Hours so far", "Hours on the clock.", "hour", ge=0, le=200_000),
        ]
        | None
    ) = None
    pto_hp: (
        Annotated[float, Entry("PTO power", "Power at the PTO.", "hp", ge=1, le=1_000)] | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class NutrientsBought:
    """Which nutrients the farm would buy as fertilizer anyway."""

    __pydantic_config__ = STRICT

    n: Annotated[bool, Entry("Buys nitrogen", "Whether nitrogen is bought.")] = False
    p2o5: Annotated[bool, Entry("Buys phosphate", "Whether phosphate is bought.")] = False
    k2o: Annotated[bool, Entry("Buys potash", "Whether potash is bought.")] = False


@dataclass(frozen=True, kw_only=True)
class Prices:
    """Prices of work, fuel, bedding and nutrients."""

    __pydantic_config__ = STRICT

    labor_per_hour: Annotated[
        float, Entry("Wage", "Value of an hour of work.", "currency/hour", ge=0, le=500)
    ]
    diesel_per_gallon: Annotated[
        float, Entry("Diesel", "Off-road diesel.", "currency/gallon", ge=0, le=50)
    ]
    bedding_per_ton: Annotated[
        float,
        Entry("Bedding", "Straw or stalks, delivered.", "currency/ton", ge=0, le=2_000),
    ]
    nitrogen_per_lb: Annotated[float, Entry("Nitrogen", "N.", "currency/lb", ge=0, le=20)]
    p2o5_per_lb: Annotated[float, Entry("Phosphate", "P2O5.", "currency/lb", ge=0, le=20)]
    k2o_per_lb: Annotated[float, Entry("Potash", "K2O.", "currency/lb", ge=0, le=20)]
    own_labor_fraction: Annotated[
        float,
        Entry(
            "Own labor",
            "Share of the work that is not paid out.",
            "fraction",
            ge=0,
            le=1,
        ),
    ] = 0.8
    nutrient_value_counted: Annotated[
        Literal["none", "replaces_bought", "full"],
        Entry("Nutrient value counted", "Which nutrients from hay count as money."),
    ] = "replaces_bought"
    nutrients_bought: NutrientsBought = field(default_factory=NutrientsBought)
