"""What a system is charged: amounts a year by winter, and flows by year."""

from dataclasses import dataclass, field
from typing import Literal

from service.costing.figure import Figure

Kind = Literal["paid", "own_labor", "home_grown", "ownership", "forgone", "credit"]
KINDS_OF_MONEY: tuple[Kind, ...] = (
    "paid",
    "own_labor",
    "home_grown",
    "ownership",
    "forgone",
    "credit",
)

Escalator = Literal[
    "hay",
    "supplement",
    "labor",
    "machinery",
    "bedding",
    "fertilizer",
    "nutrients",
    "forage",
]


@dataclass(frozen=True, slots=True)
class Charge:
    """An amount that comes back every year, one for each winter."""

    line: str
    kind: Kind
    escalator: Escalator | None
    amount: Figure


@dataclass(frozen=True, slots=True)
class YearlyFlow:
    """Money that differs from year to year and not from winter to winter."""

    line: str
    kind: Kind
    flows: Figure


@dataclass(slots=True)
class Charges:
    """All that one system is charged."""

    yearly: list[Charge] = field(default_factory=list)
    flows: list[YearlyFlow] = field(default_factory=list)

    def add(
        self, line: str, kind: Kind, escalator: Escalator | None, amount: Figure
    ) -> None:
        """Charge an amount each year."""
        self.yearly.append(Charge(line, kind, escalator, amount))

    def add_flow(self, line: str, kind: Kind, flows: Figure) -> None:
        """Charge a flow by year."""
        self.flows.append(YearlyFlow(line, kind, flows))
