"""Grass shut in late summer and grazed in winter."""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from service.costing.entry import STRICT, Entry, MonthDay
from service.costing.methods.step import Step


@dataclass(frozen=True, kw_only=True)
class StockpileGrazing(Step):
    """Stockpiled grass, strip grazed or with free access."""

    __pydantic_config__ = STRICT
    eats_hay: ClassVar[bool] = False
    needs_field: ClassVar[bool] = True

    method: Literal["stockpile_grazing"] = "stockpile_grazing"
    acres: Annotated[float, Entry("Acres shut", "Acres of the field.", "acre", ge=0.01, le=100_000)]
    closing_date: Annotated[MonthDay, Entry("Closing date", "Day on which it is shut.")]
    dormancy_date: Annotated[MonthDay, Entry("Dormancy date", "Day on which growth ends.")]
    nitrogen_lb_per_acre: Annotated[
        float, Entry("Nitrogen", "Spread at closing.", "lb/acre", ge=0, le=300)
    ] = 0.0
    days_per_move: (
        Annotated[
            float,
            Entry(
                "Days per move",
                "Days between moves of the wire; free access if not given.",
                "day",
                ge=0.1,
                le=365,
            ),
        ]
        | None
    ) = None
