"""What the winter is like for the animals: energy short, mud, beds, cold rain, and losses."""

from dataclasses import dataclass

import numpy as np

from service.costing.charges import Charges
from service.costing.energy import by_coat
from service.costing.figure import BY_DEFINITION, Figure
from service.costing.formulas.comfort import (
    condition_worth,
    days_in_cold_rain,
    days_in_mud,
    days_of_states,
    foot_cost,
    young_worth,
)
from service.costing.formulas.intake import condition_not_held, energy_short
from service.costing.formulas.sums import total
from service.costing.places import Place
from service.costing.run import StepRun, SystemRun
from service.costing.units import STATES

DRY_BEDS = ("mound",)
"""Open floors that stay dry to lie on."""


@dataclass(frozen=True, slots=True)
class Animals:
    """Figures of each group in each winter, shape (groups, 1, draws, rows)."""

    energy_short: Figure
    condition_not_held: Figure
    in_mud: Figure
    without_dry_bed: Figure
    in_cold_rain: Figure


def animals_of(run: SystemRun, charges: Charges) -> Animals:
    """Work the comfort of the animals, and charge for losses where the scenario asks."""
    work = run.case.work
    short = work(total, *[_energy_short(run, step) for step in run.steps])
    animals = Animals(
        energy_short=short,
        condition_not_held=work(
            condition_not_held,
            energy_short=short,
            energy_of_weight=run.herd.by_class("energy.tdn_lb_per_lb_of_weight.<class>"),
        ),
        in_mud=work(total, *[_in_mud(run, step) for step in run.steps]),
        without_dry_bed=work(total, *[_without_dry_bed(run, step) for step in run.steps]),
        in_cold_rain=_in_cold_rain(run),
    )
    _charge_losses(run, animals, charges)
    return animals


def _energy_short(run: SystemRun, step: StepRun) -> Figure:
    return run.case.work(
        energy_short,
        served=step.served,
        head=run.head,
        intake=step.feed.intake,
        need=step.need,
        eaten_factor=step.eaten_factor,
        tdn_fraction=step.feed.tdn,
    )


def mud_at(run: SystemRun, place: Place, state: str) -> str:
    """Return the level of mud at a place in a ground state."""
    return run.case.word(f"mud_level.{place.word}.{state}")


def _by_state(values: list[float], unit: str, path: str) -> Figure:
    return Figure(np.array(values).reshape(-1, 1, 1), unit, sources=path)


def _in_mud(run: SystemRun, step: StepRun) -> Figure:
    shares = [
        float(
            sum(
                place.hours_share.value
                for place in step.places
                if state in step.states and mud_at(run, place, state) != "none"
            )
        )
        for state in STATES
    ]
    return run.case.work(
        days_in_mud,
        served=step.served,
        share_in_mud=_by_state(shares, "fraction", f"{step.path}.hours_on_method"),
    )


def _without_dry_bed(run: SystemRun, step: StepRun) -> Figure:
    def has_bed(place: Place, state: str) -> bool:
        dry = state != "wet" or place.roofed or place.word in DRY_BEDS
        return dry and mud_at(run, place, state) == "none"

    counts = [
        float(state in step.states and not any(has_bed(place, state) for place in step.places))
        for state in STATES
    ]
    return run.case.work(
        days_of_states, served=step.served, counts=_by_state(counts, "none", step.path)
    )


def _in_cold_rain(run: SystemRun) -> Figure:
    case, work = run.case, run.case.work
    temperature = run.winters.temperature
    wet = STATES.index("wet")
    parts: list[Figure] = []
    if temperature is None or not np.isfinite(temperature.value[wet]).any():
        return _no_days(run)
    for step in run.steps:
        open_share = sum(place.hours_share.value for place in step.places if not place.roofed)
        if "wet" not in step.states or not open_share:
            continue
        shares = [float(open_share * (state == "wet")) for state in STATES]
        parts.append(
            work(
                days_in_cold_rain,
                served=step.served,
                share_without_roof=_by_state(shares, "fraction", f"{step.path}.hours_on_method"),
                temperature=temperature,
                critical_temperature=by_coat(
                    case,
                    run.herd,
                    "energy.lower_critical_temperature_f.<class>.<coat>",
                    step.groups,
                    ["wet"],
                    roofed=False,
                ),
            )
        )
    return work(total, *parts) if parts else _no_days(run)


def _no_days(run: SystemRun) -> Figure:
    return Figure(np.zeros((len(run.herd.groups), 1, 1, 1)), "day", sources=BY_DEFINITION)


def _charge_losses(run: SystemRun, animals: Animals, charges: Charges) -> None:
    losses = run.case.scenario.animal_losses
    if not losses:
        return
    case, work = run.case, run.case.work

    def by_group(name: str, unit: str) -> Figure:
        return case.array(
            [
                (f"animal_losses.{key}.{name}", getattr(losses[key], name))
                if key in losses
                else None
                for key in run.herd.groups
            ],
            (len(run.herd.groups), 1),
            unit,
        )

    condition = work(
        condition_worth,
        condition=animals.condition_not_held,
        value=by_group("condition_value_per_lb", "currency/lb"),
    )
    young = work(
        young_worth,
        head=run.head,
        days_in_mud=animals.in_mud,
        lost=by_group("young_lost_per_head_mud_day", "head/head/day"),
        value=by_group("value_per_young", "currency/head"),
    )
    feet = work(
        foot_cost,
        head=run.head,
        days_in_mud=animals.in_mud,
        cost=by_group("foot_cost_per_head_mud_day", "currency/head/day"),
    )
    charges.add("animal_losses", "forgone", None, condition)
    charges.add("animal_losses", "forgone", None, young)
    charges.add("animal_losses", "paid", None, feet)
