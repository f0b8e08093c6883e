"""What a system takes beside money: hay, bales, hours, nutrients, acres, days, comfort."""

from typing import Any

import numpy as np

from service.costing.averages import by_group, largest, mean, mean_of, number
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.formulas.hay import bales_left_after, bales_short, bales_to_buy
from service.costing.units import (
    DAYS_BEFORE_GRASS,
    NUTRIENTS,
    POUNDS_PER_TON,
    SEVERITIES,
    STATES,
    Array,
)
from service.costing.workday import workday_of

Quantities = dict[str, Any]


def quantities_of(costing: Costing, system: SystemCosting) -> Quantities:
    """Return the quantities of one system, means of the winters unless said otherwise."""
    winters = costing.winters
    feed = system.feed
    hay = costing.case.scenario.hay
    home = number(costing.case.varied.get("hay.home_grown_fraction", hay.home_grown_fraction))

    def tons_dm(figure: Figure) -> float:
        return mean(winters, figure) / POUNDS_PER_TON

    needed = tons_dm(feed.hay_stored) / hay.dry_matter_fraction
    late = tons_dm(feed.late_summer_hay) / hay.dry_matter_fraction
    labor = system.labor
    return {
        "hay_needed_ton": needed,
        "hay_home_grown_ton": needed * home,
        "hay_bought_ton": needed * (1 - home) + late,
        "late_summer_hay_ton": late,
        "hay_eaten_ton_dm": tons_dm(feed.hay_eaten),
        "hay_wasted_ton_dm": tons_dm(feed.hay_wasted),
        "hay_lost_in_storage_ton_dm": tons_dm(feed.hay_lost),
        "stockpile_eaten_ton_dm": tons_dm(feed.stockpile_eaten),
        "supplement_ton_dm": tons_dm(feed.supplement),
        "bedding_ton": sum(mean(winters, floor.bedding) for floor in system.floors)
        / POUNDS_PER_TON,
        "manure_to_handle_ton": sum(mean(winters, floor.tons) for floor in system.floors),
        "manure_loads": sum(mean(winters, floor.loads) for floor in system.floors),
        "bales": bales_of(costing, system),
        "labor_hours": number(labor_hours_by_draw(costing, system)),
        "machine_hours": mean(winters, labor.machine_hours) if labor else 0.0,
        **workday_of(costing, system),
        **_nutrients(costing, system),
        "acres_damaged": _acres_damaged(costing, system),
        "energy_short_lb_tdn": by_group(winters, system.animals.energy_short, costing.herd.groups),
        "condition_not_held_lb": by_group(
            winters, system.animals.condition_not_held, costing.herd.groups
        ),
        "served_days": _served_days(costing, system),
        "comfort": _comfort(costing, system),
    }


def bales_of(costing: Costing, system: SystemCosting) -> Quantities:
    """Return the balance of bales: needed, on hand, short or spare, and the checkpoints."""
    winters = costing.winters
    hay = costing.case.scenario.hay
    bale = hay.bale_weight_lb * hay.dry_matter_fraction
    usual = mean(winters, system.feed.hay_stored) / bale
    worst = largest(winters, system.feed.hay_stored) / bale
    on_hand = hay.bales_on_hand
    short_mean = float(bales_short(usual, on_hand))
    short_worst = float(bales_short(worst, on_hand))
    days = mean(winters, winters.total_days)
    left = [step.bales_left for step in system.run.steps if step.bales_left is not None]
    return {
        "needed_mean": usual,
        "needed_worst": worst,
        "on_hand": on_hand,
        "short_mean": short_mean,
        "short_worst": short_worst,
        "spare_mean": float(bales_short(on_hand, usual)),
        "spare_worst": float(bales_short(on_hand, worst)),
        "to_buy_mean": float(bales_to_buy(short_mean)),
        "to_buy_worst": float(bales_to_buy(short_worst)),
        "left_half_way": float(bales_left_after(usual, days / 2, days)),
        "left_30_days_before_grass": float(bales_left_after(usual, DAYS_BEFORE_GRASS, days)),
        "set_out_not_used": sum(mean(winters, figure) for figure in left),
    }


def _nutrients(costing: Costing, system: SystemCosting) -> Quantities:
    result: Quantities = {}
    for name, figure in (
        ("nutrients_in_lb", system.fertility.dropped),
        ("nutrients_kept_lb", system.fertility.kept),
    ):
        if figure is None:
            result[name] = dict.fromkeys(NUTRIENTS, 0.0)
            continue
        means = mean_of(costing.winters, figure)
        result[name] = {key: number(means[i]) for i, key in enumerate(NUTRIENTS)}
    return result


def labor_hours_by_draw(costing: Costing, system: SystemCosting) -> Array:
    """Return the hours of people in the mean of the winters, shape (draws,)."""
    labor = system.labor
    return mean_of(costing.winters, labor.labor_hours) if labor else np.zeros(1)


def acres_damaged_by_draw(costing: Costing, system: SystemCosting) -> Array:
    """Return the acres damaged in the mean of the winters, shape (severities, draws)."""
    acres = system.damage.in_all(costing.case)
    return np.zeros((len(SEVERITIES), 1)) if acres is None else mean_of(costing.winters, acres)


def _acres_damaged(costing: Costing, system: SystemCosting) -> Quantities:
    means = acres_damaged_by_draw(costing, system)
    found = {severity: number(means[i]) for i, severity in enumerate(SEVERITIES)}
    return {severity: found[severity] for severity in reversed(SEVERITIES)}


def _served_days(costing: Costing, system: SystemCosting) -> Quantities:
    days: Quantities = {}
    for step in system.run.steps:
        longest = Figure(np.max(step.served.value, axis=0), "day")
        means = mean_of(costing.winters, longest)
        days[step.key] = {state: number(means[i]) for i, state in enumerate(STATES)}
    return days


def _comfort(costing: Costing, system: SystemCosting) -> Quantities:
    groups = costing.herd.groups
    animals = system.animals
    columns = {
        "days_in_mud": by_group(costing.winters, animals.in_mud, groups),
        "days_without_dry_bed": by_group(costing.winters, animals.without_dry_bed, groups),
        "days_in_cold_rain": by_group(costing.winters, animals.in_cold_rain, groups),
    }
    return {group: {name: column[group] for name, column in columns.items()} for group in groups}
