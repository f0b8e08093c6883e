"""Ground that a winter damages: which field, how badly, what repair and lost grass cost."""

from dataclasses import dataclass, field
from functools import partial

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charges
from service.costing.figure import Figure, constant
from service.costing.formulas.manure import animal_unit_days
from service.costing.formulas.sums import side_by_side, total
from service.costing.formulas.trampling import (
    damage_scale,
    forage_lost,
    forage_years_lost,
    ground_trampled,
    pad_edge,
    restoration,
    within_ground,
)
from service.costing.places import Place, fed_on, feeding_field
from service.costing.run import StepRun, SystemRun
from service.costing.units import HOURS_PER_DAY, SEVERITIES, STATES

NO_ACRES = constant(0.0, "acre")
UNSCALED = constant(1.0, "fraction")
PADS = ("gravel_pad", "concrete_pad")


@dataclass(frozen=True, slots=True)
class Trampling:
    """One place of a step on land: animal-unit days, and sq ft of each severity by state."""

    step: StepRun
    place: Place
    field: str
    ground: Figure
    animal_unit_days: Figure
    square_feet: dict[str, Figure]


@dataclass(slots=True)
class Damage:
    """Acres damaged in each winter, by field and severity."""

    by_field: dict[str, dict[str, Figure]] = field(default_factory=dict)

    def of(self, case: Case, severity: str) -> Figure:
        """Return the acres of one severity on all fields."""
        parts = [acres[severity] for acres in self.by_field.values() if severity in acres]
        return case.work(total, *parts) if parts else NO_ACRES


def tramplings_of(run: SystemRun) -> list[Trampling]:
    """Return what each step tramples, before its ground runs out."""
    return [
        _trampling(run, step, place)
        for step in run.steps
        for place in step.places
        if place.structure is None
    ]


def _trampling(run: SystemRun, step: StepRun, place: Place) -> Trampling:
    case = run.case
    name = place.field or ""
    field_ = case.scenario.land.fields[name]
    base = f"{place.word}.{field_.drainage}"
    severities = {state: case.word(f"trampling.severity.{base}.{state}") for state in step.states}
    ground = case.given(f"land.fields.{name}.acres", field_.acres, "acre")
    if place.feeds_here and step.grass is not None:
        ground = case.given(f"{step.path}.acres", step.step.setting("acres"), "acre")
    elif place.feeds_here and step.acres_covered is not None:
        ground = step.acres_covered
    square_feet = {
        severity: case.references(
            [
                f"trampling.sqft_per_au_day.{base}.{state}"
                if severities.get(state) == severity
                else None
                for state in STATES
            ],
            (len(STATES),),
        )
        for severity in SEVERITIES
        if severity in severities.values()
    }
    days = case.work(
        animal_unit_days,
        served=step.served,
        hours_share=place.hours_share,
        head=run.head,
        body_weight=run.herd.weight,
    )
    return Trampling(step, place, name, ground, days, square_feet)


def edges_of(run: SystemRun) -> dict[str, list[Figure]]:
    """Return the severe edges of pads used for less than the whole day, by field."""
    case = run.case
    edges: dict[str, list[Figure]] = {}
    seen: set[str] = set()
    for step in run.steps:
        key = fed_on(step.step)
        if key is None or key in seen or step.step.hours_on_method >= HOURS_PER_DAY:
            continue
        structure = run.system.structures[key]
        name = structure.field or feeding_field(step.step, run.system)
        area = run.sizes[key].counted
        if structure.kind not in PADS or name is None or area is None:
            continue
        seen.add(key)
        days = [other.days_run for other in run.steps if fed_on(other.step) == key]
        edges.setdefault(name, []).append(
            case.work(
                pad_edge,
                area=area,
                width=case.reference("trampling.pad_edge_width_ft"),
                days=case.work(total, *days),
            )
        )
    return edges


def scale_to_memory(run: SystemRun) -> Figure:
    """Return the scale at which the baseline damages what the farm remembers repairing."""
    case = run.case
    memory = case.scenario.land.acres_repaired_last_spring
    tramplings = tramplings_of(run)
    if memory is None or not tramplings:
        return UNSCALED
    edges = edges_of(run)
    names = list(dict.fromkeys([*(item.field for item in tramplings), *edges]))
    fields = case.scenario.land.fields
    trampled = [
        case.work(
            total,
            *[_trampled(case, item, severity, UNSCALED) for severity in item.square_feet],
        )
        if item.square_feet
        else NO_ACRES
        for item in tramplings
    ]
    on_field = np.array([[float(item.field == name) for item in tramplings] for name in names])
    return case.work(
        damage_scale,
        memory=case.given("land.acres_repaired_last_spring", memory, "acre"),
        weight=run.winters.weight,
        trampled=case.work(side_by_side, *trampled),
        ground=case.work(side_by_side, *[item.ground for item in tramplings]),
        on_field=Figure(on_field, "none", sources=f"systems.{run.key}.plan"),
        acres=case.work(
            side_by_side,
            *[
                case.given(f"land.fields.{name}.acres", fields[name].acres, "acre")
                for name in names
            ],
        ),
        edges=case.work(
            side_by_side,
            *[case.work(total, *edges[name]) if name in edges else NO_ACRES for name in names],
        ),
    )


def _trampled(case: Case, item: Trampling, severity: str, scale: Figure) -> Figure:
    return case.work(
        ground_trampled,
        animal_unit_days=item.animal_unit_days,
        square_feet=item.square_feet[severity],
        scale=scale,
    )


def damage_of(run: SystemRun, scale: Figure) -> Damage:
    """Return the acres that a system damages: each step within its ground, each field within it."""
    case, work = run.case, run.case.work
    damaged: dict[str, dict[str, list[Figure]]] = {}
    for item in tramplings_of(run):
        already = NO_ACRES
        for severity in item.square_feet:
            acres = work(
                within_ground,
                trampled=_trampled(case, item, severity, scale),
                ground=item.ground,
                already=already,
            )
            already = work(total, already, acres) if already is not NO_ACRES else acres
            damaged.setdefault(item.field, {}).setdefault(severity, []).append(acres)
    for name, edges in edges_of(run).items():
        damaged.setdefault(name, {}).setdefault(SEVERITIES[0], []).extend(edges)
    damage = Damage()
    for name, by_severity in damaged.items():
        ground = case.given(
            f"land.fields.{name}.acres", case.scenario.land.fields[name].acres, "acre"
        )
        already = NO_ACRES
        capped: dict[str, Figure] = {}
        for severity in SEVERITIES:
            if severity not in by_severity:
                continue
            acres = work(
                within_ground,
                trampled=work(total, *by_severity[severity]),
                ground=ground,
                already=already,
            )
            already = work(total, already, acres) if already is not NO_ACRES else acres
            capped[severity] = acres
        damage.by_field[name] = capped
    return damage


def _years_lost(case: Case, key: str, discount_rate: Figure) -> Figure:
    return case.work(
        forage_years_lost,
        first=case.reference(f"{key}.1"),
        second=case.reference(f"{key}.2"),
        third=case.reference(f"{key}.3"),
        discount_rate=discount_rate,
    )


def charge_damage(run: SystemRun, damage: Damage, discount_rate: Figure, charges: Charges) -> None:
    """Charge the repair of damaged ground and the grass that it does not grow."""
    case, work = run.case, run.case.work
    value = case.given(
        "land.forage_value_per_ton_dm",
        case.scenario.land.forage_value_per_ton_dm,
        "currency/ton DM",
    )
    for name, by_severity in damage.by_field.items():
        field_ = case.scenario.land.fields[name]
        for severity, acres in by_severity.items():
            repair = work(
                restoration,
                acres=acres,
                cost_per_acre=case.reference(f"restoration.cost_per_acre.{severity}"),
            )
            charges.add("ground_restoration", "paid", None, repair)
            loss = f"restoration.forage_loss.{severity}"
            lost = work(
                forage_lost,
                acres=acres,
                forage_yield=case.given(
                    f"land.fields.{name}.forage_yield_ton_dm_per_acre",
                    field_.forage_yield_ton_dm_per_acre,
                    "ton DM/acre",
                ),
                forage_value=value,
                years_lost=case.once(loss, partial(_years_lost, case, loss, discount_rate)),
            )
            charges.add("forage_lost", "forgone", "forage", lost)
