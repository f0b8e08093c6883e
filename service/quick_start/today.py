"""The system of today: what the farm does now."""

from collections.abc import Iterator
from typing import Any

from service.costing.wording import amount
from service.quick_start.built import (
    RACK,
    feeders_of_today,
    feeders_told,
    floor_of_today,
    manure_store,
    waterers,
)
from service.quick_start.catalog import catalog
from service.quick_start.marks import Given, Mark, Worked
from service.quick_start.setting import SHEEP, TODAY, Offer, Setting
from service.quick_start.steps import FEEDING, bales_set_out, grass, in_barn, lot, on_pad, unrolled


def today(setting: Setting) -> Offer:
    """Return what the farm does now."""
    answers, ground = setting.answers, setting.ground
    plan, structures = _plan_of_today(setting)
    if setting.beside:
        racks = feeders_told(answers, RACK)
        fed = "no_feeder" if racks == 0 else RACK
        plan.append(lot(SHEEP, setting.beside, fed, ground.quiet))
        structures |= feeders_of_today(answers, fed)
    words = dict(_pictures(setting))
    system = {
        "title": f"Today: {words[setting.picture]}",
        "plan": plan,
        "structures": structures | waterers(answers),
    }
    return Offer(TODAY, "What you do now; the others are held against it.", system)


def _pictures(setting: Setting) -> Iterator[tuple[str, str]]:
    words = catalog()[FEEDING].part("picture").words
    yield from words.items()
    if setting.key == SHEEP:
        yield "rack_or_bunk", "racks"


def _plan_of_today(setting: Setting) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    answers, ground, main = setting.answers, setting.ground, setting.main
    fed = setting.presentation
    feeders = feeders_of_today(answers, fed)
    rest = setting.lot(fed)
    if setting.picture == "rolled_out":
        return [unrolled(setting.key, main, ground.lot)], {}
    if setting.picture == "set_out":
        acres = ground.fields[ground.lot]["acres"]
        step = bales_set_out(main, ground.lot, acres, setting.bales)
        same = answers.says_yes(FEEDING, "same_place")
        if same:
            step["years_between_uses"] = Worked(0.0, "The same place each year.")
        return [step, rest], feeders
    if setting.picture == "pad":
        field = ground.to_build_on
        pad = floor_of_today(answers, "pad", "gravel_pad", field)
        return [on_pad(main, fed, rests_on_mound=False), rest], feeders | pad | manure_store(
            answers
        )
    if setting.picture == "barn":
        barn = floor_of_today(answers, "barn", "pack_floor", ground.to_build_on)
        step = in_barn(main, setting.in_barn)
        return [step, rest], barn | manure_store(answers)
    if setting.picture == "grass":
        return [*grass(main, setting.first_day, acres_shut(setting), nitrogen=False), rest], feeders
    return [rest], feeders


def acres_shut(setting: Setting) -> dict[str, Mark]:
    """Return the acres shut in each field: those spared, or all of the field of today."""
    spare = setting.answers.number("land", "spare_acres")
    lot_key = setting.ground.lot
    if not spare:
        acres = setting.ground.fields[lot_key]["acres"]
        return {lot_key: Worked(acres, "All of the field where you feed now.")}
    shut = setting.ground.spared(spare)
    if len(shut) == 1 and next(iter(shut.values())) == spare:
        return {key: Given(acres) for key, acres in shut.items()}
    return {
        key: Worked(acres, f"Of {amount(spare)} acres spared, the driest fields first.")
        for key, acres in shut.items()
    }
