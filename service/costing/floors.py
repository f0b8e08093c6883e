"""Floors: bedding, manure, wasted hay and rain on them, and storage for what comes off."""

from dataclasses import dataclass

from service.costing.allocation import dry_matter_of_hay
from service.costing.charges import Charges
from service.costing.figure import Figure, constant
from service.costing.formulas.manure import (
    bedding,
    bedding_cost,
    days_in_use,
    hay_as_fed,
    loads,
    manure,
    rain_on_floor,
    scrapings,
    storage_volume,
    to_handle,
    volume_of_floor,
)
from service.costing.formulas.sums import in_mean_winter, total
from service.costing.places import Place
from service.costing.plan import Floor
from service.costing.run import StepRun, SystemRun
from service.costing.units import STATES

NOTHING = constant(0.0, "lb")
NO_RAIN = constant(0.0, "cu ft")


@dataclass(frozen=True, slots=True)
class FloorRun:
    """One floor in use, with what falls on it in each winter."""

    floor: Floor
    kind: str
    days: Figure
    manure: Figure
    bedding: Figure
    waste: Figure
    rain: Figure
    collected_fraction: Figure
    tons: Figure
    loads: Figure
    scrapings: Figure


def floors_in_use(run: SystemRun, charges: Charges) -> list[FloorRun]:
    """Work every floor that a step uses, and charge for its bedding."""
    used: list[FloorRun] = []
    for key, floor in run.system.floors.items():
        stays = [
            (step, place) for step in run.steps for place in step.places if place.structure == key
        ]
        if stays:
            used.append(_floor_run(run, floor, stays))
    if used:
        price = run.case.given(
            "prices.bedding_per_ton",
            run.case.scenario.prices.bedding_per_ton,
            "currency/ton",
        )
        for floor in used:
            cost = run.case.work(bedding_cost, bedding=floor.bedding, price=price)
            charges.add("bedding", "paid", "bedding", cost)
    return used


def _floor_run(run: SystemRun, floor: Floor, stays: list[tuple[StepRun, Place]]) -> FloorRun:
    case, work = run.case, run.case.work
    kind = floor.structure.kind
    days = work(days_in_use, *[step.days_run for step, _ in stays], days=run.winters.total_days)
    fallen = [_manure_of(run, step, place) for step, place in stays]
    bedded = [_bedding_of(run, kind, step, place) for step, place in stays]
    wasted = [
        work(
            hay_as_fed,
            dry_matter=step.wasted,
            dry_matter_fraction=dry_matter_of_hay(case),
        )
        for step, place in stays
        if place.feeds_here and step.wasted is not None
    ]
    rain = _rain_on(run, floor, days)
    collected = case.reference(f"manure.collected_fraction.{kind}")
    manure_lb = work(total, *fallen)
    bedding_lb = work(total, *bedded)
    waste_lb = work(total, *wasted) if wasted else NOTHING
    tons = work(
        to_handle,
        manure=manure_lb,
        bedding=bedding_lb,
        waste=waste_lb,
        collected_fraction=collected,
        rain=rain,
    )
    return FloorRun(
        floor=floor,
        kind=kind,
        days=days,
        manure=manure_lb,
        bedding=bedding_lb,
        waste=waste_lb,
        rain=rain,
        collected_fraction=collected,
        tons=tons,
        loads=work(loads, tons=tons, tons_per_load=case.reference("manure.spreader_load_ton")),
        scrapings=work(
            scrapings,
            days=days,
            days_between=case.reference(f"manure.days_between_scrapings.{kind}"),
        ),
    )


def _manure_of(run: SystemRun, step: StepRun, place: Place) -> Figure:
    return run.case.work(
        manure,
        served=step.served,
        hours_share=place.hours_share,
        head=run.head,
        body_weight=run.herd.weight,
        manure_per_day=run.herd.by_class("manure.lb_per_au_day.<class>", step.groups),
    )


def _bedding_of(run: SystemRun, kind: str, step: StepRun, place: Place) -> Figure:
    keys = [
        f"bedding.fraction_of_body_weight.{kind}.{state}" if state in step.states else None
        for state in STATES
    ]
    return run.case.work(
        bedding,
        served=step.served,
        hours_share=place.hours_share,
        head=run.head,
        body_weight=run.herd.weight,
        bedding_fraction=run.case.references(keys, (len(STATES),)),
    )


def _rain_on(run: SystemRun, floor: Floor, days: Figure) -> Figure:
    area = run.sizes[floor.key].counted
    rain = run.winters.rain
    if floor.roofed or not floor.structure.catches_rain or area is None or rain is None:
        return NO_RAIN
    return run.case.work(
        rain_on_floor,
        rain=rain,
        area=area,
        rain_kept_fraction=run.case.reference(f"manure.rain_kept_fraction.{floor.structure.kind}"),
        days=days,
    )


def storage_by_rule(
    run: SystemRun, floors: list[FloorRun], key: str, storage_days: float
) -> Figure | None:
    """Return the manure storage that holds a number of days of the mean winter."""
    if not floors:
        return None
    case, work = run.case, run.case.work
    volumes = [
        work(
            volume_of_floor,
            manure=floor.manure,
            bedding=floor.bedding,
            waste=floor.waste,
            collected_fraction=floor.collected_fraction,
            rain=floor.rain,
            manure_density=case.reference("manure.lb_per_cu_ft"),
            bedding_density=case.reference("bedding.lb_per_cu_ft"),
            volume_fraction=case.reference("manure.bedding_volume_fraction"),
        )
        for floor in floors
    ]
    volume = work(
        storage_volume,
        storage_days=case.given(
            f"systems.{run.key}.structures.{key}.storage_days", storage_days, "day"
        ),
        days=run.winters.total_days,
        volume=work(total, *volumes),
    )
    return work(in_mean_winter, values=volume)
