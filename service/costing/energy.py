"""Cold and mud at the places of a step: what the need rises to, and how much of it is eaten."""

import numpy as np

from service.costing.case import Case
from service.costing.figure import Figure
from service.costing.formulas.intake import by_hours, cold_need, eaten_factor
from service.costing.formulas.sums import total
from service.costing.herd import Herd
from service.costing.methods import Step
from service.costing.places import Place
from service.costing.units import STATES
from service.costing.winter_rows import WinterRows

DRY = "dry_winter"
WET = "wet"


def coat_of(state: str, *, roofed: bool) -> str:
    """Return the coat that animals have on days of a ground state."""
    return WET if state == "wet" and not roofed else DRY


def needs_of(
    case: Case,
    herd: Herd,
    winters: WinterRows,
    step: Step,
    path: str,
    groups: list[str],
    states: list[str],
    places: list[Place],
) -> tuple[Figure, Figure]:
    """Return the rise of the need on a step, and the factor on intake that follows from it."""
    needs = [_need_at(case, herd, winters, place, groups, states) for place in places]
    need = needs[0]
    if len(needs) > 1:
        need = case.work(
            by_hours,
            hours=case.given(f"{path}.hours_on_method", step.hours_on_method, "hour/day"),
            on_method=needs[0],
            at_rest=needs[1],
        )
    factor = case.work(
        eaten_factor,
        need=need,
        extra_intake_limit=case.reference("energy.extra_intake_limit"),
    )
    return need, factor


def _need_at(
    case: Case,
    herd: Herd,
    winters: WinterRows,
    place: Place,
    groups: list[str],
    states: list[str],
) -> Figure:
    def mud() -> Figure:
        levels = {state: case.word(f"mud_level.{place.word}.{state}") for state in states}
        keys = [
            f"energy.mud_fraction.{levels[state]}" if state in levels else None for state in STATES
        ]
        return case.references(keys, (len(STATES),))

    def need() -> Figure:
        in_mud = case.once(("mud", place.word, tuple(states)), mud)
        cold = cold_at(case, herd, winters, groups, states, roofed=place.roofed)
        return in_mud if cold is None else case.work(total, in_mud, cold)

    return case.once(("need", place.word, place.roofed, tuple(groups), tuple(states)), need)


def cold_at(
    case: Case,
    herd: Herd,
    winters: WinterRows,
    groups: list[str],
    states: list[str],
    *,
    roofed: bool,
) -> Figure | None:
    """Return the rise of the need by cold, or None where no temperature is known."""
    temperature = winters.temperature
    known = _known_states(winters, states)
    if temperature is None or not known:
        return None

    def cold() -> Figure:
        return case.work(
            cold_need,
            temperature=temperature,
            critical_temperature=by_coat(
                case,
                herd,
                "energy.lower_critical_temperature_f.<class>.<coat>",
                groups,
                known,
                roofed=roofed,
            ),
            rise_per_degree=by_coat(
                case,
                herd,
                "energy.cold_fraction_per_degree_f.<class>.<coat>",
                groups,
                known,
                roofed=roofed,
            ),
        )

    return case.once(("cold", roofed, tuple(groups), tuple(states)), cold)


def by_coat(
    case: Case,
    herd: Herd,
    key: str,
    groups: list[str],
    states: list[str],
    *,
    roofed: bool,
) -> Figure:
    """Return a reference value by class and coat, shape (groups, states, draws, rows)."""
    keys = [
        key.replace("<class>", animal).replace("<coat>", coat_of(state, roofed=roofed))
        if group in groups and state in states
        else None
        for group, animal in zip(herd.groups, herd.animals, strict=True)
        for state in STATES
    ]
    return case.references(keys, (len(herd.groups), len(STATES)))


def _known_states(winters: WinterRows, states: list[str]) -> list[str]:
    if winters.temperature is None:
        return []
    known = np.isfinite(winters.temperature.value).any(axis=(-2, -1))
    return [
        state for state, is_known in zip(STATES, known, strict=True) if is_known and state in states
    ]


def state_mask(states: list[str], path: str) -> Figure:
    """Return 1 in the ground states of a step, else 0, shape (states, 1, 1)."""
    values = np.array([float(state in states) for state in STATES]).reshape(-1, 1, 1)
    return Figure(values, "none", sources=f"{path}.ground_states")
