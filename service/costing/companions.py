"""Companion practices of a feeding pad: what else it needs, and what a missing one means."""

from dataclasses import dataclass
from typing import Any

from service.costing.averages import mean
from service.costing.engine import Costing, SystemCosting
from service.costing.places import fed_on, feeding_field
from service.costing.run import StepRun
from service.costing.structures import Structure
from service.costing.units import HOURS_PER_DAY
from service.costing.wording import named

PADS = ("gravel_pad", "concrete_pad")
PRESENT = "present"
MISSING = "missing"
NOT_NEEDED = "not_needed"

Finding = tuple[str, str]
"""Status and what it means."""


@dataclass(frozen=True, slots=True)
class Pad:
    """One feeding pad of a system with the steps that feed on it."""

    costing: Costing
    system: SystemCosting
    key: str
    steps: list[StepRun]

    @property
    def structure(self) -> Structure:
        """The pad itself."""
        return self.system.run.system.structures[self.key]

    @property
    def field(self) -> str | None:
        """The field it stands on, if that is known."""
        if self.structure.field is not None:
            return self.structure.field
        fields = (feeding_field(step.step, self.system.run.system) for step in self.steps)
        return next((key for key in fields if key is not None), None)

    @property
    def roofed(self) -> bool:
        """Whether there is a roof over it."""
        return self.system.run.system.floors[self.key].roofed

    @property
    def wet(self) -> bool:
        """Whether it is used on wet days."""
        return any("wet" in step.states for step in self.steps)

    @property
    def all_day(self) -> bool:
        """Whether animals are kept on it day and night on any step."""
        return any(step.step.hours_on_method >= HOURS_PER_DAY for step in self.steps)

    @property
    def rest_on_land(self) -> bool:
        """Whether animals rest on land on every step."""
        return not self.all_day and all(
            place.structure is None
            for step in self.steps
            for place in step.places
            if not place.feeds_here
        )

    @property
    def dry_beds(self) -> list[str]:
        """Floors on which animals rest and that are dry on wet days."""
        floors = self.system.run.system.floors
        beds: dict[str, None] = {}
        for step in self.steps:
            for place in step.places:
                if place.structure is None or place.feeds_here:
                    continue
                if place.word == "mound" or floors[place.structure].roofed:
                    beds[place.structure] = None
        return list(beds)

    def kinds(self, kind: str) -> list[str]:
        """Return the keys of the structures of a kind."""
        structures = self.system.run.system.structures
        return [key for key, structure in structures.items() if structure.kind == kind]

    def called(self, key: str) -> str:
        """Return what a structure is called."""
        return named(self.system.run.system.structures[key].title, key)

    def bedding(self, key: str) -> float:
        """Return the bedding a floor gets in a mean winter [lb]."""
        winters = self.costing.winters
        return sum(
            mean(winters, floor.bedding) for floor in self.system.floors if floor.floor.key == key
        )


def companions_of(costing: Costing, system: SystemCosting) -> list[dict[str, Any]]:
    """Return the companion practices of every feeding pad in use.

    Each has the key of the pad, the practice, its status (``present``, ``missing`` or
    ``not_needed``) and one sentence on what that means.
    """
    found: list[dict[str, Any]] = []
    for key, structure in system.run.system.structures.items():
        steps = [
            step
            for step in system.run.steps
            if fed_on(step.step) == key and step.served.value.any()
        ]
        if structure.kind not in PADS or not steps:
            continue
        pad = Pad(costing, system, key, steps)
        for practice, finding in PRACTICES.items():
            status, meaning = finding(pad)
            found.append(
                {"structure": key, "practice": practice, "status": status, "meaning": meaning}
            )
    return found


def _water(pad: Pad) -> Finding:
    structures = pad.system.run.system.structures
    near = [
        key
        for key in pad.kinds("waterer")
        if structures[key].field is None or pad.field in {None, structures[key].field}
    ]
    if near:
        return PRESENT, f"The system has it: {pad.called(near[0])}."
    fields = pad.costing.case.scenario.land.fields
    if pad.field is not None and fields[pad.field].winter_water == "yes":
        return PRESENT, "The field has water that does not freeze."
    return MISSING, (
        "No water that does not freeze is named at the pad: it must be hauled, or stock leave the "
        "pad to drink and make mud on the way."
    )


def _lane(pad: Pad) -> Finding:
    lanes = pad.kinds("access_lane")
    if lanes:
        return PRESENT, f"The system has it: {pad.called(lanes[0])}."
    if not pad.wet:
        return NOT_NEEDED, "The pad is not used on wet days, so the ground around it carries."
    return MISSING, (
        "No lane is named: tractor and stock cross soft ground to reach the pad, and the mud moves "
        "from the lot to the way there."
    )


def _mound_or_roof(pad: Pad) -> Finding:
    if pad.roofed:
        return PRESENT, "A roof keeps the pad dry."
    if pad.dry_beds:
        return PRESENT, f"Stock lie on a dry floor: {pad.called(pad.dry_beds[0])}."
    if not pad.wet:
        return NOT_NEEDED, "The pad is not used on wet days, so there is dry ground to lie on."
    return MISSING, (
        "No mound or roof goes with the pad: on wet days stock have no dry place to lie, use more "
        "energy and come to harm in long wet spells."
    )


def _bedding(pad: Pad) -> Finding:
    floors = [pad.key, *pad.dry_beds]
    if any(pad.bedding(key) > 0 for key in floors):
        return PRESENT, "Bedding is counted where stock lie."
    if pad.rest_on_land:
        return NOT_NEEDED, "Stock come to the pad to eat and lie down elsewhere."
    return MISSING, (
        "No bedding is counted: stock lie on bare rock, concrete or soil, dirty and cold, and "
        "liquid is not held."
    )


def _manure_storage(pad: Pad) -> Finding:
    stores = pad.kinds("manure_storage")
    if stores:
        return PRESENT, f"The system has it: {pad.called(stores[0])}."
    winters = pad.costing.winters
    tons = sum(
        mean(winters, floor.tons) for floor in pad.system.floors if floor.floor.key == pad.key
    )
    if not tons:
        return NOT_NEEDED, "Nothing is counted as scraped off the pad."
    return MISSING, (
        "No manure storage is named: what is scraped off has to be stacked or spread in winter, on "
        "frozen or wet ground, which state rules may limit."
    )


def _runoff(pad: Pad) -> Finding:
    strips = pad.kinds("treatment_strip")
    if strips:
        return PRESENT, f"The system has it: {pad.called(strips[0])}."
    if pad.roofed:
        return NOT_NEEDED, "The roof keeps rain off the pad; lead the roof water away clean."
    return MISSING, (
        "No runoff treatment is named: dirty water leaves the pad with each rain, and where it "
        "reaches a stream a permit may be asked for."
    )


def _fence(pad: Pad) -> Finding:
    fences = pad.kinds("fence")
    if fences:
        return PRESENT, f"The system has it: {pad.called(fences[0])}."
    if pad.rest_on_land:
        return NOT_NEEDED, "Stock come and go between the pad and the ground they rest on."
    return MISSING, (
        "No fence is named: without one stock stand off the edges of the pad and make the mud that "
        "it was built to end."
    )


PRACTICES = {
    "water": _water,
    "lane": _lane,
    "mound_or_roof": _mound_or_roof,
    "bedding": _bedding,
    "manure_storage": _manure_storage,
    "runoff_treatment": _runoff,
    "fence": _fence,
}
