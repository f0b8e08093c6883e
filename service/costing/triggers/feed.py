"""Triggers of what is eaten: grass, hay, straw and what can be wrong with them."""

import numpy as np

from service.costing.averages import largest, winters_of
from service.costing.caution_table import Caution
from service.costing.figure import Figure
from service.costing.run import StepRun
from service.costing.triggers.facts import STORES, Facts, Trigger, Words, structure_names
from service.costing.units import POUNDS_PER_TON, STATES
from service.costing.wording import amount, listed

PERCENT = 100
LEAVES_NUTRIENTS = ("bale_grazing", "unrolled_hay")
"""Methods that leave what is in the hay on grass that is grazed in spring."""


def _stockpile_steps(facts: Facts) -> list[StepRun]:
    return [step for step in facts.steps if step.grass is not None]


def _fields_of(facts: Facts, steps: list[StepRun]) -> str:
    return facts.field_names(step.step.field for step in steps if step.step.field)


def _most_nitrogen(steps: list[StepRun]) -> float:
    return max(float(step.step.setting("nitrogen_lb_per_acre")) for step in steps)


def _fescue(facts: Facts, caution: Caution) -> Words | None:
    steps = _stockpile_steps(facts)
    if not steps:
        return None
    dry = facts.dry_autumns(caution.low_growth)
    return {
        "fields": _fields_of(facts, steps),
        "nitrogen": amount(_most_nitrogen(steps)),
        "dry": f"The autumn was dry before {listed(dry)}." if dry else "No autumn listed was dry.",
        "cold": _coldest(facts),
    }


def _coldest(facts: Facts) -> str:
    """Return the winter with the most frozen days in words, empty if none is frozen."""
    winters = facts.costing.winters
    frozen = winters_of(winters, Figure(winters.days.value[STATES.index("frozen")], "day"))
    days = frozen.reshape(-1, len(winters.seasons)).max(axis=0)
    coldest = int(np.argmax(days))
    if not days[coldest]:
        return ""
    if len(winters.seasons) == 1:
        return f"The ground is frozen on {amount(float(days[coldest]))} days."
    return f"Most frozen days: {amount(float(days[coldest]))}, in {winters.seasons[coldest]}."


def _nitrate(facts: Facts, caution: Caution) -> Words | None:
    steps = _stockpile_steps(facts)
    dry = facts.dry_autumns(caution.low_growth)
    if not steps or not dry or not _most_nitrogen(steps):
        return None
    return {"nitrogen": amount(_most_nitrogen(steps)), "seasons": listed(dry)}


def _tetany(facts: Facts, caution: Caution) -> Words | None:
    del caution
    steps = [
        step
        for step in facts.steps
        if step.grass is not None or step.step.method in LEAVES_NUTRIENTS
    ]
    groups = [
        group
        for group in facts.groups
        if facts.in_milk(group) and any(facts.served(step, group) for step in steps)
    ]
    if not groups:
        return None
    return {"groups": facts.group_names(groups), "fields": _fields_of(facts, steps)}


def _moisture(facts: Facts) -> str:
    return amount((1 - facts.scenario.hay.dry_matter_fraction) * PERCENT)


def _listeria(facts: Facts, caution: Caution) -> Words | None:
    wet = facts.scenario.hay.dry_matter_fraction < caution.limit
    if not facts.hay_steps or not (wet or facts.storage in caution.stores):
        return None
    return {"store": STORES[facts.storage], "moisture": _moisture(facts)}


def _stack_fire(facts: Facts, caution: Caution) -> Words | None:
    heats = facts.scenario.hay.dry_matter_fraction < caution.limit and facts.storage != "wrapped"
    built = facts.structures(caution.kinds)
    if not facts.hay_steps or not (heats or built or facts.storage in caution.stores):
        return None
    store = f"at {structure_names(built)}" if built else STORES[facts.storage]
    return {"store": store, "moisture": _moisture(facts)}


def _moldy(facts: Facts, caution: Caution) -> Words | None:
    if not facts.hay_steps or facts.storage not in caution.stores:
        return None
    return {"store": STORES[facts.storage]}


def _herbicide(facts: Facts, caution: Caution) -> Words | None:
    del caution
    winters = facts.costing.winters
    what: list[str] = []
    if facts.hay_steps and facts.scenario.hay.home_grown_fraction < 1:
        what.append("hay is bought")
    if any(largest(winters, floor.bedding) > 0 for floor in facts.system.floors):
        what.append("bedding is bought")
    return {"what": listed(what)} if what else None


def _net_wrap(facts: Facts, caution: Caution) -> Words | None:
    del caution
    steps = facts.hay_steps
    return {"steps": facts.step_names(steps)} if steps else None


def _flies(facts: Facts, caution: Caution) -> Words | None:
    del caution
    wasted = largest(facts.costing.winters, facts.system.feed.hay_wasted) / POUNDS_PER_TON
    return {"tons": amount(wasted)} if wasted > 0 else None


FEED_TRIGGERS: dict[str, Trigger] = {
    "flies": _flies,
    "grass_tetany": _tetany,
    "herbicide_carry_over": _herbicide,
    "listeria_and_botulism": _listeria,
    "moldy_hay": _moldy,
    "net_wrap_and_twine": _net_wrap,
    "nitrate_and_prussic_acid": _nitrate,
    "stack_fire": _stack_fire,
    "toxic_fescue": _fescue,
}
