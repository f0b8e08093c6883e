"""Bales set out on grass before winter and fenced off one row after another."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class BaleGrazing(Step):
    """Bales eaten where they were set out."""

    __pydantic_config__ = STRICT
    needs_field: ClassVar[bool] = True

    method: Literal["bale_grazing"] = "bale_grazing"
    bales_set_out: Annotated[
        float,
        Entry("Bales set out", "Bales standing on the field.", "bale", ge=1, le=100_000),
    ]
    spacing_ft: Annotated[
        float, Entry("Bale spacing", "From center to center.", "ft", ge=8, le=500)
    ]
    days_per_move: (
        Annotated[
            float,
            Entry("Days per move", "Days between moves of the wire.", "day", ge=0.1, le=365),
        ]
        | None
    ) = None
    years_between_uses: (
        Annotated[
            float,
            Entry(
                "Years between uses",
                "Years until the same ground is used again.",
                "year",
                ge=0,
                le=50,
            ),
        ]
        | None
    ) = None
