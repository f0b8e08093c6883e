"""What should be said beside the numbers of a system: what they leave out and what they rest on."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from service.costing.averages import mean, smallest, winters_of
from service.costing.engine import Costing, SystemCosting
from service.costing.figure import Figure
from service.costing.formulas.stockpile import days_of_hay
from service.costing.wording import amount, sentence, spoken

Note = dict[str, Any]


def notes_of(costing: Costing, system: SystemCosting) -> list[Note]:
    """Return the notes of a system: name, sentence, and a value where there is one."""
    return [
        *_closing(costing, system),
        *_grass_lasts(costing, system),
        *_bale_ground(system),
        *_manure(costing, system),
        *_losses(costing),
    ]


def _driest(costing: Costing) -> int:
    growth = winters_of(costing.winters, costing.winters.growth_factor)
    return int(np.argmin(growth.reshape(-1, growth.shape[-1]).min(axis=0)))


def _closing(costing: Costing, system: SystemCosting) -> Iterator[Note]:
    late = system.feed.late_summer
    if late is None:
        return
    fields = costing.case.scenario.land.fields
    grazed = sum(field.acres for field in fields.values() if field.grazed_in_late_summer)
    closed = sum(
        step.step.setting("acres")
        for step in system.run.steps
        if step.step.setting("closing_date") is not None
        and step.step.field is not None
        and fields[step.step.field].grazed_in_late_summer
    )
    days = Figure(days_of_hay(late.caused.value, late.demand.value, late.days.value), "day")
    winter = _driest(costing)
    seasons = costing.winters.seasons
    values = winters_of(costing.winters, days)
    hay = float(values.reshape(-1, values.shape[-1])[0, winter])
    dry = f"before the driest winter ({seasons[winter]})" if len(seasons) > 1 else "before winter"
    fed = f"{amount(hay)} days of hay {dry}" if hay > 0 else f"no hay {dry}"
    yield {
        "note": "closing_leaves",
        "sentence": f"Shutting {amount(closed)} of {amount(grazed)} acres leaves "
        f"{amount(grazed - closed)} acres to graze in late summer: {fed}.",
        "value": float(grazed - closed),
        "unit": "acre",
        "days_of_hay": hay,
    }


def _grass_lasts(costing: Costing, system: SystemCosting) -> Iterator[Note]:
    winters = costing.winters
    for step in system.run.steps:
        if step.grass is None:
            continue
        usual, least = mean(winters, step.days_run), smallest(winters, step.days_run)
        some = f", {amount(least)} in the worst" if len(winters.seasons) > 1 else ""
        yield {
            "note": "grass_lasts",
            "step": step.key,
            "sentence": sentence(
                f"the grass of step {spoken(step.key)} lasts {amount(usual)} days of a mean "
                f"winter{some}."
            ),
            "value": usual,
            "unit": "day",
        }


def _bale_ground(system: SystemCosting) -> Iterator[Note]:
    if any(step.acres_covered is not None for step in system.run.steps):
        yield {
            "note": "grass_after_bale_grazing",
            "sentence": "What bale grazing does to grass is not settled: yields rose several times "
            "over on dry, poor ground in the west and fell by two thirds in the first year on wet "
            "clay in the east. Nothing is averaged here: set the damage and the loss of grass to "
            "what your ground does.",
        }


def _manure(costing: Costing, system: SystemCosting) -> Iterator[Note]:
    tons = sum(mean(costing.winters, floor.tons) for floor in system.floors)
    if tons > 0:
        yield {
            "note": "manure_on_high_side",
            "sentence": f"The {amount(tons)} tons of manure, bedding and wasted hay are weighed as "
            "they fall; they lose water and weight before they are hauled, so loads are on the "
            "high side.",
            "value": tons,
            "unit": "ton",
        }


def _losses(costing: Costing) -> Iterator[Note]:
    left_out = [
        group for group in costing.herd.groups if group not in costing.case.scenario.animal_losses
    ]
    if left_out:
        yield {
            "note": "animal_losses_not_counted",
            "sentence": "Losses of condition, of young and from bad feet are not in the money "
            "unless you give a value for them.",
        }
