"""What hay or grass lacks where no supplement is named."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from service.costing.averages import number
from service.costing.engine import Costing, SystemCosting
from service.costing.herd import Feed
from service.costing.limits import known
from service.costing.units import NEGLIGIBLE, STAGES
from service.costing.wording import amount, named, sentence, spoken

NUTRIENTS = {
    "tdn": ("requirement.tdn_fraction", "lb TDN/head/day", "TDN"),
    "protein": ("requirement.crude_protein_fraction", "lb protein/head/day", "crude protein"),
}
"""Key of the requirement, unit of the gap, and what it is called."""


@dataclass(frozen=True, slots=True)
class Gap:
    """What one group lacks of one nutrient in one stage on one feed, a head and day."""

    lacking: float
    needed: float
    stage: str
    feed: str


def supplement_gaps(costing: Costing, system: SystemCosting) -> Iterator[dict[str, Any]]:
    """Warn of the largest gap of each group in TDN and in protein."""
    case = costing.case
    if case.scenario.supplement is not None:
        return
    for position, group in enumerate(costing.herd.groups):
        for nutrient, (key, unit, word) in NUTRIENTS.items():
            gaps = _gaps(costing, system, position, nutrient, key)
            worst = max(gaps, key=lambda gap: gap.lacking, default=None)
            if worst is None or worst.lacking <= NEGLIGIBLE:
                continue
            title = named(case.scenario.herd[group].title, group)
            yield {
                "warning": f"supplement_gap_{nutrient}",
                "group": group,
                "value": worst.lacking,
                "limit": 0.0,
                "unit": unit,
                "sentence": sentence(
                    f"{title} lack {amount(worst.lacking)} of {amount(worst.needed)} lb {word} a "
                    f"head and day in {spoken(worst.stage)} on {worst.feed}, and no supplement is "
                    "named."
                ),
            }


def _gaps(
    costing: Costing, system: SystemCosting, position: int, nutrient: str, key: str
) -> Iterator[Gap]:
    herd = costing.herd
    stages = herd.stages(*herd.winter_days()).value
    animal = herd.animals[position]
    for name, feed in _feeds(system, position).items():
        content = number((feed.tdn if nutrient == "tdn" else feed.protein).value)
        for i, stage in enumerate(STAGES):
            required = known(costing.case, f"{key}.{animal}.{stage}")
            if required is None or not stages[i, position].any():
                continue
            intake = number(feed.by_stage.value[i, position])
            lacking = intake * max(0.0, required - content)
            yield Gap(lacking, intake * required, stage, name)


def _feeds(system: SystemCosting, position: int) -> dict[str, Feed]:
    """Return what a group eats in any winter."""
    return {
        "hay" if step.waste is not None else "stockpiled grass": step.feed
        for step in system.run.steps
        if step.served.value[position].any()
    }
