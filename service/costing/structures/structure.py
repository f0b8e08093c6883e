"""What all structures share: price, life, cost-share, and what is there already."""

from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

from service.costing.entry import STRICT, Entry, Key, Text

AREA = Entry("Area", "Area of it.", "sq ft", ge=1, le=1e7)
EXISTING_AREA = Entry("Area there now", "Area that exists already.", "sq ft", ge=1, le=1e7)
Area = Annotated[float, AREA]
ExistingArea = Annotated[float, EXISTING_AREA]


@dataclass(frozen=True, kw_only=True)
class CostShare:
    """Public money toward a structure: the least of what its terms give."""

    __pydantic_config__ = STRICT

    rate: (
        Annotated[float, Entry("Rate", "Share of the eligible cost.", "fraction", ge=0, le=1)]
        | None
    ) = None
    per_unit: (
        Annotated[
            float,
            Entry("Per unit", "Money per unit of size.", "currency/size", ge=0, le=1e6),
        ]
        | None
    ) = None
    eligible_cost: (
        Annotated[
            float,
            Entry(
                "Eligible cost",
                "The whole cost, if not given.",
                "currency",
                ge=0,
                le=1e8,
            ),
        ]
        | None
    ) = None
    cap: Annotated[float, Entry("Cap", "Most that is paid.", "currency", ge=0, le=1e8)] | None = (
        None
    )
    payment_year: Annotated[
        float,
        Entry(
            "Payment year",
            "Year at whose end it is paid.",
            "year",
            ge=0,
            le=50,
            whole=True,
        ),
    ] = 1.0
    status: Annotated[
        Literal["not_applied", "applied", "contracted", "paid"],
        Entry("Status", "How far the application is."),
    ] = "not_applied"


@dataclass(frozen=True, kw_only=True)
class Structure:
    """Something built or bought to last.

    The class of a kind adds its sizes; ``size_field`` names the one that counts and
    ``size_unit`` is its unit.
    """

    size_field: ClassVar[str]
    size_unit: ClassVar[str]
    is_floor: ClassVar[bool] = False
    always_roofed: ClassVar[bool] = False
    catches_rain: ClassVar[bool] = False
    topped_up: ClassVar[bool] = False

    kind: str
    title: Text | None = None
    price: (
        Annotated[
            float,
            Entry(
                "Price",
                "Price of the works, instead of the reference.",
                "currency",
                ge=0,
                le=1e8,
            ),
        ]
        | None
    ) = None
    quote_date: (
        Annotated[
            str,
            Entry(
                "Quote date",
                "Date of the quote, YYYY-MM-DD.",
                pattern=r"^\d{4}-\d{2}-\d{2}$",
            ),
        ]
        | None
    ) = None
    contingency_fraction: Annotated[
        float, Entry("Contingency", "Added to the works.", "fraction", ge=0, le=1)
    ] = 0.0
    engineering_cost: Annotated[
        float, Entry("Engineering", "Design and inspection.", "currency", ge=0, le=1e7)
    ] = 0.0
    permit_cost: Annotated[float, Entry("Permits", "Fees.", "currency", ge=0, le=1e7)] = 0.0
    power_and_water_cost: Annotated[
        float,
        Entry("Power and water", "Bringing them there.", "currency", ge=0, le=1e7),
    ] = 0.0
    tie_in_cost: Annotated[
        float, Entry("Tie-in", "Joining new to old.", "currency", ge=0, le=1e7)
    ] = 0.0
    existing: Annotated[bool, Entry("Existing", "It is there already.")] = False
    remaining_life_years: (
        Annotated[
            float,
            Entry(
                "Remaining life",
                "Years until it is rebuilt.",
                "year",
                ge=0,
                le=100,
                whole=True,
            ),
        ]
        | None
    ) = None
    field: Annotated[Key, Entry("Field", "Field it stands on.")] | None = None
    left_value_agreed: (
        Annotated[
            float,
            Entry(
                "Left value",
                "What the landlord pays at the end.",
                "currency",
                ge=0,
                le=1e8,
            ),
        ]
        | None
    ) = None
    cost_share: CostShare | None = None

    @property
    def given_size(self) -> float | None:
        """Size as given, in the unit of the kind."""
        return getattr(self, self.size_field, None)

    @property
    def existing_size(self) -> float | None:
        """Size that exists already, beside a new one."""
        return getattr(self, f"existing_{self.size_field}", None)

    def setting(self, name: str) -> Any:  # noqa: ANN401 - the value of an input
        """Return a field of the kind's own, or None where the kind has none such."""
        return getattr(self, name, None)
