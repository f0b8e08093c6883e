"""The systems in the question: each a plan of steps, what it builds and whom it sells or buys."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated

from service.costing.entry import STRICT, Entry, Key, Tagged, Text
from service.costing.fodder import Storage
from service.costing.methods import METHODS, Step
from service.costing.structures import KINDS, Structure

AnyStep = Annotated[Step, Tagged("method", METHODS)]
AnyStructure = Annotated[Structure, Tagged("kind", KINDS)]


@dataclass(frozen=True, kw_only=True)
class HerdChange:
    """Animals of a group bought (more than 0) or sold (less than 0) before winter."""

    __pydantic_config__ = STRICT

    head: Annotated[
        float,
        Entry(
            "Head bought",
            "Bought, or sold if less than 0.",
            "head",
            ge=-20_000,
            le=20_000,
        ),
    ]
    price_per_head: Annotated[
        float,
        Entry("Price a head", "Paid or received.", "currency/head", ge=0, le=100_000),
    ]


@dataclass(frozen=True, kw_only=True)
class Margin:
    """What an animal of a group earns in a year before the winter is paid for."""

    __pydantic_config__ = STRICT

    sold_per_head: Annotated[
        float,
        Entry(
            "Young sold",
            "Calves or lambs sold for each head kept.",
            "head/head",
            ge=0,
            le=5,
        ),
    ]
    weight_lb: Annotated[float, Entry("Sale weight", "Of one sold.", "lb/head", ge=1, le=3_500)]
    price_per_lb: Annotated[
        float,
        Entry("Sale price", "Per pound of live weight.", "currency/lb", ge=0, le=100),
    ]
    other_costs_per_head: Annotated[
        float,
        Entry(
            "Other costs",
            "All other costs of a year, winter left out.",
            "currency/head",
            ge=0,
            le=50_000,
        ),
    ] = 0.0


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor of a system and whether there is a roof over it."""

    key: str
    structure: Structure
    roofed: bool


@dataclass(frozen=True, kw_only=True)
class System:
    """One answer for the whole winter."""

    __pydantic_config__ = STRICT

    plan: Annotated[list[AnyStep], Entry("Plan", "Steps in the order in which they are used.")]
    title: Text | None = None
    structures: dict[Key, AnyStructure] = field(default_factory=dict)
    hay_storage: (
        Annotated[
            Storage,
            Entry("Hay storage", "Where this system keeps hay, if not where the farm does now."),
        ]
        | None
    ) = None
    herd_change: dict[Key, HerdChange] = field(default_factory=dict)
    margin: dict[Key, Margin] = field(default_factory=dict)

    @cached_property
    def steps(self) -> dict[str, Step]:
        """The steps by key; a step without one has its method's name, the second with ``_2``."""
        return dict(zip(step_keys(self.plan), self.plan, strict=True))

    @cached_property
    def floors(self) -> dict[str, Floor]:
        """The floors among the structures."""
        covered = {
            structure.setting("over")
            for structure in self.structures.values()
            if structure.kind == "roof"
        }
        return {
            key: Floor(key, structure, KINDS[structure.kind].always_roofed or key in covered)
            for key, structure in self.structures.items()
            if KINDS[structure.kind].is_floor
        }


def step_keys(plan: list[Step]) -> list[str]:
    """Return the key of each step: its own, or its method's name, numbered from the second on."""
    keys: list[str] = []
    seen: dict[str, int] = {}
    for step in plan:
        if step.key is not None:
            keys.append(step.key)
            continue
        seen[step.method] = seen.get(step.method, 0) + 1
        number = seen[step.method]
        keys.append(step.method if number == 1 else f"{step.method}_{number}")
    return keys
