"""Triggers of where animals stand: confinement, setbacks, water, wells, records."""

import numpy as np

from service.costing.averages import largest
from service.costing.caution_table import Caution
from service.costing.figure import Figure
from service.costing.reference.setbacks import place_called, setback_table
from service.costing.run import StepRun
from service.costing.triggers.facts import Facts, Trigger, Words, structure_names
from service.costing.triggers.setback_checks import Verdict, in_short, setback_checks
from service.costing.wording import amount, listed, named, sentence

STACKS = ("manure_storage", "hay_storage")
FINDINGS: dict[Verdict, str] = {
    "too_near": "too near, as far as one distance to the nearest water tells",
    "not_known": "not known",
    "not_checked": "no setback at hand, so none checked",
}


def _confines(step: StepRun) -> bool:
    return any(place.is_floor or place.word == "sacrifice_lot" for place in step.places)


def _places_of(facts: Facts, steps: list[StepRun]) -> str:
    plan = facts.system.run.system
    names: list[str] = []
    for step in steps:
        for place in step.places:
            if place.structure is not None:
                names.append(named(plan.structures[place.structure].title, place.structure))
            elif place.word == "sacrifice_lot" and place.field is not None:
                names.append(named(facts.field(place.field).title, place.field))
    return listed(names)


def _confined(facts: Facts, caution: Caution) -> Words | None:
    """Count the days on which any animals are on a lot or floor for part of the day.

    Days of different steps are added, up to the whole winter: the rule asks for days, not for the
    same animals, and when each step runs is not known.
    """
    steps = [step for step in facts.steps if _confines(step)]
    if not steps:
        return None
    run = sum((step.days_run.value for step in steps), start=np.zeros(1))
    days = np.minimum(run, facts.costing.winters.total_days.value)
    most = largest(facts.costing.winters, Figure(days, "day"))
    if most < caution.limit:
        return None
    return {"places": _places_of(facts, steps), "days": amount(most)}


def _setbacks(facts: Facts, caution: Caution) -> Words | None:
    """Ask about lots, floors and stacks, and hay on fields near water or of unknown distance.

    Nothing is asked where a place is chosen or a distance given: another caution says what held.
    """
    if _chosen(facts):
        return None
    parts: list[str] = []
    confined = _places_of(facts, [step for step in facts.steps if _confines(step)])
    if confined:
        parts.append(f"animals stand on {confined}")
    stacks = facts.structures(STACKS)
    if stacks:
        parts.append(f"hay or manure is stacked at {structure_names(stacks)}")
    near = [
        key
        for key in facts.hay_fields
        if (distance := facts.field(key).distance_to_water_ft) is None or distance < caution.limit
    ]
    if near:
        parts.append(
            f"hay is fed on {facts.field_names(near)}, "
            f"less than {caution.limit:g} ft from water or at a distance not given"
        )
    return {"places": sentence("; ".join(parts))} if parts else None


def _chosen(facts: Facts) -> bool:
    land = facts.scenario.land
    return land.place is not None or land.setback_ft is not None


def _to_confirm(facts: Facts, caution: Caution) -> Words | None:
    """Say what is not kept or not known of the chosen place's setbacks, and whom to ask."""
    del caution
    if not _chosen(facts):
        return None
    checks = setback_checks(facts)
    if not checks:
        return None
    parts = [
        f"{words}: {places}"
        for verdict, words in FINDINGS.items()
        if (places := in_short(checks, verdict))
    ]
    found = "; ".join(parts) or "all that could be checked are kept"
    key = facts.scenario.land.place
    if key is None:
        return {
            "place": "Your own setback",
            "found": found,
            "table": "The distance held against here is your own reading of your local code.",
            "ask": "the state agency and the county",
        }
    place = place_called(key)
    return {
        "place": f"Setbacks of {place.title}",
        "found": found,
        "table": (
            f"The setbacks of {place.title} held against here were read on "
            f"{setback_table().read_on_in_words}; some may be missing, and law changes."
        ),
        "ask": place.ask,
    }


def _near_water(facts: Facts, limit: float) -> list[str]:
    used = facts.fields_used(facts.steps)
    floors = facts.system.run.system.floors
    used += [floor.structure.field for floor in floors.values() if floor.structure.field]
    return [
        key
        for key in dict.fromkeys(used)
        if (distance := facts.field(key).distance_to_water_ft) is not None and distance < limit
    ]


def _wells(facts: Facts, caution: Caution) -> Words | None:
    near = _near_water(facts, caution.limit)
    return {"fields": facts.field_names(near)} if near else None


def _ice(facts: Facts, caution: Caution) -> Words | None:
    days = facts.most_days("frozen", "snow_covered")
    if not days:
        return None
    used = facts.fields_used(facts.steps)
    dry = [key for key in used if facts.field(key).winter_water != "yes"]
    near = _near_water(facts, caution.limit)
    parts: list[str] = []
    if dry:
        parts.append(f"there is no winter water on {facts.field_names(dry)}")
    if near:
        parts.append(f"open water is within {caution.limit:g} ft of {facts.field_names(near)}")
    return {"days": amount(days), "fields": " and ".join(parts)} if parts else None


def _public_record(facts: Facts, caution: Caution) -> Words | None:
    del caution
    scenario = facts.scenario
    names = [name for name in (scenario.name, scenario.external_id) if name]
    if any(field.title for field in scenario.land.fields.values()):
        names.append("names of fields")
    return {"names": listed(names)} if names else None


PLACE_TRIGGERS: dict[str, Trigger] = {
    "confined_45_days": _confined,
    "ice": _ice,
    "public_record": _public_record,
    "setbacks_not_checked": _setbacks,
    "setbacks_to_confirm": _to_confirm,
    "wells": _wells,
}
