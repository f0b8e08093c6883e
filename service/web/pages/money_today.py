"""Where today's money goes: one bar in parts, and what rots or is trampled in bales."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from service.costing.units import POUNDS_PER_TON
from service.web.pages.systems_compared import money

Document = Mapping[str, Any]

PARTS: Sequence[tuple[str, tuple[str, ...]]] = (
    ("eaten", ("hay_eaten",)),
    ("wasted where it is fed", ("hay_wasted",)),
    ("lost in storage", ("hay_lost_in_storage",)),
    ("work and tractor", ("labor", "machinery")),
    ("ground", ("ground_restoration", "forage_lost")),
)
REST = "the rest"
WHOLE = 100


@dataclass(frozen=True, slots=True)
class BarPart:
    """A part of the bar, in hundredths of its length."""

    title: str
    amount: str
    start: float
    length: float
    look: int


@dataclass(frozen=True, slots=True)
class MoneyToday:
    """The bar and the sentence below it."""

    title: str
    parts: list[BarPart]
    """Those that cost something."""
    rest: str
    """What is left over, where it is a credit and has no place in the bar; else empty."""
    bales: str


def money_today(costing: Document) -> MoneyToday:
    """Return where the baseline's money goes."""
    key = costing["comparison"]["baseline"]
    system = next(one for one in costing["systems"] if one["system"] == key)
    lines = {line["line"]: line["annual_equivalent"] for line in system["lines"]}
    amounts = [(title, sum(lines[name] for name in names)) for title, names in PARTS]
    rest = system["annual_equivalent_cost"] - sum(amount for _, amount in amounts)
    amounts.append((REST, rest))
    shown = [(look, title, cost) for look, (title, cost) in enumerate(amounts) if cost > 0]
    length = sum(cost for _, _, cost in shown) or 1
    parts: list[BarPart] = []
    start = 0.0
    for look, title, cost in shown:
        share = WHOLE * cost / length
        parts.append(BarPart(title, money(cost), round(start, 2), round(share, 2), look))
        start += share
    return MoneyToday(
        title=system["title"],
        parts=parts,
        rest=f"{REST} {money(rest)}" if rest < 0 else "",
        bales=_bales(costing, system),
    )


def _bales(costing: Document, system: Document) -> str:
    """Say how many bales are trampled and how many rot; nothing where no bales are fed."""
    quantities = system["quantities"]
    hay = costing["inputs_used"]["hay"]
    needed = quantities["bales"]["needed_mean"]
    if round(needed) == 0:
        return ""
    bale_ton_dm = hay["bale_weight_lb"] * hay["dry_matter_fraction"] / POUNDS_PER_TON
    wasted = quantities["hay_wasted_ton_dm"] / bale_ton_dm
    lost = quantities["hay_lost_in_storage_ton_dm"] / bale_ton_dm
    return (
        f"Of {needed:,.0f} bales, about {lost:,.0f} rot before feeding and {wasted:,.0f} are "
        "trampled or left."
    )
