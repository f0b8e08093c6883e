"""The scenario: one farm described for one decision."""

from dataclasses import dataclass, field
from typing import Annotated

from service.costing.entry import STRICT, Entry, Key, Text
from service.costing.farm import AnimalLosses, Group, Land
from service.costing.finance import Finance, Limits
from service.costing.fodder import Hay, Supplement
from service.costing.plan import System
from service.costing.prices import Machine, Prices
from service.costing.winter import Winter

Assumption = Annotated[
    float | str,
    Entry("Assumption", "Another value in place of a reference value, by its key."),
]


@dataclass(frozen=True, kw_only=True)
class Scenario:
    """A farm, its winter, its prices, and the systems to compare."""

    __pydantic_config__ = STRICT

    winter: Winter
    herd: dict[Key, Group]
    land: Land
    hay: Hay
    prices: Prices
    finance: Finance
    systems: dict[Key, System]
    baseline: Annotated[
        Key, Entry("Baseline", "Key of the system that the others are held against.")
    ]
    machines: dict[Key, Machine] = field(default_factory=dict)
    name: Text | None = None
    external_id: (
        Annotated[str, Entry("External id", "The caller's own name for it.", longest=100)] | None
    ) = None
    currency: Annotated[str, Entry("Currency", "ISO 4217 code.", pattern=r"^[A-Z]{3}$")] = "USD"
    price_year: (
        Annotated[
            float,
            Entry(
                "Price year",
                "Year of all prices.",
                "year",
                ge=1990,
                le=2100,
                whole=True,
            ),
        ]
        | None
    ) = None
    reference_edition: (
        Annotated[
            str,
            Entry(
                "Reference edition",
                "Edition of the reference values, or none.",
                longest=20,
            ),
        ]
        | None
    ) = None
    supplement: Supplement | None = None
    limits: Limits = field(default_factory=Limits)
    animal_losses: dict[Key, AnimalLosses] = field(default_factory=dict)
    assumptions: dict[str, Assumption] = field(default_factory=dict)
