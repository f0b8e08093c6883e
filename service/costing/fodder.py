"""The farm's hay, and the feed bought beside it."""

from dataclasses import dataclass
from typing import Annotated, Literal

from service.costing.entry import STRICT, Entry, Text

Storage = Literal[
    "ground_uncovered",
    "gravel_uncovered",
    "ground_covered",
    "raised_covered",
    "barn",
    "wrapped",
]


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
            ge=0.05,
            le=1,
        ),
    ]
    crude_protein_fraction: Annotated[
        float,
        Entry("Crude protein", "Crude protein of the dry matter.", "fraction", ge=0.01, le=1),
    ]
    title: Text | None = None
