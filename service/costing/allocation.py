"""Who is fed where on which days: the steps of a plan take the days of the winter in order."""

import numpy as np

from service.costing.case import Case
from service.costing.energy import needs_of, state_mask
from service.costing.figure import Figure, constant
from service.costing.formulas.allocation import (
    days_left,
    days_run,
    feed_wanted,
    hay_wanted,
    least,
    part_by_days,
    part_by_supply,
    served,
    share_with_room,
    wanted,
)
from service.costing.formulas.hay import (
    bale_dry_matter,
    dry_matter_of_bales,
    feed_eaten,
    waste_fraction,
)
from service.costing.formulas.intake import eaten_per_day
from service.costing.formulas.spells import (
    switches,
    switches_recorded,
    usable_share,
    usable_share_recorded,
)
from service.costing.formulas.sums import over_herd_and_states
from service.costing.grass import Stockpile, stockpile_of
from service.costing.herd import Herd
from service.costing.methods import METHODS, Step
from service.costing.places import Place, places_of, states_of
from service.costing.plan import System
from service.costing.run import StepRun, SystemRun
from service.costing.sizes import floor_sizes, groups_of_step
from service.costing.units import STATES, Array
from service.costing.winter_rows import WinterRows

WHOLE = constant(1.0, "fraction")


def start_run(case: Case, herd: Herd, winters: WinterRows, name: str, system: System) -> SystemRun:
    """Size the floors of a system and serve the winter by its plan."""
    head = herd.head(name, system.herd_change)
    sizes = floor_sizes(case, herd, head, name, system)
    run = SystemRun(case, herd, winters, name, system, head, sizes, left=winters.days)
    for key, step in system.steps.items():
        run.steps.append(_serve(run, key, step))
    return run


def _serve(run: SystemRun, key: str, step: Step) -> StepRun:
    case, herd, winters = run.case, run.herd, run.winters
    work = case.work
    path = f"systems.{run.key}.plan.{key}"
    groups = groups_of_step(herd, step.groups)
    states = states_of(step)
    places = places_of(case, run.system, path, step)
    member = case.array(
        [(f"{path}.groups", 1.0) if group in groups else None for group in herd.groups],
        (len(herd.groups), 1),
        "none",
    )
    eats_hay = METHODS[step.method].eats_hay
    feed = herd.hay() if eats_hay else herd.stockpile(*herd.winter_days())
    need, factor = needs_of(case, herd, winters, step, path, groups, states, places)
    per_day = work(eaten_per_day, head=run.head, intake=feed.intake, eaten_factor=factor)
    waste = waste_of(case, herd, step, groups, states) if eats_hay else None
    share = _share_of(run, step, path, groups, places, member)
    want = work(
        wanted,
        left=run.left,
        share=share,
        days=winters.days,
        usable=_usable(run, step, path, states),
        member=member,
    )
    grass = None if eats_hay else stockpile_of(case, winters, step, path)
    part = _part_of(
        run, step, path, want=want, share=share, per_day=per_day, waste=waste, grass=grass
    )
    days = work(served, wanted=want, part=part)
    run.left = work(days_left, left=run.left, served=days)
    eaten = work(feed_eaten, served=days, eaten_per_day=per_day)
    return StepRun(
        key=key,
        path=path,
        step=step,
        groups=groups,
        states=states,
        places=places,
        member=member,
        feed=feed,
        share=share,
        need=need,
        eaten_factor=factor,
        waste=waste,
        served=days,
        days_run=work(days_run, served=days, share=share),
        switches=_switches_of(run, step, path, groups, days, part),
        grass=grass,
        eaten=eaten,
        eaten_in_all=work(over_herd_and_states, amounts=eaten),
    )


def waste_of(case: Case, herd: Herd, step: Step, groups: list[str], states: list[str]) -> Figure:
    """Return the share of hay offered that each group wastes in each ground state."""
    presentation = step.presentation
    words = [
        presentation.get(group) if isinstance(presentation, dict) else presentation
        for group in herd.groups
    ]
    name = ("waste", tuple(words), tuple(groups), tuple(states))
    return case.once(name, lambda: _waste(case, herd, words, groups, states))


def _waste(
    case: Case, herd: Herd, words: list[str | None], groups: list[str], states: list[str]
) -> Figure:
    usual = case.references(
        [
            f"hay_waste.{word}" if group in groups else None
            for group, word in zip(herd.groups, words, strict=True)
        ],
        (len(words), 1),
    )
    added = case.references(
        [
            f"hay_waste_added.{word}.{state}" if group in groups and state in states else None
            for group, word in zip(herd.groups, words, strict=True)
            for state in STATES
        ],
        (len(words), len(STATES)),
    )
    return case.work(waste_fraction, usual=usual, added=added)


def _usable(run: SystemRun, step: Step, path: str, states: list[str]) -> Figure:
    allowed = state_mask(states, path)
    winters = run.winters
    if step.min_spell_days <= 1 or winters.spell_days is None:
        return Figure(allowed.value, "fraction", sources=allowed.sources)
    shortest = run.case.given(f"{path}.min_spell_days", step.min_spell_days, "day")
    if winters.recorded is not None:
        return run.case.work(
            usable_share_recorded,
            lengths=winters.recorded.lengths,
            times=winters.recorded.times,
            shortest_spell=shortest,
            allowed=allowed,
        )
    return run.case.work(
        usable_share, spell_days=winters.spell_days, shortest_spell=shortest, allowed=allowed
    )


def _share_of(
    run: SystemRun,
    step: Step,
    path: str,
    groups: list[str],
    places: list[Place],
    member: Figure,
) -> Figure:
    """Return the least of the stated share and the room on each floor fed or rested on."""
    case = run.case
    shares = [case.given(f"{path}.share_of_herd", step.share_of_herd, "fraction")]
    floors = run.system.floors
    for place in places:
        if place.structure is None:
            continue
        area = run.sizes[place.structure].counted
        if area is None:
            continue
        tight = (
            case.reference("space.tight_fraction")
            if step.stocking == "tight"
            else Figure(0.0, "fraction", sources=f"{path}.stocking")
        )
        kind = floors[place.structure].structure.kind
        shares.append(
            case.work(
                share_with_room,
                area=area,
                head=run.head,
                member=member,
                space=run.herd.by_class(f"space.{kind}.<class>", groups),
                tight_fraction=tight,
            )
        )
    return shares[0] if len(shares) == 1 else case.work(least, *shares)


def _part_of(
    run: SystemRun,
    step: Step,
    path: str,
    *,
    want: Figure,
    share: Figure,
    per_day: Figure,
    waste: Figure | None,
    grass: Stockpile | None,
) -> Figure:
    case, work = run.case, run.case.work
    parts: list[Figure] = []
    if grass is not None:
        feed = work(feed_wanted, wanted=want, eaten_per_day=per_day)
        parts.append(work(part_by_supply, supply=grass.usable, wanted=feed))
    if (bales := step.setting("bales_set_out")) is not None and waste is not None:
        supply = work(
            dry_matter_of_bales,
            bales=case.given(f"{path}.bales_set_out", bales, "bale"),
            bale_dry_matter=dry_matter_of_bale(case),
        )
        hay = work(hay_wanted, wanted=want, eaten_per_day=per_day, waste_fraction=waste)
        parts.append(work(part_by_supply, supply=supply, wanted=hay))
    if step.max_days is not None:
        parts.append(
            work(
                part_by_days,
                most_days=case.given(f"{path}.max_days", step.max_days, "day"),
                days_run=work(days_run, served=want, share=share),
            )
        )
    if not parts:
        return WHOLE
    return parts[0] if len(parts) == 1 else work(least, *parts)


def dry_matter_of_bale(case: Case) -> Figure:
    """Return the dry matter in one of the farm's bales."""
    weight = case.scenario.hay.bale_weight_lb
    return case.once(
        "dry matter of a bale",
        lambda: case.work(
            bale_dry_matter,
            bale_weight=case.given("hay.bale_weight_lb", weight, "lb/bale"),
            dry_matter_fraction=dry_matter_of_hay(case),
        ),
    )


def dry_matter_of_hay(case: Case) -> Figure:
    """Return the dry matter of hay as a share of its weight."""
    return case.given("hay.dry_matter_fraction", case.scenario.hay.dry_matter_fraction, "fraction")


def _switches_of(
    run: SystemRun, step: Step, path: str, groups: list[str], days: Figure, part: Figure
) -> Figure | None:
    """Return the times animals come to a step, or None where nobody moves or spells are unknown."""
    shared = any(
        other is not step and set(groups) & set(groups_of_step(run.herd, other.groups))
        for other in run.system.plan
    )
    winters, work = run.winters, run.case.work
    if not shared or winters.spell_days is None:
        return None
    shortest = run.case.given(f"{path}.min_spell_days", step.min_spell_days, "day")
    if winters.recorded is not None:
        return work(
            switches_recorded,
            served=days,
            lengths=winters.recorded.lengths,
            times=winters.recorded.times,
            shortest_spell=shortest,
            part=part,
        )
    return work(
        switches,
        served=days,
        days=winters.days,
        spell_days=winters.spell_days,
        shortest_spell=shortest,
        part=part,
    )


def days_unserved(run: SystemRun) -> Array:
    """Return the most days of any winter left after the last step, shape (groups, states)."""
    groups = np.zeros((len(run.herd.groups), 1, 1, 1))
    return np.max(run.left.value + groups, axis=(-2, -1))
