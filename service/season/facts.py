"""A winter as it was: any of these facts, none of them required."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

from service.costing.entry import STRICT, Entry, Key
from service.costing.winter import GroundDays

ISO_DAY = r"^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
Remark = Annotated[str, Entry("Remark", "Free text, shown as it is.", longest=2_000)]
Days = Annotated[float, Entry("Days", "Days of the winter.", "day", ge=0, le=366)]
Lost = Annotated[float, Entry("Animals lost", "Died in the winter.", "head", ge=0, le=20_000)]


@dataclass(frozen=True, kw_only=True)
class AcresToFix:
    """Acres to repair in spring by how badly they are damaged."""

    __pydantic_config__ = STRICT

    light: Annotated[
        float, Entry("Light", "Prints under 2 in, sod holds.", "acre", ge=0, le=100_000)
    ] = 0.0
    moderate: Annotated[
        float,
        Entry("Moderate", "Prints of 2 to 4 in, less than half bare.", "acre", ge=0, le=100_000),
    ] = 0.0
    severe: Annotated[
        float,
        Entry("Severe", "Deeper prints, or more than half bare.", "acre", ge=0, le=100_000),
    ] = 0.0


@dataclass(frozen=True, kw_only=True)
class PricesPaid:
    """Prices of that winter, where they are known."""

    __pydantic_config__ = STRICT

    hay_per_ton: (
        Annotated[float, Entry("Hay price", "As fed.", "currency/ton", ge=0, le=5_000)] | None
    ) = None
    hay_per_bale: (
        Annotated[
            float,
            Entry("Bale price", "Instead of one per ton.", "currency/bale", ge=0, le=3_000),
        ]
        | None
    ) = None
    bedding_per_ton: (
        Annotated[float, Entry("Bedding price", "Delivered.", "currency/ton", ge=0, le=5_000)]
        | None
    ) = None
    supplement_per_ton: (
        Annotated[float, Entry("Supplement price", "As fed.", "currency/ton", ge=0, le=10_000)]
        | None
    ) = None
    labor_per_hour: (
        Annotated[float, Entry("Wage", "Worth of an hour.", "currency/hour", ge=0, le=500)] | None
    ) = None
    diesel_per_gallon: (
        Annotated[float, Entry("Diesel price", "Off road.", "currency/gallon", ge=0, le=100)] | None
    ) = None
    nitrogen_per_lb: (
        Annotated[float, Entry("Nitrogen price", "A pound of N.", "currency/lb", ge=0, le=50)]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class WinterFacts:
    """What is known of one winter; what is left out is not known."""

    __pydantic_config__ = STRICT

    system: (
        Annotated[
            Key, Entry("System", "Key of the system that was used; the best one if left out.")
        ]
        | None
    ) = None
    planned_revision: (
        Annotated[
            float,
            Entry(
                "Planned revision",
                "Revision of the scenario that was the plan; the newest when first recorded.",
                "",
                ge=1,
                le=1_000_000,
                whole=True,
            ),
        ]
        | None
    ) = None
    ground_days: (
        Annotated[GroundDays, Entry("Ground days", "Days of the winter in each ground state.")]
        | None
    ) = None
    turnout_date: (
        Annotated[
            str,
            Entry(
                "Turnout",
                "Day on which grass took over and hay feeding ended, YYYY-MM-DD.",
                pattern=ISO_DAY,
            ),
        ]
        | None
    ) = None
    days_by_method: dict[Key, Days] = field(default_factory=dict)
    """By key of a step of the system, or by method where only one step has it."""
    bales_on_hand: (
        Annotated[
            float, Entry("Bales on hand", "In store before winter.", "bale", ge=0, le=100_000)
        ]
        | None
    ) = None
    bales_bought: (
        Annotated[float, Entry("Bales bought", "For that winter.", "bale", ge=0, le=100_000)] | None
    ) = None
    bales_fed: (
        Annotated[
            float,
            Entry("Bales fed", "Put before animals, waste and all.", "bale", ge=0, le=100_000),
        ]
        | None
    ) = None
    bale_weight_lb: (
        Annotated[
            float, Entry("Bale weight", "As weighed that winter.", "lb/bale", ge=15, le=3_000)
        ]
        | None
    ) = None
    labor_hours: (
        Annotated[
            float,
            Entry(
                "Hours",
                "Hours of people over the winter, a guess will do.",
                "hour",
                ge=0,
                le=50_000,
            ),
        ]
        | None
    ) = None
    minutes_per_day: (
        Annotated[
            float,
            Entry(
                "Minutes a day",
                "On an ordinary day, instead of hours.",
                "minute/day",
                ge=0,
                le=1_440,
            ),
        ]
        | None
    ) = None
    fuel_gallon: (
        Annotated[float, Entry("Fuel", "Diesel over the winter.", "gallon", ge=0, le=100_000)]
        | None
    ) = None
    bedding_ton: (
        Annotated[float, Entry("Bedding", "Straw and the like.", "ton", ge=0, le=100_000)] | None
    ) = None
    supplement_ton: (
        Annotated[float, Entry("Supplement", "As fed.", "ton", ge=0, le=100_000)] | None
    ) = None
    manure_loads: (
        Annotated[float, Entry("Loads", "Spreader loads hauled.", "load", ge=0, le=100_000)] | None
    ) = None
    acres_to_fix: (
        Annotated[
            float,
            Entry("Acres to fix", "To drag, reseed or bare into May.", "acre", ge=0, le=100_000),
        ]
        | None
    ) = None
    acres_by_severity: AcresToFix | None = None
    animals_lost: dict[Key, Lost] = field(default_factory=dict)
    """By group."""
    stockpile_growth_factor: (
        Annotated[float, Entry("Autumn growth", "1 is the usual.", "fraction", ge=0, le=10)] | None
    ) = None
    rain_in: (
        Annotated[float, Entry("Rain and melt", "Over the winter.", "in", ge=0, le=200)] | None
    ) = None
    prices: PricesPaid = field(default_factory=PricesPaid)
    worst_weeks: Remark | None = None
    would_do_again: Literal["yes", "no", "with_changes"] | None = None
    remark: Remark | None = None
