"""The farm in the question: herd, land, hay, machines, prices, money and limits."""

from dataclasses import dataclass, field
from typing import Annotated, Literal

from service.costing.entry import STRICT, STRICT_WITH_CLASS, Entry, Key, MonthDay, Text

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
Storage = Literal[
    "ground_uncovered",
    "gravel_uncovered",
    "ground_covered",
    "raised_covered",
    "barn",
    "wrapped",
]


@dataclass(frozen=True, kw_only=True)
class Group:
    """Animals of one kind that are fed alike."""

    __pydantic_config__ = STRICT

    animal: Annotated[Animal, Entry("Animal", "Class of animal; the reference values go by it.")]
    head: Annotated[
        float,
        Entry("Head", "Animals kept through the winter.", "head", gt=0, le=20_000),
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

    acres: Annotated[float, Entry("Acres", "Size of the field.", "acre", gt=0, le=100_000)]
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


@dataclass(frozen=True, kw_only=True)
class Hay:
    """The farm's hay: price, analysis, bales and store."""

    __pydantic_config__ = STRICT

    dry_matter_fraction: Annotated[
        float,
        Entry("Dry matter", "Dry matter of hay as fed.", "fraction", ge=0.3, le=1),
    ]
    tdn_fraction: Annotated[
        float,
        Entry(
            "TDN",
            "Total digestible nutrients of the dry matter.",
            "fraction",
            ge=0.3,
            le=0.8,
        ),
    ]
    crude_protein_fraction: Annotated[
        float,
        Entry(
            "Crude protein",
            "Crude protein of the dry matter.",
            "fraction",
            ge=0.02,
            le=0.35,
        ),
    ]
    bale_weight_lb: Annotated[
        float,
        Entry(
            "Bale weight",
            "Weight of a bale as fed; weigh three.",
            "lb/bale",
            ge=15,
            le=3_000,
        ),
    ]
    storage: Annotated[Storage, Entry("Hay storage", "Where the hay is kept until it is fed.")]
    price_per_ton: (
        Annotated[
            float,
            Entry("Hay price", "Price delivered, as fed.", "currency/ton", ge=0, le=5_000),
        ]
        | None
    ) = None
    price_per_bale: (
        Annotated[
            float,
            Entry(
                "Bale price",
                "Price of a bale, instead of one per ton.",
                "currency/bale",
                ge=0,
                le=3_000,
            ),
        ]
        | None
    ) = None
    bales_on_hand: Annotated[
        float,
        Entry("Bales on hand", "Bales in store before winter.", "bale", ge=0, le=100_000),
    ] = 0.0
    home_grown_fraction: Annotated[
        float,
        Entry(
            "Home-grown share",
            "Share of the hay that the farm makes.",
            "fraction",
            ge=0,
            le=1,
        ),
    ] = 0.0
    valued_at: Annotated[
        Literal["market_less_selling", "cost_to_make"],
        Entry("Home-grown valued at", "What a ton of the farm's own hay is worth."),
    ] = "market_less_selling"
    cost_to_sell_per_ton: Annotated[
        float,
        Entry(
            "Cost to sell",
            "Hauling and selling a ton of hay.",
            "currency/ton",
            ge=0,
            le=5_000,
        ),
    ] = 0.0
    cost_to_make_per_ton: (
        Annotated[
            float,
            Entry("Cost to make", "Making a ton of hay.", "currency/ton", ge=0, le=5_000),
        ]
        | None
    ) = None
    hayfield_fertilized: Annotated[
        bool,
        Entry(
            "Hayfield fertilized",
            "Whether fertilizer replaces what home-grown hay takes away.",
        ),
    ] = False


@dataclass(frozen=True, kw_only=True)
class Supplement:
    """A feed bought to fill what hay or grass lacks."""

    __pydantic_config__ = STRICT

    price_per_ton: Annotated[
        float,
        Entry("Supplement price", "Price as fed.", "currency/ton", ge=0, le=10_000),
    ]
    dry_matter_fraction: Annotated[
        float, Entry("Dry matter", "Dry matter as fed.", "fraction", ge=0.3, le=1)
    ]
    tdn_fraction: Annotated[
        float,
        Entry(
            "TDN",
            "Total digestible nutrients of the dry matter.",
            "fraction",
            gt=0,
            le=1,
        ),
    ]
    crude_protein_fraction: Annotated[
        float,
        Entry("Crude protein", "Crude protein of the dry matter.", "fraction", gt=0, le=1),
    ]
    title: Text | None = None


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
        Annotated[float, Entry("List price", "Price new today.", "currency", gt=0, le=1e7)] | None
    ) = None
    price: (
        Annotated[float, Entry("Worth", "What it is worth now.", "currency", ge=0, le=1e7)] | None
    ) = None
    age_years: Annotated[float, Entry("Age", "Age now.", "year", ge=0, le=100)] | None = None
    years_kept: (
        Annotated[
            float,
            Entry("Years kept", "Years it will still be kept.", "year", gt=0, le=60),
        ]
        | None
    ) = None
    hours_per_year: (
        Annotated[
            float,
            Entry("Hours a year", "Use in a year, all work.", "hour/year", gt=0, le=8_760),
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
        Annotated[float, Entry("PTO power", "Power at the PTO.", "hp", gt=0, le=1_000)] | None
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
