"""What a system is charged: amounts a year by winter, and flows by year."""

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from service.costing.figure import Figure

Kind = Literal["paid", "own_labor", "home_grown", "ownership", "forgone", "credit"]

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


class Entry(NamedTuple):
    """All money of one line, kind and escalation."""

    line: str
    kind: Kind
    escalator: Escalator | None = None


@dataclass(slots=True)
class Charges:
    """All that one system is charged.

    ``yearly`` holds amounts that come back every year, one for each winter; ``flows`` holds money
    that differs from year to year and not from winter to winter, many entries in one figure.
    """

    yearly: dict[Entry, list[Figure]] = field(default_factory=dict)
    flows: list[tuple[list[Entry], Figure]] = field(default_factory=list)

    def add(self, line: str, kind: Kind, escalator: Escalator | None, amount: Figure) -> None:
        """Charge an amount each year."""
        self.yearly.setdefault(Entry(line, kind, escalator), []).append(amount)

    def add_flows(self, line: str, count: int, flows: Figure) -> None:
        """Charge ``count`` paid flows by year, shape (years + 1, count, draws, 1)."""
        self.flows.append(([Entry(line, "paid")] * count, flows))
