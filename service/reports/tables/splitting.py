"""Money a year split by head, by head and day, or by ton eaten, as the whole cost is split.

What several groups of animals share is split by the dry matter that they eat; so a cost a head is
always that of one group.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Document = Mapping[str, Any]

HEAD, HEAD_DAY, TON = "head", "head_day", "ton_dm_eaten"


@dataclass(frozen=True, slots=True)
class Split:
    """One way to split: the unit that money is for, and what the whole cost of a system comes to.

    The whole is None where nothing is eaten.
    """

    unit: str
    whole: Callable[[Document], float | None]

    def of(self, system: Document, amount: float) -> float | None:
        """Return what an amount a year comes to; None where the whole cost tells nothing."""
        whole, cost = self.whole(system), system["annual_equivalent_cost"]
        return None if whole is None or not cost else amount * (whole / cost)


def splits_of(body: Document) -> dict[str, Split]:
    """Return the ways in which a costing can be split, by the word that asks for each.

    ``head`` and ``head_day`` name a group after a dot; where there is one group they need not.
    """
    splits = {TON: Split("ton DM", lambda system: system["cost_per_ton_dm_eaten"])}
    groups = groups_of(body)
    for group in groups:
        by_head = Split("head", _by_head(group, 1))
        by_day = Split("head-day", _by_head(group, body["winter"]["days"]))
        splits |= {f"{HEAD}.{group}": by_head, f"{HEAD_DAY}.{group}": by_day}
        if len(groups) == 1:
            splits |= {HEAD: by_head, HEAD_DAY: by_day}
    return splits


def groups_of(body: Document) -> list[str]:
    """Return the groups that the cost is split among."""
    return list(body["systems"][0]["cost_per_head"])


def _by_head(group: str, days: float) -> Callable[[Document], float | None]:
    return lambda system: system["cost_per_head"][group] / days
