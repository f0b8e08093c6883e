"""Triggers of the work: machines, slopes, being alone, young workers, electric fence."""

from service.costing.caution_table import Caution
from service.costing.triggers.facts import Facts, Trigger, Words, structure_names
from service.costing.wording import amount, listed, named

ALWAYS_BY_WIRE = "bale_grazing"
"""Method on which bales are kept from animals by a wire."""


def _loader(facts: Facts, caution: Caution) -> Words | None:
    weight = facts.scenario.hay.bale_weight_lb
    hours = facts.machine_hours
    if not facts.hay_steps or (weight < caution.limit and not hours):
        return None
    return {"weight": amount(weight), "hours": amount(hours)}


def _slope(facts: Facts, caution: Caution) -> Words | None:
    steep = {
        key: slope
        for key in facts.hay_fields
        if (slope := facts.field(key).slope_percent) is not None and slope >= caution.limit
    }
    if not steep:
        return None
    return {"fields": facts.field_names(steep), "percent": amount(max(steep.values()))}


def _risky_work(facts: Facts, *, animals: tuple[str, ...]) -> list[str]:
    work: list[str] = []
    if hours := facts.machine_hours:
        work.append(f"machines run {amount(hours)} hours a winter")
    births = [group for group in facts.groups if facts.births_in_winter(group)]
    if births:
        work.append(f"{facts.group_names(births)} give birth before winter ends")
    if kept := facts.of_animals(animals):
        work.append(f"{facts.group_names(kept)} are kept")
    return work


def _lone_work(facts: Facts, caution: Caution) -> Words | None:
    del caution
    work = _risky_work(facts, animals=("bull", "ram"))
    return {"work": "; ".join(work)} if work else None


def _young_workers(facts: Facts, caution: Caution) -> Words | None:
    del caution
    work = _risky_work(facts, animals=("bull",))
    return {"work": "; ".join(work)} if work else None


def _electric_fence(facts: Facts, caution: Caution) -> Words | None:
    uses: list[str] = []
    fences = facts.structures(caution.kinds)
    if fences:
        uses.append(structure_names(fences))
    moved = [
        step
        for step in facts.steps
        if step.step.method == ALWAYS_BY_WIRE or step.step.setting("days_per_move") is not None
    ]
    if moved:
        fields = [step.step.field for step in moved if step.step.field]
        uses += [named(facts.field(key).title, key) for key in fields]
    return {"uses": listed(uses)} if uses else None


WORK_TRIGGERS: dict[str, Trigger] = {
    "electric_fence": _electric_fence,
    "loader_and_bales": _loader,
    "lone_work": _lone_work,
    "slope": _slope,
    "young_workers": _young_workers,
}
