"""Which systems stand in the table, in which order, and which of them large."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.web.pages.systems_compared import by_rank

Document = Mapping[str, Any]

MOST = 7
LARGE_BESIDE_BASELINE = 3
SURE = frozenset({"contracted", "paid"})
"""Cost-share of another status is hoped for."""


@dataclass(frozen=True, slots=True)
class Column:
    """A system in the table."""

    key: str
    title: str
    system: Document
    is_baseline: bool
    is_large: bool

    @property
    def cost_share_hoped_for(self) -> float:
        """What may come back of what is built, where no contract stands [currency]."""
        return sum(
            item["cost_share"]
            for item in self.system["structures"]
            if item.get("cost_share_status") not in SURE
        )

    @property
    def is_starred(self) -> bool:
        """Whether the table shows it before cost-share."""
        return self.cost_share_hoped_for > 0

    @property
    def before_cost_share(self) -> Document:
        """Its money figures as the table shows them."""
        return self.system["without_cost_share_figures"] if self.is_starred else self.system

    @property
    def worst(self) -> Document:
        """Its dearest winter, as the table shows it."""
        worst = max(self.system["by_winter"], key=lambda row: row["annual_equivalent_cost"])
        more = (
            self.before_cost_share["annual_equivalent_cost"] - self.system["annual_equivalent_cost"]
        )
        return {**worst, "annual_equivalent_cost": worst["annual_equivalent_cost"] + more}


def columns_of(costing: Document) -> list[Column]:
    """Return today, then the others by rank, no more than can be read on a sheet.

    Large are today, the cheapest, those within all limits, and then the next by rank.
    """
    baseline = costing["comparison"]["baseline"]
    ranked = by_rank(costing)
    others = [system for system in ranked if system["system"] != baseline]
    large = {system["system"] for system in _nearest(others)[:LARGE_BESIDE_BASELINE]}
    kept = [system for system in others if system["system"] in large]
    kept += [system for system in others if system["system"] not in large]
    today = [system for system in ranked if system["system"] == baseline]
    return [
        Column(
            key=system["system"],
            title=system["title"],
            system=system,
            is_baseline=system["system"] == baseline,
            is_large=system["system"] in large or system["system"] == baseline,
        )
        for system in [*today, *kept][:MOST]
    ]


def left_out(costing: Document, columns: Sequence[Column]) -> list[str]:
    """Return the titles of the systems that the table has no room for."""
    shown = {column.key for column in columns}
    return [system["title"] for system in by_rank(costing) if system["system"] not in shown]


def meets_limits(system: Document) -> bool:
    """Whether a system meets every limit that is stated, and at least one is."""
    limits = system["limits"].values()
    return bool(limits) and all(limit["met"] for limit in limits)


def chosen(costing: Document) -> Document:
    """Return the system that dates and the wall card are about.

    The cheapest within the limits that are stated; the cheapest of all where none is within.
    """
    ranked = by_rank(costing)
    return next((system for system in ranked if meets_limits(system)), ranked[0])


def _nearest(others: Sequence[Document]) -> list[Document]:
    """Return systems in the order in which they are given room."""
    order = sorted(
        range(len(others)), key=lambda place: (place > 0, not meets_limits(others[place]), place)
    )
    return [others[place] for place in order]
