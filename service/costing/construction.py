"""What a system builds: money by year, upkeep and cost-share."""

from dataclasses import dataclass

from service.costing.builder import NO_MONEY, Builder, Built
from service.costing.charges import Charges
from service.costing.feed import FeedRun
from service.costing.figure import Figure
from service.costing.floors import FloorRun
from service.costing.formulas.building import (
    building_flows,
    paid_in_year,
    salvage_value,
    upkeep_flows,
)
from service.costing.formulas.sums import (
    negative,
    side_by_side,
    total,
)
from service.costing.run import SystemRun


@dataclass(frozen=True, slots=True)
class Construction:
    """All structures of a system; money by year of each part on the entry axis."""

    built: list[Built]
    building: Figure | None
    upkeep: Figure | None


def construction_of(
    run: SystemRun, feed: FeedRun, floors: list[FloorRun], charges: Charges
) -> Construction:
    """Work every structure of a system and charge for it."""
    builder = Builder(run, feed, floors)
    built = [builder.build(key, structure) for key, structure in run.system.structures.items()]
    parts = builder.parts
    if not parts:
        return Construction([], None, None)
    work = run.case.work

    def of_parts(name: str) -> Figure:
        return work(side_by_side, *[getattr(part, name) for part in parts])

    cost, life = of_parts("cost"), of_parts("life")
    salvage = work(salvage_value, first_cost=cost, salvage_fraction=of_parts("salvage_fraction"))
    if any(part.left_value is not NO_MONEY for part in parts):
        salvage = work(total, salvage, of_parts("left_value"))
    building = work(
        building_flows,
        first_cost=cost,
        salvage_value=salvage,
        life=life,
        first_built=of_parts("first_built"),
        horizon=builder.horizon,
        prorated=of_parts("prorated"),
    )
    upkeep = work(
        upkeep_flows,
        first_cost=cost,
        upkeep_fraction=of_parts("upkeep_fraction"),
        top_up=of_parts("top_up"),
        top_up_interval=of_parts("top_up_interval"),
        age=of_parts("age"),
        life=life,
        horizon=builder.horizon,
    )
    charges.add_flows("structures", len(parts), building)
    charges.add_flows("structure_upkeep", len(parts), upkeep)
    _charge_cost_share(run, built, builder.horizon, charges)
    return Construction(built, building, upkeep)


def _charge_cost_share(
    run: SystemRun, built: list[Built], horizon: Figure, charges: Charges
) -> None:
    case, work = run.case, run.case.work
    shared = [item for item in built if item.structure.cost_share is not None]
    if not shared:
        return
    years = [
        case.given(
            f"systems.{run.key}.structures.{item.key}.cost_share.payment_year",
            item.structure.cost_share.payment_year,
            "year",
        )
        for item in shared
        if item.structure.cost_share
    ]
    flows = work(
        paid_in_year,
        amount=work(negative, amount=work(side_by_side, *[item.cost_share for item in shared])),
        year=work(side_by_side, *years),
        horizon=horizon,
    )
    charges.add_flows("cost_share", len(shared), flows)
