"""What a system lacks of feed, space, water and storage: it stands at the top of a page."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from service.costing.averages import largest, mean, number, winters_of
from service.costing.builder import Built
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.formulas.allocation import share_with_room
from service.costing.formulas.hay import tons_as_fed
from service.costing.formulas.stockpile import days_of_hay
from service.costing.places import Place, feeding_field
from service.costing.quantities import bales_of
from service.costing.run import StepRun
from service.costing.units import NEGLIGIBLE
from service.costing.wording import amount, count, named, sentence, share, spoken

Shortfall = dict[str, Any]

PIECES = {"waterer": ("waterers", "drink"), "feeder": ("feeders", "eat")}
"""Shortfall of each kind that is counted by the head, and what animals do there."""


def shortfalls_of(costing: Costing, system: SystemCosting) -> list[Shortfall]:
    """Return what a system lacks: bales, late-summer hay, room, water, storage of manure.

    Each has its name under ``shortfall``, a sentence, a value and its unit, and what else is known
    of it: the step, structure or field, and the worst winter.
    """
    return [
        *_bales(costing, system),
        *_late_summer(costing, system),
        *_room(system),
        *_pieces(system),
        *_winter_water(costing, system),
        *_manure_storage(system),
    ]


def season_of_largest(costing: Costing, figure: Figure) -> str:
    """Return the winter in which a figure is largest."""
    values = winters_of(costing.winters, figure)
    by_winter = values.reshape(-1, values.shape[-1]).max(axis=0)
    return costing.winters.seasons[int(np.argmax(by_winter))]


def _bales(costing: Costing, system: SystemCosting) -> Iterator[Shortfall]:
    bales = bales_of(costing, system)
    if bales["short_worst"] <= NEGLIGIBLE:
        return
    worst = season_of_largest(costing, system.feed.hay_stored)
    text = f"short {count(bales['short_mean'])} bales in a mean winter"
    if len(costing.winters.seasons) > 1:
        text += f" and {count(bales['short_worst'])} in the worst ({worst})"
    on_hand = bales["on_hand"]
    held = f"{count(on_hand)} are on hand" if on_hand else "none are on hand"
    yield {
        "shortfall": "bales",
        "sentence": sentence(f"{text}: {count(bales['needed_mean'])} are needed, {held}."),
        "value": float(bales["short_mean"]),
        "unit": "bale",
        "worst": float(bales["short_worst"]),
        "worst_season": worst,
    }


def _late_summer(costing: Costing, system: SystemCosting) -> Iterator[Shortfall]:
    late = system.feed.late_summer
    if late is None or largest(costing.winters, late.caused) <= NEGLIGIBLE:
        return
    winters = costing.winters
    days = Figure(days_of_hay(late.caused.value, late.demand.value, late.days.value), "day")
    dry_matter = costing.case.scenario.hay.dry_matter_fraction
    tons = float(tons_as_fed(mean(winters, late.caused), dry_matter))
    worst = season_of_largest(costing, late.caused)
    when = f" before winter {worst}, the worst" if len(winters.seasons) > 1 else ""
    yield {
        "shortfall": "late_summer_hay",
        "sentence": f"Shutting grass leaves the herd short in late summer: {amount(tons)} tons of "
        f"hay in a mean year, {amount(largest(winters, days))} days of hay{when}.",
        "value": tons,
        "unit": "ton",
        "worst": float(tons_as_fed(largest(winters, late.caused), dry_matter)),
        "worst_days": largest(winters, days),
        "worst_season": worst,
    }


def room_on(system: SystemCosting, step: StepRun, place: Place) -> float | None:
    """Return the share of a step's animals that a floor has room for at the usual space."""
    run = system.run
    if place.structure is None:
        return None
    area = run.sizes[place.structure].counted
    if area is None:
        return None
    kind = run.system.structures[place.structure].kind
    space = run.herd.by_class(f"space.{kind}.<class>", step.groups)
    return number(
        share_with_room(
            area.value, run.head.value, step.member.value, space.value, tight_fraction=0.0
        )
    )


def _room(system: SystemCosting) -> Iterator[Shortfall]:
    structures = system.run.system.structures
    head = system.run.head.value
    for step in system.run.steps:
        for place in step.places:
            room = room_on(system, step, place)
            wanted = step.step.share_of_herd
            if room is None or place.structure is None or room >= wanted - NEGLIGIBLE:
                continue
            animals = number(np.add.reduce(head * step.member.value, axis=(0, 1)))
            name = named(structures[place.structure].title, place.structure)
            yield {
                "shortfall": "space",
                "structure": place.structure,
                "step": step.key,
                "sentence": sentence(
                    f"{name} has room for {share(room)} of the animals of step {spoken(step.key)} "
                    f"({count(room * animals)} of {count(animals)} head) at the usual space; "
                    f"the plan puts {share(wanted)} there."
                ),
                "value": room,
                "unit": "fraction",
                "wanted": float(wanted),
            }


def _pieces(system: SystemCosting) -> Iterator[Shortfall]:
    for kind, (name, doing) in PIECES.items():
        items = [item for item in system.construction.built if item.structure.kind == kind]
        rules = [number(item.size_by_rule.value) for item in items if item.size_by_rule]
        if not rules:
            continue
        size = sum(number(item.size.value) for item in items)
        needed = max(rules)
        if size >= needed - NEGLIGIBLE:
            continue
        yield {
            "shortfall": name,
            "structure": items[0].key,
            "sentence": f"{sentence(name)}: {count(size)}, and the usual room for this herd asks "
            f"for {count(needed)}: animals wait to {doing}, and the timid go without.",
            "value": needed - size,
            "unit": "piece",
            "size": size,
            "size_by_rule": needed,
        }


def _winter_water(costing: Costing, system: SystemCosting) -> Iterator[Shortfall]:
    fields = costing.case.scenario.land.fields
    watered = {
        item.structure.field
        for item in system.construction.built
        if item.structure.kind == "waterer"
    }
    days: dict[str, float] = {}
    for step in system.run.steps:
        key = feeding_field(step.step, system.run.system)
        run = mean(costing.winters, step.days_run)
        if key is None or key in watered or fields[key].winter_water == "yes" or not run:
            continue
        days[key] = days.get(key, 0.0) + run
    winter = mean(costing.winters, costing.winters.total_days)
    for key, summed in days.items():
        field = fields[key]
        run = min(summed, winter)
        how = "hauled" if field.winter_water == "hauled" else "walked back to"
        yield {
            "shortfall": "winter_water",
            "field": key,
            "sentence": sentence(
                f"{named(field.title, key)} has no water that does not freeze: water is {how} on "
                f"{amount(run)} days of a mean winter."
            ),
            "value": run,
            "unit": "day",
        }


def _manure_storage(system: SystemCosting) -> Iterator[Shortfall]:
    for item in system.construction.built:
        if item.structure.kind == "manure_storage":
            yield from _storage(item)


def _storage(item: Built) -> Iterator[Shortfall]:
    if item.size_by_rule is None:
        return
    size, needed = number(item.size.value), number(item.size_by_rule.value)
    if size >= needed - NEGLIGIBLE:
        return
    days = item.structure.setting("storage_days")
    yield {
        "shortfall": "manure_storage",
        "structure": item.key,
        "sentence": sentence(
            f"{named(item.structure.title, item.key)} holds {amount(size)} cu ft; "
            f"{amount(days)} days of this winter make {amount(needed)} cu ft, rain on the store "
            "and freeboard not counted."
        ),
        "value": needed - size,
        "unit": "cu ft",
        "size": size,
        "size_by_rule": needed,
    }
