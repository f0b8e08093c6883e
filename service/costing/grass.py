"""Stockpiled grass, and the late summer that it is taken from."""

from dataclasses import dataclass

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.formulas.stages import day_before, day_of_year, days_from_to
from service.costing.formulas.stockpile import (
    caused_by_closing,
    late_summer_demand,
    late_summer_supply,
    shortfall,
    stockpile_from_nitrogen,
    stockpile_without_nitrogen,
    usable_stockpile,
    utilization,
)
from service.costing.formulas.sums import less, total
from service.costing.herd import Herd
from service.costing.methods import Step
from service.costing.plan import System
from service.costing.units import DAYS_PER_MOVE
from service.costing.winter_rows import WinterRows


@dataclass(frozen=True, slots=True)
class Stockpile:
    """Grass of one step: without nitrogen, with it, and what animals can eat of it."""

    plain: Figure
    standing: Figure
    usable: Figure


@dataclass(frozen=True, slots=True)
class LateSummer:
    """The stretch from the first closing to the last dormancy, as shut and with nothing shut."""

    days: Figure
    demand: Figure
    supply: Figure
    supply_nothing_closed: Figure
    caused: Figure


def stockpile_of(case: Case, winters: WinterRows, step: Step, path: str) -> Stockpile:
    """Return the stockpiled grass of a step."""
    work = case.work
    acres = case.given(f"{path}.acres", step.setting("acres"), "acre")
    plain = work(
        stockpile_without_nitrogen,
        acres=acres,
        growth=case.reference("stockpile.growth_lb_dm_per_acre_day"),
        growth_factor=winters.growth_factor,
        days=_days_shut(case, step, path),
    )
    from_nitrogen = work(
        stockpile_from_nitrogen,
        acres=acres,
        nitrogen_response=case.reference("stockpile.nitrogen_response"),
        nitrogen=nitrogen_of(case, step, path),
        growth_factor=winters.growth_factor,
    )
    standing = work(total, plain, from_nitrogen)
    usable = work(
        usable_stockpile,
        standing=standing,
        winter_loss=case.reference("stockpile.winter_loss"),
        utilization=_utilization_of(case, step, path),
    )
    return Stockpile(plain, standing, usable)


def nitrogen_of(case: Case, step: Step, path: str) -> Figure:
    """Return the nitrogen spread on a step's grass."""
    return case.given(
        f"{path}.nitrogen_lb_per_acre", step.setting("nitrogen_lb_per_acre"), "lb/acre"
    )


def _days_shut(case: Case, step: Step, path: str) -> Figure:
    return case.work(
        days_from_to,
        start=case.given(f"{path}.closing_date", step.setting("closing_date"), "date"),
        end=case.given(f"{path}.dormancy_date", step.setting("dormancy_date"), "date"),
    )


def _utilization_of(case: Case, step: Step, path: str) -> Figure:
    days = step.setting("days_per_move")
    if days is None:
        return case.reference("stockpile.utilization.free_access")
    names = ("at_one", "at_three", "at_seven", "at_fourteen")
    return case.work(
        utilization,
        days_per_move=case.given(f"{path}.days_per_move", days, "day"),
        **{
            name: case.reference(f"stockpile.utilization.{moves}")
            for name, moves in zip(names, DAYS_PER_MOVE, strict=True)
        },
    )


def late_summer(
    case: Case, herd: Herd, winters: WinterRows, head: Figure, name: str, system: System
) -> LateSummer | None:
    """Return the late summer of a system, or None if it shuts nothing that is grazed then."""
    closing = {
        key: step for key, step in system.steps.items() if step.setting("closing_date") is not None
    }
    fields = case.scenario.land.fields
    taken = {
        key: step
        for key, step in closing.items()
        if step.field is not None and fields[step.field].grazed_in_late_summer
    }
    if not taken:
        return None
    work = case.work
    first = min(closing, key=lambda key: day_of_year(closing[key].setting("closing_date")))
    last = max(closing, key=lambda key: day_of_year(closing[key].setting("dormancy_date")))
    path = f"systems.{name}.plan"
    start = case.given(
        f"{path}.{first}.closing_date", closing[first].setting("closing_date"), "date"
    )
    end = case.given(f"{path}.{last}.dormancy_date", closing[last].setting("dormancy_date"), "date")
    days = work(days_from_to, start=start, end=end)
    feed = herd.stockpile(start, work(day_before, day=end))
    grazed = work(
        total,
        *[
            case.given(f"land.fields.{key}.acres", field.acres, "acre")
            for key, field in fields.items()
            if field.grazed_in_late_summer
        ],
    )
    closed = work(
        total,
        *[
            case.given(f"{path}.{key}.acres", step.setting("acres"), "acre")
            for key, step in taken.items()
        ],
    )

    def supply_of(acres: Figure) -> Figure:
        return work(
            late_summer_supply,
            acres=acres,
            standing=case.reference("stockpile.standing_at_closing_lb_dm_per_acre"),
            growth=case.reference("stockpile.growth_lb_dm_per_acre_day"),
            growth_factor=winters.growth_factor,
            days=days,
            utilization=case.reference("stockpile.late_summer_utilization"),
        )

    demand = work(late_summer_demand, head=head, intake=feed.intake, days=days)
    supply = supply_of(work(less, whole=grazed, part=closed))
    supply_nothing_closed = supply_of(grazed)
    caused = work(
        caused_by_closing,
        as_closed=work(shortfall, demand=demand, supply=supply),
        nothing_closed=work(shortfall, demand=demand, supply=supply_nothing_closed),
    )
    return LateSummer(days, demand, supply, supply_nothing_closed, caused)
