"""Ground that a winter damages: which field, how badly, what repair and lost grass cost."""

from dataclasses import dataclass, field
from functools import partial

import numpy as np

from service.costing.case import Case
from service.costing.charges import Charges
from service.costing.figure import BY_DEFINITION, Figure, constant
from service.costing.formulas.manure import animal_unit_days
from service.costing.formulas.sums import side_by_side, total
from service.costing.formulas.trampling import (
    damage_scale,
    forage_lost,
    forage_years_lost,
    ground_trampled,
    over_severities,
    pad_edge,
    restoration,
    with_edges,
    within_ground,
)
from service.costing.places import Place, fed_on, feeding_field
from service.costing.run import StepRun, SystemRun
from service.costing.units import HOURS_PER_DAY, SEVERITIES, STATES

NO_ACRES = constant(0.0, "acre")
UNTOUCHED = Figure(
    np.zeros((len(SEVERITIES), 1, 1)), "acre", sources=BY_DEFINITION, axes=("severity",)
)
UNSCALED = constant(1.0, "fraction")
PADS = ("gravel_pad", "concrete_pad")


@dataclass(frozen=True, slots=True)
class Trampling:
    """One place of a step on land: animal-unit days, and sq ft of each severity by state."""

    field: str
    ground: Figure
    animal_unit_days: Figure
    square_feet: Figure
    severities: frozenset[str]


@dataclass(frozen=True, slots=True)
class FieldDamage:
    """Acres of one field damaged in each winter, severe first, and which severities occur."""

    acres: Figure
    severities: frozenset[str]


@dataclass(slots=True)
class Damage:
    """Acres damaged in each winter, by field."""

    by_field: dict[str, FieldDamage] = field(default_factory=dict)

    def in_all(self, case: Case) -> Figure | None:
        """Return the acres of each severity on all fields, or None where none is damaged."""
        parts = [damage.acres for damage in self.by_field.values()]
        return case.work(total, *parts) if parts else None


def tramplings_of(run: SystemRun) -> list[Trampling]:
    """Return what each step tramples, before its ground runs out."""
    return [
        trampling
        for step in run.steps
        for place in step.places
        if place.structure is None and (trampling := _trampling(run, step, place))
    ]


def _trampling(run: SystemRun, step: StepRun, place: Place) -> Trampling | None:
    case = run.case
    name = place.field or ""
    field_ = case.scenario.land.fields[name]
    base = f"{place.word}.{field_.drainage}"
    words = {state: case.word(f"trampling.severity.{base}.{state}") for state in step.states}
    severities = frozenset(words.values()) & frozenset(SEVERITIES)
    if not severities:
        return None
    ground = case.given(f"land.fields.{name}.acres", field_.acres, "acre")
    if place.feeds_here and step.grass is not None:
        ground = case.given(f"{step.path}.acres", step.step.setting("acres"), "acre")
    elif place.feeds_here and step.acres_covered is not None:
        ground = step.acres_covered
    return Trampling(
        field=name,
        ground=ground,
        animal_unit_days=case.work(
            animal_unit_days,
            served=step.served,
            hours_share=place.hours_share,
            head=run.head,
            body_weight=run.herd.weight,
        ),
        square_feet=case.once(
            ("sq ft", base, tuple(step.states)), partial(_square_feet, case, base, words)
        ),
        severities=severities,
    )


def _square_feet(case: Case, base: str, words: dict[str, str]) -> Figure:
    keys = [
        f"trampling.sqft_per_au_day.{base}.{state}" if words.get(state) == severity else None
        for severity in SEVERITIES
        for state in STATES
    ]
    return case.references(keys, (len(SEVERITIES), len(STATES)), ("severity", "state"))


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
        case.work(over_severities, amounts=_trampled(case, item, UNSCALED)) for item in tramplings
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


def _trampled(case: Case, item: Trampling, scale: Figure) -> Figure:
    return case.work(
        ground_trampled,
        animal_unit_days=item.animal_unit_days,
        square_feet=item.square_feet,
        scale=scale,
    )


def damage_of(run: SystemRun, scale: Figure) -> Damage:
    """Return the acres that a system damages: each step within its ground, each field within it."""
    case, work = run.case, run.case.work
    by_step: dict[str, list[Figure]] = {}
    severities: dict[str, frozenset[str]] = {}
    for item in tramplings_of(run):
        acres = work(within_ground, trampled=_trampled(case, item, scale), ground=item.ground)
        by_step.setdefault(item.field, []).append(acres)
        severities[item.field] = severities.get(item.field, frozenset()) | item.severities
    edges = edges_of(run)
    damage = Damage()
    for name in dict.fromkeys([*by_step, *edges]):
        trampled = _added(case, by_step[name]) if name in by_step else UNTOUCHED
        found = severities.get(name, frozenset())
        if name in edges:
            trampled = work(with_edges, trampled=trampled, edges=_added(case, edges[name]))
            found |= {SEVERITIES[0]}
        acres = case.given(
            f"land.fields.{name}.acres", case.scenario.land.fields[name].acres, "acre"
        )
        damage.by_field[name] = FieldDamage(
            work(within_ground, trampled=trampled, ground=acres), found
        )
    return damage


def _added(case: Case, parts: list[Figure]) -> Figure:
    return parts[0] if len(parts) == 1 else case.work(total, *parts)


def charge_damage(run: SystemRun, damage: Damage, discount_rate: Figure, charges: Charges) -> None:
    """Charge the repair of damaged ground and the grass that it does not grow."""
    case, work = run.case, run.case.work
    value = case.given(
        "land.forage_value_per_ton_dm",
        case.scenario.land.forage_value_per_ton_dm,
        "currency/ton DM",
    )
    for name, item in damage.by_field.items():
        repair = work(
            restoration,
            acres=item.acres,
            cost_per_acre=_by_severity(case, "restoration.cost_per_acre.{}", item.severities),
        )
        repaired = work(over_severities, amounts=repair)
        charges.add("ground_restoration", "paid", None, repaired)
        grown = case.scenario.land.fields[name].forage_yield_ton_dm_per_acre
        lost = work(
            forage_lost,
            acres=item.acres,
            forage_yield=case.given(
                f"land.fields.{name}.forage_yield_ton_dm_per_acre", grown, "ton DM/acre"
            ),
            forage_value=value,
            years_lost=case.once(
                ("years lost", item.severities),
                partial(_years_lost, case, item.severities, discount_rate),
            ),
        )
        charges.add("forage_lost", "forgone", "forage", work(over_severities, amounts=lost))


def _years_lost(case: Case, severities: frozenset[str], discount_rate: Figure) -> Figure:
    key = "restoration.forage_loss.{}."
    return case.work(
        forage_years_lost,
        first=_by_severity(case, key + "1", severities),
        second=_by_severity(case, key + "2", severities),
        third=_by_severity(case, key + "3", severities),
        discount_rate=discount_rate,
    )


def _by_severity(case: Case, key: str, severities: frozenset[str]) -> Figure:
    """Return a reference value of the severities that occur, shape (severities, draws, rows)."""

    def make() -> Figure:
        keys = [key.format(name) if name in severities else None for name in SEVERITIES]
        return case.references(keys, (len(SEVERITIES),), ("severity",))

    return case.once((key, severities), make)
