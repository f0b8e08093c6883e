"""What people read of a costing, on a page or a screen: figures of systems, ties, cost-share.

Money is rounded to the nearest hundred here and nowhere else.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Document = Mapping[str, Any]

NEAREST = 100
ALMOST_NONE = 0.05
NONE = "-"
DISCLAIMER = (
    "Planning figures from the answers given here; not an engineering design, a permit, a grant "
    "decision, veterinary or tax advice."
)


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """One figure of a system as it is shown."""

    title: str
    text: str
    below: bool = False
    """Whether it says more about the figure above it."""


@dataclass(frozen=True, slots=True)
class ShownCostShare:
    """A system that rests on cost-share, as it is shown."""

    title: str
    asked_for: str
    without: str
    """A year, if none is ever paid."""
    up_front: str


def money(amount: float) -> str:
    """Return money to the nearest hundred."""
    return f"{round(amount / NEAREST) * NEAREST:,.0f}"


def by_rank(costing: Document) -> list[Document]:
    """Return the systems, the best first."""
    return sorted(costing["systems"], key=lambda system: system["rank"])


def herd_in_words(costing: Document) -> str:
    """Return the herd: heads and names of its groups."""
    return ", ".join(
        f"{group['head']:g} {(group.get('title') or key).lower()}"
        for key, group in costing["inputs_used"]["herd"].items()
    )


def winters_in_words(costing: Document) -> str:
    """Return how many winters were costed."""
    winters = costing["winter"]["winters"]
    return "1 winter" if winters == 1 else f"{winters} winters"


def figures(costing: Document, system: Document) -> Iterator[ShownFigure]:
    """Yield the figures of a system, in the order in which they are shown."""
    quantities = system["quantities"]
    bales = quantities["bales"]
    yield ShownFigure("Year, all told", money(system["annual_equivalent_cost"]))
    worst = max(row["annual_equivalent_cost"] for row in system["by_winter"])
    yield ShownFigure("worst winter", money(worst), below=True)
    yield ShownFigure("Out of pocket", money(system["out_of_pocket"]))
    yield ShownFigure("Up front", money(system["first_cost"]))
    yield ShownFigure("Bales", f"{bales['needed_mean']:.0f}")
    yield ShownFigure("in the worst", f"{bales['needed_worst']:.0f}", below=True)
    yield ShownFigure("short", _or_none(bales["short_mean"]), below=True)
    yield ShownFigure("spare", _or_none(bales["spare_mean"]), below=True)
    yield ShownFigure("Hours a winter", f"{quantities['labor_hours']:.0f}")
    acres = sum(quantities["acres_damaged"].values())
    yield ShownFigure("Acres to fix", "0" if acres < ALMOST_NONE else f"{acres:.1f}")
    won, winters = system["cheapest_in_winters"], costing["winter"]["winters"]
    yield ShownFigure("Cheapest in", f"{won} of {winters}")


def _or_none(bales: float) -> str:
    return f"{bales:.0f}" if bales > 0 else NONE


def ties(systems: Sequence[Document]) -> Iterator[tuple[str, str]]:
    """Yield the titles of every two systems that are too close to call on money, each pair once."""
    titles = {system["system"]: system["title"] for system in systems}
    seen: set[frozenset[str]] = set()
    for system in sorted(systems, key=lambda item: item["rank"]):
        for other in system["tie_with"]:
            pair = frozenset({system["system"], other})
            if pair not in seen:
                seen.add(pair)
                yield system["title"], titles[other]


def cost_shares(systems: Sequence[Document]) -> Iterator[ShownCostShare]:
    """Yield the systems for which cost-share is asked."""
    for system in systems:
        shared = sum(item["cost_share"] for item in system["structures"])
        if shared > 0:
            yield ShownCostShare(
                title=system["title"],
                asked_for=money(shared),
                without=money(system["without_cost_share"]),
                up_front=money(system["first_cost"]),
            )


def within_limits(systems: Sequence[Document]) -> list[str] | None:
    """Return the titles of the systems that meet every limit stated; None if none is stated."""
    limited = [system for system in systems if system["limits"]]
    if not limited:
        return None
    return [
        system["title"]
        for system in limited
        if all(limit["met"] for limit in system["limits"].values())
    ]
