"""A plan written down as a system of the scenario."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.analysis.plan_gear import STORAGE, Gear
from service.analysis.plan_sources import Document, Sources
from service.analysis.plan_space import Laid, Layout
from service.analysis.plan_words import title_of
from service.costing.structures import KINDS
from service.costing.units import STATES

Values = Mapping[tuple[int, str], float]
"""Values of limits by position of the step and name."""

LONGEST_STEM = 36
"""Characters of a key that are kept where a number is added; a key has 40 at most."""


@dataclass(frozen=True)
class Writer:
    """Writes plans down."""

    sources: Sources
    gear: Gear

    def system(self, layout: Layout, values: Values) -> Document:
        """Return a plan as a document of a system, without a title."""
        structures = dict(self.gear.base)
        taken = {found.key for found in self.sources.kept}
        plan: list[Document] = []
        for position, laid in enumerate(layout.steps):
            stand = _put_up(laid.stand.structures, structures)
            members = {
                name: stand.get(value, value) if name in {"structure", "resting_place"} else value
                for name, value in laid.stand.members.items()
            }
            key = _free(laid.template.name, taken)
            taken.add(key)
            plan.append(
                self._step(laid, key, members)
                | {
                    name: _plain(value)
                    for (place, name), value in values.items()
                    if place == position
                }
            )
        for laid in layout.steps:
            _add_by_key(laid.template.gear, structures)
            _put_up(laid.offer.feeders, structures)
        hay, storage = layout.hay
        _put_up(storage, structures)
        start = self.sources.start.document
        others = {name: start[name] for name in ("herd_change", "margin") if name in start}
        kept = [found.document | {"key": found.key} for found in self.sources.kept]
        left_out = layout.left_out | _of_no_use(structures, [*plan, *kept])
        built = {key: item for key, item in structures.items() if item["kind"] not in left_out}
        return {"plan": [*plan, *kept], "structures": built, **hay, **others}

    def titled(self, layout: Layout, values: Values) -> Document:
        """Return a plan as a document of a system."""
        system = self.system(layout, values)
        searched = system["plan"][: len(layout.steps)]
        hay = system.get(STORAGE, self.sources.scenario.hay.storage)
        own = self.sources.start.document.get(STORAGE, self.sources.scenario.hay.storage)
        title = title_of(
            self.sources.scenario, searched, system["structures"], "" if hay == own else hay
        )
        return {"title": title, **system}

    def step_keys(self, layout: Layout) -> list[str]:
        """Return the keys that the steps of a layout get."""
        plan = self.system(layout, {})["plan"]
        return [step["key"] for step in plan[: len(layout.steps)]]

    def _step(self, laid: Laid, key: str, members: Document) -> Document:
        step = {"key": key, **laid.template.members, **members}
        if laid.states is None:
            step.pop("min_spell_days", None)
        elif laid.states < self.sources.states:
            step["ground_states"] = [state for state in STATES if state in laid.states]
        if not self.sources.is_whole_herd:
            step["groups"] = list(self.sources.groups)
        if laid.offer.presentation is not None:
            step["presentation"] = laid.offer.presentation
        return step


def _put_up(several: Document, structures: Document) -> dict[str, str]:
    """Add structures to a plan and return their keys; what is there already is not added again."""
    names: dict[str, str] = {}
    for key, given in sorted(several.items(), key=lambda item: "over" in item[1]):
        document = given
        if "over" in document:
            document = {**document, "over": names.get(document["over"], document["over"])}
        name, number = key, 1
        while name in structures and structures[name] != document:
            number += 1
            name = f"{key[:LONGEST_STEM]}_{number}"
        structures[name] = document
        names[key] = name
    return names


def _add_by_key(several: Document, structures: Document) -> None:
    """Add what comes with a step; of one key and kind a plan has one."""
    for key, document in several.items():
        there = structures.get(key)
        if there is None:
            structures[key] = document
        elif there["kind"] != document["kind"] or KINDS[document["kind"]].is_floor:
            _put_up({key: document}, structures)


def _of_no_use(structures: Document, plan: list[Document]) -> set[str]:
    """Return the kinds that take what comes off floors, where there are none such."""
    used = {step.get(name) for step in plan for name in ("structure", "resting_place")}
    roofed = {item.get("over") for item in structures.values()}
    floors = [key for key, item in structures.items() if KINDS[item["kind"]].is_floor]
    catching = [key for key in floors if KINDS[structures[key]["kind"]].catches_rain]
    kinds: set[str] = set()
    if not any(key in used for key in floors):
        kinds.add("manure_storage")
    if not any(key not in roofed for key in catching):
        kinds.add("treatment_strip")
    return kinds


def _free(name: str, taken: set[str]) -> str:
    found, number = name, 1
    while found in taken:
        number += 1
        found = f"{name[:LONGEST_STEM]}_{number}"
    return found


def _plain(value: float) -> float | int:
    """Return a whole number without its point, as people write it."""
    return int(value) if float(value).is_integer() else value
