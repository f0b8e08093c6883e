"""The farm in the question: herd, land and what losses of animals are worth."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.costing.entry import STRICT, Entry, Key, MonthDay, Text

Animal = Literal[
    "beef_cow",
    "bred_heifer",
    "growing_heifer",
    "growing_calf",
    "bull",
    "ewe",
    "growing_lamb",
    "ram",
]
Drainage = Literal["well", "moderate", "poor"]


@dataclass(frozen=True, kw_only=True)
class Group:
    """Animals of one kind that are fed alike."""

    __pydantic_config__ = STRICT

    animal: Annotated[Animal, Entry("Animal", "Class of animal; the reference values go by it.")]
    head: Annotated[
        float,
        Entry("Head", "Animals kept through the winter.", "head", ge=1, le=20_000),
    ]
    body_weight_lb: Annotated[
        float,
        Entry("Live weight", "Average live weight in winter.", "lb/head", ge=20, le=3_500),
    ]
    title: Text | None = None
    birth_starts: (
        Annotated[
            MonthDay,
            Entry("Births start", "Day on which the first calf or lamb is expected."),
        ]
        | None
    ) = None
    birth_season_days: (
        Annotated[
            float,
            Entry(
                "Birth season",
                "Days from the first to the last birth.",
                "day",
                ge=1,
                le=365,
                whole=True,
            ),
        ]
        | None
    ) = None
    stage: (
        Annotated[
            Literal["maintenance", "growing"],
            Entry("Stage", "For animals without young on the way."),
        ]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class Field:
    """One field of the farm."""

    __pydantic_config__ = STRICT

    acres: Annotated[float, Entry("Acres", "Size of the field.", "acre", ge=0.01, le=100_000)]
    drainage: Annotated[Drainage, Entry("Drainage", "How the soil drains in winter.")]
    forage_yield_ton_dm_per_acre: Annotated[
        float,
        Entry("Forage yield", "Grass or hay grown in a year.", "ton DM/acre", ge=0, le=15),
    ]
    title: Text | None = None
    slope_percent: (
        Annotated[float, Entry("Slope", "Slope of the ground.", "percent", ge=0, le=100)] | None
    ) = None
    distance_to_water_ft: (
        Annotated[
            float,
            Entry(
                "Distance to water",
                "Nearest stream, pond, sinkhole or well.",
                "ft",
                ge=0,
                le=100_000,
            ),
        ]
        | None
    ) = None
    tenure: Annotated[Literal["owned", "rented"], Entry("Tenure", "Owned or rented.")] = "owned"
    lease_years_left: (
        Annotated[
            float,
            Entry(
                "Lease left",
                "Years of the lease that are left.",
                "year",
                ge=0,
                le=99,
                whole=True,
            ),
        ]
        | None
    ) = None
    winter_water: Annotated[
        Literal["yes", "hauled", "walked_back"],
        Entry(
            "Winter water",
            "Water that does not freeze, hauled, or animals walked back to it.",
        ),
    ] = "yes"
    grazed_in_late_summer: Annotated[
        bool,
        Entry("Grazed in late summer", "Whether the herd grazes it in late summer."),
    ] = True


@dataclass(frozen=True, kw_only=True)
class Land:
    """The fields and what their grass is worth."""

    __pydantic_config__ = STRICT

    fields: Annotated[dict[Key, Field], Entry("Fields", "Fields by key.")]
    forage_value_per_ton_dm: Annotated[
        float,
        Entry(
            "Value of grazing",
            "What standing grass is worth.",
            "currency/ton DM",
            ge=0,
            le=1_000,
        ),
    ]
    acres_repaired_last_spring: (
        Annotated[
            float,
            Entry(
                "Acres repaired last spring",
                "Acres dragged, reseeded or bare into May; sets the damage of the baseline.",
                "acre",
                ge=0,
                le=100_000,
            ),
        ]
        | None
    ) = None
    place: (
        Annotated[
            Key,
            Entry(
                "Place",
                "Place whose setbacks are looked up, by its key; none is built in as universal.",
            ),
        ]
        | None
    ) = None
    setback_ft: (
        Annotated[
            float,
            Entry(
                "Setback",
                "Distance to water that your local code asks for, by your own reading, instead of "
                "a place or beside it.",
                "ft",
                ge=0,
                le=100_000,
            ),
        ]
        | None
    ) = None


@dataclass(frozen=True, kw_only=True)
class AnimalLosses:
    """What mud and cold cost in animals of one group; counted only where the scenario gives it."""

    __pydantic_config__ = STRICT

    condition_value_per_lb: Annotated[
        float,
        Entry(
            "Value of condition",
            "A pound of weight not held.",
            "currency/lb",
            ge=0,
            le=50,
        ),
    ] = 0.0
    young_lost_per_head_mud_day: Annotated[
        float,
        Entry(
            "Young lost",
            "Calves or lambs lost for each head and day in mud.",
            "head/head/day",
            ge=0,
            le=0.05,
        ),
    ] = 0.0
    value_per_young: Annotated[
        float,
        Entry("Value of young", "A calf or lamb lost.", "currency/head", ge=0, le=20_000),
    ] = 0.0
    foot_cost_per_head_mud_day: Annotated[
        float,
        Entry(
            "Feet",
            "Treating feet, for each head and day in mud.",
            "currency/head/day",
            ge=0,
            le=50,
        ),
    ] = 0.0
