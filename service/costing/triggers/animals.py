"""Triggers of the animals themselves: sheep, births, mud."""

from service.costing.caution_table import Caution
from service.costing.run import StepRun
from service.costing.triggers.facts import CATTLE, SHEEP, Facts, Trigger, Words
from service.costing.wording import amount, listed, named, spoken


def _copper(facts: Facts, caution: Caution) -> Words | None:
    del caution
    sheep = facts.of_animals(SHEEP)
    if not sheep:
        return None
    others: list[str] = []
    if cattle := facts.of_animals(CATTLE):
        others.append(facts.group_names(cattle))
    supplement = facts.scenario.supplement
    if supplement is not None:
        others.append(f"a supplement ({named(supplement.title, 'supplement')})")
    return {"sheep": facts.group_names(sheep), "others": listed(others)} if others else None


def _presentation(step: StepRun, group: str) -> str | None:
    words = step.step.presentation
    return words.get(group) if isinstance(words, dict) else words


def _whole_bales(facts: Facts, caution: Caution) -> Words | None:
    sheep = facts.of_animals(SHEEP)
    meetings = [
        (step, group)
        for step in facts.hay_steps
        for group in sheep
        if facts.served(step, group) and _presentation(step, group) in caution.presentations
    ]
    if not meetings:
        return None
    return {
        "groups": facts.group_names(group for _, group in meetings),
        "steps": facts.step_names(step for step, _ in meetings),
    }


def _birth_ground(facts: Facts, caution: Caution) -> Words | None:
    """Find groups that give birth in winter where mud comes up or a pack has been lain on."""
    del caution
    plan = facts.system.run.system
    mud = facts.days_in_mud
    groups: list[str] = []
    places: list[str] = []
    for group in facts.groups:
        if not facts.births_in_winter(group):
            continue
        packs = [
            named(plan.structures[place.structure].title, place.structure)
            for step in facts.steps
            if facts.served(step, group)
            for place in step.places
            if place.word == "pack_floor" and place.structure is not None
        ]
        if mud[group] > 0:
            places.append("ground that turns to mud")
        places += [f"the pack of {spoken(name)}" for name in packs]
        if mud[group] > 0 or packs:
            groups.append(group)
    if not groups:
        return None
    return {"groups": facts.group_names(groups), "places": listed(places)}


def _suffering(facts: Facts, caution: Caution) -> Words | None:
    mud = facts.days_in_mud
    groups = [group for group in facts.groups if mud[group] > caution.limit]
    if not groups:
        return None
    return {
        "groups": facts.group_names(groups),
        "days": amount(max(mud[group] for group in groups)),
    }


def _dead_animals(facts: Facts, caution: Caution) -> Words | None:
    del caution
    groups = [group for group in facts.groups if facts.births_in_winter(group)]
    return {"groups": facts.group_names(groups)} if groups else None


ANIMAL_TRIGGERS: dict[str, Trigger] = {
    "calving_and_lambing_ground": _birth_ground,
    "copper_and_sheep": _copper,
    "dead_animals": _dead_animals,
    "suffering_not_in_money": _suffering,
    "whole_bales_and_sheep": _whole_bales,
}
