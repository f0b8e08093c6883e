"""What all steps of a plan share."""

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

from service.costing.entry import Entry, Key

GroundState = Literal["frozen", "snow_covered", "firm", "wet"]
Presentation = Literal[
    "bales_in_place",
    "bunk",
    "no_feeder",
    "ring_cone",
    "ring_open",
    "ring_solid_bottom",
    "sheep_rack",
    "unrolled_daily",
    "unrolled_several_days",
]

PutBefore = Annotated[Presentation, Entry("Presentation", "How hay is put before the animals.")]
HoursOnMethod = Annotated[
    float,
    Entry(
        "Hours on it",
        "Hours of the day spent where they are fed.",
        "hour/day",
        ge=0.5,
        le=24,
    ),
]
RestingPlace = Annotated[
    Key,
    Entry("Resting place", "A floor's key, or pasture or sacrifice_lot with its field."),
]
RestingField = Annotated[Key, Entry("Resting field", "Field of the resting place.")]


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of a plan: which animals, on which ground, for how long.

    The class of a method adds its own fields and says by its class attributes where the animals
    stand and whether they eat hay.
    """

    eats_hay: ClassVar[bool] = True
    needs_field: ClassVar[bool] = False
    structure_kinds: ClassVar[tuple[str, ...]] = ()
    """Kinds of structure it can feed on; empty: it feeds on land."""

    method: str
    key: Annotated[Key, Entry("Key", "Name of the step; its method, if not given.")] | None = None
    groups: (
        Annotated[list[Key], Entry("Groups", "Herd groups on the step; all, if not given.")] | None
    ) = None
    ground_states: (
        Annotated[
            list[GroundState],
            Entry("Ground states", "Ground states on which it is used; all, if not given."),
        ]
        | None
    ) = None
    share_of_herd: Annotated[
        float,
        Entry("Share of the herd", "Share of the named groups.", "fraction", ge=0.001, le=1),
    ] = 1.0
    min_spell_days: Annotated[
        float,
        Entry(
            "Shortest spell",
            "Only spells at least this long.",
            "day",
            ge=1,
            le=365,
            whole=True,
        ),
    ] = 1.0
    max_days: (
        Annotated[float, Entry("Most days", "It runs no longer.", "day", ge=0.1, le=365)] | None
    ) = None
    presentation: PutBefore | dict[Key, PutBefore] | None = None
    field: Annotated[Key, Entry("Field", "Where it stands.")] | None = None
    hours_on_method: HoursOnMethod = 24.0
    resting_place: RestingPlace | None = None
    resting_field: RestingField | None = None
    stocking: Annotated[
        Literal["usual", "tight"], Entry("Stocking", "Usual area a head, or tight.")
    ] = "usual"

    def setting(self, name: str) -> Any:  # noqa: ANN401 - the value of an input
        """Return a field of the method's own, or None where the method has none such."""
        return getattr(self, name, None)
